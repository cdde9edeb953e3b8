"""What every results document of the format holds: its fixed fields."""

from dataclasses import MISSING, dataclass, field, fields

from bodytest.documented import document_name
from bodytest.quantities import BAR_READINGS, DATES, MARK_READINGS
from bodytest.results import QuantityResult

READING_FIELDS = tuple(reading.column for reading in (*MARK_READINGS, *BAR_READINGS))
"""Readings of a bar, means over its marks; they stand in ``readings``, those that any bar of the document has."""
DATE_FIELDS = tuple(date.key for date in DATES)
"""Days on which a bar was measured; they stand in ``dates``, those that any bar of the document has."""
_LAST_QUANTITY_FIELD = "decision"
"""Last field of a quantity in the contract; what follows in the dataclass was added."""


@dataclass(frozen=True)
class Bar:
    """One bar in one firing."""

    bar: str
    """Code of the bar, unique within its sheet and firing."""
    body: str
    """Name of the body."""
    batch: str
    """Name of the batch, empty where none was given."""
    firing: str
    """Code of the firing, empty for a bar not fired yet."""
    direction: str
    """Direction of the measured length."""
    sheet: str
    """File name of the workbook."""
    row: int
    """Row of its first mark in the Bars table."""
    left_out: str | None
    """Reason why it is left out of the statistics; null when it counts."""
    values: dict[str, float | None]
    """Value of each quantity that any bar of the document has; null where this bar has none."""
    # Additions.
    position: str | None = ""
    """Where in the kiln it stood, empty where not given."""
    notes: str | None = ""
    """Notes on it."""
    group: int | None = -1
    """Its group."""
    stated: tuple[str, ...] = ()
    """Keys of the values that its sheet states and no reading gives."""
    id: str | None = ""
    """The same from run to run as long as body, batch, code and firing are, whatever the sheet is called."""
    readings: dict[str, float | None] = field(default_factory=dict)
    """Each reading that any bar of the document has, the mean over its marks; null where this bar has none."""
    dates: dict[str, str | None] = field(default_factory=dict)
    """ISO date of each stage's measuring that any bar of the document has; null where this bar has none."""


def required_fields(cls: type) -> tuple[str, ...]:
    """Return the fields that every document of version 1 holds; the others were added later and may be missing."""
    if cls is QuantityResult:
        names = list(map(document_name, fields(QuantityResult)))
        return tuple(names[: names.index(_LAST_QUANTITY_FIELD) + 1])
    always = [f for f in fields(cls) if f.default is MISSING and f.default_factory is MISSING]
    return tuple(map(document_name, always))
