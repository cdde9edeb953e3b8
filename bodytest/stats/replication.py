"""How many bars, batches or loads: with what chance a mean will be known to within a wanted half-width."""

import math
from dataclasses import dataclass
from typing import Literal

from scipy.special import chdtr, chdtri, fdtr, ndtri

from bodytest.stats.bar_count import fewest
from bodytest.stats.combined_freedom import student_factor

Unit = Literal["bars", "batches", "loads"]


@dataclass(frozen=True)
class Components:
    """What a mean scatters by, and how much of each has been tested."""

    bar_sd: float
    """Standard deviation between bars of one batch in one load [unit of the quantity]."""
    bars: int = 0
    """Bars tested in all; 0 where the scatter was given, not seen."""
    batch_sd: float | None = None
    """Standard deviation between batches [unit of the quantity]; None where the mean speaks of one batch."""
    batches: int = 1
    """Batches tested."""
    load_sd: float | None = None
    """Standard deviation between loads [unit of the quantity]; None where the mean speaks of one load."""
    loads: int = 1
    """Loads tested."""
    shared: float = 0.0
    """Standard uncertainty that is the same in all bars, such as calibration [unit of the quantity]."""
    bars_each: float = 5.0
    """Bars that a further batch or load will have, where none was seen."""


@dataclass(frozen=True)
class Replicates:
    """What it helps to have more of."""

    unit: Unit
    """Bars, batches or loads."""
    sd: float
    """Standard deviation of the mean of one of them [unit of the quantity]."""
    seen: int
    """How many the standard deviation was seen in, two or more; 0 where it was given."""
    rest: float = 0.0
    """Half-width that is left with any number of them: by the other components and by shared errors
    [unit of the quantity]."""


def what_limits(components: Components, *, confidence: float = 0.95) -> Replicates:
    """Return which of bars, batches and loads leaves the mean most open.

    Parameters:
        components: what the mean scatters by.
        confidence: of its interval [fraction].

    Equation: t² V of each part, V_batch = σ_batch²/b, V_load = σ_load²/l; the bars' σ²/n goes with the part that is
        known least, since each further batch or load brings bars with it. With σ_batch and σ_load given, not seen,
        each load brings a batch of its own: σ² = σ_batch² + σ_load² + σ_bar²/m.

    Reference: parts of the variance of a mean in a crossed design (Searle, Casella, McCulloch, Variance Components,
        1992, from memory). Worked value: six batches of five with 42.00 and 49.51 (Davies & Goldsmith 1972, 6.4) have
        means that scatter by √(42.00² + 49.51²/5) = 47.48.

    >>> found = what_limits(Components(49.51, 30, 42.00, 6))
    >>> found.unit, round(found.sd, 2), found.seen
    ('batches', 47.48, 6)
    """
    shared = float(ndtri((1.0 + confidence) / 2.0)) * components.shared
    if not components.bars:
        return _of_given(components, shared)
    parts: list[tuple[Unit, float, int]] = []
    if components.batch_sd is not None and components.batches > 1:
        parts.append(("batches", components.batch_sd, components.batches))
    if components.load_sd is not None and components.loads > 1:
        parts.append(("loads", components.load_sd, components.loads))
    if not parts:
        return Replicates("bars", components.bar_sd, components.bars, shared)
    fewest = min(number for _, _, number in parts)
    found = []
    for unit, sd, number in parts:
        with_bars = sd**2 + (components.bar_sd**2 * number / components.bars if number == fewest else 0.0)
        found.append((student_factor(number - 1.0, confidence) ** 2 * with_bars / number, unit, with_bars, number))
    largest = max(found)
    others = math.fsum(one[0] for one in found if one is not largest)
    return Replicates(largest[1], math.sqrt(largest[2]), largest[3], math.sqrt(others + shared**2))


def _of_given(components: Components, shared: float) -> Replicates:
    if components.batch_sd is None and components.load_sd is None:
        return Replicates("bars", components.bar_sd, 0, shared)
    unit: Unit = "batches" if components.load_sd is None else "loads"
    of_bars = components.bar_sd / math.sqrt(components.bars_each)
    return Replicates(unit, math.hypot(components.batch_sd or 0.0, components.load_sd or 0.0, of_bars), 0, shared)


