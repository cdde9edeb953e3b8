"""The results of an analysis as frozen dataclasses; the fields are those of the results document, version 1.

Percentages are in per cent. None means not measured or not computable. Later versions only add fields.
"""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from bodytest.bars_needed import BarNeed
from bodytest.budget import Borrowed, Certainty
from bodytest.comparison import Comparison, Verdict
from bodytest.conformity import Conformity, SpecVerdict
from bodytest.documented import KEPT_OUT
from bodytest.findings import Finding
from bodytest.frames import frame_of, html_table, in_short
from bodytest.over_time import Timeline
from bodytest.responses import FiringResponse
from bodytest.scope import SpeaksOf
from bodytest.stage_ratios import StageRatio
from bodytest.tables import CellBalance, Firing, Lab, SheetSource, Specification

if TYPE_CHECKING:
    import pandas as pd

Decision = Literal["meets", "does not meet", "cannot tell yet"]
Design = Literal["one load", "loads", "batches", "crossed", "nested", "confounded"]


@dataclass(frozen=True)
class FlaggedBar:
    """A bar that stands apart from its group (flagged, never dropped)."""

    bar: str
    """Its code."""
    sheet: str
    """Workbook it stands in."""
    row: int
    """Row in the Bars table."""
    value: float
    """Its value, in the quantity's unit."""
    odd_reading: str | None = None
    """Heading of the reading that is furthest from its neighbours, where one stands out."""


@dataclass(frozen=True)
class QuantityResult:
    """One quantity of one group, programme or batch."""

    unit: str
    """``%``, ``g/cm³`` or ``""``."""
    n: int
    """Bars that it rests on."""
    mean: float | None
    """Mean over bars (over batches, where several)."""
    sd: float | None = None
    """Standard deviation of one bar, batches included."""
    standard_uncertainty: float | None = None
    """Combined standard uncertainty of the mean."""
    degrees_of_freedom: float | None = None
    """Effective degrees of freedom of that uncertainty."""
    low: float | None = None
    """Lower end of the confidence interval of the mean."""
    high: float | None = None
    """Upper end of it."""
    next_low: float | None = None
    """Lower end of the prediction interval for one further bar (of a new batch, where several were seen)."""
    next_high: float | None = None
    """Upper end of it."""
    tolerance_low: float | None = None
    """Lower end of the 95/95 tolerance interval."""
    tolerance_high: float | None = None
    """Upper end of it."""
    batch_sd: float | None = None
    """Standard deviation between batches; None with one batch."""
    bar_sd: float | None = None
    """Standard deviation of bars within a batch; None with one batch."""
    limit: float | None = None
    """Stated highest value, in the unit."""
    decision: Decision | None = None
    """Decision on it, and on the lowest value."""
    # From here on: additions to the contract's fields.
    lowest: float | None = None
    """Stated lowest value, in the unit."""
    further_bars: int | None = None
    """Further bars that would probably settle an open decision, where one batch was seen."""
    further_batches: int | None = None
    """Further batches that would probably settle an open decision, where several were seen."""
    further_loads: int | None = None
    """Further loads that would probably settle an open decision, where it rests on loads."""
    why_no_interval: str | None = None
    """A sentence, when there is no interval."""
    certainty: Certainty | None = None
    """What limits the certainty of the mean."""
    flagged: tuple[FlaggedBar, ...] = ()
    """Bars that stand apart."""
    mean_without_flagged: float | None = None
    """Mean of the others, when bars are flagged."""
    mark_sd: float | None = None
    """Standard deviation between the marks of one bar, where bars carry several."""
    load_sd: float | None = None
    """Standard deviation between loads of a programme; None with one load."""
    estimator: str | None = None
    """How the standard deviations of bars, batches and loads were estimated."""
    next_standard_deviation: float | None = None
    """Standard deviation of one further bar about the mean."""
    next_degrees_of_freedom: float | None = None
    """Effective degrees of freedom of that."""
    borrowed: Borrowed | None = None
    """A second interval from a scatter that is known from elsewhere."""
    skew: str | None = None
    """Values that cannot be negative and scatter widely: ``allowed for`` where the intervals leave room for a long
    upper tail, ``may not hold`` where even that may not do; None where there is nothing to allow for."""
    stated: bool = False
    """Whether some of its bars have no readings for it, and the sheet states their values."""
    may_not_hold: str | None = None
    """A sentence where intervals and decision may be wrong more often than they say; None else."""

    @property
    def half_width(self) -> float | None:
        """Half of the confidence interval of the mean; None where there is none."""
        return None if self.low is None or self.high is None else (self.high - self.low) / 2.0


