"""States of one sheet given together count once; what they contradict is not used; other bars stay other bars."""

import random
from pathlib import Path
from typing import Any

import pytest

from bodytest.analysis.analysing import analyse
from bodytest.cli.watch import Watched
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.broken_sheets import make
from tests.grids.crafted import crafted_ods, ods_number, ods_row, ods_text
from tests.intake.counted_cells import counted_cells

Rows = list[list[Any]]


def read(folder: Path, *files: tuple[str, bytes]) -> CheckedSheets:
    """Write files into a folder and read them together, in the order given."""
    for name, content in files:
        (folder / name).write_bytes(content)
    sheets = read_sheets([folder / name for name, _ in files])
    for name, _ in files:
        mine = [b for b in sheets.cells if b.sheet == name]
        assert {b.table: b.filled for b in mine} == counted_cells(folder / name)
        assert [b for b in mine if b.used + b.named + sum(b.set_aside.values()) != b.filled] == []
    return sheets


def told(sheets: CheckedSheets, code: str) -> list[str]:
    return [f.sentence for f in sheets.findings if f.code == code]


def columns(rows: Rows, *headings: str) -> Rows:
    """Return some columns of the rows."""
    return [[row[make.HEADINGS.index(h)] for h in headings] for row in rows]


def measured_again(seed: int, step: float = 0.1) -> Rows:
    """Return bars with the codes of the good ones that were measured in another test."""
    chance = random.Random(seed)
    rows = make.good_bars()
    for row in rows[1:]:
        for place in range(6, 16):
            decimals, size = (1, step) if place < 10 else (2, 0.01)
            row[place] = round(round(row[place] * (1 + chance.gauss(0, 0.003)) / size) * size, decimals)
    return rows


def results_of(sheets: CheckedSheets) -> dict[str, Any]:
    (group,) = analyse(sheets).groups
    return {"bars": group.bars, **{key: (q.n, q.mean, q.low, q.high) for key, q in group.quantities.items()}}


@pytest.mark.parametrize("copy_first", [True, False])
def test_last_weeks_copy_counts_once_and_the_later_one_adds_its_readings(tmp_path: Path, copy_first: bool) -> None:
    now = ("trial.xlsx", make.book_with())
    before = ("last-week.xlsx", make.workbook_of({"Bars": make.without("boiled mass (g)", "suspended mass (g)")}))
    both = read(tmp_path, *((before, now) if copy_first else (now, before)))
    alone = read_sheets([tmp_path / "trial.xlsx"])
    assert results_of(both) == results_of(alone)
    adds = "boiled mass (10), suspended mass (10)" if copy_first else "nothing"
    later, first = ("trial.xlsx", "last-week.xlsx") if copy_first else ("last-week.xlsx", "trial.xlsx")
    assert told(both, "state-of-a-sheet") == [
        f"{later} (Bars) is another state of {first}: bars that stand in both count once (10). It adds: {adds}."
    ]
    assert [f for f in both.findings if f.level != "note"] == []


def test_the_same_sheet_saved_as_text_counts_once_also_with_figures_rounded_for_display(tmp_path: Path) -> None:
    fine = make.good_bars()
    for number, row in enumerate(fine[1:]):
        row[8] = round(row[8] + 0.04 * (number % 2), 2)
    shown = make.good_bars()
    both = read(tmp_path, ("sheet.csv", make.text_of(shown)), ("trial.xlsx", make.book_with(Bars=fine)))
    assert results_of(both) == results_of(read_sheets([tmp_path / "trial.xlsx"]))
    assert {f.code for f in both.findings} == {"state-of-a-sheet"}


def test_the_same_sheet_saved_as_opendocument_counts_once(tmp_path: Path) -> None:
    rows = make.good_bars()
    saved = crafted_ods(
        "".join(ods_row(*(ods_text(v) if isinstance(v, str) else ods_number(v) for v in r)) for r in rows)
    )
    both = read(tmp_path, ("trial.xlsx", make.workbook_of({"Bars": rows})), ("trial.ods", saved))
    assert results_of(both) == results_of(read_sheets([tmp_path / "trial.xlsx"]))
    assert told(both, "state-of-a-sheet") == [
        "trial.ods (Bars) is another state of trial.xlsx: bars that stand in both count once (10). It adds: nothing."
    ]


