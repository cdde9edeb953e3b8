"""What every results document of the format holds: its fixed fields."""

from dataclasses import MISSING, fields
from typing import Any

from bodytest.documented import document_name
from bodytest.quantities import BAR_READINGS, MARK_READINGS
from bodytest.results import QuantityResult

BAR_TEXT_FIELDS = ("bar", "body", "batch", "firing", "direction", "sheet")
"""Texts of a bar, in the order of the document."""
ADDED_BAR_FIELDS: dict[str, tuple[Any, Any]] = {
    "position": (str | None, ""),
    "notes": (str | None, ""),
    "group": (int | None, -1),
    "stated": (tuple[str, ...] | None, ()),
    "id": (str | None, ""),
}
"""Fields of a bar beyond the contract's, with their type and what stands for none: where it stood, its notes, its
group's position in ``groups``, the keys of the values that its sheet states and no reading gives (only where some bar
has any), and its id."""
READING_FIELDS = tuple(reading.column for reading in (*MARK_READINGS, *BAR_READINGS))
"""Readings of a bar, means over its marks; they stand in ``readings``, those that any bar of the document has."""
_LAST_QUANTITY_FIELD = "decision"
"""Last field of a quantity in the contract; what follows in the dataclass was added."""


def required_fields(cls: type) -> tuple[str, ...]:
    """Return the fields that every document of version 1 holds; the others were added later and may be missing."""
    if cls is QuantityResult:
        names = [document_name(field) for field in fields(QuantityResult)]
        return tuple(names[: names.index(_LAST_QUANTITY_FIELD) + 1])
    always = [f for f in fields(cls) if f.default is MISSING and f.default_factory is MISSING]
    return tuple(document_name(field) for field in always)
