"""Sheets that other people made: their headings, their layout, their ways of writing numbers."""

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest

from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets

Row = list[Any]
HEADINGS: Row = ["bar", "body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
BARS: list[Row] = [
    [f"A{i}", "Marl Red", "F1", round(100 + i / 10, 1), round(94.1 + i / 10, 1), round(88.2 + (i % 3) / 10, 1)]
    for i in range(10)
]
WET = [bar[3] for bar in BARS]


def text_sheet(folder: Path, rows: list[Row], *, delimiter: str = ",", encoding: str = "utf-8") -> CheckedSheets:
    text = "\r\n".join(delimiter.join(str(cell) for cell in row) for row in rows) + "\r\n"
    (folder / "sheet.csv").write_bytes(text.encode(encoding))
    return read_sheets([folder / "sheet.csv"])


def workbook(
    folder: Path, rows: list[Row], shape: Callable[[Any], None] | None = None, **others: list[Row]
) -> CheckedSheets:
    book = openpyxl.Workbook()
    table = book.active
    table.title = "Bars"
    for row in rows:
        table.append(row)
    if shape is not None:
        shape(table)
    for name, lines in others.items():
        other = book.create_sheet(name)
        for line in lines:
            other.append(line)
    book.save(folder / "sheet.xlsx")
    return read_sheets([folder / "sheet.xlsx"])


def codes(sheets: CheckedSheets) -> list[str]:
    return [f.code for f in sheets.findings]


def wet(sheets: CheckedSheets) -> list[float]:
    return [round(v, 6) for v in sheets.marks["wet_length_mm"].tolist()]


def test_headings_of_the_trade_in_another_order_are_understood(tmp_path: Path) -> None:
    heads: Row = ["Weight dry [g]", "LENGTH_WET (cm)", "Clay Body", "Test bar", "Boiled weight (g)", "Kiln-firing"]
    heads += ["dried length, mm", "Submerged wt (g)", "Remarks", "weight after firing"]
    rows: list[Row] = [[64.0, 10.0 + i / 100, "Marl Red", i, 61.9, "F1", 94.2, 35.1, "ok", ""] for i in range(10)]
    sheets = workbook(tmp_path, [heads, *rows])
    assert sheets.bars["bar"].tolist() == [str(i) for i in range(10)]
    assert sheets.bars["dry_mass_g"].tolist() == [64.0] * 10
    assert sheets.bars["boiled_mass_g"].tolist() == [61.9] * 10
    assert sheets.bars["suspended_mass_g"].tolist() == [35.1] * 10
    assert sheets.bars["notes"].tolist() == ["ok"] * 10
    assert sheets.marks["dry_length_mm"].tolist() == [94.2] * 10
    assert wet(sheets) == [round(100 + i / 10, 6) for i in range(10)]
    assert [f.code for f in sheets.findings if f.level == "stop"] == []
    assert [f.cell for f in sheets.findings if f.code == "heading-unknown"] == []


def test_a_stage_with_a_unit_is_enough_of_a_heading(tmp_path: Path) -> None:
    heads: Row = ["bar", "body", "firing", "wet (mm)", "dry [cm]", "fired_mm", "dry (g)", "fired (g)", "boiled g"]
    heads += ["suspended (g)"]
    sheets = text_sheet(tmp_path, [heads, ["A1", "Marl Red", "F1", 100.0, 9.4, 88.0, 64.0, 60.0, 61.9, 35.0]])
    assert [f for f in sheets.findings if f.level != "note"] == []
    assert sheets.marks.iloc[0, 3:].dropna().tolist() == [100.0, 94.0, 88.0]
    assert sheets.bars.filter(regex="_mass_g$").iloc[0].dropna().tolist() == [64.0, 60.0, 61.9, 35.0]


def test_a_stage_alone_is_asked_about(tmp_path: Path) -> None:
    sheets = text_sheet(tmp_path, [[*HEADINGS[:5], "fired"], *BARS])
    assert [(f.code, f.sentence) for f in sheets.findings if f.code.startswith("heading")] == [
        (
            "heading-in-doubt",
            "The heading “fired” in Bars!F1 may mean “fired length” or “fired mass”, so its column was not read.",
        )
    ]


def test_titles_above_the_headings_and_blank_rows_between_are_passed_over(tmp_path: Path) -> None:
    rows: list[Row] = [["Test bars of spring 2026"], [], ["measured with", "the long callipers"], HEADINGS]
    sheets = workbook(tmp_path, [*rows, *BARS[:5], [], [], *BARS[5:]])
    assert codes(sheets) == []
    assert wet(sheets) == WET
    assert sheets.bars["row"].tolist() == [5, 6, 7, 8, 9, 12, 13, 14, 15, 16]
    assert text_sheet(tmp_path, [*rows, *BARS[:5], [], *BARS[5:]]).bars["row"].tolist()[4:6] == [9, 11]


def test_headings_in_two_rows_are_joined(tmp_path: Path) -> None:
    upper: Row = ["bar", "body", "firing", "length (mm)", None, None, "mass (g)", None]
    lower: Row = [None, None, None, "wet", "dry", "fired", "dry", "fired"]

    def merge(table: Any) -> None:
        table.merge_cells("D1:F1")
        table.merge_cells("G1:H1")

    rows = [[*bar, 64.2, 60.0 + i / 10] for i, bar in enumerate(BARS)]
    sheets = workbook(tmp_path, [upper, lower, *rows], merge)
    assert wet(sheets) == WET
    assert sheets.bars["fired_mass_g"].tolist() == [row[7] for row in rows]


def test_units_in_a_row_of_their_own_belong_to_the_headings(tmp_path: Path) -> None:
    heads: Row = ["bar", "body", "firing", "wet length", "dry length", "fired length"]
    rows = [[*bar[:3], bar[3] / 10, bar[4], bar[5]] for bar in BARS]
    for units in (["", "", "", "cm", "mm", "mm"], ["", "", "", "(cm)", "[mm]", "(mm)"]):
        sheets = workbook(tmp_path, [heads, [u or None for u in units], *rows])
        assert wet(sheets) == WET
        assert codes(sheets) == []


def test_names_merged_over_several_rows_belong_to_each(tmp_path: Path) -> None:
    rows = [[bar[0], bar[1] if i == 0 else None, *bar[2:]] for i, bar in enumerate(BARS)]
    sheets = workbook(tmp_path, [HEADINGS, *rows], lambda table: table.merge_cells("B2:B11"))
    assert sheets.bars["body"].tolist() == ["Marl Red"] * 10
    assert codes(sheets) == []


def test_masses_merged_beside_the_marks_of_their_bar_are_the_bars(tmp_path: Path) -> None:
    heads: Row = ["bar", "body", "firing", "mark", "wet length (mm)", "fired length (mm)", "fired mass (g)"]
    first: Row = ["A1", "Marl Red", "F1", 1, 100.0, 88.0, 60.1]
    second: Row = ["A2", None, None, 1, 100.2, 88.1, 60.4]

    def merge(table: Any) -> None:
        for cells in ("A2:A3", "B2:B5", "C2:C5", "G2:G3", "A4:A5", "G4:G5"):
            table.merge_cells(cells)

    marks: list[Row] = [[None, None, None, 2, 100.1, 88.2, None], [None, None, None, 2, 100.3, 88.2, None]]
    sheets = workbook(tmp_path, [heads, first, marks[0], second, marks[1]], merge)
    assert [f for f in sheets.findings if f.level != "note"] == []
    assert sheets.bars[["bar", "body", "firing", "fired_mass_g"]].to_numpy().tolist() == [
        ["A1", "Marl Red", "F1", 60.1],
        ["A2", "Marl Red", "F1", 60.4],
    ]
    assert sheets.marks["bar_row"].tolist() == [0, 0, 1, 1]


def test_totals_at_the_bottom_are_told_and_not_taken_for_bars(tmp_path: Path) -> None:
    totals: list[Row] = [["Mean:", "", "", 100.4, 94.5, 88.3], ["SD", "", "", 0.3, 0.3, 0.1]]
    sheets = workbook(tmp_path, [HEADINGS, *BARS, [], *totals])
    assert len(sheets.bars) == 10
    assert [(f.code, f.cell) for f in sheets.findings] == [("summary-row", "Bars!A13"), ("summary-row", "Bars!A14")]


def test_hidden_rows_are_read_and_asked_about(tmp_path: Path) -> None:
    def hide(table: Any) -> None:
        table.row_dimensions[4].hidden = True

    sheets = workbook(tmp_path, [HEADINGS, *BARS], hide)
    assert len(sheets.bars) == 10
    assert codes(sheets) == ["rows-hidden"]


def test_blocks_under_the_same_headings_are_one_table(tmp_path: Path) -> None:
    rows = [["first firing"], HEADINGS, *BARS[:5], [], HEADINGS, *BARS[5:]]
    for sheets in (workbook(tmp_path, rows), text_sheet(tmp_path, rows)):
        assert wet(sheets) == WET
        assert codes(sheets) == []


def test_numbers_typed_as_text_are_numbers(tmp_path: Path) -> None:
    rows = [[*bar[:3], f" {bar[3]:.1f}", f"'{bar[4]:.1f}", f"{bar[5]:.1f}\u00a0mm"] for bar in BARS]
    sheets = workbook(tmp_path, [HEADINGS, *rows])
    assert wet(sheets) == WET
    assert sheets.marks["dry_length_mm"].tolist() == [bar[4] for bar in BARS]
    assert sheets.marks["fired_length_mm"].tolist() == [bar[5] for bar in BARS]
    assert codes(sheets) == []


@pytest.mark.parametrize(
    ("typed", "read", "code"),
    [
        ("12,5 cm", 125.0, None),
        ("3.9 in", 99.06, None),
        ('3 15/16"', 100.0125, None),
        ("1.005e2", 100.5, None),
        ("+100,5", 100.5, None),
        ("100.5?", 100.5, "number-in-doubt"),
        ("(100.5?)", 100.5, "number-in-doubt"),
        ("n/a", np.nan, "no-reading"),
        ("N.A.", np.nan, "no-reading"),
        ("—", np.nan, "no-reading"),
        ("?", np.nan, "reading-in-doubt"),
        ("1.234,5", np.nan, "not-a-number"),
        ("100 5", np.nan, "not-a-number"),
        ("ca. 100", np.nan, "not-a-number"),
        ("100-101", np.nan, "not-a-number"),
        ("inf", np.nan, "not-a-number"),
        ("TRUE", np.nan, "not-a-number"),
        ("100.5 lines", np.nan, "not-a-number"),
        ("100.5 g", np.nan, "unit-of-another-kind"),
        ("-100.5", np.nan, "zero-or-negative"),
        ("0", np.nan, "zero-or-negative"),
    ],
)
def test_one_cell_is_understood_or_told(tmp_path: Path, typed: str, read: float, code: str | None) -> None:
    rows = [list(HEADINGS), *([*bar] for bar in BARS)]
    rows[3][3] = typed
    for sheets in (workbook(tmp_path, rows), text_sheet(tmp_path, [[str(c) for c in r] for r in rows], delimiter="\t")):
        value = sheets.marks["wet_length_mm"].iloc[2]
        assert value == pytest.approx(read, nan_ok=True)
        about = [f for f in sheets.findings if f.cell == "Bars!D4"]
        assert [f.code for f in about if f.level != "ask" or f.code == code] == ([code] if code else [])
        assert wet(sheets)[:2] == WET[:2]


def test_a_date_in_a_column_of_numbers_is_told(tmp_path: Path) -> None:
    rows = [[*bar] for bar in BARS]
    rows[2][3] = datetime.datetime(2026, 5, 12)
    sheets = workbook(tmp_path, [HEADINGS, *rows])
    assert codes(sheets) == ["date-for-number"]


FIRING_HEADINGS: Row = ["firing", "date", "cone", "peak temperature (°C)"]


@pytest.mark.parametrize(
    ("typed", "cone"),
    [
        (6, "6"),
        ("06", "06"),
        ("Δ6", "6"),
        ("cone 6", "6"),
        ("Cone 06", "06"),
        ("^6", "6"),
        ("5 1/2", "5½"),
        (5.5, "5½"),
    ],
)
def test_cones_are_read_as_people_write_them(tmp_path: Path, typed: Any, cone: str) -> None:
    sheets = workbook(tmp_path, [HEADINGS, *BARS], Firings=[FIRING_HEADINGS, ["F1", None, typed, None]])
    assert sheets.firings["cone"].tolist() == [cone]
    assert codes(sheets) == ([] if isinstance(typed, str) else ["cone-without-zero"])


def test_a_cone_that_lost_its_leading_zero_is_asked_about(tmp_path: Path) -> None:
    sheets = workbook(tmp_path, [HEADINGS, *BARS], Firings=[FIRING_HEADINGS, ["F1", None, 6, 1001]])
    assert sheets.firings["cone"].tolist() == ["6"]
    assert codes(sheets) == ["cone-far-from-temperature"]
    assert "Cone 06 would fit" in sheets.findings[0].sentence


@pytest.mark.parametrize(
    ("typed", "date", "code"),
    [
        (datetime.datetime(2026, 5, 3), "2026-05-03", None),
        ("2026-05-03", "2026-05-03", None),
        ("3.5.2026", "2026-05-03", None),
        ("3 May 2026", "2026-05-03", None),
        ("25/12/2025", "2025-12-25", None),
        ("12/25/2025", "2025-12-25", None),
        ("3/5/2026", "", "date-unclear"),
        ("spring", "", "date-unclear"),
    ],
)
def test_dates_are_read_or_asked_about(tmp_path: Path, typed: Any, date: str, code: str | None) -> None:
    sheets = workbook(tmp_path, [HEADINGS, *BARS], Firings=[FIRING_HEADINGS, ["F1", typed, "6", 1222]])
    assert sheets.firings["date"].tolist() == [date]
    assert codes(sheets) == ([code] if code else [])


def test_temperatures_in_fahrenheit_are_read_in_celsius(tmp_path: Path) -> None:
    heads: Row = ["firing", "cone", "peak temperature (°F)", "set temperature (deg C)", "hold (min)"]
    sheets = workbook(tmp_path, [HEADINGS, *BARS], Firings=[heads, ["F1", "6", 2232, "1222 °C", "15 min"]])
    assert sheets.firings["peak_temperature_c"].iloc[0] == pytest.approx(1222.222, abs=0.001)
    assert sheets.firings["set_temperature_c"].tolist() == [1222.0]
    assert sheets.firings["hold_min"].tolist() == [15.0]
    assert codes(sheets) == []


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_text_tables_are_read_in_every_usual_encoding(tmp_path: Path, encoding: str, delimiter: str) -> None:
    rows = [[bar[0], "Größe rot", *bar[2:]] for bar in BARS]
    sheets = text_sheet(tmp_path, [HEADINGS, *rows], delimiter=delimiter, encoding=encoding)
    assert sheets.bars["body"].tolist() == ["Größe rot"] * 10
    assert wet(sheets) == WET
    assert codes(sheets) == (["encoding-guessed"] if encoding in ("latin-1", "cp1252") else [])


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_decimal_commas_are_read(tmp_path: Path, delimiter: str) -> None:
    rows = [[*bar[:3], *(f"{v:.1f}".replace(".", ",") for v in bar[3:])] for bar in BARS]
    sheets = text_sheet(tmp_path, [HEADINGS, *rows], delimiter=delimiter)
    assert wet(sheets) == WET
    assert codes(sheets) == []
    quoted = [[*bar[:3], *(f'"{v}"' for v in bar[3:])] for bar in rows]
    assert wet(text_sheet(tmp_path, [HEADINGS, *quoted])) == WET


def test_decimal_commas_and_points_in_one_column_are_read(tmp_path: Path) -> None:
    rows = [[*bar[:3], str(bar[3]).replace(".", "," if i % 2 else "."), *bar[4:]] for i, bar in enumerate(BARS)]
    assert wet(text_sheet(tmp_path, [HEADINGS, *rows], delimiter=";")) == WET


def test_a_line_that_names_the_delimiter_is_passed_over(tmp_path: Path) -> None:
    sheets = text_sheet(tmp_path, [["sep=;"], [";".join(HEADINGS)], *([";".join(map(str, bar))] for bar in BARS)])
    assert wet(sheets) == WET


def test_rows_of_unequal_length_are_read(tmp_path: Path) -> None:
    rows = [
        [*bar, "", "", "and a word too many"] if i == 70 % len(BARS) else bar[: 6 - i % 2] for i, bar in enumerate(BARS)
    ]
    sheets = text_sheet(tmp_path, [HEADINGS, *rows])
    assert wet(sheets) == WET
    many = [[f"A{i}", "Marl Red", "F1", 100.0, 94.0, 88.0, *([""] * (i == 150))] for i in range(200)]
    assert len(text_sheet(tmp_path, [HEADINGS, *many]).bars) == 200


@pytest.mark.parametrize("even", [True, False])
def test_a_cell_under_no_heading_far_down_a_large_text_table_is_told(tmp_path: Path, even: bool) -> None:
    rows: list[Row] = [[f"A{i}", "Marl Red", "F1", 100.0, 94.0, 88.0, *[""] * even] for i in range(40_000)]
    rows[39_990] = [*rows[39_990][:6], "look here"]
    sheets = text_sheet(tmp_path, [[*HEADINGS, *[""] * even], *rows])
    assert len(sheets.bars) == 40_000
    assert [f.cell for f in sheets.findings if f.code == "column-without-heading"] == ["Bars!G39992"]


def test_leading_zeros_of_codes_are_kept(tmp_path: Path) -> None:
    rows = [[f"00{i}", *bar[1:]] for i, bar in enumerate(BARS)]
    for sheets in (text_sheet(tmp_path, [HEADINGS, *rows]), workbook(tmp_path, [HEADINGS, *rows])):
        assert sheets.bars["bar"].tolist() == [row[0] for row in rows]


def test_quoted_cells_may_hold_the_delimiter_and_line_breaks(tmp_path: Path) -> None:
    text = 'bar,body,firing,"wet length\n(mm)",notes\nA1,"Red, marl",F1,100.5,"two\nlines"\nA2,"Red, marl",F1,100.6,\n'
    (tmp_path / "sheet.csv").write_text(text, encoding="utf-8")
    sheets = read_sheets([tmp_path / "sheet.csv"])
    assert sheets.bars["body"].tolist() == ["Red, marl"] * 2
    assert wet(sheets) == [100.5, 100.6]
    assert sheets.bars["notes"].tolist() == ["two lines", ""]
    assert sheets.bars["row"].tolist() == [2, 3]


def test_a_text_table_may_tell_its_firings_in_columns(tmp_path: Path) -> None:
    heads = [*HEADINGS, "peak temperature (°C)", "cone", "atmosphere"]
    rows = [
        [*bar[:2], f"F{i % 2}", *bar[3:], 1180 + 40 * (i % 2), ("5", "6")[i % 2], "oxidation"]
        for i, bar in enumerate(BARS)
    ]
    rows[4][-2] = ""
    sheets = text_sheet(tmp_path, [heads, *rows])
    assert sheets.firings[["firing", "cone", "peak_temperature_c", "atmosphere"]].to_numpy().tolist() == [
        ["F0", "5", 1180.0, "oxidation"],
        ["F1", "6", 1220.0, "oxidation"],
    ]
    assert [c for c in codes(sheets) if not c.startswith("few")] == []


def test_computed_columns_of_a_sheet_are_passed_over(tmp_path: Path) -> None:
    heads = [*HEADINGS, "drying shrinkage (%)", "total shrinkage (%)"]
    rows = [[*bar, "=1/0", "#DIV/0!"] for bar in BARS]
    assert codes(workbook(tmp_path, [heads, *rows])) == []


def test_an_absorption_without_masses_is_taken_as_stated(tmp_path: Path) -> None:
    heads = [*HEADINGS, "absorption (%)"]
    assert codes(workbook(tmp_path, [heads, *([*bar, 3.1] for bar in BARS)])) == ["taken-as-stated"]


def test_headings_without_bars_beside_a_table_of_firings_are_one_finding(tmp_path: Path) -> None:
    sheets = workbook(tmp_path, [HEADINGS], Firings=[["firing", "cone"], ["F1", "6"]])
    assert codes(sheets) == ["no-usable-rows"]
    assert sheets.bars.empty


@pytest.mark.parametrize("huge", [1e300, 1e-300, 1e12])
def test_numbers_that_nobody_can_measure_are_not_used(tmp_path: Path, huge: float) -> None:
    sheets = workbook(tmp_path, [HEADINGS, *BARS[:-1], ["A9", "Marl Red", "F1", huge, huge, huge]])
    told = [f for f in sheets.findings if f.code in ("beyond-measure", "not-a-number")]
    assert [f.cell for f in told] == ["Bars!D11", "Bars!E11", "Bars!F11"]
    assert wet(sheets)[:9] == WET[:9]
    assert np.isnan(wet(sheets)[9])


def test_what_nobody_can_measure_is_said(tmp_path: Path) -> None:
    sheets = workbook(tmp_path, [HEADINGS, *BARS[:-1], ["A9", "Marl Red", "F1", 1e300, 94.2, 88.3]])
    (found,) = [f for f in sheets.findings if f.code == "beyond-measure"]
    assert found.sentence == (
        "“1e+300” in Bars!D11 (wet length) is no length or mass that anybody could measure; it was not used."
    )


def test_marks_without_a_code_on_a_tab_for_each_firing_are_told_and_not_pooled(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for tab, longer in (("Cone 5", 0.0), ("Cone 6", 1.0)):
        table = book.create_sheet(tab)
        table.append(["colour", "body", "mark", "wet length (mm)", "fired length (mm)"])
        for number in range(2):
            table.append(["red", "Marl Red", "1", 100.0 + longer + 0.2 * number, 88.0 + longer + 0.1 * number])
    book.save(tmp_path / "sheet.xlsx")
    sheets = read_sheets([tmp_path / "sheet.xlsx"])
    assert [code for code in codes(sheets) if code in ("heading-missing", "bar-contradicts")] == [
        "heading-missing",
        *["bar-contradicts"] * 4,
    ]
    assert np.isnan(wet(sheets)).all()
    assert sheets.bars["firing"].tolist() == ["cone 5", "cone 6"]


def test_inches_with_a_dot_are_inches(tmp_path: Path) -> None:
    heads: Row = ["Bar", "Clay", "Firing", "Wet (in.)", "Bone dry (in.)", "Fired in."]
    sheets = text_sheet(tmp_path, [heads, *([f"B{i}", "Marl Red", "F1", 5.02, 4.71, 4.4] for i in range(4))])
    assert wet(sheets) == [127.508] * 4
    assert sheets.marks["fired_length_mm"].notna().all()


def test_a_cone_with_its_atmosphere_in_one_cell_is_both(tmp_path: Path) -> None:
    """Firings at one cone in oxidation and in reduction stay two; what says more than that is no cone."""
    told = ["Cone 6 ox", "^6 ox", "Cone 6 redux", "5-1/2", "5½"]
    for heading in ("Fired to", "Cone"):
        rows: list[Row] = [["bar", "clay", heading, *HEADINGS[3:]]]
        rows += [[f"A{i}", "Marl Red", cone, 100.1, 94.1, 88.3] for i, cone in enumerate(told)]
        firings = text_sheet(tmp_path, rows).firings
        assert list(zip(firings["firing"], firings["cone"], firings["atmosphere"], strict=True)) == [
            ("cone 6 oxidation", "6", "oxidation"), ("cone 6 reduction", "6", "reduction"), ("cone 5½", "5½", ""),
        ]  # fmt: skip
    rows[1][2] = "cone 6 slow cooled"
    assert "cone-unknown" in codes(text_sheet(tmp_path, rows))


def test_bars_beside_each_other_without_codes_are_called_by_their_columns(tmp_path: Path) -> None:
    day = datetime.date(2024, 3, 1)
    rows: list[Row] = [["date", "what", "bar 1", "bar 2", "bar 3"], [day, "wet length mm", 100.2, 100.4, 99.9]]
    rows += [[day, "dry length mm", 94.2, 94.3, 94.1], [day, "fired length mm", 88.4, 88.9, 88.1]]
    sheets = text_sheet(tmp_path, rows)
    assert sheets.bars["bar"].tolist() == ["column C", "column D", "column E"]
    assert wet(sheets) == [100.2, 100.4, 99.9]
    assert "bar-contradicts" not in codes(sheets)


def test_lengths_between_named_marks_are_marks(tmp_path: Path) -> None:
    heads: Row = ["bar", "body", "cone", "wet A-B (mm)", "wet B-C (mm)", "fired A-B (mm)", "fired B-C (mm)"]
    sheets = text_sheet(tmp_path, [heads, *([f"K{i}", "Marl Red", "8", 50.1, 50.3, 44.2, 44.4] for i in range(3))])
    assert sheets.marks["mark"].tolist() == ["A-B", "B-C"] * 3
    assert wet(sheets) == [50.1, 50.3] * 3


@pytest.mark.parametrize("heading", ["Dx (mm)", "L0 (mm)"])
def test_a_table_without_bars_has_its_measured_headings_named(tmp_path: Path, heading: str) -> None:
    others: dict[str, list[Row]] = {"Spring": [["clay", "cone", heading], ["Marl Red", "6", 100.2]]}
    others["Lab"] = [["length reading step (mm)", 0.1]]
    sheets = workbook(tmp_path, [], lambda table: setattr(table, "title", "Empty"), **others)
    assert "no-bars-sheet" in codes(sheets)
    assert [f.cell for f in sheets.findings if f.code == "heading-unknown"] == ["Spring!C1"]


@pytest.mark.parametrize("title", ["Marl, fired to cone 6 and cone 10", "Marl, cones 6 and 10"])
def test_a_title_of_several_cones_is_asked_about(tmp_path: Path, title: str) -> None:
    sheets = workbook(tmp_path, [[title], ["bar", *HEADINGS[3:]], *([b[0], *b[3:]] for b in BARS)])
    assert [f.value for f in sheets.findings if f.code == "cone-clue"] == [title]


def test_codes_that_begin_like_several_bodies_are_not_put_together(tmp_path: Path) -> None:
    def read(codes: list[str], *more: str) -> CheckedSheets:
        rows = [["bar", *more, *HEADINGS[3:]], *([c, *more, *b[3:]] for c, b in zip(codes, BARS, strict=False))]
        return workbook(tmp_path, rows)

    coded = [f"{body}-6-{n}" for body in ("TOR", "BEL") for n in range(1, 4)]
    sheets = read(coded)
    assert len(sheets.bars) == 0
    assert [f.cell for f in sheets.findings if f.code == "codes-split-bars"] == ["Bars!A1"]
    assert len(read(coded, "body").bars) == 6
    assert len(read([f"bar {n}" for n in range(1, 7)]).bars) == 6


def test_a_length_above_bars_without_a_wet_length_is_asked_about(tmp_path: Path) -> None:
    note = "Lines scribed 100 mm apart"
    rows: list[Row] = [[note], ["bar", "clay", "cone", *HEADINGS[4:]], *([b[0], b[1], "6", *b[4:]] for b in BARS)]
    assert [f.cell for f in workbook(tmp_path, rows).findings if f.code == "wet-length-above"] == ["Bars!A1"]
    with_wet: list[Row] = [[note], ["bar", "clay", "cone", *HEADINGS[3:]], *([b[0], b[1], "6", *b[3:]] for b in BARS)]
    assert "wet-length-above" not in codes(workbook(tmp_path, with_wet))
