"""Cross-checks: published data through statsmodels on this installation, its figures beside the program's own."""

import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from importlib.metadata import version
from typing import Any

import numpy as np

from bodytest.stats.effects import summarise_effects
from bodytest.stats.mean_differences import compare_means, level_mean, welch_anova
from bodytest.stats.summary import summarise_bars
from bodytest.verify.batch_checks import stacked
from bodytest.verify.examples import SEARCH, Answer, Inputs, PublishedExample
from bodytest.verify.printed_digits import Figure, compare, failed

_FORMULA = 1e-9
"""Relative difference allowed between two computations of one formula."""
_OPTIMISERS = ("lbfgs", "bfgs", "powell", "nm")
"""Searches taken in turn until one of them arrives."""


@dataclass(frozen=True)
class CrossCheck:
    """One thing computed twice."""

    example: str
    """Id of the published data."""
    title: str
    """What is computed, for people."""
    theirs: Callable[[Inputs], Answer]
    """The computation by statsmodels."""
    ours: Callable[[Inputs], Answer]
    """The program's own."""
    closeness: float = _FORMULA
    """Relative difference allowed."""


def cross_check(examples: Mapping[str, PublishedExample]) -> tuple[Figure, ...]:
    """Compute what there is of the published data, by id, by statsmodels and by the program, side by side."""
    checks = [check for check in CROSS_CHECKS if check.example in examples]
    return tuple(figure for check in checks for figure in _figures(check, examples[check.example]))


def _figures(check: CrossCheck, data: PublishedExample) -> Iterator[Figure]:
    example = replace(
        data,
        id=f"statsmodels-{check.title}",
        name=f"Cross-check of {check.title}: {data.name}",
        source="independent implementation: statsmodels",
        provenance="not a published figure: computed on this installation",
        expected={"answer": "none"},
    )
    try:
        example = replace(example, source=f"{example.source} {version('statsmodels')}")
        theirs = {name: [float(one) for one in figures] for name, figures in check.theirs(data.inputs).items()}
        allowed = {name: [check.closeness * abs(one) for one in figures] for name, figures in theirs.items()}
        yield from compare(replace(example, expected=theirs, tolerance=allowed), check.ours(data.inputs))
    except Exception as error:  # a missing or broken statsmodels is a miss to be told, not a traceback
        yield from failed(example, f"{type(error).__name__}: {error}")


def _their_variances(inputs: Inputs) -> Answer:
    from statsmodels.regression.mixed_linear_model import MixedLM

    values, batch = stacked(inputs["groups"])
    centre, unit = float(values.mean()), float(values.std())
    fit = _searched(MixedLM((values - centre) / unit, np.ones((len(values), 1)), groups=batch))
    return {
        "sd_batch": [unit * float(np.sqrt(fit.cov_re[0, 0]))],
        "sd_bar": [unit * float(np.sqrt(fit.scale))],
        "mean": [centre + unit * float(fit.fe_params[0])],
        "standard_uncertainty": [unit * float(fit.bse_fe[0])],
    }


def _searched(model: Any) -> Any:
    """Return the fit of the first search that arrives; those that warn of their way or break down are passed over.

    The values come centred and scaled: the searches start at variances near 1 and go astray far from there.
    """
    for optimiser in _OPTIMISERS:
        fit = None
        with warnings.catch_warnings(record=True) as told, suppress(np.linalg.LinAlgError):
            warnings.simplefilter("always")
            fit = model.fit(reml=True, method=[optimiser])
        if fit is not None and fit.converged and not told:
            return fit
    raise ArithmeticError("no search of statsmodels.MixedLM for the variances arrived")


def _our_variances(inputs: Inputs) -> Answer:
    values, batch = stacked(inputs["groups"])
    found = summarise_effects(values, batch, np.zeros_like(batch))
    return {
        "sd_batch": [found.batch_sd],
        "sd_bar": [found.bar_sd],
        "mean": [found.mean],
        "standard_uncertainty": [found.standard_uncertainty],
    }


