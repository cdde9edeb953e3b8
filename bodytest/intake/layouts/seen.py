"""What was seen on a sheet of somebody's own, in at most ten lines: its tables and headings, taken for what."""

from collections.abc import Iterator, Sequence

from bodytest.grids.grid import Grid
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.blocks import Heading
from bodytest.intake.layouts.fields import COMPARED, UNKNOWN, Field
from bodytest.intake.layouts.headings import heading_words
from bodytest.intake.layouts.records import Reading
from bodytest.rounding import counted

MOST = 10
"""Lines of all."""
_NONE_OF_OURS = {UNKNOWN: "not known", COMPARED: "compared with the readings"}
_BLOCKS = 4
"""Of these, lines about tables; the others tell the columns of the first one."""


def seen_blocks(readings: Sequence[Reading], notes: Notebook) -> tuple[str, ...]:
    """Return what was seen: a line for each table, then the columns of the first."""
    lines = [_block(reading, notes) for reading in readings]
    if len(lines) > _BLOCKS:
        lines = [*lines[: _BLOCKS - 1], f"… and {len(lines) - _BLOCKS + 1} more tables like these"]
    columns = [_column(one, notes) for one in readings[0].fields] if readings else []
    columns += (
        [f"{notes.address(*h.places[-1])} “{h.text}”: not read" for h in _others(readings[0])] if readings else []
    )
    room = MOST - len(lines)
    each = -(-len(columns) // room) if columns else 1
    return (*lines, *("; ".join(columns[start : start + each]) for start in range(0, len(columns), each)))


def _block(reading: Reading, notes: Notebook) -> str:
    block = reading.block
    first, last = (notes.address(*h.places[-1]) for h in (block.headings[0], block.headings[-1]))
    across = ", each bar a column" if block.view.turned else ""
    return f"Seen: {counted(len(reading.records), 'row')} of bars under the headings {first} to {last}{across}"


def _column(one: Field, notes: Notebook) -> str:
    where = notes.address(*one.heading.places[-1])
    if one.key[0] in _NONE_OF_OURS:
        return f"{where} “{one.heading.text}”: {_NONE_OF_OURS[one.key[0]]}"
    unit = f" in {'inches' if one.unit == 'in' else one.unit}" if one.unit else ""
    why = f" (by {one.why})" if one.why else ""
    return f"{where} “{one.heading.text}” = {heading_words(one.key)}{unit}{why}"


def _others(reading: Reading) -> Iterator[Heading]:
    taken = {one.column for one in reading.fields}
    return (h for h in reading.block.headings if h.column not in taken)


def seen_grids(grids: Sequence[Grid], *, looks_ours: bool) -> tuple[str, ...]:
    """Return what stands on tabs in which no headings of bars were found; nothing for a workbook like ours."""
    if looks_ours:
        return ()
    lines = []
    for grid in grids[:MOST]:
        rows = [row for _, row in grid.head() if any(cell != "" for cell in row)]
        texts = [text for row in rows for cell in row if isinstance(cell, str) and (text := read_text(cell))]
        shown = ", ".join(f"“{text[:30]}”" for text in texts[:5]) or "no text"
        what = f"Seen: the table “{grid.name}” without a row or column of headings of bars"
        lines.append(f"{what}; it begins with {shown}")
    return tuple(lines)
