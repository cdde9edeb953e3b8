"""Sheets whose names are made to harm: escape sequences, hidden and steering signs, lines that are not ours."""

import csv
from pathlib import Path

from openpyxl import Workbook

HEADINGS = (
    "bar", "body", "batch", "firing", "direction", "position", "wet length (mm)", "dry length (mm)",
    "fired length (mm)", "dry mass (g)", "fired mass (g)", "boiled mass (g)", "cone", "notes",
)  # fmt: skip


def rows(body: str, batch: str, firing: str, direction: str, position: str, notes: str) -> list[list[object]]:
    """Return bars of two bodies, two batches and two firings whose names all end in the given texts."""
    made: list[list[object]] = []
    for b in range(2):
        for n in range(12):
            d = 0.07 * (n % 3) + 0.2 * b
            place = (f"B{b}{n}{body}", f"Body{b} {body}", f"{n % 2}{batch}", f"F{n % 4 // 2}{firing}", direction)
            made.append([*place, f"p{n % 2}{position}", 100.0 + d, 94.1 + d, 88.3 + d, 45.2, 42.1 + d / 10, 44.9 + d,
                         6 - n % 4 // 2, notes])  # fmt: skip
    return made


def write_csv(path: Path, names: tuple[str, ...]) -> Path:
    """Write the bars as CSV, which can hold every sign; ``names``: body, batch, firing, direction, position, notes."""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([HEADINGS, *rows(*names)])
    return path


def write_workbook(path: Path, names: tuple[str, ...]) -> Path:
    """Write the bars as a workbook with pieces, which can hold what XML allows."""
    book = Workbook()
    bars = book.active
    bars.title = "Bars"
    pieces, lab = book.create_sheet("Pieces"), book.create_sheet("Lab")
    made = rows(*names)
    for row in (HEADINGS, *made):
        bars.append(list(row))
    pieces.append(["piece", "body", "batch", "firing", "dimension", "wet size (mm)", "fired size (mm)"])
    for number in range(3):
        pieces.append([f"P{number}", made[0][1], made[0][2], made[0][3], f"height{names[0]}", 120.0, 105.0 + number])
    lab.append(["workshop", names[0] or "x"])
    lab.append(["shrinkage tolerance (%)", 0.5])
    book.save(path)
    return path
