"""One block of bars as records: what each column holds, and what stands above all of them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from bodytest.cones import parse_cone
from bodytest.grids.account import Reason
from bodytest.grids.grid import Place
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_number, read_text
from bodytest.intake.layouts.blocks import Block
from bodytest.intake.layouts.fields import COMPARED, UNKNOWN, Field, understand
from bodytest.intake.layouts.meant import is_reading, kind_of
from bodytest.intake.layouts.named_bars import of_all
from bodytest.intake.layouts.titles import LONGEST_NAME, Title, Titles, labelled_values, read_title, tab_title
from bodytest.intake.layouts.totals import is_total
from bodytest.intake.layouts.view import is_number
from bodytest.intake.layouts.vocabulary import word_list
from bodytest.units import DIMENSIONS

NAMING = ("body", "batch", "firing", "cone", "peak_temperature", "date", "atmosphere")
"""Columns that name what a bar is of and how it was fired."""
FILLED_DOWN = (*NAMING, "direction")
"""Columns that people fill once for several bars below each other."""


@dataclass(frozen=True)
class Cell:
    """A value and the cells that it came from."""

    value: Any = ""
    """What stands there."""
    places: tuple[Place, ...] = ()
    """Where it stands; none for the name of a tab."""


Record = dict[str, Cell]
"""One row of a block: column → cell."""


def number_in(record: Record, key: str, unit: str) -> float:
    """Return a length or mass of a row in the unit that it is held in, NaN where none stands there.

    >>> number_in({"wet_length": Cell("12,5 cm")}, "wet_length", ""), number_in({}, "wet_length", "mm")
    (125.0, nan)
    """
    kind = kind_of(key)
    return read_number(record.get(key, Cell()).value, unit or DIMENSIONS[kind].unit, kind).value


def text_in(record: Record, key: str) -> str:
    """Return what a row says in a column as text, nothing where it has none."""
    return read_text(record.get(key, Cell()).value)


@dataclass
class Reading:
    """What is read of one block."""

    block: Block
    """The block."""
    fields: list[Field] = field(default_factory=list)
    """The columns that are understood, and those that are none of ours."""
    records: list[Record] = field(default_factory=list)
    """Its rows."""
    titles: list[tuple[Place | None, Title]] = field(default_factory=list)
    """What stands above it, the nearest first, and the name of the tab."""
    lines: dict[int, Reason] = field(default_factory=dict)
    """Why lines are no bars, by their position."""
    readable: bool = True
    """Can its bars be told from each other?"""
    guessed: list[Place] = field(default_factory=list)
    """Texts alone in a row that are taken for the body of the bars below, though they look like no name."""

    @property
    def keys(self) -> set[str]:
        """Columns that it has."""
        return {f.key for f in self.fields}


def read_block(block: Block, before: "Reading | None", notes: Notebook) -> Reading:
    """Read a block; what is not understood is written down by its cell."""
    reading = Reading(block)
    legend = set(block.view.said.explained.values())
    above = [(place, _title(text, block)) for place, text in block.above if place not in legend]
    if not any(t.body or t.heated for _, t in above) and before is not None:
        reading.titles = [*above, *before.titles]
    else:
        further = _of_all_blocks([title for _, title in above], before.titles) if before else ()
        reading.titles = [*above, (None, _title(tab_title(block.view.grid.name), block, of_tab=True)), *further]
    reading.fields, reading.readable = understand(block, reading.titles, notes)
    if reading.readable:
        rows = [bar for line in _records(reading, notes) for bar in _by_bar(reading, line)]
        reading.records = [record for row in rows for record in _by_mark(reading, row)]
        _fill_down(reading)
        headless = {h.column for h in block.headings if not h.text and h.means.key == "body"}
        reading.guessed += [
            place for line, column, place in block.filled() if line in block.body and column in headless
        ]
        for place in reading.guessed:
            bars = [record for record in reading.records if record.get("body", Cell()).places == (place,)]
            words: dict[str, Any] = {"where": notes.address(*place), "bars": len(bars)}
            if bars:
                notes.add("body-from-title-asked", **place._asdict(), **words, value=read_text(bars[0]["body"].value))
    return reading


def _of_all_blocks(own: Sequence[Title], before: Titles) -> Iterator[tuple[Place | None, Title]]:
    """Yield what titles of the block before say of a further one, whose own titles name its body or its firing anew.

    Units hold for all, and the rest of what stands farther off than the title that is named anew, but no tab's name.
    """
    names: dict[str, Any] = {"body": "", "sure": False} if any(title.body for title in own) else {}
    heats: dict[str, Any] = {"cone": "", "peak_temperature": ""} if any(title.heated for title in own) else {}
    passed = False
    for place, title in before:
        yield place, replace(title, **names, **heats) if passed and place else Title(units=title.units)
        passed |= bool((names and title.body) or (heats and title.heated))


def _title(text: str, block: Block, *, of_tab: bool = False) -> Title:
    """Return what a title says of all bars, and what the user said that it does."""
    told = block.view.said.names_in(text)
    title = read_title(text if of_tab else of_all(text, block.codes), of_tab=of_tab)
    title = replace(title, body=told["body"], sure=True) if "body" in told else title
    return replace(title, cone=parse_cone(told["cone"]) or title.cone) if "cone" in told else title


def _records(reading: Reading, notes: Notebook) -> Iterator[Record]:
    """Yield the rows that are bars; totals, remarks and titles between them are not."""
    block, measured = reading.block, reading.block.measured
    _find_totals(reading)
    merged = _merged(block)
    heads = _heads(block) if "body" not in reading.keys else set()
    section: Record = {}
    above: Record = {}
    explaining: set[int] = set()
    explanations = {*block.view.said.explained.values(), *(entry.place for entry in block.view.said.legend)}
    for line in block.body:
        filled = {h.column for h in block.headings if block.cell(line, h.column) != ""}
        if not filled or line in reading.lines:
            continue
        text, place = _text_of(block, line, filled), block.place(line, min(filled))
        alone = bool(text) and len(filled) == 1 and not filled & measured
        in_tail = line in block.tail and (not any(map(str.isdigit, text)) or read_title(text).heated)
        if in_tail and labelled_values(block.view.lines[line][1]):
            reading.lines[line] = "title"
        elif alone and (told := _section(text, place, reading, heads=line in heads)):
            section = told if "body" in told else {**section, **told}
        elif (place in explanations or line - 1 in explaining) and not block.is_measured(line):
            reading.lines[line] = "title"
            explaining.add(line)
        elif alone or (in_tail and text):
            reading.lines[line] = "remark"
            words = " ".join(read_text(block.cell(line, column)) for column in sorted(filled))
            notes.add("row-without-readings", **place._asdict(), value=words)
        else:
            record = {_own_key(f): _cell(block, line, f, merged) for f in reading.fields}
            above = _repeat(record, above)
            yield {**section, **{key: cell for key, cell in record.items() if cell.value != "" or key not in section}}


def _find_totals(reading: Reading) -> None:
    """Find the rows that add up others by what they are called."""
    block, bodies, below_total = reading.block, _bodies(reading), False
    named = [f for f in reading.fields if not is_reading(f.key) and f.key[0] != COMPARED]
    for line in block.body:
        has_code = any(f.key == "bar" and block.cell(line, f.column) != "" for f in named)
        texts = [read_text(block.cell(line, f.column)) for f in named if not has_code or f.key[0] != UNKNOWN]
        below_total = any(is_total(text, bodies, below_total=below_total) for text in texts)
        if below_total:
            reading.lines[line] = "total row"


def _bodies(reading: Reading) -> set[str]:
    """Return the names of bodies that titles and cells of a block tell."""
    columns = [f.column for f in reading.fields if f.key == "body"]
    cells = {read_text(reading.block.cell(line, column)) for column in columns for line in reading.block.body}
    return cells | {title.body for _, title in reading.titles}


def _text_of(block: Block, line: int, filled: set[int]) -> str:
    """Return the first text of a line; nothing where that is a number or may be the code of a bar."""
    text = read_text(block.cell(line, min(filled)))
    return "" if is_number(text) or (len(text) <= 3 and text.isalnum()) else text


def _heads(block: Block) -> set[int]:
    """Return the lines with one text alone that head the bars below them, where the first bars have one too."""
    headed = [h.column for h in block.headings]
    filled = [(line, found) for line in block.body if (found := [c for c in headed if block.cell(line, c) != ""])]
    heads = {
        line
        for (line, own), (_, below) in pairwise(filled)
        if len(own) == 1 and block.measured.isdisjoint(own) and not block.measured.isdisjoint(below)
    }
    return heads if len(heads) > 1 and filled[0][0] in heads else set()


def _section(text: str, place: Place, reading: Reading, *, heads: bool) -> Record:
    """Return what a title between the bars says of those below it; one that heads them names at least their body."""
    title = read_title(text)
    if heads and not (title.body or title.heated) and len(text.split()) <= LONGEST_NAME:
        reading.guessed.append(place)
        return {"body": Cell(text, (place,))}
    return {key: Cell(text, (place,)) for key, text in title.told().items() if key not in reading.keys}


def _merged(block: Block) -> dict[tuple[int, int], int]:
    """Return, for each cell under a merged one, the line of the upper one."""
    lines = {number: position for position, (number, _) in enumerate(block.view.lines)}
    found: dict[tuple[int, int], int] = {}
    for top, left, bottom, _right in block.view.grid.merged:
        if bottom > top and top in lines:
            found |= {(lines[row], left): lines[top] for row in range(top + 1, bottom + 1) if row in lines}
    return found


def _cell(block: Block, line: int, one: Field, merged: dict[tuple[int, int], int]) -> Cell:
    from_line = line
    if block.cell(line, one.column) == "" and not is_reading(one.key):
        from_line = merged.get((line, one.column), line)
    value = block.cell(from_line, one.column)
    value = one.of_cell(read_text(value)) if one.of_cell else value
    return Cell(value, (block.place(from_line, one.column),) if value != "" else ())


def _own_key(one: Field) -> str:
    """Return what the cells of a column are called until each bar and mark has a row of its own."""
    of_mark = f"{one.key}/{one.mark}" if one.mark else one.key
    return f"{one.bar}|{of_mark}" if one.bar else of_mark


def _repeat(record: Record, above: Record) -> Record:
    """Return a row with what stands in the one above it where a cell says that it is the same."""
    for key, cell in record.items():
        if key in above and read_text(cell.value).casefold() in word_list("same_as_above"):
            is_told = above[key].value != ""
            if is_told or not is_reading(key.rpartition("|")[2].partition("/")[0]):
                record[key] = Cell(above[key].value, cell.places if is_told else ())
    return record


def _by_bar(reading: Reading, record: Record) -> Iterator[Record]:
    """Yield a row for each bar or firing whose readings stand beside those of others; one without any is none."""
    bars = {f.bar: f.heading for f in reading.fields if f.bar}
    if not bars:
        yield record
    shared = {key: cell for key, cell in record.items() if "|" not in key}
    for bar, heading in bars.items():
        own = {key.partition("|")[2]: cell for key, cell in record.items() if key.startswith(f"{bar}|")}
        if heading.heat and any(cell.value != "" for cell in own.values()):
            told = {key: Cell(text, heading.places) for key, text in read_title(bar).told().items()}
            yield {**shared, **own, **told}
        elif any(cell.value != "" for cell in own.values()):
            code = f"{read_text(shared['bar'].value)} {bar}" if "bar" in shared else bar
            yield {**shared, **own, "bar": Cell(code, shared["bar"].places if "bar" in shared else ())}


def _by_mark(reading: Reading, record: Record) -> Iterator[Record]:
    """Yield a row for each mark whose readings stand beside each other; masses go with the first."""
    marks = sorted({f.mark for f in reading.fields if f.mark}, key=lambda mark: (len(mark), mark))
    if not marks:
        yield record
    for mark in marks:
        row = {k: c for k, c in record.items() if "/" not in k and (mark == marks[0] or not k.endswith("_mass"))}
        row |= {key.partition("/")[0]: c for key, c in record.items() if key.endswith(f"/{mark}")}
        yield {**row, "mark": Cell(mark)}


def _fill_down(reading: Reading) -> None:
    """Fill what is written once for several bars, or for the marks of one bar, below each other."""
    for record, above in zip(reading.records[1:], reading.records, strict=False):
        marks = [text_in(row, "mark") for row in (above, record)]
        if "bar" in record and record["bar"].value == "" and "" not in marks and marks[0] != marks[1]:
            record["bar"] = above["bar"]
    for key in reading.keys & set(FILLED_DOWN):
        cells = [record[key] for record in reading.records]
        blank = sum(cell.value == "" for cell in cells)
        if not blank or cells[0].value == "" or blank < len(cells) - blank:
            continue
        for record, above in zip(reading.records[1:], reading.records, strict=False):
            if record[key].value == "":
                record[key] = above[key]
