"""Files in, checked tables out."""

import dataclasses
import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bodytest.files.writing import sha256_of
from bodytest.grids.grid import Grid
from bodytest.grids.notebook import Notebook
from bodytest.grids.opening import open_workbook
from bodytest.intake.bars import SheetBars, build_bars
from bodytest.intake.columns import ReadTable, read_columns
from bodytest.intake.copies import Given, marked_from, originals
from bodytest.intake.firings import contradicting_firings, empty_firings, read_firings
from bodytest.intake.firings_from_bars import firings_from_bars
from bodytest.intake.heading_row import find_heading_row, understand
from bodytest.intake.headings import is_bars_heading, plain
from bodytest.intake.lab_table import read_lab
from bodytest.intake.merged_cells import ask_about_headless, ask_about_hidden, ask_about_rows_above, fill_merged
from bodytest.intake.names import ask_about_control_bodies, settle_names
from bodytest.intake.pieces import empty_pieces, read_pieces
from bodytest.intake.programmes import settle_programmes
from bodytest.intake.repeats import ask_about_shared_bars, same_file
from bodytest.intake.steps import with_steps
from bodytest.intake.vocabulary import TableName
from bodytest.quantities import LENGTHS, MASSES
from bodytest.rules.bars import check_bars
from bodytest.rules.completeness import too_few_bars
from bodytest.shown import file_label
from bodytest.tables import BAR_COLUMNS, MARK_COLUMNS, SHEETS_WITHOUT_READINGS, CheckedSheets, SheetSource

if TYPE_CHECKING:
    import pandas as pd


@dataclass
class _Sheet:
    """What was read of one workbook."""

    source: SheetSource
    bars: SheetBars | None
    firings: "pd.DataFrame"
    pieces: "pd.DataFrame"
    firings_table: ReadTable | None
    made_of: tuple[str, ...] = ()
    control_place: dict[str, Any] | None = None


def read_sheets(paths: Sequence[str | Path]) -> CheckedSheets:
    """Read workbooks and text tables together and check everything in one pass.

    Nothing that a file holds makes this raise: a file that cannot be read becomes a ``stop`` finding on that file and
    the others are still read; a cell that cannot be used becomes a ``stop`` finding on that cell and is blank in the
    tables. Commands that need bars look at ``bars`` being empty and raise `bodytest.errors.UnreadableSheet` themselves.
    """
    names = _unique_names([file_label(Path(p).name) for p in paths])
    notebooks = [Notebook(name) for name in names]
    sheets: list[_Sheet] = []
    for number, path in enumerate(paths):
        sheets.append(_read_sheet(Path(path), number, notebooks[number], [s.source for s in sheets]))
    _pass_over_copies(sheets, [Path(p) for p in paths], notebooks)
    firings = _joined([s.firings for s in sheets], empty_firings())
    told_in = [s.firings_table for s in sheets]
    contradicting_firings(firings, notebooks, told_in)
    settle_programmes(firings, notebooks, told_in)
    settle_names([s.bars for s in sheets], firings, notebooks)
    controls = [(s.source.lab.control_body, s.control_place) for s in sheets]
    ask_about_control_bodies([s.bars for s in sheets], controls, notebooks)
    ask_about_shared_bars([s.bars for s in sheets], notebooks)
    for sheet, notes in zip(sheets, notebooks, strict=True):
        if sheet.bars is not None:
            check_bars(sheet.bars, sheet.source.lab, notes)
    bars, marks = _stacked([s.bars for s in sheets if s.bars is not None])
    return CheckedSheets(
        tuple(s.source for s in sheets),
        bars,
        marks,
        firings,
        _joined([s.pieces for s in sheets], empty_pieces()),
        (*(found for notes in notebooks for found in notes.ordered()), *too_few_bars(bars, marks)),
    )


def _pass_over_copies(sheets: list[_Sheet], paths: list[Path], notebooks: list[Notebook]) -> None:
    """Put nothing in the place of each marked copy whose original was read too, and say so."""
    given = [Given(path, s.source.sha256, s.made_of, s.bars) for path, s in zip(paths, sheets, strict=True)]
    for number, original in originals(given).items():
        notebooks[number] = Notebook(notebooks[number].sheet)
        notebooks[number].add("marked-copy-beside-original", other=sheets[original].source.name)
        source = dataclasses.replace(sheets[number].source, lab=sheets[original].source.lab)
        sheets[number] = _Sheet(source, None, empty_firings(), empty_pieces(), None)


def _unique_names(names: list[str]) -> list[str]:
    """Give file names that are there more than once a number."""
    seen: dict[str, int] = {}
    unique = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        unique.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return unique


