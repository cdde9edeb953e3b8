"""Reading a fitted line or curve backwards: at which x does it reach a wanted y, and how surely."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from bodytest.stats.design import FloatArray


@dataclass(frozen=True)
class InverseReading:
    """Where a line reaches a wanted value."""

    estimate: float
    """Position on the x axis."""
    low: float
    """Lower end of the interval, −inf where the line may never reach the value on that side."""
    high: float
    """Upper end of it."""


def first_fall(positions: FloatArray, heights: FloatArray, wanted: float) -> FloatArray:
    """Return where a curve first falls to a wanted value.

    Parameters:
        positions: rising places along the x axis, shape (places,) [any unit].
        heights: the curve there, shape (…, places) [unit of the quantity].
        wanted: the value looked for [unit of the quantity].

    Returns:
        position, interpolated between places; −inf where the curve starts at or below the value, inf where it stays
        above it.

    Equation: smallest x with f(x) ≤ y₀

    Reference: plain linear interpolation; worked value by hand.

    >>> print(first_fall(np.array([1.0, 2.0, 3.0]), np.array([9.0, 5.0, 7.0]), 6.0))
    1.75
    """
    below = heights <= wanted
    first = below.argmax(axis=-1)
    before = np.maximum(first - 1, 0)
    above = np.take_along_axis(heights, before[..., None], axis=-1)[..., 0]
    drop = above - np.take_along_axis(heights, first[..., None], axis=-1)[..., 0]
    part = np.where(drop > 0.0, (above - wanted) / np.where(drop > 0.0, drop, 1.0), 1.0)
    crossing = positions[before] + np.clip(part, 0.0, 1.0) * (positions[first] - positions[before])
    return np.where(below.any(axis=-1), np.where(first == 0, -np.inf, crossing), np.inf)


def read_line_backwards(
    x: npt.ArrayLike, y: npt.ArrayLike, observed: float, *, confidence: float = 0.95
) -> InverseReading:
    """Return the x that belongs to one observed y on a fitted straight line, with its interval.

    Parameters:
        x: known positions, at least three different ones [any unit].
        y: readings there [any unit].
        observed: the reading to go back from [unit of y].
        confidence: of the interval [fraction].

    Equation: {x: |a + b x − y₀| ≤ t s √(1 + 1/n + (x − x̄)²/S_xx)}, t with n − 2 degrees of freedom; its ends are the
        roots of (b² − t² s²/S_xx) d² − 2 b (y₀ − ȳ) d + (y₀ − ȳ)² − t² s² (1 + 1/n), d = x − x̄

    Reference: Graybill & Iyer, Regression Analysis, 1994, p. 431 (thermometer): 100.1, 99.63 to 100.59 at 90 %; Fieller
        1954, J. R. Stat. Soc. B 16, 175 (from memory).

    >>> x = [96, 98, 100, 102, 104, 106, 108, 110]
    >>> y = [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21]
    >>> found = read_line_backwards(x, y, 100, confidence=0.90)
    >>> print(f"{found.estimate:.1f} {found.low:.2f} {found.high:.2f}")
    100.1 99.63 100.59
    """
    known, readings = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    n, centre, level = len(known), float(known.mean()), float(readings.mean())
    spread = float(np.square(known - centre).sum())
    slope = float(((known - centre) * (readings - level)).sum()) / spread
    variance = float(np.square(readings - level - slope * (known - centre)).sum()) / (n - 2)
    allowed = float(stdtrit(n - 2, (1.0 + confidence) / 2.0)) ** 2 * variance
    off = observed - level
    bend, fixed = slope**2 - allowed / spread, off**2 - allowed * (1.0 + 1.0 / n)
    if bend <= 0.0:
        return InverseReading(centre + off / slope, -np.inf, np.inf)
    middle, reach = slope * off / bend, np.sqrt((slope * off) ** 2 - bend * fixed) / bend
    return InverseReading(centre + off / slope, float(centre + middle - reach), float(centre + middle + reach))


def planned_crossing_uncertainty(
    x: npt.ArrayLike, crossing: float, *, slope: float, sd: float, load_uncertainty: float = 0.0, loads: int = 1
) -> float:
    """Return the standard uncertainty of the x at which a straight line will cross a limit, before it is measured.

    Parameters:
        x: where bars will be fired, one value a bar, at least two different ones [°C].
        crossing: where the line is expected to cross [°C].
        slope: of the line, not zero [unit of the quantity per °C].
        sd: standard deviation of one bar about the line [unit of the quantity].
        load_uncertainty: standard uncertainty of the x of a load, which all its bars share [°C].
        loads: loads that lie about the crossing [count].

    Equation: u² = s²/b² (1/n + (T_c − T̄)²/S_xx) + u_load²/loads

    Reference: `read_line_backwards` without the scatter of a new reading, to first order (JCGM 100:2008 (GUM) 5.1.2);
        the share of the loads from memory. Worked value by hand: five bars each at 1189 and 1221 °C that cross at
        1207 °C, b = −0.059, s = 0.12: 2.034 √(0.1 + 4/2560) = 0.65 °C; loads off by 5 °C: √(0.648² + 25/2) = 3.6 °C.

    >>> bars = [1189.0] * 5 + [1221.0] * 5
    >>> print(f"{planned_crossing_uncertainty(bars, 1207.0, slope=-0.059, sd=0.12):.2f}")
    0.65
    >>> off = planned_crossing_uncertainty(bars, 1207.0, slope=-0.059, sd=0.12, load_uncertainty=5.0, loads=2)
    >>> print(f"{off:.1f}")
    3.6
    """
    known = np.asarray(x, dtype=np.float64)
    centre = float(known.mean())
    spread = float(np.square(known - centre).sum())
    of_bars = (sd / slope) ** 2 * (1.0 / len(known) + (crossing - centre) ** 2 / spread)
    return float(np.sqrt(of_bars + load_uncertainty**2 / loads))
