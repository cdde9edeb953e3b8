"""What a plan promises of each question."""

from dataclasses import dataclass

from bodytest.errors import UnusableRequest
from bodytest.trial.goals import Goal
from bodytest.trial.question import Heat, Question

CHANCE = 0.8
"""What is promised is reached in so many of the tests that are planned so."""
OFTEN = "in four of five tests planned so"
BARS_EACH = 5
"""Bars in a load: ASTM C373 asks for five at least, and ten of C326 come together in two loads."""
CONFIDENCE = 0.95


@dataclass(frozen=True)
class Need:
    """What it takes to answer one question, and what to expect of it."""

    goal: Goal
    """The question."""
    heats: tuple[Heat, ...]
    """Firings that it takes."""
    loads: int
    """Loads of each."""
    bars: int
    """Bars of each batch in each load, or in the one load."""
    batches: int
    """Batches: one, as many as loads, or two in one load where two deliveries are compared."""
    expected: float
    """Half-width that is reached in four of five tests [percentage points, or °C for a range]; where a verdict or an
    agreement is asked for, its chance [fraction]."""
    enough: bool
    """Whether that is what was asked for."""
    limited_by: str
    """bars, loads, batches or firings: what it helps to have more of."""
    sentence: str
    """The promise in words, with what limits it."""


def limit_and_expected(question: Question) -> tuple[float, float]:
    """Return the limit on absorption and what is expected at the first heat, %.

    Raises:
        UnusableRequest: nobody knows one of them.
    """
    if question.limit is None or question.scatter.absorption is None:
        raise UnusableRequest("plan-nothing-expected", body=question.body, heat=question.kiln.heats[0].called)
    return question.limit, question.scatter.absorption
