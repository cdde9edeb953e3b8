"""What the reading step and the calibration of the instruments do to one bar's value of a quantity."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from bodytest.lab.propagation import propagate
from bodytest.lab.ratio import FloatArray, number
from bodytest.lab.record import Quantity


def step_uncertainty(
    quantity: Quantity,
    readings: Mapping[str, npt.ArrayLike],
    *,
    steps: Mapping[str, npt.ArrayLike],
    marks: npt.ArrayLike = 1.0,
) -> FloatArray:
    """Return the standard uncertainty of each bar's value that comes from the reading steps.

    Each reading lies anywhere within its step with equal chance, independent of the others. Lengths are means over the
    marks of the bar, so their part shrinks with the root of the number of marks.

    Parameters:
        quantity: what is computed.
        readings: reading key to values, lengths as means over the marks [unit held].
        steps: reading step δ by name in `bodytest.units.INSTRUMENTS`; absent counts as 0 [unit held].
        marks: number of marks on each bar [count].

    Equation: u² = Σ_i (c_i δ_i/√12)², with δ_i/√(12 marks) for a mean length

    Reference: JCGM 100:2008 (GUM) F.2.2.1 (δ/√12), 5.1.2 equation 10. Worked value computed by hand: 0.1 mm on readings
        near 100 mm, 100 × 0.1/√12 × √2 / 100 = 0.041 percentage points.

    >>> from bodytest.lab.shrinkage import TOTAL_SHRINKAGE
    >>> lengths = {"wet_length": 100.0, "fired_length": 100.0}
    >>> print(round(step_uncertainty(TOTAL_SHRINKAGE, lengths, steps={"length": 0.1}), 3))
    0.041
    """
    slopes = quantity.slopes(readings)
    own: list[FloatArray] = []
    for reading in quantity.readings:
        step = number(steps.get(reading.dimension.instrument.name, 0.0))
        own.append(step / np.sqrt(12.0 * number(marks if reading.of_mark else 1.0)))
    return propagate([slopes[reading.key] for reading in quantity.readings], own)


def calibration_uncertainty(
    quantity: Quantity,
    readings: Mapping[str, npt.ArrayLike],
    *,
    calibrations: Mapping[str, npt.ArrayLike],
    apart: Mapping[str, npt.ArrayLike] = MappingProxyType({}),
) -> FloatArray:
    """Return the standard uncertainty of each bar's value that comes from the calibration of the instruments.

    Where an instrument errs alike in all readings of a ratio, its error is the same offset in every term and mostly
    cancels; where each stage has an error of its own, read on another day or with another caliper, nothing cancels. The
    same error stands in every bar, so that it does not average out over bars.

    Parameters:
        quantity: what is computed.
        readings: reading key to values, lengths as means over the marks [unit held].
        calibrations: expanded uncertainty, k = 2, by name of the instrument; absent counts as 0 [unit held].
        apart: by name of the instrument, 1 where its errors stand each on its own, 0 where they are alike; absent
            counts as 0 [switch].

    Equation: u = |Σ_i c_i| U/2 over the readings of one instrument that errs alike (r_ij = 1), √(Σ_i c_i²) U/2 where
        r_ij = 0

    Reference: JCGM 100:2008 (GUM) 5.2.2 equation 16 and its note 1 (all r = 1), 4.3.3 (U/k). Worked value computed by
        hand: (100 × 90/100² − 100/100) × 0.05/2 = −0.0025 percentage points; apart √(0.9² + 1²) × 0.05/2 = 0.0336.

    >>> from bodytest.lab.shrinkage import TOTAL_SHRINKAGE
    >>> lengths = {"wet_length": 100.0, "fired_length": 90.0}
    >>> print(round(calibration_uncertainty(TOTAL_SHRINKAGE, lengths, calibrations={"length": 0.05}), 6))
    0.0025
    >>> each = calibration_uncertainty(TOTAL_SHRINKAGE, lengths, calibrations={"length": 0.05}, apart={"length": 1})
    >>> print(round(each, 4))
    0.0336
    """
    if not any(np.any(number(calibration)) for calibration in calibrations.values()):
        return quantity.value(readings) * 0.0
    slopes = quantity.slopes(readings)
    of_instrument: dict[str, list[FloatArray]] = {}
    for reading in quantity.readings:
        of_instrument.setdefault(reading.dimension.instrument.name, []).append(slopes[reading.key])
    parts: list[FloatArray] = []
    for name, terms in of_instrument.items():
        alike, own = np.square(sum(terms)), sum(np.square(term) for term in terms)
        on_its_own = number(apart.get(name, 0.0))
        slope = np.sqrt((1.0 - on_its_own) * alike + on_its_own * own)
        parts.append(slope * number(calibrations.get(name, 0.0)) / 2.0)
    return propagate([1.0] * len(parts), parts)
