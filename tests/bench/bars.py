"""Invented bars for speed measurements, with the headings of a Bars table.

Run: python tests/bench/bars.py COUNT STEM    writes STEM.csv, STEM.xlsx and STEM-formulas.xlsx
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd

BODIES = ("Invented A", "Invented B", "Invented C")
FIRINGS = ("F1", "F2", "F3", "F4")
LENGTHS = ("wet length (mm)", "dry length (mm)", "fired length (mm)")
MASSES = ("wet mass (g)", "dry mass (g)", "fired mass (g)", "boiled mass (g)")
FORMULAS = {
    "drying shrinkage": "=100*(D{row}-E{row})/D{row}",
    "firing shrinkage": "=100*(E{row}-F{row})/E{row}",
    "total shrinkage": "=100*(D{row}-F{row})/D{row}",
    "absorption": "=100*(J{row}-I{row})/I{row}",
}
"""Heading → formula of a spreadsheet user, for the columns K to N."""


def invented_bars(count: int) -> pd.DataFrame:
    """Return ``count`` bars of three bodies in four firings, lengths read to 0.01 mm and masses to 0.01 g."""
    rng = np.random.default_rng(20240229)
    wet = 100.0 + rng.normal(0.0, 0.2, count)
    dry = wet * (0.945 + rng.normal(0.0, 0.002, count))
    fired = dry * (0.935 + rng.normal(0.0, 0.003, count))
    dry_mass = 48.0 + rng.normal(0.0, 0.8, count)
    fired_mass = dry_mass * (0.94 + rng.normal(0.0, 0.001, count))
    columns = {
        "bar": [f"B{number}" for number in range(1, count + 1)],
        "body": rng.choice(BODIES, count),
        "firing": rng.choice(FIRINGS, count),
        **dict(zip(LENGTHS, (wet, dry, fired), strict=True)),
        "wet mass (g)": dry_mass * (1.25 + rng.normal(0.0, 0.004, count)),
        "dry mass (g)": dry_mass,
        "fired mass (g)": fired_mass,
        "boiled mass (g)": fired_mass * (1.025 + rng.normal(0.0, 0.002, count)),
    }
    return pd.DataFrame(columns).round(2)


def write_formulas(bars: pd.DataFrame, path: Path) -> None:
    """Write the workbook of a spreadsheet user: four formula columns, and mean, SD and t interval by group."""
    import xlsxwriter

    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Bars")
        sheet.write_row(0, 0, [*bars.columns, *FORMULAS])
        for position, row in enumerate(bars.itertuples(index=False), start=1):
            sheet.write_row(position, 0, row)
            for column, formula in enumerate(FORMULAS.values(), start=len(bars.columns)):
                sheet.write_formula(position, column, formula.format(row=position + 1))
        _write_summary(book.add_worksheet("Summary"), len(bars) + 1)


def _write_summary(sheet, last: int) -> None:
    groups = [(body, firing, column) for body in BODIES for firing in FIRINGS for column in "KLMN"]
    for row, (body, firing, column) in enumerate(groups, start=1):
        chosen = f'(Bars!$B$2:$B${last}="{body}")*(Bars!$C$2:$C${last}="{firing}")'
        values = f"IF({chosen},Bars!${column}$2:${column}${last})"
        sheet.write_row(row - 1, 0, (body, firing))
        sheet.write_formula(row - 1, 2, f'=COUNTIFS(Bars!$B$2:$B${last},"{body}",Bars!$C$2:$C${last},"{firing}")')
        sheet.write_array_formula(row - 1, 3, row - 1, 3, f"{{=AVERAGE({values})}}")
        sheet.write_array_formula(row - 1, 4, row - 1, 4, f"{{=STDEV({values})}}")
        sheet.write_formula(row - 1, 5, f"=IF(C{row}>1,T.INV.2T(0.05,C{row}-1)*E{row}/SQRT(C{row}),0)")


def write_bars(count: int, stem: Path, *, workbooks: bool = True) -> None:
    """Write the bars as CSV and, when wanted, as a plain workbook and one with formulas."""
    bars = invented_bars(count)
    bars.to_csv(stem.with_suffix(".csv"), index=False)
    if workbooks:
        bars.to_excel(stem.with_suffix(".xlsx"), index=False, sheet_name="Bars", engine="xlsxwriter")
        write_formulas(bars, stem.with_name(f"{stem.name}-formulas.xlsx"))


def write_small_sheets(count: int, bars_each: int, folder: Path) -> None:
    """Write the same bars as one CSV and as ``count`` CSVs of ``bars_each`` bars."""
    folder.mkdir(parents=True, exist_ok=True)
    bars = invented_bars(count * bars_each)
    bars.to_csv(folder / "together.csv", index=False)
    for number in range(count):
        part = bars.iloc[number * bars_each : (number + 1) * bars_each]
        part.to_csv(folder / f"sheet-{number:04}.csv", index=False)


if __name__ == "__main__":
    write_bars(int(sys.argv[1]), Path(sys.argv[2]))
