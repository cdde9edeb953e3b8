"""The checked tables of one or more workbooks: what intake hands on and everything else starts from."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, make_dataclass
from typing import TYPE_CHECKING, Any

from bodytest.documented import KEPT_OUT
from bodytest.findings import Finding
from bodytest.grids.opening import Workbook
from bodytest.quantities import BAR_READINGS, CHOICES, MARK_READINGS, QUANTITIES
from bodytest.units import INSTRUMENTS

if TYPE_CHECKING:
    import pandas as pd

    class _Instruments:
        """What the Lab table says about each instrument; type checkers see `Lab.step` and `Lab.calibration`."""

else:

    def _instrument_fields() -> Iterator[tuple[str, Any, Any]]:
        """Yield name, type and default of the fields of each instrument, with what they mean."""
        for one in INSTRUMENTS.values():
            inferred = "True when the step was taken from the digits typed, not stated."
            calibration = f"Expanded (k = 2) calibration uncertainty of the {one.tool}, {one.unit}."
            for name, kind, default, text in (
                (one.step_field, float | None, None, f"Reading step of the {one.tool}, {one.unit}."),
                (one.inferred_field, bool, False, inferred),
                (one.calibration_field, float | None, None, calibration),
            ):
                yield name, kind, field(default=default, metadata={"text": text})

    _Instruments = make_dataclass("_Instruments", _instrument_fields(), frozen=True, kw_only=True)


@dataclass(frozen=True)
class Lab(_Instruments):
    """What the Lab table of one workbook says about how its bars were measured."""

    workshop: str | None = None
    """Name of the workshop or laboratory."""
    address: str | None = None
    """Where it is."""
    measured_by: str | None = None
    """Who measured."""
    control_body: str | None = None
    """Body whose bars stand in every load, to tell kiln from clay."""
    forming: str | None = None
    """How bars were formed that do not say it themselves: plastic, pressed, cast or extruded."""
    absorption_method: str | None = None
    """How bars were filled with water, as on the Lab table: boil 5 h, vacuum and others."""
    water_temperature_c: float | None = None
    """Temperature of the water in which bars were suspended, °C."""
    absorption_limit_percent: float | None = None
    """Highest absorption that is wanted, %."""
    shrinkage_tolerance_points: float | None = None
    """Difference in shrinkage that matters here, percentage points."""
    length_errors: str | None = None
    """How the calibration errors of the two lengths of a ratio go: alike at every stage, or each stage on its own."""
    temperature_expanded_c: float | None = None
    """Expanded (k = 2) uncertainty of the peak temperature of a load, °C, for firings that state none."""
    batch_scatter_points: float | None = None
    """Standard deviation of shrinkage between batches, known from elsewhere, percentage points."""
    batch_scatter_from: int | None = None
    """Batches on which it rests."""
    load_scatter_points: float | None = None
    """Standard deviation of shrinkage between loads of a programme, known from elsewhere, percentage points."""
    load_scatter_from: int | None = None
    """Loads on which it rests."""
    confidence: float = 0.95
    """Confidence of all intervals, as a fraction."""
    oven_temperature_c: float | None = None
    """Temperature of the oven in which bars were dried before they were weighed, °C."""
    measured_stages: str | None = None
    """Who measured which stage."""
    length_instrument: str | None = None
    """What lengths were read with."""
    length_instrument_certificate: str | None = None
    """Number of its certificate of calibration."""
    length_instrument_certified: str | None = None
    """ISO date of that certificate."""
    balance: str | None = None
    """What masses were weighed with."""
    balance_certificate: str | None = None
    """Number of its certificate of calibration."""
    balance_certified: str | None = None
    """ISO date of that certificate."""
    thermometer: str | None = None
    """What temperatures were read with."""
    thermometer_certificate: str | None = None
    """Number of its certificate of calibration."""
    thermometer_certified: str | None = None
    """ISO date of that certificate."""
    boiled_on: str | None = None
    """ISO dates on which bars were boiled or soaked, with commas between them."""
    received_on: str | None = None
    """ISO date on which the clay was received."""
    sampling: str | None = None
    """How bars were taken from the batch."""
    place_of_work: str | None = None
    """Where the work was done."""
    customer: str | None = None
    """For whom, and how to reach them."""
    outside_providers: str | None = None
    """Which results came from elsewhere, or none."""
    authorised_by: str | None = None
    """Who authorises the report."""

    def step(self, instrument: str) -> float | None:
        """Return the reading step of an instrument, by its name in `bodytest.units.INSTRUMENTS`."""
        step: float | None = getattr(self, INSTRUMENTS[instrument].step_field)
        return step

    def calibration(self, instrument: str) -> float | None:
        """Return the expanded (k = 2) calibration uncertainty of an instrument, by its name."""
        calibration: float | None = getattr(self, INSTRUMENTS[instrument].calibration_field)
        return calibration


@dataclass(frozen=True)
class SheetSource:
    """One workbook that was read."""

    name: str
    """File name without folders; made unique with `` (2)`` when two files share it."""
    sha256: str
    """SHA-256 of the file's bytes, hexadecimal."""
    lab: Lab = field(default_factory=Lab)
    """Its Lab table."""
    workbook: Workbook | None = field(default=None, repr=False, compare=False, metadata=KEPT_OUT)
    """Its cells as they were opened, from which it can be read again."""


