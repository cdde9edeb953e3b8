"""A copy of somebody's workbook in which some cells hold another reading; everything else stays as it was."""

import re
from collections.abc import Mapping
from pathlib import Path

from bodytest.errors import UnusableRequest
from bodytest.files.writing import write_whole
from bodytest.grids.cell_values import NUMBER
from bodytest.grids.grid import Grid, address, column_letters
from bodytest.marked.coloured_cells import Place, with_cells
from bodytest.marked.copy import kept_whole, opened, values_workbook
from bodytest.marked.marking import tables_of
from bodytest.marked.xml_splice import Edit, attribute_set, child, spliced, tree, xml_text
from bodytest.marked.zipped_parts import Package

Mends = Mapping[str, Mapping[Place, str]]
"""Table → row from 1 and column from 0 → what is to stand there, as typed; blank empties the cell."""
_TAG = re.compile(rb"<((?:[\w.-]+:)?)c(?:[\s/][^>]*)?>")
_STYLE = re.compile(rb"""\ss\s*=\s*["'](\d+)["']""")
_WORKBOOK = "xl/workbook.xml"


def write_mended_copy(source: Path, mends: Mends, target: Path) -> tuple[str, ...]:
    """Write a copy of ``source`` with other readings in some cells; the source is only read.

    An ``.xlsx`` or ``.xlsm`` copy keeps everything else as it was, to the byte; of other files a new ``.xlsx`` with
    their values is made.

    Returns:
        What the copy leaves out, in sentences; empty when nothing.

    Raises:
        UnreadableSheet: the source cannot be read.
        UnusableRequest: a cell is not there, or holds a formula.
        UnwritableFile: the target exists or cannot be written.
    """
    workbook = opened(source)
    if unknown := mends.keys() - {grid.name for grid in workbook.grids}:
        raise UnusableRequest("mend-not-there", cell=min(unknown))
    left_out, content = kept_whole(source, workbook, lambda: mended_workbook(workbook.content, mends))
    if content is None:
        content = values_workbook([_mended_grid(grid, mends.get(grid.name, {})) for grid in workbook.grids])
    write_whole(target, content, overwrite=False)
    return left_out


def mended_workbook(content: bytes, mends: Mends) -> bytes:
    """Return a workbook with other readings in some cells.

    Raises:
        KeyError: the workbook lacks a part that every spreadsheet program writes, or a table.
        UnusableRequest: a cell holds a formula.
    """
    package = Package(content)
    tables = tables_of(package)
    for table, cells in mends.items():
        worksheet, sites = with_cells(package.part(tables[table]), set(cells))
        edits = [
            _edit(worksheet, sites[place].start, address(table, *place), place, text) for place, text in cells.items()
        ]
        package.put(tables[table], spliced(worksheet, edits))
    package.put(_WORKBOOK, _calculated_anew(package.part(_WORKBOOK)))
    return package.content()


def _edit(worksheet: bytes, start: int, cell: str, place: Place, text: str) -> Edit:
    """Return the change of one cell, which keeps its style."""
    tag = _TAG.match(worksheet, start)
    if tag is None:
        raise ValueError(f"no cell at byte {start}")
    prefix, end = tag.group(1), tag.end()
    if not tag.group().endswith(b"/>"):
        closing = b"</" + prefix + b"c>"
        end = worksheet.index(closing, tag.end()) + len(closing)
    inside = worksheet[tag.end() : end]
    if re.search(rb"<" + re.escape(prefix) + rb"f[\s/>]", inside):
        raise UnusableRequest("mend-of-formula", cell=cell)
    return Edit(start, end, _cell(prefix.decode(), place, _STYLE.search(tag.group()), text))


def _cell(prefix: str, place: Place, style: "re.Match[bytes] | None", text: str) -> bytes:
    name, kept = f"{prefix}c", f' s="{style.group(1).decode()}"' if style else ""
    head = f'<{name} r="{column_letters(place[1])}{place[0]}"{kept}'
    number = reading(text)
    if text == "":
        return f"{head}/>".encode()
    if isinstance(number, float):
        return f"{head}><{prefix}v>{number!r}</{prefix}v></{name}>".encode()
    inline = f'<{prefix}is><{prefix}t xml:space="preserve">{xml_text(text)}</{prefix}t></{prefix}is>'
    return f'{head} t="inlineStr">{inline}</{name}>'.encode()


def reading(text: str) -> float | str:
    """Return what was typed as a number where it is one, with a point or a comma.

    >>> reading("92,8"), reading("06"), reading("cracked")
    (92.8, '06', 'cracked')
    """
    plain = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
    is_code = plain.lstrip("+-").startswith("0") and plain.lstrip("+-")[1:2].isdigit()
    return float(plain) if NUMBER.fullmatch(plain) and not is_code else text


def _calculated_anew(workbook: bytes) -> bytes:
    """Have formulas calculated when the copy is opened: what they showed came of the old readings."""
    found = child(tree(workbook), "calcPr")
    if found is None:
        return workbook
    return spliced(workbook, [attribute_set(workbook, found, "fullCalcOnLoad", "1")])


def _mended_grid(grid: Grid, cells: Mapping[Place, str]) -> Grid:
    """Return a table with other readings in some cells.

    Raises:
        UnusableRequest: there is no such cell.
    """
    rows = {number: list(row) for number, row in grid.below_headings(0)}
    for (row, column), text in cells.items():
        if row not in rows:
            raise UnusableRequest("mend-not-there", cell=address(grid.name, row, column))
        rows[row] += [""] * (column + 1 - len(rows[row]))
        rows[row][column] = reading(text)
    return Grid(grid.name, list(rows.values()), numbers=tuple(rows))
