"""What limits the certainty of a mean: its variance by source, and the advice that follows from it."""

import math

from bodytest.analysis.instruments import InstrumentErrors
from bodytest.budget import Certainty, CertaintyShare, Source
from bodytest.rounding import counted
from bodytest.stats.bar_count import bars_for_half_width
from bodytest.stats.combined_freedom import student_factor
from bodytest.stats.effects import EffectsSummary


def certainty_of(
    summary: EffectsSummary, errors: InstrumentErrors, marks: tuple[float, float] | None
) -> Certainty | None:
    """Split the variance of a mean by source and say what would help.

    Parameters:
        summary: the mean and its uncertainty.
        errors: what the instruments add.
        marks: standard deviation between the marks of a bar and their mean number, None for one mark a bar.
    """
    if summary.standard_uncertainty is None or summary.sd is None:
        return None
    parts = _variances(summary, errors, marks)
    whole = sum(parts.values())
    if not whole > 0:
        return None
    shares = tuple(
        CertaintyShare(source, math.sqrt(variance), float(variance / whole), instrument)
        for (source, instrument), variance in sorted(parts.items(), key=lambda item: -item[1])
    )
    to_halve = _bars_to_halve(summary, math.hypot(errors.calibration, errors.shared_step))
    advice = advice_for(
        shares,
        levels={"batches": summary.batches, "loads": summary.loads},
        bars_to_halve=to_halve,
        step=errors.step_text,
        finer_step=errors.finer_step_text,
    )
    return Certainty(shares, advice, to_halve)


_LEVELS: tuple[Source, ...] = ("batches", "loads", "batches and loads")


def _variances(
    summary: EffectsSummary, errors: InstrumentErrors, marks: tuple[float, float] | None
) -> dict[tuple[Source, str | None], float]:
    """Return variances by source and instrument.

    Scatter of one bar = bars + marks + reading step, each over n; the step can be no more than the scatter.

    The part of the reading step that is the same error in every bar does not average out and stands beside it. What
    the bars do not explain is of batches, of loads, or of both where they change together.
    """
    n, step = summary.n, errors.step**2
    one_bar = max((summary.bar_sd or summary.sd or 0.0) ** 2, step)
    mark_variance = max(marks[0] ** 2 - step * marks[1], 0.0) / marks[1] if marks else 0.0
    mark_variance = min(mark_variance, one_bar - step)
    found: dict[tuple[Source, str | None], float] = {
        ("bars", None): max(one_bar - step - mark_variance, 0.0) / n,
        **{(level, None): 0.0 for level in _LEVELS},
        ("marks", None): mark_variance / n,
    }
    for instrument, (of_step, of_shared, of_calibration) in errors.parts.items():
        found["reading step", instrument] = of_step * step / n + of_shared * errors.shared_step**2
        found["calibration", instrument] = of_calibration * errors.calibration**2
    of_levels = {part.source: float(part.variance) for part in summary.parts if part.source in _LEVELS}
    between = sum(of_levels.values())
    rest = max((summary.standard_uncertainty or 0.0) ** 2 - sum(found.values()), 0.0) if between > 0 else 0.0
    return found | {(source, None): rest * variance / between for source, variance in of_levels.items() if between > 0}


def _bars_to_halve(summary: EffectsSummary, shared: float) -> int | None:
    """Return the further bars that halve the interval, None where bars alone cannot: it rests on batches or loads."""
    if summary.low is None or summary.high is None or summary.sd is None:
        return None
    if summary.batches * summary.loads > 1:
        return None
    wanted = bars_for_half_width(summary.sd, (summary.high - summary.low) / 4.0, shared_uncertainty=shared)
    return None if wanted is None else max(int(wanted) - summary.n, 1)


_LEAST_GAIN = 0.98
"""A remedy that leaves more than this of the interval's width is not quantified."""


