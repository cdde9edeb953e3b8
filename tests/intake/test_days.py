"""The days on which bars were measured: read in every form, told where odd, kept, and shown on the certificate."""

import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

import bodytest
from bodytest.cleaning import clean
from bodytest.export.document import to_document, to_json
from bodytest.export.reader import read_results
from bodytest.intake.layouts.said import Said
from bodytest.report.pages import early_date
from bodytest.report.sections.audit import audit_section
from bodytest.report.wording import Voice, english
from bodytest.tables import CheckedSheets

HEADINGS = [
    "bar",
    "body",
    "batch",
    "firing",
    "wet date",
    "wet length (mm)",
    "Dry_Date",
    "dry length (mm)",
    "fired length (mm)",
]
Row = list[Any]


def rows(*days: Any) -> list[Row]:
    """Return a bar for each date, dried a week later."""
    dry = "2026-05-10"
    return [
        [f"A{i}", "Marl Red", "M1", "F1", day, 100 + i / 10, dry, 94 + i / 10, 88 + i / 10]
        for i, day in enumerate(days)
    ]


def read(path: Path, *tables: list[Row]) -> CheckedSheets:
    book = openpyxl.Workbook()
    for tab in book.worksheets:
        book.remove(tab)
    for name, lines in zip(("Bars", "Firings"), tables, strict=False):
        tab = book.create_sheet(name)
        for line in lines:
            tab.append(line)
    book.save(path)
    return bodytest.read_sheets([path])


def told(sheets: CheckedSheets) -> list[str]:
    return [found.sentence for found in sheets.findings if found.level != "note"]


def wet_dates(sheets: CheckedSheets) -> list[str]:
    return list(bodytest.analyse(sheets).to_frame("bars")["wet_date"])


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        (datetime.datetime(2026, 5, 3), "2026-05-03"),
        ("2026-05-03", "2026-05-03"),
        ("3.5.2026", "2026-05-03"),
        ("3 May 2026", "2026-05-03"),
        ("25/12/2025", "2025-12-25"),
        ("–", ""),
        ("", ""),
    ],
)
def test_a_date_is_read_in_every_form_in_which_firings_have_theirs(tmp_path: Path, typed: Any, day: str) -> None:
    sheets = read(tmp_path / "a.xlsx", [HEADINGS, *rows(typed, "2026-05-02")])
    assert told(sheets) == []
    assert wet_dates(sheets) == [day, "2026-05-02"]


def test_the_account_of_cells_holds_with_dates_of_every_kind(tmp_path: Path) -> None:
    sheets = read(tmp_path / "a.xlsx", [HEADINGS, *rows("2026-05-03", "-", "3/4/2026", "3/4/2026", "2026-05-20", " ")])
    (one,) = sheets.cells
    assert told(sheets) == [
        "“3/4/2026” in Bars!E4 cannot be told as a date (so in 1 further row); the readings were used without it.",
        "The wet date of the bar A4, 2026-05-20 in Bars!E6, lies after the dry date, 2026-05-10 in Bars!G6."
        " Neither is used.",
    ]
    assert (one.named, one.set_aside) == (4, {"dash for nothing": 1, "only blanks": 1})
    assert one.filled == one.used + one.named + 2
    assert wet_dates(sheets) == ["2026-05-03", "", "", "", "", ""]


