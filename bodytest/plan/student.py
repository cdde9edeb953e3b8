"""The distribution of one further value, taken back from the interval that the results give for it."""

import math
from dataclasses import dataclass

from scipy.special import ndtri, stdtr, stdtridf

from bodytest.results import QuantityResult
from bodytest.stats.combined_freedom import MANY, student_factor


@dataclass(frozen=True)
class Student:
    """A Student t distribution with a place and a scale."""

    mean: float
    """Its middle."""
    scale: float
    """What t is multiplied by."""
    degrees_of_freedom: float
    """Its degrees of freedom."""

    def chance_between(self, low: float, high: float) -> float:
        """Return the probability of a value between two ends.

        >>> round(Student(0.0, 1.0, 9.0).chance_between(-2.262157, 2.262157), 6)
        0.95
        """
        if self.scale <= 0.0:
            return float(low <= self.mean <= high)
        ends = ((high - self.mean) / self.scale, (low - self.mean) / self.scale)
        return float(stdtr(self.degrees_of_freedom, ends[0]) - stdtr(self.degrees_of_freedom, ends[1]))

    def half_width(self, confidence: float) -> float:
        """Return by how much the interval of that probability reaches to each side."""
        return student_factor(self.degrees_of_freedom, confidence) * self.scale


def of_next(quantity: QuantityResult, confidence: float) -> Student | None:
    """Return the distribution of one further bar's value, None where no interval was given.

    A results file of an early version states no scale; then it is √(s² + u²), with the degrees of freedom with which
    the interval of the results comes out.
    """
    if quantity.mean is None or quantity.next_low is None or quantity.next_high is None:
        return None
    if quantity.next_standard_deviation is not None and quantity.next_degrees_of_freedom:
        return Student(quantity.mean, quantity.next_standard_deviation, min(quantity.next_degrees_of_freedom, MANY))
    half = abs(quantity.next_high - quantity.next_low) / 2.0
    scale = math.hypot(quantity.sd or 0.0, quantity.standard_uncertainty or 0.0)
    normal = float(ndtri((1.0 + confidence) / 2.0))
    if not scale > 0.0 or half / scale <= normal * (1.0 + 1e-6):
        return Student(quantity.mean, half / normal, MANY)
    freedom = float(stdtridf((1.0 + confidence) / 2.0, half / scale))
    return Student(quantity.mean, scale, min(freedom, MANY)) if freedom > 0.0 else None


def of_mean(quantity: QuantityResult) -> Student | None:
    """Return the distribution of the mean, None where it has no uncertainty."""
    if quantity.mean is None or quantity.standard_uncertainty is None or not quantity.degrees_of_freedom:
        return None
    if quantity.standard_uncertainty < 0.0 or quantity.degrees_of_freedom < 0.0:
        return None
    return Student(quantity.mean, quantity.standard_uncertainty, min(quantity.degrees_of_freedom, MANY))
