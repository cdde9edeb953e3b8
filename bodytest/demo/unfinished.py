"""The half-filled demonstration workbook: more bars are made and dry, the kiln has just been opened."""

from datetime import date

import numpy as np

from bodytest.demo.clay import Fired
from bodytest.demo.workshop import BATCHES, CHALK_WHITE, CHECK_GREY, DRIFT_BUFF, LAB, NOTICE, SEED, Bench
from bodytest.sheet.chosen_columns import KindsOfTest
from bodytest.sheet.content import Row, SheetContent

_MADE_AND_DRIED = ("wet length", "dry length", "wet mass", "dry mass")
_MEASURED_AFTER_FIRING = 7
"""Bars whose fired length has been read so far."""


def half_filled_content(seed: int = SEED + 1) -> SheetContent:
    """Return further bars, one new batch and the control bars, with the later stages still blank."""
    bench = Bench(np.random.default_rng(seed))
    drift_buff = type(DRIFT_BUFF)(**{**vars(DRIFT_BUFF), "fired": {"F8": Fired(12.4, 1.2, 7.0)}})
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