def advice_for(
    shares: tuple[CertaintyShare, ...], *, levels: dict[str, int], bars_to_halve: int | None, step: str, finer_step: str
) -> str:
    """Return one or two sentences on the largest source.

    Parameters:
        shares: shares of the variance of the mean, largest first.
        levels: number of ``batches`` and of ``loads`` seen.
        bars_to_halve: further bars that halve the interval of one batch, None where bars alone cannot.
        step: reading step with its unit, ``0.1 mm``.
        finer_step: half of it.

    >>> shares = (CertaintyShare("reading step", 0.03, 0.9), CertaintyShare("bars", 0.01, 0.1))
    >>> one = {"batches": 1, "loads": 1}
    >>> advice = advice_for(shares, levels=one, bars_to_halve=None, step="0.1 mm", finer_step="0.05 mm")
    >>> print(advice.replace("\\u00a0", " "))
    Much of it is the reading step (90 % of what is uncertain). Reading to 0.05 mm instead of 0.1 mm would narrow the \
interval to about 57 % of its width; longer bars help as well.
    """
    largest = shares[0]
    part = f"{100.0 * largest.share:.0f}\u00a0% of what is uncertain"
    quantified = {
        "bars": _for_bars_of_several(shares, levels) if max(levels.values()) > 1 else _for_bars(bars_to_halve),
        "batches": _for_levels(largest.share, "batches", levels["batches"]),
        "loads": _for_levels(largest.share, "loads", levels["loads"]),
        "batches and loads": _for_levels(largest.share, "loads with a batch of their own", levels["loads"]),
        "marks": f" Twice as many marks on each bar would narrow it to about {_left(largest.share, 0.5)} of its width.",
        "reading step": (
            f" Reading to {finer_step} instead of {step} would narrow the interval to about"
            f" {_left(largest.share, 0.75)} of its width; longer bars help as well."
        ),
        "calibration": (
            f" Knowing the instrument twice as well would narrow the interval to about {_left(largest.share, 0.75)}"
            " of its width; more bars do not help."
        ),
    }
    return _CAUSE[largest.source].format(part=part) + quantified[largest.source]


_MOST_BARS = 50
"""More further bars than this are no advice: nobody makes them."""
_CAUSE = {
    "bars": "The bars differ among themselves ({part}).",
    "batches": "The batches differ from each other ({part}): more bars of the same batches hardly help.",
    "loads": "The loads differ from each other ({part}): more bars in the same loads hardly help.",
    "batches and loads": "Batches and loads changed together and differ ({part}): more bars of the same hardly help.",
    "marks": "The marks of one bar disagree ({part}): finer gauge lines help.",
    "reading step": "Much of it is the reading step ({part}).",
    "calibration": "Much of it is the calibration of the instrument ({part}).",
}


def _left(share: float, taken_away: float) -> str:
    """Return the width that is left when a fraction of the largest source's variance is taken away."""
    return f"{100.0 * math.sqrt(1.0 - share * taken_away):.0f}\u00a0%"


def _for_bars(bars_to_halve: int | None) -> str:
    if bars_to_halve is None or bars_to_halve > _MOST_BARS:
        return " More bars help most."
    return f" About {counted(bars_to_halve, 'more bar')} would halve the interval."


def _for_bars_of_several(shares: tuple[CertaintyShare, ...], levels: dict[str, int]) -> str:
    """Bars of the same batches and loads leave the degrees of freedom as they are; further ones bring bars as well."""
    scatter = sum(one.share for one in shares if one.source in ("bars", "batches", "loads", "batches and loads"))
    fewest = min((name for name, count in levels.items() if count > 1), key=lambda name: levels[name])
    rests = f" The interval rests on {levels[fewest]} {fewest} all the same."
    return rests + _for_levels(scatter, fewest, levels[fewest])


def _for_levels(share: float, name: str, count: int) -> str:
    """Twice as many levels halve the variance of the mean and raise the degrees of freedom from k − 1 to 2k − 1."""
    if count < 2:
        return ""
    narrower = math.sqrt(1.0 - share / 2.0) * student_factor(2.0 * count - 1.0, 0.95)
    left = narrower / student_factor(count - 1.0, 0.95)
    if left > _LEAST_GAIN:
        return f" Further {name} help most."
    width = f"{100.0 * left:.0f}\u00a0%"
    return f" Testing {count} further {name} would probably narrow the interval to about {width} of its width."
