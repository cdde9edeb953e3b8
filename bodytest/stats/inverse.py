"""Reading a fitted line or curve backwards: at which x does it reach a wanted y, and how surely."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

FloatArray = npt.NDArray[np.float64]

_PLACES = 4001


@dataclass(frozen=True)
class InverseReading:
    """Where a line reaches a wanted value."""

    estimate: float
    """Position on the x axis."""
    low: float
    """Lower end of the interval, −inf where the line may never reach the value on that side."""
    high: float
    """Upper end of it."""


def accepted_range(
    positions: FloatArray, band_low: FloatArray, band_high: FloatArray, wanted: float
) -> tuple[FloatArray, FloatArray]:
    """Return the first and last position at which a curve cannot be told from the wanted value.

    Parameters:
        positions: rising places along the x axis, shape (places,) [any unit].
        band_low: lower end of the interval of the curve there, shape (…, places) [unit of the quantity].
        band_high: upper end of it, shape (…, places) [unit of the quantity].
        wanted: the value looked for [unit of the quantity].

    Returns:
        first and last accepted position, each interpolated between places; −inf and inf where the first or last place
        itself is accepted; NaN where no place is.

    Equation: {x: low(x) ≤ y₀ ≤ high(x)}, the test of f(x) = y₀ turned round

    Reference: Fieller 1954, J. R. Stat. Soc. B 16, 175 (from memory); worked value by hand: a line with slope 1 and
        margin 2 reaches 5 between 3 and 7.

    >>> x = np.linspace(0.0, 10.0, 11)
    >>> print(*accepted_range(x, x - 2.0, x + 2.0, 5.0))
    3.0 7.0
    """
    excess = np.maximum(band_low - wanted, wanted - band_high)
    middle = (band_low + band_high) / 2.0 - wanted
    crosses = middle[..., :-1] * middle[..., 1:] < 0.0
    inside = excess <= 0.0
    inside[..., :-1] |= crosses & ~inside[..., 1:]
    first = inside.argmax(axis=-1)
    last = inside.shape[-1] - 1 - inside[..., ::-1].argmax(axis=-1)
    low = _edge(positions, excess, first, np.maximum(first - 1, 0))
    high = _edge(positions, excess, last, np.minimum(last + 1, len(positions) - 1))
    low = np.where(first == 0, -np.inf, low)
    high = np.where(last == len(positions) - 1, np.inf, high)
    none = ~inside.any(axis=-1)
    return np.asarray(np.where(none, np.nan, low)), np.asarray(np.where(none, np.nan, high))


def _edge(
    positions: FloatArray, excess: FloatArray, inner: npt.NDArray[np.int64], outer: npt.NDArray[np.int64]
) -> FloatArray:
    """Interpolate where the excess changes sign between an accepted place and the refused one beside it."""
    at_inner = np.minimum(np.take_along_axis(excess, inner[..., None], axis=-1)[..., 0], 0.0)
    at_outer = np.take_along_axis(excess, outer[..., None], axis=-1)[..., 0]
    rise = at_outer - at_inner
    part = np.where(rise > 0.0, -at_inner / np.where(rise > 0.0, rise, 1.0), 0.0)
    return np.asarray(positions[inner] + np.clip(part, 0.0, 1.0) * (positions[outer] - positions[inner]))


def read_line_backwards(
    x: npt.ArrayLike, y: npt.ArrayLike, observed: float, *, confidence: float = 0.95
) -> InverseReading:
    """Return the x that belongs to one observed y on a fitted straight line, with its interval.

    Parameters:
        x: known positions, at least three different ones [any unit].
        y: readings there [any unit].
        observed: the reading to go back from [unit of y].
        confidence: of the interval [fraction].

    Equation: {x: |a + b x − y₀| ≤ t s √(1 + 1/n + (x − x̄)²/S_xx)}, t with n − 2 degrees of freedom

    Reference: Graybill & Iyer, Regression Analysis, 1994, p. 431 (thermometer): 100.1, 99.63 to 100.59 at 90 %.

    >>> x = [96, 98, 100, 102, 104, 106, 108, 110]
    >>> y = [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21]
    >>> found = read_line_backwards(x, y, 100, confidence=0.90)
    >>> print(f"{found.estimate:.1f} {found.low:.2f} {found.high:.2f}")
    100.1 99.63 100.59
    """
    known, readings = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    n, centre = len(known), known.mean()
    spread = float(np.square(known - centre).sum())
    slope = float(((known - centre) * (readings - readings.mean())).sum()) / spread
    residuals = readings - readings.mean() - slope * (known - centre)
    sd = float(np.sqrt(np.square(residuals).sum() / (n - 2)))
    estimate = float(centre + (observed - readings.mean()) / slope)
    factor = float(stdtrit(n - 2, (1.0 + confidence) / 2.0))
    reach = max(abs(estimate - centre), float(np.ptp(known))) * 3.0
    places = np.linspace(centre - reach, centre + reach, _PLACES)
    margin = factor * sd * np.sqrt(1.0 + 1.0 / n + np.square(places - centre) / spread)
    line = readings.mean() + slope * (places - centre)
    low, high = accepted_range(places, line - margin, line + margin, observed)
    return InverseReading(estimate, float(low), float(high))
