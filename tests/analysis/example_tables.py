"""Checked tables written out by hand, for tests of what stands on them."""

import pandas as pd

from bodytest.quantities import BAR_READINGS, MARK_READINGS
from bodytest.tables import (
    BAR_COLUMNS,
    BAR_TEXTS,
    FIRING_COLUMNS,
    MARK_COLUMNS,
    PIECE_COLUMNS,
    CheckedSheets,
    Lab,
    SheetSource,
)

NAN = float("nan")
FINE_LAB = Lab(absorption_method="boil 5 h and soak 24 h", length_step_mm=0.001, mass_step_g=0.0001)


def bar(code, *marks, sheet=0, **cells):
    """Return a bar as a dictionary; each mark is a dictionary of lengths in mm without the ``_mm``."""
    return {"bar": code, "sheet": sheet, "marks": marks, **cells}


def checked(bars, *, firings=(), labs=(FINE_LAB,), pieces=()):
    """Return checked sheets with the bars given, named sheet-0.xlsx and on."""
    bar_rows, mark_rows = [], []
    for position, cells in enumerate(bars):
        texts = {text: cells.get(text, "") for text in BAR_TEXTS}
        masses = {r.column: cells.get(r.key, NAN) for r in BAR_READINGS}
        bar_rows.append({"sheet": cells["sheet"], "row": position + 2, **texts, **masses})
        for number, mark in enumerate(cells["marks"] or ({},), start=1):
            lengths = {r.column: mark.get(r.key, NAN) for r in MARK_READINGS}
            mark_rows.append({"bar_row": position, "row": position + 2, "mark": str(number), **lengths})
    return CheckedSheets(
        sheets=tuple(SheetSource(f"sheet-{n}.xlsx", f"{n:064d}", lab) for n, lab in enumerate(labs)),
        bars=pd.DataFrame(bar_rows, columns=list(BAR_COLUMNS)),
        marks=pd.DataFrame(mark_rows, columns=list(MARK_COLUMNS)),
        firings=pd.DataFrame(list(firings), columns=list(FIRING_COLUMNS)),
        pieces=pd.DataFrame(list(pieces), columns=list(PIECE_COLUMNS)),
    )


def firing(code, *, celsius=NAN, cone="", date="", atmosphere="", sheet=0, **others):
    """Return a row of the Firings table."""
    texts = {
        "kiln": "",
        "programme": "",
        "purpose": "",
        "notes": "",
        "atmosphere": atmosphere,
        "date": date,
        "cone": cone,
    }
    numbers = {"peak_temperature_c": celsius, "set_temperature_c": NAN, "temperature_expanded_c": NAN, "hold_min": NAN}
    return {"sheet": sheet, "row": 2, "firing": code, **texts, **numbers, **others}
