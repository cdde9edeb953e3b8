"""Files in, checked tables out."""

import dataclasses
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from bodytest.errors import UnreadableResults
from bodytest.files.inputs import is_results, name_of
from bodytest.files.writing import sha256_of
from bodytest.findings import Finding, finding
from bodytest.grids.account import Reason
from bodytest.grids.grid import Grid, Oddity
from bodytest.grids.notebook import Notebook
from bodytest.grids.opening import FileSource, OpenedSource, Source, Workbook, unique_names
from bodytest.intake.all_bars import AllBars, all_bars, complete_refired
from bodytest.intake.bars import SheetBars, build_bars
from bodytest.intake.columns import ReadTable
from bodytest.intake.copies import Given, is_table_of_results, marked_from, originals
from bodytest.intake.firings import complete_firings, contradicting_firings, firing_days, read_firings
from bodytest.intake.firings_from_bars import firings_from_bars
from bodytest.intake.joined_files import SheetPieces, join_pieces, shared_labs
from bodytest.intake.journal import join_states, typed_for
from bodytest.intake.kinds import sort_tables
from bodytest.intake.lab_table import read_lab
from bodytest.intake.layouts.headings import is_bars_heading
from bodytest.intake.layouts.laying_out import LaidOut, lay_out
from bodytest.intake.layouts.said import Said
from bodytest.intake.layouts.vocabulary import TableName
from bodytest.intake.lost_zeros import ask_about_lost_zeros
from bodytest.intake.names import ask_about_control_bodies, settle_names
from bodytest.intake.pieces import read_pieces
from bodytest.intake.programmes import settle_programmes
from bodytest.intake.reading_table import read_table
from bodytest.intake.specs import read_specs, settle_specs
from bodytest.intake.steps import with_steps
from bodytest.rules.bars import check_bars
from bodytest.rules.completeness import too_few_bars
from bodytest.rules.day_order import settle_days
from bodytest.tables import (
    FIRING_COLUMNS,
    PIECE_COLUMNS,
    CellBalance,
    CheckedSheets,
    SheetSource,
    Specification,
    empty_table,
)


@dataclass
class _Sheet:
    """What was read of one workbook."""

    source: SheetSource
    bars: list[SheetBars] = field(default_factory=list)
    firings: list[pd.DataFrame] = field(default_factory=list)
    pieces: list[SheetPieces] = field(default_factory=list)
    specs: dict[Specification, dict[str, Any]] = field(default_factory=dict)
    firings_tables: list[ReadTable] = field(default_factory=list)
    made_of: tuple[str, ...] = ()
    seen: tuple[str, ...] = ()
    control_place: dict[str, Any] | None = None


def read_sheets(paths: Sequence[str | Path], said: Said | None = None) -> CheckedSheets:
    """Read workbooks, text tables and the sheets kept in results files together and check everything in one pass.

    Nothing that a file holds makes this raise: a file that cannot be read becomes a ``stop`` finding on that file and
    the others are still read; a cell that cannot be used becomes a ``stop`` finding on that cell and is blank in the
    tables. Commands that need bars look at ``bars`` being empty and raise `bodytest.errors.UnreadableSheet` themselves.
    ``said`` is what the user said of headings and units.
    """
    return read_sources([source for path in paths for source in sources_of(Path(path))], said)


def sources_of(path: Path) -> Sequence[Source]:
    """Return the workbook that a file is, or those that a results file keeps, or one that tells why it keeps none."""
    if not is_results(path):
        return [FileSource(path)]
    from bodytest.grids.archive import sources_in

    try:
        return sources_in(path)
    except UnreadableResults as error:
        why = Oddity(error.finding.code, error.finding.value, words=error.words)
        return [OpenedSource(path, Workbook(sha256=sha256_of(b""), notes=(why,)))]


