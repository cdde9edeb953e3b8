"""A list of parts as CSV: many sizes at once, each with the body, firing and direction it needs."""

import csv
import io
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from bodytest.errors import BodytestError, UnusableRequest
from bodytest.plan.measured import ONLY_ONE, Wanted
from bodytest.plan.sizes import SizePlan, sizes
from bodytest.results import Summary

COLUMNS = ("part", "dimension", "size", "body", "firing", "direction", "batch")
"""Columns of a list of parts; only ``size`` is required, its unit is typed with it."""
_LONGEST_CELL = 12_000
"""Signs of a cell; names of bodies and firings can be long."""


@dataclass(frozen=True)
class Part:
    """One row of a list of parts."""

    file: str
    """Name of the list."""
    line: int
    """Line in the file."""
    name: str | None
    """Part and dimension."""
    size: str
    """Finished size with its unit."""
    wanted: Wanted
    """Body, firing, direction and batch; None where the row says nothing."""


def read_parts(path: Path) -> tuple[Part, ...]:
    """Read a list of parts; comma, semicolon or tab between the columns.

    Raises:
        UnusableRequest: no such file, no text, no column ``size``, an unknown column, a cell too long or no parts.
    """
    text = _text(path)
    before = csv.field_size_limit(len(text) + 1)  # a quotation mark never closed makes a cell of any length
    try:
        parts = tuple(_parts(path, text))
    finally:
        csv.field_size_limit(before)
    if not parts:
        raise UnusableRequest("no-parts", sheet=str(path))
    return parts


def sizes_of_parts(
    measured: Summary, parts: tuple[Part, ...], *, otherwise: Wanted = ONLY_ONE, within: str | None = None
) -> tuple[SizePlan, ...]:
    """Return a plan for each part; what its row leaves blank is taken from ``otherwise``.

    Raises:
        BodytestError: a part cannot be meant or was not measured; its finding names the file and the line.
    """
    return tuple(_placed_plan(measured, part, otherwise, within) for part in parts)


def _placed_plan(measured: Summary, part: Part, otherwise: Wanted, within: str | None) -> SizePlan:
    own = {name: value for name, value in asdict(part.wanted).items() if value}
    try:
        (plan,) = sizes(measured, [part.size], wanted=replace(otherwise, **own), within=within)
    except BodytestError as error:
        error.finding = replace(error.finding, sheet=part.file, cell=f"line {part.line}")
        raise
    return replace(plan, name=part.name or plan.name)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise UnusableRequest("parts-unreadable", sheet=str(path), reason=error.strerror or str(error)) from None
    except UnicodeDecodeError:
        raise UnusableRequest("parts-unreadable", sheet=str(path), reason="it is not UTF-8 text") from None


def _parts(path: Path, text: str) -> Iterator[Part]:
    lines = text.splitlines()
    first = lines[0] if lines else ""
    separator = max(",;\t", key=first.count)
    rows = csv.DictReader(io.StringIO(text), delimiter=separator, restval="", restkey="")
    headings = [" ".join((heading or "").split()).casefold() for heading in rows.fieldnames or ()]
    unknown = [heading for heading in headings if heading not in COLUMNS]
    if "size" not in headings or unknown:
        found = ", ".join(headings) or "nothing"
        raise UnusableRequest("parts-headings", sheet=str(path), found=found, columns=", ".join(COLUMNS))
    rows.fieldnames = headings
    for row in rows:
        cells = {heading: (row.get(heading) or "").strip() for heading in COLUMNS}
        for heading, cell in cells.items():
            if len(cell) > _LONGEST_CELL:
                too_long = {"value": cell, "heading": heading, "signs": len(cell), "most": _LONGEST_CELL}
                raise UnusableRequest("part-cell-too-long", sheet=str(path), cell=f"line {rows.line_num}", **too_long)
        if any(cells.values()):
            yield _part(path, rows.line_num, cells)


def _part(path: Path, line: int, cells: dict[str, str]) -> Part:
    name = " ".join(cells[column] for column in ("part", "dimension") if cells[column])
    if not cells["size"]:
        raise UnusableRequest("part-without-size", sheet=str(path), cell=f"line {line}", part=name or "a part")
    wanted = Wanted(*(cells[column] or None for column in ("body", "firing", "direction", "batch")))
    return Part(str(path), line, name or None, cells["size"], wanted)
