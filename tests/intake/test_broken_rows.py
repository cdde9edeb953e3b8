"""Commas in doubt, stray quotation marks, short rows, and cones that may have lost their zero."""

from pathlib import Path

import pytest

from bodytest.findings import Finding
from bodytest.reading import read_sheets
from tests.broken_sheets import make

HEAD = "bar;body;firing;wet length (mm);fired length (mm);dry mass (g);fired mass (g);notes\n"


def told(path: Path, content: str | bytes, *codes: str) -> list[Finding]:
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return [f for f in read_sheets([path]).findings if f.code in codes]


def table(*masses: str, length: str = "100", sign: str = ";") -> str:
    rows = [f"A{i};Marl Red;F1;{length};88;{mass};{mass};" for i, mass in enumerate(masses)]
    return (HEAD + "\n".join(rows) + "\n").replace(";", sign)


def test_a_column_of_lone_commas_before_three_digits_is_asked_about_once(tmp_path: Path) -> None:
    found = told(tmp_path / "a.csv", table("1,200", "1,310", "1,250"), "comma-in-doubt")
    assert [(f.cell, f.value, f.level) for f in found] == [("Bars!F2", "1,200", "ask"), ("Bars!G2", "1,200", "ask")]
    assert found[0].sentence == (
        "“1,200” in Bars!F2 (dry mass) was read as 1.200, with a decimal comma; it may mean 1200."
        " Cells like it in this column: 3."
    )


@pytest.mark.parametrize(
    "masses", [("45,123", "45,12"), ("45,123", "44,1"), ("45,123", "0,123"), ("45,123", "1045,123")]
)
def test_a_decimal_comma_with_other_digits_settles_it(tmp_path: Path, masses: tuple[str, ...]) -> None:
    path = tmp_path / "a.csv"
    assert told(path, table(*masses), "comma-in-doubt") == []
    assert read_sheets([path]).bars["dry_mass_g"].tolist() == [float(m.replace(",", ".")) for m in masses]


def test_a_decimal_comma_in_another_column_settles_it(tmp_path: Path) -> None:
    assert told(tmp_path / "a.csv", table("45,123", "45,201", length="99,5"), "comma-in-doubt") == []
    assert told(tmp_path / "a.csv", table("45,123", "45,201", length="99.5"), "comma-in-doubt") != []


@pytest.mark.parametrize("count", [2, 900])
def test_texts_in_a_workbook_and_long_columns_are_asked_about_too(tmp_path: Path, count: int) -> None:
    rows = [
        [*make.HEADINGS[:5], "dry mass (g)"],
        *([f"A{i}", "Marl Red", "M1", "F1", "", "1,200"] for i in range(count)),
    ]
    (found,) = told(tmp_path / "a.xlsx", make.workbook_of({"Bars": rows}), "comma-in-doubt")
    assert (found.cell, f"column: {count}." in found.sentence) == ("Bars!F2", True)


SHORT = ("row-short", "quote-stray", "quote-never-closed")


def comma_table(*rows: str) -> str:
    return "bar,body,firing,wet length (mm),fired length (mm),notes\n" + "".join(f"{row}\n" for row in rows)


@pytest.mark.parametrize(
    ("broken", "code"),
    [
        ('"a,"X,F1,100.1,88.1,', "quote-stray"),
        ('"a",X,"F1,"100.1,88.1,', "quote-stray"),
        ("a,F1,100.1,88.1,", "row-short"),
        ('"a,X",F1,100.1,88.1,', "row-short"),
        ('a,X,F1,100.1,88.1,"never closed', "quote-never-closed"),
    ],
)
def test_a_row_whose_cells_may_have_moved_is_asked_about(tmp_path: Path, broken: str, code: str) -> None:
    content = comma_table("A1,X,F1,100.2,88.2,", "A2,X,F1,100.3,88.1,well", broken)
    (found,) = told(tmp_path / "a.csv", content, *SHORT)
    assert (found.code, found.cell) == (code, "Bars!A4")


@pytest.mark.parametrize(
    "rows",
    [
        ("A1,X,F1,100.2,88.2", "A2,X,F1,100.3,88.1"),
        ("A1,X,F1,100.2,88.2,well", "A2,X,F1,100.3,88.1", "A3,X,F1,100.3,88.1"),
        ('A1,X,F1,100.2,88.2,"two\nlines, and ""quoted"""', "A2,X,F1,100.3,88.1,"),
        ('A1,X,F1,100.2,88.2,7" bar', "A2,X,F1,100.3,88.1,"),
        ("A1,X,F1,100.2,88.2,", "", "A2,X,F1,100.3,88.1,", "all by the same hand"),
    ],
)
def test_blank_ends_and_sound_quotation_marks_are_left_alone(tmp_path: Path, rows: tuple[str, ...]) -> None:
    assert told(tmp_path / "a.csv", comma_table(*rows), *SHORT) == []


def test_a_quotation_mark_that_swallows_a_long_file_is_told_and_breaks_nothing(tmp_path: Path) -> None:
    bars = [f"A{i},X,F1,100.{i % 9},88.{i % 7}," for i in range(20_000)]
    content = comma_table(*bars[:200], '"B,X,F1,100.2,88.2,', *bars[200:])
    (found,) = told(tmp_path / "a.csv", content, *SHORT)
    assert (found.code, found.cell, found.level) == ("quote-never-closed", "Bars!A202", "stop")


def firings(cone: object, peak: object = "") -> bytes:
    rows = [["firing", "cone", "peak temperature (°C)"], ["F1", cone, peak], ["F2", cone, peak]]
    return make.book_with(Firings=rows)


def test_a_cone_that_is_a_number_without_a_temperature_is_noted_once(tmp_path: Path) -> None:
    (found,) = told(tmp_path / "a.xlsx", firings(6), "cone-without-zero")
    assert (found.level, found.cell) == ("ask", "Firings!B2")
    assert found.sentence == (
        "Firings!B2 holds the number 6, and no temperature beside it tells which cone is meant:"
        " read as cone 6, not 06. Firings like it in this table: 2."
    )


@pytest.mark.parametrize(("cone", "peak"), [("6", ""), ("06", ""), (6, 1222), ("", "")])
def test_a_cone_that_is_text_or_has_a_temperature_is_not_noted(tmp_path: Path, cone: object, peak: object) -> None:
    assert told(tmp_path / "a.xlsx", firings(cone, peak), "cone-without-zero") == []
