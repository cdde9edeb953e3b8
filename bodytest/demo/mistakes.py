"""The demonstration workbook full of mistakes, the kinds that people make with wet hands."""

from typing import TYPE_CHECKING

import numpy as np

from bodytest.demo.workshop import BATCHES, DRIFT_BUFF, FIRINGS, LAB, MARL_RED, NOTICE, SEED, Bench
from bodytest.sheet.bars_sheet import HEADING_ROW, put_entry
from bodytest.sheet.blank import build_workbook
from bodytest.sheet.chosen_columns import KindsOfTest
from bodytest.sheet.content import SheetContent
from bodytest.sheet.style import cell_at

if TYPE_CHECKING:
    from openpyxl import Workbook

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


def mistaken_workbook(seed: int = SEED + 2) -> "Workbook":
    """Return the workbook: sound bars, then the slips, then a misspelt heading."""
    bench = Bench(np.random.default_rng(seed))
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


def _slip(workbook: "Workbook") -> None:
    sheet = workbook["Bars"]
    places = {str(cell.value).split(" (")[0]: place for place, cell in enumerate(sheet[HEADING_ROW], start=1)}
    for row, heading, typed in _SLIPS:
        cell = cell_at(sheet, HEADING_ROW + 1 + row, places[heading])
        if isinstance(typed, str) and typed[:1] in {"=", "#"}:
            cell.value = typed
        else:
            put_entry(cell, typed)
    cell_at(sheet, HEADING_ROW, places["position"]).value = "kiln postion"