def read_sources(sources: Sequence[Source], said: Said | None = None) -> CheckedSheets:
    """Read workbooks together from wherever they are; see `read_sheets`."""
    said = said or Said()
    sheets, notebooks = _read_all(sources, said)
    told_in = [s.firings_tables for s in sheets]
    contradicting_firings(pair for s in sheets for pair in zip(s.firings_tables, s.firings, strict=True))
    firings = complete_firings(_joined([frame for s in sheets for frame in s.firings], FIRING_COLUMNS))
    settle_programmes(firings, notebooks, told_in)
    tables = [table for s in sheets for table in s.bars]
    settle_names(tables, firings, [one for s in sheets for one in s.pieces])
    ask_about_control_bodies(tables, [(s.source.lab.control_body, s.control_place) for s in sheets], notebooks)
    every = all_bars(tables, [s.source.lab for s in sheets])
    states = join_states(every)
    every.labs = shared_labs(every.labs, states)
    pieces = join_pieces([one for s in sheets for one in s.pieces], states)
    complete_refired(every)
    check_bars(every)
    settle_days(every, firing_days(firings, told_in))
    specifications = settle_specs([s.specs for s in sheets], every.bars["body"].unique(), notebooks)
    _tell_rows_in_files(every)
    cells = tuple(balance for notes in notebooks for balance in _balances(notes))
    return CheckedSheets(
        tuple(dataclasses.replace(s.source, lab=lab) for s, lab in zip(sheets, every.labs, strict=True)),
        every.bars,
        every.marks,
        firings,
        _joined(pieces, PIECE_COLUMNS),
        (*_told(notebooks, said), *too_few_bars(every.bars, every.marks, every.labs)),
        cells,
        specifications,
        tuple(s.seen for s in sheets),
        {key: unit for table in reversed(tables) for key, unit in table.units.items()},
        _temperature_unit(table for some in told_in for table in some),
    )


def _temperature_unit(tables: Iterable[ReadTable]) -> str:
    """Return the unit of the first column of peak or set temperatures."""
    keys = ("peak_temperature", "set_temperature")
    return next((table.used[key].unit for table in tables for key in keys if key in table.used), "°C")


def _read_all(sources: Sequence[Source], said: Said) -> tuple[list[_Sheet], list[Notebook]]:
    """Read each workbook on its own, without the marked copies of others."""
    notebooks = [Notebook(name) for name in unique_names(name_of(source.path) for source in sources)]
    sheets: list[_Sheet] = []
    for source, notes in zip(sources, notebooks, strict=True):
        sheets.append(_read_sheet(source, len(sheets), notes, [s.source for s in sheets], said))
    _pass_over_copies(sheets, [source.path for source in sources], notebooks)
    return sheets, notebooks


def _tell_rows_in_files(every: AllBars) -> None:
    """Give bars of sheets that were laid out anew the rows in which they stand in the file."""
    rows = every.bars["row"].to_numpy(dtype="int64").copy()
    for number, table in enumerate(every.tables):
        if table.notes.is_laid_out(table.table):
            mine = every.table_of["bar"] == number
            rows[mine] = [table.notes.source(table.table, row, None)[1] or 0 for row in rows[mine].tolist()]
    every.bars["row"] = rows


def _told(notebooks: Sequence[Notebook], said: Said) -> Iterator[Finding]:
    """Yield what was told of headings that are nowhere, and the findings of all workbooks in their order."""
    for heading in said.not_there():
        yield finding("as-not-there", value=heading)
    for notes in notebooks:
        yield from notes.ordered()


def _balances(notes: Notebook) -> Iterator[CellBalance]:
    """Close the accounts of a workbook and yield what became of the cells of each table that holds any."""
    notes.close_accounts()
    for table, account in notes.accounts.items():
        if account.filled:
            yield CellBalance(notes.sheet, table, account.filled, *account.counts())


def _pass_over_copies(sheets: list[_Sheet], paths: list[Path], notebooks: list[Notebook]) -> None:
    """Put nothing in the place of each marked copy whose original was read too, and say so."""
    given = [Given(path, s.source.sha256, s.made_of, s.bars) for path, s in zip(paths, sheets, strict=True)]
    for number, original in originals(given).items():
        notebooks[number] = _of_copy(notebooks[number])
        notebooks[number].add("marked-copy-beside-original", other=sheets[original].source.name)
        sheets[number] = _Sheet(dataclasses.replace(sheets[number].source, lab=sheets[original].source.lab))


