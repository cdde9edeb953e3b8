"""The demonstration workbooks as files: the same bytes each time."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
from openpyxl import Workbook

from bodytest.demo.clay import Fired
from bodytest.demo.workshop import (
    BATCHES,
    CHALK_WHITE,
    CHECK_GREY,
    DRIFT_BUFF,
    FIRINGS,
    LAB,
    MARL_RED,
    NOTICE,
    SEED,
    Bench,
    complete_content,
)
from bodytest.files.fixed_zip import workbook_bytes
from bodytest.files.writing import write_whole
from bodytest.sheet.bars_sheet import HEADING_ROW, put_entry
from bodytest.sheet.blank import BlankSheetOptions, build_workbook, planned_content, sheet_bytes
from bodytest.sheet.chosen_columns import KindsOfTest
from bodytest.sheet.content import Row, SheetContent
from bodytest.sheet.style import cell_at

_SLIPS: tuple[tuple[int, str, object], ...] = (
    (0, "dry length", 104.2),  # longer than wet
    (1, "fired length", 9.28),  # the point slipped
    (2, "wet mass", "78,31 g"),  # decimal comma and unit: understood
    (3, "wet length", "about 100"),  # no number
    (4, "fired mass", -57.2),  # a minus sign
    (5, "boiled mass", 0.06291),  # kilograms
    (7, "firing", "F9"),  # no such firing
    (8, "leave out", "?"),  # left out without a reason
    (9, "body", "Marl red"),  # another spelling of the body
    (11, "suspended mass", 71.55),  # more than the fired mass
    (12, "boiled mass", 52.0),  # lighter than before boiling
    (13, "dry mass", "#DIV/0!"),  # an error cell
    (14, "wet length", "=100+0.3"),  # a formula that no program has computed yet
    (16, "bar", "DB6"),  # a code for the second time, with other readings
    (17, "fired length", 101.9),  # longer than dry, by a swap of wet and fired
    (18, "dry mass", 0),  # zero
)
"""Which row of the table, heading, what was typed there."""


def mistaken_workbook() -> Workbook:
    """Return the workbook: sound bars, then the slips, then a misspelt heading."""
    bench = Bench(np.random.default_rng(SEED + 2))
    rows = bench.bars(MARL_RED, "F1", 10, batch="M1")
    rows += bench.bars(DRIFT_BUFF, "F4", 5, batch="D1") + bench.bars(DRIFT_BUFF, "F4", 5, batch="D3")
    _swap(rows[6], "dry length", "fired length")
    _swap(rows[19], "wet mass", "dry mass")
    content = SheetContent(
        bars=tuple(rows),
        firings=(FIRINGS[1], FIRINGS[4]),
        lab={**LAB, "absorption method": "boiled for a while", "water temperature (°C)": 210},
        kinds=KindsOfTest(suspended=True),
        bodies=(MARL_RED.name, DRIFT_BUFF.name),
        batches=("M1", *BATCHES),
        notice=NOTICE + ", mistakes included",
        spare_bars=4,
        spare_pieces=6,
    )
    workbook = build_workbook(content)
    _slip(workbook)
    return workbook


def _swap(row: dict[str, object], one: str, other: str) -> None:
    row[one], row[other] = row[other], row[one]


def _slip(workbook: Workbook) -> None:
    sheet = workbook["Bars"]
    places = {str(cell.value).split(" (")[0]: place for place, cell in enumerate(sheet[HEADING_ROW], start=1)}
    for row, heading, typed in _SLIPS:
        cell = cell_at(sheet, HEADING_ROW + 1 + row, places[heading])
        if isinstance(typed, str) and typed[:1] in {"=", "#"}:
            cell.value = typed
        else:
            put_entry(cell, typed)
    cell_at(sheet, HEADING_ROW, places["position"]).value = "kiln postion"


_MADE_AND_DRIED = ("wet length", "dry length", "wet mass", "dry mass")
_MEASURED_AFTER_FIRING = 7
"""Bars whose fired length has been read so far."""


def half_filled_content() -> SheetContent:
    """Return further bars, one new batch and the control bars, with the later stages still blank."""
    bench = Bench(np.random.default_rng(SEED + 1))
    drift_buff = replace(DRIFT_BUFF, fired={"F8": Fired(12.4, 1.2, 7.0)})
    rows = bench.bars(CHALK_WHITE, "F8", 12, batch="C1") + bench.bars(drift_buff, "F8", 10, batch="D4")
    rows += bench.bars(CHECK_GREY, "F8", 3, batch="G1")
    return SheetContent(
        bars=tuple(_so_far(row, place) for place, row in enumerate(rows)),
        firings=(
            {"firing": "F8", "date": date(2026, 3, 17), "kiln": "small electric", "purpose": "final", "cone": "6",
             "set temperature": 1222, "peak temperature": 1222, "hold": 15, "atmosphere": "oxidation",
             "notes": "opened this morning; boiling starts tomorrow"},
        ),
        lab=LAB,
        kinds=KindsOfTest(suspended=True),
        bodies=(DRIFT_BUFF.name, CHALK_WHITE.name, CHECK_GREY.name),
        batches=(*BATCHES, "D4", "C1", "G1"),
        notice=NOTICE,
        spare_bars=4,
        spare_pieces=6,
    )  # fmt: skip


def _so_far(row: dict[str, object], place: int) -> Row:
    headings = ("wet length", "dry length", "fired length", "wet mass", "dry mass", "fired mass", "boiled mass",
                "suspended mass")  # fmt: skip
    known = _MADE_AND_DRIED + (("fired length",) if place < _MEASURED_AFTER_FIRING else ())
    code = str(row["bar"]).replace("CW", "CX").replace("DB", "DX").replace("CG", "CH")
    return {**{name: value for name, value in row.items() if name not in headings or name in known}, "bar": code}


DEMO_SHEETS = ("demo-complete.xlsx", "demo-half-filled.xlsx", "demo-mistakes.xlsx", "blank.xlsx")
"""Names of the workbooks."""


def write_demo_sheets(folder: Path) -> tuple[Path, ...]:
    """Write the complete, the half-filled and the mistaken workbook, and a blank one; return their paths."""
    workbooks = (
        sheet_bytes(complete_content()),
        sheet_bytes(half_filled_content()),
        workbook_bytes(mistaken_workbook()),
        sheet_bytes(planned_content(BlankSheetOptions())),
    )
    for name, content in zip(DEMO_SHEETS, workbooks, strict=True):
        write_whole(folder / name, content)
    return tuple(folder / name for name in DEMO_SHEETS)