@dataclass(frozen=True)
class BatchResult:
    """The bars of one batch within a group."""

    batch: str
    """Name of the batch, ``""`` where none was given."""
    bars: int
    """Bars that count."""
    quantities: dict[str, QuantityResult]
    """By key of the quantity, as in ``values`` of a bar."""
    # Additions.
    wet_size_factor: float | None = None
    """Wet size = fired size × this."""
    wet_size_factor_low: float | None = None
    """Lower end of the confidence interval of the factor."""
    wet_size_factor_high: float | None = None
    """Upper end of it."""


@dataclass(frozen=True)
class Group:
    """All bars of one body, one firing, one direction and one absorption method."""

    body: str
    """Name of the body."""
    firing: str
    """Code of the firing, ``""`` for bars not fired yet."""
    direction: str
    """Direction of the measured length, ``""`` where none was given."""
    absorption_method: str | None
    """As on the Lab table."""
    cone: str | None
    """Cone of the firing."""
    peak_temperature_c: float | None
    """Peak temperature, °C (the set one where no peak was read)."""
    atmosphere: str | None
    """Atmosphere of the firing."""
    bars: int
    """Bars that count."""
    left_out: int
    """Bars left out by the user."""
    batches: tuple[str, ...]
    """Names of the batches."""
    wet_size_factor: float | None
    """Wet size = fired size × this."""
    wet_size_factor_low: float | None
    """Lower end of the confidence interval of the factor."""
    wet_size_factor_high: float | None
    """Upper end of it."""
    quantities: dict[str, QuantityResult]
    """By key of the quantity, as in ``values`` of a bar; only those that some bar has readings for."""
    by_batch: tuple[BatchResult, ...]
    """Each batch on its own."""
    # Additions.
    date: str | None = None
    """ISO date of the firing."""
    nominal_temperature_c: float | None = None
    """Nominal temperature of the cone, where no temperature was read."""
    wet_length_mm: float | None = None
    """Mean wet length between the marks of its bars, mm."""
    temperature_expanded_c: float | None = None
    """Expanded (k = 2) uncertainty of its temperature, which all its bars share, °C."""
    id: str = ""
    """The same from run to run as long as the names are; empty in documents of early versions."""
    nominal_from: str | None = None
    """Heating rate of the chart's column that the nominal temperature stands in, and whether that was assumed."""

    @property
    def loads(self) -> tuple[str]:
        """The code of its one load."""
        return (self.firing,)


