"""Bars that stand apart: generalised extreme Studentised deviate test."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

_FEWEST = 3
_BARS_FOR_EACH = 5
_MOST = 10
_WHOLE = 500
"""Values above which each step looks at the outermost ones only; the others come in through their mean and scatter."""


@dataclass(frozen=True)
class EsdResult:
    """What the test found, step by step."""

    deviates: tuple[float, ...]
    """R: distance of the value furthest from the mean of those left, in their standard deviations, at each step."""
    critical: tuple[float, ...]
    """λ: the critical value of each step."""
    flagged: tuple[int, ...]
    """Positions of the outliers, the furthest first."""


def generalised_esd(
    values: npt.ArrayLike, *, most: int | None = None, significance: float = 0.05, step_uncertainty: float = 0.0
) -> EsdResult:
    """Find values that stand apart from the others, also when several hide each other.

    Parameters:
        values: one value for each bar, none missing [unit of the quantity].
        most: largest number of outliers looked for [count]; when None one for each five bars, at least one, at most 10.
        significance: chance of flagging any bar of a batch without outliers [fraction].
        step_uncertainty: standard uncertainty of one value from the reading steps [unit of the quantity]; a bar is
            not odd for standing one step beside others that all read alike.

    Equation: R_i = max|x − mean|/√(s² + u_step²) of the values left, λ_i = (n − i) t/√((n − i − 1 + t²)(n − i + 1)),
        t = t(1 − α/(2(n − i + 1)); n − i − 1); outliers: the largest i with R_i > λ_i

    Reference: Rosner 1983, Technometrics 25, 165; NIST/SEMATECH e-Handbook 1.3.5.17.3. With one outlier this is the
        two-sided Grubbs test, e-Handbook 1.3.5.17.1, whose example is the worked value: G 2.4687, critical 2.1266
        (unrounded G 2.46876).

    >>> uranium = generalised_esd([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
    >>> print(uranium.flagged, f"{uranium.deviates[0]:.5f} {uranium.critical[0]:.4f}")
    (7,) 2.46876 2.1266
    """
    bars = np.asarray(values, dtype=np.float64)
    steps = _steps(bars.size, most)
    left, core = _ends(bars, steps) if bars.size > _WHOLE else (np.arange(bars.size), None)
    removed: list[int] = []
    deviates: list[float] = []
    for _ in range(steps):
        deviate, at = _furthest(bars[left], step_uncertainty, core)
        deviates.append(deviate)
        removed.append(int(left[at]))
        left = np.concatenate((left[:at], left[at + 1 :]))
    critical = [critical_deviate(bars.size, step, significance) for step in range(1, len(removed) + 1)]
    beyond = [step for step, (seen, limit) in enumerate(zip(deviates, critical, strict=True), 1) if seen > limit]
    return EsdResult(tuple(deviates), tuple(critical), tuple(removed[: max(beyond, default=0)]))


def _steps(n: int, most: int | None) -> int:
    if n < _FEWEST:
        return 0
    wanted = min(max(n // _BARS_FOR_EACH, 1), _MOST) if most is None else most
    return min(wanted, n - 2)


@dataclass(frozen=True)
class _Core:
    """Values that no step can remove."""

    count: int
    mean: float
    squares: float
    """Sum of their squared distances from their mean."""


def _ends(bars: npt.NDArray[np.float64], steps: int) -> tuple[npt.NDArray[np.int64], _Core]:
    """Return the positions of values that the steps can remove, the outermost at either end, and the others."""
    ordered = np.partition(bars, (steps, bars.size - 1 - steps))
    ends = (bars <= ordered[steps]) | (bars >= ordered[-1 - steps])
    core = bars[~ends]
    mean = float(core.mean()) if core.size else 0.0
    return np.flatnonzero(ends), _Core(core.size, mean, float(np.square(core - mean).sum()))


def _furthest(bars: npt.NDArray[np.float64], step_uncertainty: float, core: _Core | None) -> tuple[float, int]:
    """Return the deviate and the position of the value furthest from the mean of all, the core's among them."""
    mean, squares, count = float(bars.mean()), 0.0, bars.size
    if core is not None and core.count:
        count += core.count
        mean += (core.mean - mean) * core.count / count
        squares = core.squares + core.count * (core.mean - mean) ** 2
    distances = np.abs(bars - mean)
    at = int(distances.argmax())
    furthest = float(distances[at])
    variance = (squares + float(distances @ distances)) / (count - 1) + step_uncertainty**2
    no_scatter = furthest <= 1e-12 * (abs(mean) + furthest)
    return (0.0 if no_scatter or variance <= 0.0 else furthest / math.sqrt(variance)), at


@lru_cache(maxsize=4096)
def critical_deviate(n: int, step: int, significance: float = 0.05) -> float:
    """Return the critical value of one step of the generalised extreme Studentised deviate test.

    Parameters:
        n: values at the start [count].
        step: 1 for the furthest value, 2 for the furthest of those left … [count].
        significance: chance of any false flag [fraction].

    Equation: λ_i of `generalised_esd`

    Reference: Rosner 1983; NIST/SEMATECH e-Handbook 1.3.5.17.3, n = 54, steps 1 and 10: 3.159 and 3.085 (from
        memory, agrees with recomputation).

    >>> round(critical_deviate(54, 1), 3), round(critical_deviate(54, 10), 3)
    (3.159, 3.085)
    """
    left = n - step + 1
    t = float(stdtrit(left - 2, 1.0 - significance / (2.0 * left)))
    return (left - 1) * t / math.sqrt((left - 2 + t**2) * left)