@dataclass(frozen=True)
class Specification:
    """A limit that somebody set for a body."""

    body: str
    """Name of the body."""
    purpose: str
    """What the firings are for that it speaks of: bisque, final or test."""
    quantity: str
    """Key of the quantity, as it stands in ``values`` of a bar."""
    lowest: float | None
    """Lowest value, in the quantity's unit; None where there is none."""
    highest: float | None
    """Highest value, in the quantity's unit; None where there is none."""
    applies_to: str = "mean"
    """What has to keep it: mean, every bar or share of bars."""
    share: float | None = None
    """Share of bars that lie in the window, per cent, where it applies to one."""
    source: str = ""
    """Who or what set it."""
    sheet: str = ""
    """File name of the workbook."""
    row: int | None = None
    """Row in its table."""


@dataclass(frozen=True)
class Firing:
    """One kiln load, as its table tells it."""

    firing: str
    """Its code."""
    sheet: str
    """File name of the workbook."""
    row: int
    """Row in its table."""
    date: str
    """ISO date."""
    kiln: str
    """Name of the kiln."""
    programme: str
    """What is meant to be repeated, where it has a name."""
    purpose: str
    """bisque, final or test."""
    cone: str
    """Pyrometric cone."""
    set_temperature_c: float | None
    """Temperature set, °C."""
    peak_temperature_c: float | None
    """Highest temperature read, °C."""
    temperature_expanded_c: float | None
    """Expanded (k = 2) uncertainty of its temperature, °C."""
    hold_min: float | None
    """Time held at the top, min."""
    heating_rate_c_per_h: float | None
    """Heating rate near the top, °C/h."""
    atmosphere: str
    """oxidation, reduction or another word."""
    notes: str
    """Notes on it."""


@dataclass(frozen=True)
class CellBalance:
    """What became of the filled cells of one table of one workbook: used, named and set aside add up to all of them."""

    sheet: str
    """File name of the workbook."""
    table: str
    """Name of the table."""
    filled: int
    """Cells that hold something."""
    used: int
    """Cells that were read and that no finding names."""
    named: int
    """Cells that a finding names."""
    set_aside: dict[str, int]
    """Cells that are not read, by reason."""