def test_a_date_merged_over_bars_is_that_of_each(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    read(path, [HEADINGS, *rows("2026-05-03", "", "")])
    book = openpyxl.load_workbook(path)
    book["Bars"].merge_cells("E2:E4")
    book.save(path)
    sheets = bodytest.read_sheets([path])
    assert (told(sheets), wet_dates(sheets)) == ([], ["2026-05-03"] * 3)


def test_a_bar_of_several_marks_has_one_date_and_two_that_differ_are_told(tmp_path: Path) -> None:
    heads = ["bar", "body", "batch", "firing", "mark", "wet date", "wet length (mm)"]
    bars = [["A1", "Marl Red", "M1", "", 1, "2026-05-03", 100], ["A1", "Marl Red", "M1", "", 2, "", 60]]
    bars += [["A2", "Marl Red", "M1", "", 1, "2026-05-03", 100], ["A2", "Marl Red", "M1", "", 2, "2026-05-04", 60]]
    sheets = read(tmp_path / "a.xlsx", [heads, *bars])
    assert told(sheets) == [
        "The bar A2 has the wet date 2026-05-04 in Bars!F5 and 2026-05-03 in Bars!F4; neither is used."
    ]
    assert wet_dates(sheets) == ["2026-05-03", ""]


def test_a_bar_fired_again_keeps_the_dates_from_before_its_firing(tmp_path: Path) -> None:
    again = ["A0", "Marl Red", "M1", "F2", "", "", "", "", 87.0]
    sheets = read(tmp_path / "a.xlsx", [HEADINGS, *rows("2026-05-20"), again])
    assert told(sheets) == [
        "The wet date of the bar A0, 2026-05-20 in Bars!E2, lies after the dry date, 2026-05-10 in Bars!G2."
        " Neither is used."
    ]
    kept = read(tmp_path / "b.xlsx", [HEADINGS, *rows("2026-05-03"), again])
    assert (told(kept), wet_dates(kept)) == ([], ["2026-05-03", "2026-05-03"])


def test_states_of_one_sheet_complete_each_others_dates_and_a_contradiction_is_told(tmp_path: Path) -> None:
    march, april = tmp_path / "march.xlsx", tmp_path / "april.xlsx"
    read(march, [HEADINGS, *rows("2026-05-03", "", "2026-05-03")])
    read(april, [HEADINGS, *rows("2026-05-03", "2026-05-04", "2026-05-05")])
    sheets = bodytest.read_sheets([march, april])
    assert wet_dates(sheets) == ["2026-05-03", "2026-05-04", ""]
    assert len([one for one in sheets.findings if one.code == "copies-contradict"]) == 2


def test_dates_alone_never_make_other_bars_the_same(tmp_path: Path) -> None:
    first = [[*row[:5], row[5], row[6], "", ""] for row in rows("2026-05-03", "2026-05-03")]
    second = [[*row[:5], "", row[6], row[7], ""] for row in rows("2026-05-03", "2026-05-03")]
    for row in second:
        row[0] = f"B{row[0]}"
    read(tmp_path / "a.xlsx", [HEADINGS, *first])
    read(tmp_path / "b.xlsx", [HEADINGS, *second])
    assert len(bodytest.read_sheets([tmp_path / "a.xlsx", tmp_path / "b.xlsx"]).bars) == 4


def test_a_bar_left_out_from_a_stage_on_loses_its_dates_from_there(tmp_path: Path) -> None:
    sheets = read(tmp_path / "a.xlsx", [[*HEADINGS, "leave out"], [*rows("2026-05-03")[0], "dry: cracked"]])
    assert "dry length 94 mm, fired length 88 mm, dry date 2026-05-10" in sheets.findings[0].sentence
    assert sheets.bars["dry_date_day"].isna().all()


def test_the_results_document_holds_the_dates_and_none_where_no_sheet_has_any(tmp_path: Path) -> None:
    results = bodytest.analyse(read(tmp_path / "a.xlsx", [HEADINGS, *rows("2026-05-03", "")]))
    told_of = [bar["dates"] for bar in to_document(results)["bars"]]
    assert told_of == [
        {"wet_date": "2026-05-03", "dry_date": "2026-05-10"},
        {"wet_date": None, "dry_date": "2026-05-10"},
    ]
    (tmp_path / "results.json").write_text(to_json(results), encoding="utf-8")
    again = read_results(tmp_path / "results.json")
    assert [bar["dates"] for bar in to_document(again)["bars"]] == told_of
    undated = [row[:4] + row[5:6] + row[7:] for row in [HEADINGS, *rows("")]]
    bare = bodytest.analyse(read(tmp_path / "b.xlsx", undated))
    assert "dates" not in to_document(bare)["bars"][0]


def test_a_clean_workbook_keeps_the_dates(tmp_path: Path) -> None:
    read(tmp_path / "a.xlsx", [HEADINGS, *rows(datetime.datetime(2026, 5, 3), "3.5.2026", "3/4/2026")])
    heads, *bars = clean(tmp_path / "a.xlsx", Said()).tables["Bars"]
    assert [row[heads.index("wet date")] for row in bars] == ["2026-05-03", "2026-05-03", "3/4/2026"]


def test_the_certificate_tells_when_each_stage_was_measured_of_the_bars_that_count(tmp_path: Path) -> None:
    bars = rows("2026-05-03", "2026-05-04", "2026-04-01")
    heads = [*HEADINGS, "leave out"]
    firings = [["firing", "cone", "date"], ["F1", "04", "2026-05-12"]]
    sheets = read(tmp_path / "a.xlsx", [heads, *([*bar, "fell" if bar[0] == "A2" else ""] for bar in bars)], firings)
    results = bodytest.analyse(sheets)
    today = datetime.date(2026, 11, 28)
    section = audit_section(Voice(english(), "."), results, results.groups, today, ("a", "b"), departs=False)
    (said,) = (row[2] for row in section["checklist"].rows if str(row[0].text).startswith("Dates of the work"))
    assert said.text == "fired 2026-05-12; measured wet 2026-05-03 to 2026-05-04, dry 2026-05-10"


def test_a_report_dated_before_bars_were_measured_is_asked_about(tmp_path: Path) -> None:
    results = bodytest.analyse(read(tmp_path / "a.xlsx", [HEADINGS, *rows("2026-05-03")]))
    (found,) = early_date(results, datetime.date(2026, 5, 9))
    assert (found.level, found.sentence) == (
        "ask",
        "The report is dated 2026-05-09, but bars were measured until 2026-05-10.",
    )
    assert early_date(results, datetime.date(2026, 5, 10)) == []


def test_firings_in_another_workbook_are_named_with_their_file(tmp_path: Path) -> None:
    bars, kiln = tmp_path / "a.xlsx", tmp_path / "kiln.xlsx"
    read(bars, [HEADINGS, *rows("2026-05-03", "2026-05-03")])
    read(kiln, [["bar", "body", "wet length (mm)"], ["Z1", "Other", 100]], [["firing", "date"], ["F1", "2026-05-09"]])
    sheets = bodytest.read_sheets([bars, kiln])
    (found,) = (one for one in sheets.findings if one.level == "stop")
    assert found.sentence == (
        "The dry date of the bar A0, 2026-05-10 in Bars!G2, lies after the firing F1, 2026-05-09 in kiln.xlsx,"
        " Firings!B2 (so in 1 further row). The date of the bar is not used."
    )