def test_a_phones_readings_are_joined_without_body_batch_and_firing(tmp_path: Path) -> None:
    rows = make.good_bars()
    before = make.without("boiled mass (g)", "suspended mass (g)", "cold-soaked mass (g)")
    phone = columns(rows, "bar", "fired mass (g)", "boiled mass (g)", "suspended mass (g)", "cold-soaked mass (g)")
    both = read(tmp_path, ("phone.csv", make.text_of(phone)), ("trial.xlsx", make.book_with(Bars=before)))
    (tmp_path / "whole.xlsx").write_bytes(make.book_with())
    assert results_of(both) == results_of(read_sheets([tmp_path / "whole.xlsx"]))
    assert set(both.bars["firing"]) == {"F1"}


def test_a_contradiction_stops_on_both_cells_and_the_rest_is_joined(tmp_path: Path) -> None:
    other = make.changed((3, "dry length (mm)", 93.1))
    both = read(tmp_path, ("a.xlsx", make.book_with()), ("b.xlsx", make.workbook_of({"Bars": other})))
    assert len(both.bars) == 10
    assert both.marks["dry_length_mm"].isna().tolist() == [number == 2 for number in range(10)]
    assert [(f.sheet, f.cell, f.sentence) for f in both.findings if f.level == "stop"] == [
        ("a.xlsx", "Bars!I4", "The bar A3 has the dry length 94.1 mm in a.xlsx, Bars!I4 and 93.1 mm in b.xlsx,"
         " Bars!I4; neither is used."),
        ("b.xlsx", "Bars!I4", "The bar A3 has the dry length 93.1 mm in b.xlsx, Bars!I4 and 94.1 mm in a.xlsx,"
         " Bars!I4; neither is used."),
    ]  # fmt: skip


def test_a_column_put_right_in_a_copy_is_a_contradiction_and_no_other_bars(tmp_path: Path) -> None:
    other = make.good_bars()
    for row in other[1:]:
        for place in (10, 11, 12, 14):
            row[place] = round(row[place] + 0.07, 2)
    both = read(tmp_path, ("a.xlsx", make.book_with()), ("b.xlsx", make.workbook_of({"Bars": other})))
    assert len(both.bars) == 10
    assert len(told(both, "copies-contradict")) == 2 * 10 * 4


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("step", [0.1, 0.5])
def test_other_bars_with_the_same_codes_stay_other_bars(tmp_path: Path, seed: int, step: float) -> None:
    files = [(f"{n}.csv", make.text_of(measured_again(100 * seed + n, step))) for n in range(2)]
    both = read(tmp_path, *files)
    assert len(both.bars) == 20
    assert {f.code for f in both.findings} & {"state-of-a-sheet", "copies-contradict", "bars-in-two-sheets"} == set()


def test_control_bars_copied_into_another_sheet_are_joined_and_the_others_are_not(tmp_path: Path) -> None:
    control = [[f"C{n}", "Control", *row[2:]] for n, row in enumerate(make.good_bars(4)[1:])]
    files = [(f"{n}.csv", make.text_of([*measured_again(n), *control])) for n in range(2)]
    assert read(tmp_path, *files).bars["body"].value_counts().to_dict() == {"Marl Red": 20, "Control": 4}


def test_a_bar_fired_again_since_the_copy_keeps_both_firings(tmp_path: Path) -> None:
    before = make.changed((1, "firing", ""), (1, "fired length (mm)", ""), (1, "fired mass (g)", ""))
    again = make.good_bars()
    again.append(["A1", "Marl Red", "M1", "F2", "along", "", "", "", "", 87.9, *[""] * 8])
    both = read(tmp_path, ("before.csv", make.text_of(before)), ("now.csv", make.text_of(again)))
    mine = both.bars[both.bars["bar"] == "A1"]
    assert mine["firing"].tolist() == ["F1", "F2"]
    assert both.marks["wet_length_mm"][both.marks["bar_row"].isin(mine.index)].tolist() == [100.0, 100.0]


