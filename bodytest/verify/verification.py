"""Every published example through the program's own functions."""

from collections.abc import Callable, Iterable

from bodytest.verify import batch_checks, lab_checks, mean_checks
from bodytest.verify.cross_checks import cross_check
from bodytest.verify.examples import Answer, Inputs, PublishedExample, published_examples
from bodytest.verify.printed_digits import Figure, compare, failed

Check = Callable[[Inputs], Answer]
CHECKS: dict[str, Check] = {
    "dtu-discs-1020": lab_checks.discs,
    "dtu-discs-1030": lab_checks.discs,
    "dtu-discs-1050": lab_checks.discs,
    "kaolinite-loss": lab_checks.kaolinite,
    "florida-water-of-plasticity": lab_checks.plasticity,
    "florida-volume-shrinkage": lab_checks.volume,
    "water-density": lab_checks.water,
    "gum-h1-end-gauge": lab_checks.end_gauge,
    "gum-h2-impedance": lab_checks.impedance,
    "nist-7.2.2-one-sample-t": mean_checks.one_sample,
    "nist-1.3.5.2-ci-mean": mean_checks.interval_of_mean,
    "strd-univ-michelso": mean_checks.univariate,
    "strd-univ-mavro": mean_checks.univariate,
    "strd-univ-numacc": mean_checks.accuracy,
    "devore-prediction-interval": mean_checks.prediction,
    "tolerance-factors-exact": mean_checks.tolerance_factors,
    "nist-1.3.5.17.1-grubbs": mean_checks.grubbs,
    "grubbs-crit-one-sided-5pct": mean_checks.grubbs_table,
    "nist-7.4.3-anova": batch_checks.anova,
    "strd-anova-sirstv": batch_checks.certified_anova,
    "reml-dyestuff": batch_checks.dyestuff,
    **{f"loads-{place}": batch_checks.batches_and_loads for place in range(1, 7)},
    "nist-6.3.2.2-individuals": batch_checks.individuals,
    "nist-6.3.2.4-ewma": batch_checks.ewma,
    "games-howell-99": mean_checks.games_howell,
    "tost-clinic-welch-1": mean_checks.equivalence,
    "isotonic-pava": mean_checks.isotonic,
    "inverse-thermometer": mean_checks.thermometer,
}
"""Example id → what computes its figures from its inputs, in the order in which they are shown."""


def verify(examples: Iterable[PublishedExample] | None = None) -> tuple[Figure, ...]:
    """Compute every published figure that the program rests on and set it beside the published one.

    The published data that statsmodels can compute too are computed by both in addition. Without ``examples`` all that
    ship with the package are verified.
    """
    by_id = {example.id: example for example in (published_examples() if examples is None else examples)}
    checks = {**CHECKS, **{key: lab_checks.quantity for key, one in by_id.items() if "quantity" in one.inputs}}
    published = tuple(figure for key, check in checks.items() if key in by_id for figure in _figures(by_id[key], check))
    return published + cross_check(by_id)


def _figures(example: PublishedExample, check: Check) -> tuple[Figure, ...]:
    try:
        return tuple(compare(example, check(example.inputs)))
    except Exception as error:  # whatever a damaged installation raises is a miss to be told, not a traceback
        return tuple(failed(example, f"{type(error).__name__}: {error}"))