@dataclass(frozen=True)
class CheckedSheets:
    """All workbooks given to one command, read together; cells with a ``stop`` finding are blank here.

    Tables are pandas data frames with a plain 0…n−1 index. Texts are ``""`` when blank, numbers NaN.
    """

    sheets: tuple[SheetSource, ...]
    """Where everything came from, in the order given."""
    bars: "pd.DataFrame"
    """One row for each bar and firing, columns `BAR_COLUMNS`: ``sheet`` (position in ``sheets``), ``row`` (row in the
    spreadsheet of its first mark), texts `BAR_TEXTS` and the readings taken once
    for a bar (``wet_mass_g`` …). ``left_out`` holds the reason."""
    marks: "pd.DataFrame"
    """One row for each mark, columns `MARK_COLUMNS`: ``bar_row`` (position in ``bars``), ``row``, ``mark`` (text) and
    the lengths in mm (``wet_length_mm`` …)."""
    firings: "pd.DataFrame"
    """Columns `FIRING_COLUMNS`; ``date`` is ISO text, ``cone`` as `bodytest.cones.parse_cone` gives it."""
    pieces: "pd.DataFrame"
    """Columns `PIECE_COLUMNS`."""
    findings: tuple[Finding, ...] = ()
    """Everything that was found, in the order of the sheets, rows and columns."""
    cells: tuple[CellBalance, ...] = ()
    """The account of the cells of each table."""
    specifications: tuple[Specification, ...] = ()
    """The Specs tables."""
    seen: tuple[tuple[str, ...], ...] = ()
    """What was seen on each workbook of somebody's own layout, line by line, in the order of ``sheets``."""
    units: Mapping[str, str] = field(default_factory=dict)
    """Key of each reading that any sheet has a column for → the unit of the first such column."""
    temperature_unit: str = "°C"
    """Unit in which people are told temperatures: that of the first column of peak or set temperatures."""

    @property
    def length_unit(self) -> str:
        """Unit in which people are told lengths: that of the wet lengths where it is ``in``, else ``mm``."""
        return "in" if self.units.get("wet_length") == "in" else "mm"


BAR_TEXTS = ("bar", "body", "batch", "firing", "direction", "position", *(c.key for c in CHOICES), "left_out", "notes")
BAR_COLUMNS = ("sheet", "row", *BAR_TEXTS, *(r.column for r in BAR_READINGS))
MARK_COLUMNS = ("bar_row", "row", "mark", *(r.column for r in MARK_READINGS))
FIRING_COLUMNS = ("sheet", "row", *(one.name for one in fields(Firing) if one.name not in ("sheet", "row")))
PIECE_COLUMNS = (
    "sheet", "row", "piece", "body", "batch", "firing", "dimension", "wet_size_mm", "leather_hard_size_mm",
    "fired_size_mm", "notes",
)  # fmt: skip
_WHOLE, _MEASURED = ("sheet", "row", "bar_row"), ("_mm", "_g", "_n", "_c", "_min", "_per_h")
"""Columns of whole numbers in the checked tables, and how those of measured ones end: with their unit."""


def empty_table(columns: Sequence[str]) -> "pd.DataFrame":
    """Return a checked table without rows.

    >>> empty_table(("row", "cone", "hold_min")).dtypes.astype(str).tolist()
    ['int64', 'object', 'float64']
    """
    import pandas as pd

    kinds = {c: "int64" if c in _WHOLE else "float64" if c.endswith(_MEASURED) else "object" for c in columns}
    return pd.DataFrame({column: pd.Series(dtype=kind) for column, kind in kinds.items()})


APPLIES_TO = ("mean", "every bar", "share of bars")
"""What a specification speaks of."""
LENGTH_ERRORS = ("alike at every stage", "each stage on its own")
"""How the calibration errors of lengths at two stages go together; the second is the usual case."""
LIVE_HEADINGS = (*(q.live_heading for q in QUANTITIES if q.live), "look again")
"""Headings of the columns in a workbook of ours whose formulas show results at once (a unit in brackets may follow);
they are never read: everything is computed afresh from the readings."""
SHEETS_WITHOUT_READINGS = ("Guide", "Lists", "Findings")
"""Sheets of a workbook of ours that hold no data: the teaching text, the names for drop-down lists, and what a marked
copy found. They are never read and never asked about."""
TYPED_FOR = "Readings typed for "
"""Begins the title above readings that were typed on a page of ours; the name of the sheet follows."""