def test_firings_lab_and_pieces_of_two_states_are_put_together(tmp_path: Path) -> None:
    bare = [make.FIRINGS[0], ["F1", *[""] * 7]]
    pieces = make.edited(make.PIECES, 1, make.PIECES[0].index("fired size (mm)"), "")
    before = make.workbook_of({"Bars": make.good_bars(), "Firings": bare, "Pieces": pieces})
    both = read(tmp_path, ("before.xlsx", before), ("now.xlsx", make.book_with()))
    now = read_sheets([tmp_path / "now.xlsx"])
    assert both.firings["peak_temperature_c"].tolist() == [1221.0, 1221.0]
    assert both.pieces.drop(columns="sheet").equals(now.pieces.drop(columns="sheet"))
    assert [s.lab.absorption_method for s in both.sheets] == ["boil 5 h and soak 24 h"] * 2
    assert {(s.lab.length_step_mm, s.lab.length_step_inferred) for s in both.sheets} == {(0.1, False)}
    assert results_of(both) == results_of(now)


def test_what_one_state_says_of_a_bar_is_taken_and_what_they_say_differently_is_asked(tmp_path: Path) -> None:
    left_out = make.changed((2, "leave out", "cracked"), (4, "direction", "across"))
    both = read(tmp_path, ("a.csv", make.text_of(make.good_bars())), ("b.csv", make.text_of(left_out)))
    assert both.bars["left_out"].tolist()[1] == "cracked"
    assert told(both, "copies-told-differently") == [
        "The direction of the bar A4 is “across” in Bars!E5 of b.csv and “along” in a.csv, Bars!E5;"
        " the latter was used."
    ]


def test_marks_of_one_bar_are_joined_by_their_numbers(tmp_path: Path) -> None:
    head = ["bar", "body", "firing", "mark", "dry length (mm)", "fired length (mm)"]
    rows = [
        [f"A{n}", "Marl Red", "F1", m, 94.1 + n / 10 + m / 5, 88.2 + n / 7 + m / 9] for n in range(3) for m in (1, 2)
    ]
    before = [row[:5] for row in [head, *rows]]
    both = read(tmp_path, ("before.csv", make.text_of(before)), ("now.csv", make.text_of([head, *rows])))
    assert (len(both.bars), len(both.marks)) == (3, 6)
    assert both.marks["fired_length_mm"].notna().all()


def test_a_watched_folder_of_dated_copies_counts_each_bar_once(tmp_path: Path) -> None:
    rows = make.good_bars()
    for day, count in (("02", 4), ("09", 7), ("16", 11)):
        (tmp_path / f"2026-03-{day}.xlsx").write_bytes(make.workbook_of({"Bars": rows[:count]}))
    sheets = read_sheets(Watched(tmp_path, tmp_path / "report").sheets())
    assert len(sheets.bars) == 10
    assert told(sheets, "state-of-a-sheet")[-1].endswith("count once (6). It adds: bars of its own (A7, A8, A9, A10).")


TITLE = [["Readings typed for trial.csv"]]


def test_typed_readings_that_say_whose_they_are_are_joined_though_nothing_else_shows_it(tmp_path: Path) -> None:
    wet = make.text_of(columns(make.good_bars(), "bar", "body", "firing", "wet length (mm)"))
    dry = make.text_of(TITLE + columns(make.good_bars(), "bar", "dry length (mm)"))
    fired = make.text_of(TITLE + columns(make.good_bars(), "bar", "fired length (mm)"))
    others = make.text_of(columns(measured_again(3), "bar", "body", "firing", "dry mass (g)"))
    files = (("fired.csv", fired), ("trial.csv", wet), ("dry.csv", dry), ("others.csv", others))
    sheets = read(tmp_path, *files)
    assert len(sheets.bars) == 20  # those of trial.csv with what was typed, and those of others.csv
    mine = sheets.bars[sheets.bars["sheet"] < 3]
    assert mine["body"].tolist() == ["Marl Red"] * 10
    marks = sheets.marks[sheets.marks["bar_row"].isin(mine.index)]
    assert marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].notna().all(axis=None)
    assert told(sheets, "joined-by-name") + told(sheets, "typed-for-another") == []


def test_a_typed_reading_that_contradicts_its_sheet_is_told_and_makes_no_other_bar(tmp_path: Path) -> None:
    one = columns(make.good_bars(), "bar", "body", "firing", "dry length (mm)")[:2]
    typed = make.text_of([*TITLE, ["bar", "dry length (mm)"], ["A1", one[1][3] + 0.5]])
    sheets = read(tmp_path, ("trial.csv", make.text_of(one)), ("typed.csv", typed))
    assert len(sheets.bars) == 1
    assert len(told(sheets, "copies-contradict")) == 2
