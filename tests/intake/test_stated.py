"""Percentages that a sheet states: taken as stated where no readings give them, else compared with these."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from bodytest.analysis.analysing import analyse
from bodytest.cleaning import clean, clean_workbook
from bodytest.export.document import to_document
from bodytest.export.reader import read_results
from bodytest.intake.layouts.said import Said, said_by
from bodytest.reading import read_sheets
from bodytest.report.pages import report_pages
from bodytest.tables import CheckedSheets

ALONE = [
    ["bar", "clay", "cone", "total shrinkage %", "absorption %"],
    *([f"D{i}", "Torvan", "6", s, a] for i, (s, a) in enumerate([(11.4, 2.6), (11.3, 2.5), (10.9, 2.5)], 1)),
]
BESIDE = [
    ["bar", "clay", "cone", "wet (mm)", "dry (mm)", "fired (mm)", "Shrinkage %"],
    *(
        [f"D{i}", "Torvan", "6", 100, 94, f, s]
        for i, (f, s) in enumerate([(88.4, 11.6), (88.1, 11.9), (88.6, 11.4)], 1)
    ),
]


def read(path: Path, rows: list[list[Any]], said: Said | None = None, *, shown: str = "") -> CheckedSheets:
    book = openpyxl.Workbook()
    tab = book.active
    assert tab is not None
    tab.title = "tests"
    for row in rows:
        tab.append(row)
    for cells in tab.iter_rows(min_row=2, min_col=4) if shown else ():
        for cell in cells:
            cell.number_format = shown
    book.save(path / "own.xlsx")
    return read_sheets([path / "own.xlsx"], said)


def told(sheets: CheckedSheets) -> list[tuple[str, str | None]]:
    return [(f.code, f.cell) for f in sheets.findings if not f.code.startswith(("few-bars", "still"))]


def with_column(rows: list[list[Any]], figures: list[Any]) -> list[list[Any]]:
    return [[*row[:-1], figure] for row, figure in zip(rows, figures, strict=True)]


def test_percentages_alone_give_a_size_that_says_what_it_rests_on(tmp_path: Path) -> None:
    sheets = read(tmp_path, ALONE)
    assert told(sheets) == [("taken-as-stated", "tests!D2"), ("taken-as-stated", "tests!E2")]
    results = analyse(sheets)
    (group,) = results.groups
    assert (group.quantities["total_shrinkage"].stated, group.quantities["total_shrinkage"].certainty) == (True, None)
    assert group.quantities["total_shrinkage"].mean == pytest.approx(11.2)
    assert group.wet_size_factor == pytest.approx(1 / 0.888)
    assert group.wet_length_mm is None
    assert results.answers[0].sentence == (
        "Planned with cone 6, the only firing of Torvan so far. It rests on shrinkages that the sheet states without"
        " readings."
    )


def test_stated_values_are_marked_in_the_document_and_read_back(tmp_path: Path) -> None:
    document = to_document(analyse(read(tmp_path, ALONE)))
    assert [bar["stated"] for bar in document["bars"]] == [["total_shrinkage", "absorption"]] * 3
    assert document["programmes"][0]["quantities"]["absorption"]["stated"] is True
    (tmp_path / "results.json").write_text(json.dumps(document), encoding="utf-8")
    again = read_results(tmp_path / "results.json")
    assert again.bars["stated"].tolist() == [("total_shrinkage", "absorption")] * 3
    kept = {key: value for key, value in document.items() if key not in ("workbooks", "seal")}
    assert {key: value for key, value in to_document(again).items() if key in kept} == kept


def test_measured_bars_carry_no_mark(tmp_path: Path) -> None:
    document = to_document(analyse(read(tmp_path, BESIDE)))
    assert ["stated" in bar for bar in document["bars"]] == [False] * 3
    assert {q["stated"] for q in document["groups"][0]["quantities"].values()} == {False}


def test_the_page_marks_stated_figures(tmp_path: Path) -> None:
    sheets = read(tmp_path, ALONE)
    page = report_pages(analyse(sheets), date(2026, 3, 14))["torvan.html"]
    assert "Total linear shrinkage, as stated" in page
    assert "The sheet states these percentages; no readings give them, so they cannot be checked." in page
    assert page.count(">as the sheet states it<") == 2
    assert page.count("as stated: total linear shrinkage and water absorption") == 3


def test_ambiguous_percentages_ask_in_the_form_that_answers(tmp_path: Path) -> None:
    rows = [["bar", "clay", "cone", "Shrinkage"], *(row[:4] for row in ALONE[1:])]
    (asked,) = [f for f in read(tmp_path, rows).findings if f.code == "heading-in-doubt"]
    assert asked.remedy == 'Say which, as in --as "Shrinkage=total_shrinkage", or write that above the column.'
    answered = analyse(read(tmp_path, rows, said_by(["Shrinkage=total_shrinkage"], [])))
    assert answered.groups[0].quantities["total_shrinkage"].mean == pytest.approx(11.2)


@pytest.mark.parametrize("sheet", [ALONE, BESIDE], ids=["alone", "beside readings"])
def test_the_clean_workbook_says_the_same(sheet: list[list[Any]], tmp_path: Path) -> None:
    told_of = analyse(read(tmp_path, sheet))
    (tmp_path / "clean.xlsx").write_bytes(clean_workbook(clean(tmp_path / "own.xlsx", Said())))
    again = analyse(read_sheets([tmp_path / "clean.xlsx"]))
    assert (again.groups, again.programmes, again.answers) == (told_of.groups, told_of.programmes, told_of.answers)


def test_figures_that_the_readings_give_are_passed_over(tmp_path: Path) -> None:
    sheets = read(tmp_path, BESIDE)
    assert told(sheets) == []
    assert sheets.cells[0].set_aside == {"heading not read": 1, "computed column": 3}


@pytest.mark.parametrize("figures", [[5.96, 6.28, 5.74], [6.0, 6.0, 6.0]], ids=["of the dry length", "of drying"])
def test_a_shrinkage_of_an_unknown_kind_is_what_the_readings_say(figures: list[float], tmp_path: Path) -> None:
    assert told(read(tmp_path, with_column(BESIDE, ["Shrinkage %", *figures]))) == []


def test_a_figure_beyond_rounding_is_asked_about_by_its_cell(tmp_path: Path) -> None:
    sheets = read(tmp_path, with_column(BESIDE, ["total shrinkage %", 11.6, 12.9, 11.4]))
    (asked,) = [f for f in sheets.findings if f.code == "stated-differs"]
    assert (asked.level, asked.cell) == ("ask", "tests!G3")
    assert asked.sentence == (
        "In tests!G3 the total linear shrinkage is stated as 12.9 %, and the readings give 11.90 %; the readings are"
        " used."
    )
    assert analyse(sheets).bars["total_shrinkage"].tolist() == pytest.approx([11.6, 11.9, 11.4])


def test_a_column_computed_otherwise_is_asked_about_once(tmp_path: Path) -> None:
    bars = [[f"D{i}", "Torvan", "6", 100, 94, 88, 12.4] for i in range(1, 6)]
    sheets = read(tmp_path, [[*BESIDE[0][:-1], "total shrinkage %"], *bars])
    (asked,) = [f for f in sheets.findings if f.code == "stated-differs-often"]
    assert asked.sentence == (
        "The column “total shrinkage %” (tests!G1) differs from the total linear shrinkage that the readings give in 5"
        " of 5 bars, as in tests!G2: 12.4 % stated, 12.00 % from the readings; the readings are used."
    )


def test_what_no_reading_gives_is_stated_beside_readings_of_another_stage(tmp_path: Path) -> None:
    rows = [[*row[:5], row[6]] for row in with_column(BESIDE, ["total shrinkage %", 11.6, 11.9, 11.4])]
    results = analyse(read(tmp_path, rows))
    quantities = results.groups[0].quantities
    assert (quantities["drying_shrinkage"].stated, quantities["total_shrinkage"].stated) == (False, True)


def test_a_column_may_be_of_what_is_stated_though_another_meaning_is_measured(tmp_path: Path) -> None:
    rows = [[*row[:5], row[6]] for row in BESIDE]
    assert ("heading-in-doubt", "tests!F1") in told(read(tmp_path, rows))


def test_a_cell_shown_as_a_percentage_is_read_as_it_is_shown(tmp_path: Path) -> None:
    rows = [ALONE[0], *([*row[:3], row[3] / 100, row[4] / 100] for row in ALONE[1:])]
    sheets = read(tmp_path, rows, shown="0.0%")
    assert analyse(sheets).bars["total_shrinkage"].tolist() == pytest.approx([11.4, 11.3, 10.9])


def test_stated_values_beyond_the_limits_are_asked_about_or_refused(tmp_path: Path) -> None:
    sheets = read(tmp_path, with_column(with_column(ALONE, ["x", 2.6, 2.5, 2.5]), ["absorption %", 2.6, 36, 500]))
    assert ("stated-beyond-clay", "tests!E3") in told(sheets)
    assert ("stated-impossible", "tests!E4") in told(sheets)
    assert analyse(sheets).groups[0].quantities["absorption"].n == 2


def test_a_column_of_ours_may_state_what_the_readings_of_some_bars_give(tmp_path: Path) -> None:
    heads = ["bar", "body", "firing", "wet length (mm)", "fired length (mm)", "stated total shrinkage (%)"]
    rows = [heads, ["A1", "Torvan", "F1", 100, 88, 12.0], ["A2", "Torvan", "F1", 100, 88.2, 13.0]]
    (tmp_path / "ours.csv").write_text(
        "\n".join(",".join(map(str, row)) for row in [*rows, ["A3", "Torvan", "F1", "", "", 12.1]]), encoding="utf-8"
    )
    sheets = read_sheets([tmp_path / "ours.csv"])
    assert told(sheets) == [("stated-differs", "Bars!F3"), ("taken-as-stated", "Bars!F4")]
    assert analyse(sheets).bars["stated"].tolist() == [(), (), ("total_shrinkage",)]
    assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)


def test_copies_of_a_sheet_of_percentages_count_once(tmp_path: Path) -> None:
    read(tmp_path, ALONE)
    (tmp_path / "copy.csv").write_text("\n".join(",".join(map(str, row)) for row in ALONE), encoding="utf-8")
    sheets = read_sheets([tmp_path / "own.xlsx", tmp_path / "copy.csv"])
    assert analyse(sheets).groups[0].quantities["total_shrinkage"].n == 3


def test_a_stated_value_that_stands_out_points_to_no_reading(tmp_path: Path) -> None:
    odd = [[f"D{i}", "Torvan", "6", 11.0 + 0.1 * (i % 3), 2.5] for i in range(10)]
    odd[4][3] = 14.0
    (group,) = analyse(read(tmp_path, [ALONE[0], *odd])).groups
    (flagged,) = group.quantities["total_shrinkage"].flagged
    assert (flagged.bar, flagged.odd_reading) == ("D4", None)