def _read_sheet(path: Path, number: int, notes: Notebook, earlier: list[SheetSource]) -> _Sheet:
    workbook = open_workbook(path, notes, is_bars_heading)
    source = SheetSource(notes.sheet, sha256_of(workbook.content))
    sheet = _Sheet(source, None, empty_firings(), empty_pieces(), None)
    if not workbook.readable:
        return sheet
    if (other := same_file(earlier, source.sha256)) is not None:
        notes.add("file-twice", other=other.name)
        sheet.source = dataclasses.replace(source, lab=other.lab)
        return sheet
    sheet.made_of = marked_from(workbook.grids)
    grids = {plain(g.name): g for g in reversed(workbook.grids)}
    bars_grid = _bars_grid(workbook.grids, notes)
    table = _read_table(bars_grid, "bars", notes)
    _note_other_tables(workbook.grids, bars_grid, notes)
    lab, lab_places = read_lab(grids.get("lab"), notes)
    sheet.control_place = lab_places.get("control_body")
    firings_table = _read_table(grids.get("firings"), "firings", notes)
    if table is not None and table.used:
        sheet.bars = build_bars(table, number, notes)
        lab = with_steps(lab, table)
        if not len(sheet.bars.bars):
            notes.add("no-usable-rows", table=table.name)
    sheet.firings = read_firings(firings_table, number, notes)
    if table is not None and sheet.firings.empty:
        sheet.firings = firings_from_bars(table, number, notes)
    sheet.firings_table = firings_table or table
    sheet.pieces = read_pieces(_read_table(grids.get("pieces"), "pieces", notes), number, notes)
    sheet.source = dataclasses.replace(source, lab=lab)
    return sheet


def _bars_grid(grids: list[Grid], notes: Notebook) -> Grid | None:
    """Return the Bars table, or the only one that has its headings."""
    named = [g for g in grids if plain(g.name) == "bars"]
    if named:
        return named[0]
    likely = [g for g in grids if (h := find_heading_row(g, "bars")) and _looks_like_bars(h.texts)]
    if len(likely) == 1:
        notes.add("bars-sheet-by-headings", table=likely[0].name, value=likely[0].name)
        return likely[0]
    notes.add("no-bars-sheet", tables=", ".join(g.name for g in grids) or "none")
    return None


def _note_other_tables(grids: list[Grid], bars: Grid | None, notes: Notebook) -> None:
    """Note tables that hold something and are not read."""
    if bars is None:
        return
    known = ("Bars", "Firings", "Lab", "Pieces", *SHEETS_WITHOUT_READINGS)
    for grid in grids:
        if grid is bars or plain(grid.name) in map(plain, known) or not any(map(any, grid.rows)):
            continue
        headings = find_heading_row(grid, "bars")
        if headings is not None and _looks_like_bars(headings.texts):
            notes.add("second-bars-table", table=grid.name, value=grid.name, bars=bars.name)
            continue
        near = difflib.get_close_matches(grid.name.title(), known, n=1, cutoff=0.7)
        notes.add(
            "table-not-read",
            table=grid.name,
            value=grid.name,
            nearest=f" Its name is like “{near[0]}”." if near else "",
        )


def _looks_like_bars(texts: tuple[str, ...]) -> bool:
    from bodytest.intake.headings import match_heading

    keys = {found.key for t in texts if t for found in [match_heading(t, "bars")[0]] if found}
    return "bar" in keys and any(r.key in keys for r in (*LENGTHS, *MASSES))


def _read_table(grid: Grid | None, name: TableName, notes: Notebook) -> ReadTable | None:
    if grid is None:
        return None
    found = find_heading_row(grid, name)
    if found is None:
        if name == "bars" or any(any(v != "" for v in row) for row in grid.rows):
            notes.add("no-headings", table=grid.name, expected=_EXPECTED[name])
        return None
    headings = understand(found, grid, name, notes)
    ask_about_rows_above(headings, grid, notes)
    _ask_for_missing(headings.used.keys(), grid, name, notes)
    table = read_columns(grid, headings, notes)
    ask_about_headless(headings, grid, notes)
    fill_merged(table, grid, notes)
    ask_about_hidden(table, headings, grid, notes)
    return table


_EXPECTED = {
    "bars": "bar, body, firing, wet length (mm), dry length (mm), fired length (mm)",
    "firings": "firing, cone, peak temperature (°C)",
    "pieces": "piece, body, firing, dimension, wet size (mm), fired size (mm)",
}


def _ask_for_missing(keys: Iterable[str], grid: Grid, name: TableName, notes: Notebook) -> None:
    known = set(keys)
    if name != "bars":
        return
    for key in ("bar", "body", "firing"):
        if key not in known:
            notes.add("heading-missing", table=grid.name, heading=key, meaning=_MEANING[key])
    if not known & {r.key for r in (*LENGTHS, *MASSES)}:
        notes.add("no-reading-columns", table=grid.name)


_MEANING = {
    "bar": "each row is taken as a bar of its own",
    "body": "all bars are taken as one body without a name",
    "firing": "all bars are taken as one firing without a code",
}


def _joined(frames: "list[pd.DataFrame]", blank: "pd.DataFrame") -> "pd.DataFrame":
    import pandas as pd

    filled = [f for f in frames if not f.empty]
    return pd.concat(filled, ignore_index=True) if filled else blank


def _stacked(sheets: list[SheetBars]) -> "tuple[pd.DataFrame, pd.DataFrame]":
    """Put the bars and marks of all workbooks below each other."""
    import pandas as pd

    if not sheets:
        numbers = ("sheet", "row", "bar_row")
        return tuple(  # type: ignore[return-value]
            pd.DataFrame(
                {
                    c: pd.Series(dtype="int64" if c in numbers else "float64" if c[-2:] in ("_g", "mm") else "object")
                    for c in columns
                }
            )
            for columns in (BAR_COLUMNS, MARK_COLUMNS)
        )
    offset, marks = 0, []
    for sheet in sheets:
        marks.append(sheet.marks.assign(bar_row=sheet.marks["bar_row"] + offset))
        offset += len(sheet.bars)
    return pd.concat([s.bars for s in sheets], ignore_index=True), pd.concat(marks, ignore_index=True)
