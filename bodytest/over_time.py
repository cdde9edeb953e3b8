"""Batches and loads over time, as frozen dataclasses of the results document."""

from dataclasses import dataclass
from typing import Literal

Order = Literal["date", "listed"]


@dataclass(frozen=True)
class ChartPoint:
    """One batch on the chart, or one load."""

    batch: str
    """Name of the batch, or code of the load."""
    firings: tuple[str, ...]
    """Codes of the firings that its bars stood in."""
    date: str | None
    """ISO date of the first of them."""
    bars: int
    """Bars that count."""
    mean: float
    """Their mean, in the quantity's unit."""
    average: float | None = None
    """Running average after this batch; None without limits, and before the level that sets them."""
    average_low: float | None = None
    """Lower limit of the running average."""
    average_high: float | None = None
    """Upper limit of it."""
    signals: tuple[str, ...] = ()
    """Rules of the chart that this batch breaks: shift, outside, drift, run."""
    measured_uncertainty: float | None = None
    """Standard uncertainty of the mean with the scatter between loads in it; None without control bars."""
    corrected: float | None = None
    """Mean as corrected for the loads by their control bars; None where a load has none."""
    corrected_uncertainty: float | None = None
    """Standard uncertainty of the corrected mean."""

    @property
    def charted(self) -> float:
        """The mean that the chart goes by: as corrected for its loads, where it is."""
        return self.mean if self.corrected is None else self.corrected


@dataclass(frozen=True)
class ShiftedLevel:
    """The newest shift of a series."""

    since: str
    """First batch of the new level."""
    before: float
    """Mean of the batches of the level before, in the quantity's unit."""
    after: float
    """Mean of the batches since."""
    batches: int
    """Batches since."""


@dataclass(frozen=True)
class Timeline:
    """The batches of one body, fired alike, in their order."""

    body: str
    """Name of the body."""
    fired: str
    """The programme of their firings; ``""`` for a quantity of unfired bars."""
    direction: str
    """Direction of the measured length; ``""`` for a quantity of masses."""
    absorption_method: str | None
    """Where the quantity depends on it."""
    quantity: str
    """Key of the quantity, as it stands in ``values`` of a bar."""
    unit: str
    """``%``, ``g/cm³`` or ``""``."""
    order: Order
    """By date of firing, or as listed in the sheets."""
    kind: Literal["clay", "kiln"]
    """Batches of a body; or loads, as the control body shows them."""
    reference: tuple[str, ...]
    """The batches that set the limits."""
    centre: float | None
    """Their mean; None with fewer than three batches, and so are the next three."""
    batch_sd: float | None
    """Standard deviation from one batch to the next, from the mean moving range."""
    low: float | None
    """Lower limit of a batch mean."""
    high: float | None
    """Upper limit of it."""
    points: tuple[ChartPoint, ...]
    """The batches in their order."""
    shift: ShiftedLevel | None
    """The newest shift; None where the level is steady."""
    newest_signal: str | None
    """The newest batch that broke a rule."""
    load_sd: float | None
    """Standard deviation between loads, from control bars; None without them."""
    rules: tuple[str, ...]
    """The rules with their sources."""
    summary: str
    """The message in one or two sentences, with what to do."""
    notes: tuple[str, ...]
    """What to bear in mind."""
    message: str
    """What the summary says first: what changed, if anything."""