def _their_crossed_variances(inputs: Inputs) -> Answer:
    from statsmodels.regression.mixed_linear_model import MixedLM, VCSpec

    values = np.array(inputs["value"])
    centre, unit = float(values.mean()), float(values.std())
    kinds = ("batch", "load")
    levels = [np.unique(inputs[kind], return_inverse=True) for kind in kinds]
    indicators = [[np.eye(len(names))[codes]] for names, codes in levels]
    spec = VCSpec(list(kinds), [[[str(name) for name in names]] for names, _ in levels], indicators)
    one = np.ones(len(values))
    fit = _searched(MixedLM((values - centre) / unit, one[:, None], one, exog_vc=spec))
    return {
        "sds": [unit * float(np.sqrt(part)) for part in (*fit.vcomp, fit.scale)],
        "mean": [centre + unit * float(fit.fe_params[0])],
    }


def _our_crossed_variances(inputs: Inputs) -> Answer:
    batches, loads = (np.unique(inputs[kind], return_inverse=True)[1] for kind in ("batch", "load"))
    found = summarise_effects(inputs["value"], batches, loads)
    return {"sds": [found.batch_sd, found.load_sd, found.bar_sd], "mean": [found.mean]}


def _their_anova(inputs: Inputs) -> Answer:
    from statsmodels.stats.oneway import anova_oneway

    found = anova_oneway([np.array(group) for group in inputs["groups"]], use_var="unequal", welch_correction=True)
    return {"F": [found.statistic], "df": [found.df_num, found.df_denom], "p": [found.pvalue]}


def _our_anova(inputs: Inputs) -> Answer:
    found = welch_anova([level_mean(group) for group in inputs["groups"]])
    if found is None:
        raise ValueError("a group without scatter")
    return {"F": [found.statistic], "df": [found.between_freedom, found.within_freedom], "p": [found.p]}


def _their_equivalence(inputs: Inputs) -> Answer:
    from statsmodels.stats.weightstats import CompareMeans, DescrStatsW, ttost_ind

    x, y = np.array(inputs["x"]), np.array(inputs["y"])
    interval = CompareMeans(DescrStatsW(x), DescrStatsW(y)).tconfint_diff(alpha=inputs["alpha"], usevar="unequal")
    return {
        "interval_of_difference": list(interval),
        "p_same": [ttost_ind(x, y, -inputs["margin"], inputs["margin"], usevar="unequal")[0]],
    }


def _our_equivalence(inputs: Inputs) -> Answer:
    levels = [level_mean(inputs["y"]), level_mean(inputs["x"])]
    (pair,) = compare_means(levels, tolerance=inputs["margin"], confidence=1.0 - inputs["alpha"])
    return {"interval_of_difference": [pair.low, pair.high], "p_same": [pair.same_p]}


def _their_mean(inputs: Inputs) -> Answer:
    from statsmodels.stats.weightstats import DescrStatsW

    found = DescrStatsW(inputs["x"], ddof=1)
    interval = found.tconfint_mean(alpha=1.0 - inputs["conf"])
    return {"mean": [found.mean], "sd": [found.std], "interval": list(interval)}


def _our_mean(inputs: Inputs) -> Answer:
    found = summarise_bars(inputs["x"], confidence=inputs["conf"])
    return {"mean": [found.mean], "sd": [found.sd], "interval": [found.low, found.high]}


CROSS_CHECKS = (
    CrossCheck("devore-prediction-interval", "mean and interval", _their_mean, _our_mean),
    CrossCheck("reml-dyestuff", "variances of batches and bars", _their_variances, _our_variances, SEARCH),
    CrossCheck("nist-7.4.3-anova", "variances of batches and bars again", _their_variances, _our_variances, SEARCH),
    CrossCheck(
        "loads-2", "variances of batches, loads and bars", _their_crossed_variances, _our_crossed_variances, SEARCH
    ),
    CrossCheck("nist-7.4.3-anova", "Welch's analysis of variance", _their_anova, _our_anova),
    CrossCheck("tost-clinic-welch-1", "equivalence", _their_equivalence, _our_equivalence),
)
"""In the order in which they are shown."""