@dataclass(frozen=True)
class Programme:
    """All bars of one body, one firing programme, one direction and one absorption method, over loads and batches."""

    id: str
    """The same from run to run as long as the names are."""
    body: str
    """Name of the body."""
    programme: str
    """Its name, or the kiln, heat, atmosphere and purpose that its loads share."""
    called: str
    """The shortest name that tells it from the body's other programmes, e.g. ``cone 6``."""
    purpose: str | None
    """bisque, final or test."""
    kiln: str | None
    """Name of the kiln."""
    cone: str | None
    """Cone of its loads."""
    temperature_c: float | None
    """Mean peak temperature of its loads, °C (the set one where no peak was read)."""
    nominal_temperature_c: float | None
    """Nominal temperature of the cone, where no temperature was read."""
    atmosphere: str | None
    """Atmosphere of its loads."""
    direction: str
    """Direction of the measured length, ``""`` where none was given."""
    absorption_method: str | None
    """As on the Lab table."""
    loads: tuple[str, ...]
    """Codes of its loads, in the order of the sheets."""
    batches: tuple[str, ...]
    """Names of the batches."""
    bars: int
    """Bars that count."""
    left_out: int
    """Bars left out by the user."""
    design: Design
    """How batches and loads lie to each other."""
    speaks_of: SpeaksOf
    """Whom its intervals speak of."""
    wet_size_factor: float | None
    """Wet size = fired size × this."""
    wet_size_factor_low: float | None
    """Lower end of the confidence interval of the factor."""
    wet_size_factor_high: float | None
    """Upper end of it."""
    quantities: dict[str, QuantityResult]
    """By key of the quantity, as in ``values`` of a bar; only those that some bar has readings for."""
    by_batch: tuple[BatchResult, ...]
    """Each batch on its own, over the loads."""
    wet_length_mm: float | None = None
    """Mean wet length between the marks of its bars, mm."""
    verdicts: tuple[SpecVerdict, ...] = ()
    """On each limit that holds for its purpose."""
    would_meet: Conformity | None = None
    """The worst of its verdicts; of a test, whether it would meet the limits of final firings. None without limits."""
    overfired: str | None = None
    """A sentence where the body has, or may have, begun to swell at it."""
    stages: dict[str, StageRatio] = field(default_factory=dict)
    """By stage (``leather-hard``, ``dry``, ``bisque``, ``fired``), from bars measured wet and at all of these."""
    stage_covariance: tuple[tuple[float, ...], ...] = ()
    """Covariance of the ratios to wet, rows and columns in the order of ``stages``."""
    nominal_from: str | None = None
    """Heating rates of the chart's columns that its nominal temperature rests on, and whether they were assumed."""

    @property
    def firing(self) -> str:
        """What its firing is called."""
        return self.called

    @property
    def peak_temperature_c(self) -> float | None:
        """Mean peak temperature of its loads, °C."""
        return self.temperature_c


@dataclass(frozen=True)
class Answer:
    """The programme that answers for a body."""

    body: str
    """Name of the body."""
    programme: str | None
    """Id of the programme; None where no bar has lengths from before and after the firing."""
    known: bool
    """Whether it is known well enough to plan a size with."""
    reason: str
    """only, final, coolest_tight, least_absorption, densest or unfired; further words may come."""
    sentence: str
    """Why this programme, or why no size can be given and what to do."""


@dataclass(frozen=True)
class BeforeFiring:
    """What firing cannot change, told once for a body and direction over all its bars."""

    body: str
    """Name of the body."""
    direction: str
    """Direction of the measured length."""
    bars: int
    """Bars that count; one that was fired again counts once."""
    batches: tuple[str, ...]
    """Names of the batches."""
    quantities: dict[str, QuantityResult]
    """Drying shrinkage, moisture and whatever else is read before the firing, by key."""


@dataclass(frozen=True)
class PieceComparison:
    """What the bars predicted against what the pieces did, for one body, firing and dimension."""

    body: str
    """Name of the body."""
    firing: str
    """Code of the firing."""
    dimension: str
    """height, width …"""
    pieces: int
    """Number of pieces."""
    predicted_shrinkage: float | None
    """Total shrinkage of the bars, %."""
    piece_shrinkage: float | None
    """Mean total shrinkage of the pieces, %."""
    difference: float | None
    """Pieces minus bars, percentage points."""
    low: float | None
    """Lower end of its confidence interval."""
    high: float | None
    """Upper end of it."""
    corrected_factor: float | None
    """Wet size = fired size × this, from the pieces."""
    corrected_factor_low: float | None
    """Lower end of its confidence interval."""
    corrected_factor_high: float | None
    """Upper end of it."""
    sentence: str
    """The message in one sentence."""
    # Additions.
    direction: str | None = None
    """Direction of the bars that they are compared with; None where there are no bars."""
    shrinkage: QuantityResult | None = None
    """Total shrinkage of the pieces with its intervals, for one further piece too."""
    differs: bool | None = None
    """True when the verdict is ``different``; None without an interval."""
    verdict: Verdict | None = None
    """``different``, ``same within tolerance`` or ``cannot tell yet``; None without bars."""
    tolerance: float | None = None
    """Largest difference that does not matter, percentage points; None where none is stated."""
    wet_size_mm: float | None = None
    """Mean wet size of the pieces, mm."""
    speaks_of: SpeaksOf | None = None
    """Whom the bars speak of that they are compared with; None without bars."""