def chance_of_half_width(number: int, of: Replicates, half_width: float, *, confidence: float = 0.95) -> float:
    """Return the chance that the mean of so many bars, batches or loads will be known to within a half-width.

    Parameters:
        number: in all, those seen among them [count].
        of: what there will be more of.
        half_width: wanted half-width of the confidence interval [unit of the quantity].
        confidence: of that interval [fraction].

    Returns:
        the chance [fraction]; 0 or 1 where no more are made than were seen.

    Equation: P(t² S²/N + rest² ≤ h²), (N − 1) S² = (n − 1) s² + s² (N − n) F, F with N − n and n − 1 degrees of
        freedom: the scatter to come is judged by the one seen, whose own uncertainty counts (predictive distribution).
        With σ given (N − 1) S²/σ² is χ² with N − 1 degrees of freedom.

    Reference: the sum of squares of further values, as the F test of two variances has it (NIST/SEMATECH e-Handbook
        1.3.5.9); held by simulation. Worked value by hand: σ = 1 and N = 2, t(1) S/√2 ≤ t(1)/√2 where χ² ≤ 1, 0.6827.

    >>> round(chance_of_half_width(2, Replicates("bars", 1.0, 0), student_factor(1.0, 0.95) / math.sqrt(2.0)), 4)
    0.6827
    """
    room = half_width**2 - of.rest**2
    if number < 2 or room <= 0.0:
        return 0.0
    most = (number - 1.0) * number * room / student_factor(number - 1.0, confidence) ** 2
    if of.sd <= 0.0:
        return 1.0
    if of.seen < 2:
        return float(chdtr(number - 1.0, most / of.sd**2))
    seen = (of.seen - 1.0) * of.sd**2
    if number <= of.seen:
        return float(seen <= most)
    further = number - of.seen
    return float(fdtr(further, of.seen - 1.0, max(most - seen, 0.0) / of.sd**2 / further))


def half_width_reached(number: int, of: Replicates, chance: float, *, confidence: float = 0.95) -> float:
    """Return the half-width that the mean of so many will be known to within, with a chance; their scatter is given.

    Parameters:
        number: bars, batches or loads, two or more [count].
        of: what they are, none of them seen yet.
        chance: with which it is reached [fraction].
        confidence: of the interval [fraction].

    Equation: h² = t² σ² χ²(chance; N − 1)/((N − 1) N) + rest², which `chance_of_half_width` turns round

    Reference: as there. Worked value by hand: N = 2 and σ = 1 reach t(1)/√2 = 8.985 where χ² ≤ 1, in 0.6827.

    >>> round(half_width_reached(2, Replicates("bars", 1.0, 0), 0.6827), 1)
    9.0
    """
    variance = of.sd**2 * float(chdtri(number - 1.0, 1.0 - chance)) / (number - 1.0)
    return math.hypot(student_factor(number - 1.0, confidence) * math.sqrt(variance / number), of.rest)


def fewest_for_half_width(of: Replicates, half_width: float, chance: float, *, confidence: float = 0.95) -> int | None:
    """Return the fewest bars, batches or loads that reach a half-width with a wanted chance.

    Parameters:
        of: what there will be more of.
        half_width: wanted half-width of the confidence interval [unit of the quantity].
        chance: with which it is to be reached [fraction].
        confidence: of the interval [fraction].

    Returns:
        how many in all; None when more than `bar_count.MOST_BARS` would be needed.

    Equation: smallest N with `chance_of_half_width` ≥ chance

    Reference: as in `chance_of_half_width`. Worked value by hand: with s = 1 seen in 5 bars, 20 in all give ± 0.5 where
        F ≤ (20 × 19 × 0.25/2.093² − 4)/15 = 1.179, in 0.516 of cases.

    >>> fewest_for_half_width(Replicates("bars", 1.0, 5), 0.5, 0.5)
    20
    """
    return fewest(
        lambda number: chance_of_half_width(number, of, half_width, confidence=confidence) >= chance,
        least=max(of.seen, 1) + 1,
    )
