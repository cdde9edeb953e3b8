"""How many bars, batches or loads a mean needs, as frozen dataclasses of the results document."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Marks:
    """Marks against bars, where bars carry several marks."""

    marks_each: float
    """Marks on a bar, on average."""
    mark_sd: float
    """Standard deviation between the marks of one bar."""
    bar_sd: float
    """Standard deviation between bars, marks apart."""
    half_width_twice_the_marks: float
    """Half-width that the same bars would give with twice the marks."""


@dataclass(frozen=True)
class BarNeed:
    """What it takes to know one mean well enough."""

    body: str
    """Name of the body; ``""`` where a scatter was given in place of sheets."""
    firing: str
    """What the programme is called, or the code of the one load that was tested of it."""
    direction: str
    """Direction of the measured length."""
    quantity: str
    """Key of the quantity, as it stands in ``values`` of a bar."""
    unit: str
    """``%``, ``g/cm³`` or ``""``; half-widths of percentages are in percentage points."""
    bars: int
    """Bars seen; 0 where a scatter was given."""
    batches: int
    """Batches seen."""
    loads: int
    """Loads seen."""
    bar_sd: float
    """Standard deviation between bars of a batch."""
    batch_sd: float | None
    """Standard deviation between batches, where several were seen or it was given."""
    load_sd: float | None
    """Standard deviation between loads, where several were seen or it was given."""
    limited_by: Literal["bars", "batches", "loads"]
    """What it helps to have more of: ``bars``, ``batches`` or ``loads``."""
    half_width_now: float | None
    """Half-width of the confidence interval now."""
    wanted_half_width: float | None
    """What it is to be; None where only a difference was asked for."""
    confidence: float
    """Of the interval, as a fraction."""
    marks: Marks | None
    """Marks against bars; None where bars carry one mark."""
    about_even: int | None = None
    """How many of them, in all, reach it in about half of all cases; None where no sensible number does."""
    nine_in_ten: int | None = None
    """How many reach it in nine cases of ten; None where that takes over a thousand, or where two were seen."""
    bars_each: float | None = None
    """Bars of each batch or load that this supposes; None where bars limit."""
    bars_each_needed: int | None = None
    """Bars of each of the same batches that would about as often do, where any number would."""
    least_half_width: float | None = None
    """Half-width that is left however many bars the same batches or loads get."""
    left_by_others: float | None = None
    """Half-width that is left with any number of what limits; None where bars limit."""
    difference: float | None = None
    """Difference between two batches that is to be noticed, where one was asked for."""
    bars_to_notice: int | None = None
    """Bars of each of the two batches that notice it in four cases of five."""
    summary: str = ""
    """The message in one or two sentences, with what to do."""
    notes: tuple[str, ...] = ()
    """What to bear in mind."""