@dataclass(frozen=True)
class Summary:
    """Everything that an analysis found but its single bars: all that planning needs, and quick to load."""

    software: str
    """Name and version of the program that wrote it: ``bodytest x.y.z``."""
    sheets: tuple[SheetSource, ...]
    """The workbooks read."""
    confidence: float
    """Confidence of all intervals, as a fraction."""
    lab: Lab
    """What the Lab tables of all sheets agree on; None where they differ or say nothing."""
    groups: tuple[Group, ...]
    """Bars of one body, firing, direction and method; ordered by body, temperature, firing, direction."""
    findings: tuple[Finding, ...]
    """Findings of the sheets and of the analysis."""
    programmes: tuple[Programme, ...] = ()
    """What is planned with: bars of one body, programme, direction and method; ordered as the groups."""
    answers: tuple[Answer, ...] = ()
    """The programme that answers for each body."""
    before_firing: tuple[BeforeFiring, ...] = ()
    """What firing cannot change, for each body and direction."""
    responses: tuple[FiringResponse, ...] = ()
    """Response to firing, where at least three temperatures were tested."""
    pieces: tuple[PieceComparison, ...] = ()
    """Pieces really made, compared with the bars."""
    specifications: tuple[Specification, ...] = ()
    """Limits that somebody set."""
    comparisons: tuple[Comparison, ...] = ()
    """Batches, directions and kiln positions of each load compared, in shrinkage and absorption."""
    timelines: tuple[Timeline, ...] = ()
    """Batches of each body and programme over time, in shrinkage and absorption; loads, for a control body."""
    bar_needs: tuple[BarNeed, ...] = ()
    """What it takes to know each total shrinkage to within the tolerance of the Lab sheet; none without a tolerance."""
    cells: tuple[CellBalance, ...] = ()
    """What became of the filled cells of each table of each workbook: used, named and set_aside add up."""
    firings: tuple[Firing, ...] = ()
    """The kiln loads, in the order of the sheets."""
    length_unit: str = field(default="mm", repr=False, metadata=KEPT_OUT)
    """Unit in which sizes are shown: ``in`` where the first sheet with lengths has inches, else ``mm``; not kept."""
    temperature_unit: str = field(default="°C", repr=False, metadata=KEPT_OUT)
    """Unit in which temperatures are shown, that of the first sheet with any; not kept."""


@dataclass(frozen=True, kw_only=True, repr=False)
class Results(Summary):
    """Everything that an analysis found."""

    bars: "pd.DataFrame"
    """One row for each bar and firing: the texts of `bodytest.tables.BAR_COLUMNS`, ``sheet`` as file name, ``group``
    (position in ``groups``), ``id`` and one column for each quantity key, NaN where not computable."""
    marks: "pd.DataFrame | None" = field(default=None, repr=False, metadata=KEPT_OUT)
    """The mark table, for nested variance; not exported."""

    def __repr__(self) -> str:
        """Return how much of what there is, in one line."""
        return in_short(self)

    def _repr_html_(self) -> str:
        """Return the answer for each body as a table, for notebooks."""
        return html_table(self)

    def to_frame(self, what: Literal["programmes", "groups", "bars", "findings"]) -> "pd.DataFrame":
        """Return a data frame: a row for each quantity of each programme or group and its batches, bar or finding."""
        return frame_of(self, what)