def _of_copy(notes: Notebook) -> Notebook:
    """Return a notebook without findings, in whose accounts every cell is set aside."""
    blank = Notebook(notes.sheet)
    blank.accounts = notes.accounts
    for account in blank.accounts.values():
        account.reopen()
        account.set_aside("copy of another file")
    return blank


def _read_sheet(source: Source, number: int, notes: Notebook, earlier: list[SheetSource], said: Said) -> _Sheet:
    workbook = source.open(notes, is_bars_heading)
    of_sheet = said.with_earlier(workbook.said)
    kept = dataclasses.replace(workbook.kept(), said=of_sheet.options())
    sheet = _Sheet(SheetSource(notes.sheet, workbook.sha256, workbook=kept))
    if not workbook.readable:
        return sheet
    if other := next((one for one in earlier if one.sha256 == sheet.source.sha256), None):
        notes.add("file-twice", other=other.name)
        sheet.source = dataclasses.replace(sheet.source, lab=other.lab)
        return _set_aside(sheet, workbook, notes, "copy of another file")
    if is_table_of_results(workbook.grids):
        notes.add("results-not-readings")
        return _set_aside(sheet, workbook, notes, "table not read")
    sheet.made_of = marked_from(workbook.grids)
    notes.typed_for = typed_for(workbook.grids)
    laid_out = lay_out(workbook.grids, of_sheet, notes)
    said.found.update(of_sheet.found)
    sheet.seen = laid_out.seen
    _read_tables(laid_out, sheet, number, notes)
    return sheet


def _set_aside(sheet: _Sheet, workbook: Workbook, notes: Notebook, reason: Reason) -> _Sheet:
    """Set every cell of a workbook aside and return what was read of it: nothing."""
    for grid in workbook.grids:
        notes.open_account(grid)
        notes.accounts[grid.name].set_aside(reason)
    return sheet


def _read_tables(laid_out: LaidOut, sheet: _Sheet, number: int, notes: Notebook) -> None:
    """Read the tables of one workbook into ``sheet``."""
    kinds = sort_tables(laid_out.grids, notes, laid_out.firings)
    tables = _tables(kinds.bars, "bars", notes)
    lab, lab_places = read_lab(kinds.lab, notes)
    sheet.control_place = lab_places.get("control_body")
    for table in tables:
        if table.used:
            sheet.bars.append(build_bars(table, number))
            lab = with_steps(lab, table)
    if (
        tables
        and tables[0].used
        and not any(len(bars.bars) for bars in sheet.bars)
        and not any(map(_held_back, tables))
    ):
        notes.add("no-usable-rows", table=tables[0].name)
    firings = _tables(kinds.firings, "firings", notes)
    codes: dict[str, int] = {}
    sheet.firings = [read_firings(table, number, codes) for table in firings]
    sheet.firings += [firings_from_bars(table, number) for table in tables]
    sheet.firings_tables = [*firings, *tables]
    if sheet.bars:
        for table, frame in zip(sheet.firings_tables, sheet.firings, strict=True):
            ask_about_lost_zeros(table, frame, sheet.bars)
    for table in _tables(kinds.specs, "specs", notes):
        sheet.specs |= read_specs(table)
    sheet.pieces = [SheetPieces(read_pieces(t, number), t) for t in _tables(kinds.pieces, "pieces", notes)]
    sheet.source = dataclasses.replace(sheet.source, lab=lab)


def _held_back(table: ReadTable) -> bool:
    """Tell whether rows of a table were not read for a reason that a finding names."""
    return "row not read" in table.account.counts()[2]


def _tables(grids: list[Grid], kind: TableName, notes: Notebook) -> list[ReadTable]:
    return [table for grid in grids if (table := read_table(grid, kind, notes)) is not None]


def _joined(frames: list[pd.DataFrame], columns: Sequence[str]) -> pd.DataFrame:
    filled = [f for f in frames if not f.empty]
    return pd.concat(filled, ignore_index=True) if filled else empty_table(columns)
