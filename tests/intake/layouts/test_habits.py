"""Habits of people who keep their own sheets: repeats, marks and bars named in headings, names in rows of their own."""

import datetime
import statistics
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from bodytest.grids.grid import Place
from bodytest.intake.layouts.headings import meaning, split_unit
from bodytest.intake.layouts.legends import Entry, explained
from bodytest.intake.layouts.named_bars import of_all
from bodytest.intake.layouts.said import said_by
from bodytest.intake.layouts.titles import read_title
from bodytest.intake.layouts.totals import is_total
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.intake.layouts.test_seen_before import HIGH, read, told

STAGES = ["wet (mm)", "dry (mm)", "fired (mm)"]


def named(sheets: CheckedSheets) -> list[list[str]]:
    rows: list[list[str]] = sheets.bars[["bar", "body", "firing"]].to_numpy().tolist()
    return rows


@pytest.mark.parametrize("same", ['"', "″", "ditto", "do.", "Ditto", "DITTO"])
@pytest.mark.parametrize("table", ["Bars", "Spring"])
def test_a_repeat_sign_is_what_stands_above(tmp_path: Path, table: str, same: str) -> None:
    heads = ["bar", "body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
    rows = [heads, ["1", "Torvan", "K1", *HIGH[0]], ["2", same, same, *HIGH[1]], ["3", "Belden", same, *HIGH[2]]]
    assert named(read(tmp_path, **{table: rows})) == [
        ["1", "Torvan", "K1"],
        ["2", "Torvan", "K1"],
        ["3", "Belden", "K1"],
    ]


@pytest.mark.parametrize("same", ['"', "„", "ditto"])
@pytest.mark.parametrize("table", ["Bars", "Spring"])
def test_a_repeat_sign_below_a_reading_is_that_reading(tmp_path: Path, table: str, same: str) -> None:
    heads = ["bar", "body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
    rows = [heads, *([str(k), "Torvan", "K1", same if k else HIGH[0][0], *HIGH[k][1:]] for k in range(3))]
    found = read(tmp_path, **{table: rows})
    assert found.marks["wet_length_mm"].tolist() == [HIGH[0][0]] * 3
    assert not [f.code for f in found.findings if f.level == "stop"]


@pytest.mark.parametrize("table", ["Bars", "Spring"])
def test_a_repeat_sign_below_no_reading_is_no_number(tmp_path: Path, table: str) -> None:
    heads = ["bar", "body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
    rows = [["1", "Torvan", "K1", 100.2, "", 88.4], ["2", "Torvan", "K1", 100.4, '"', 88.6]]
    found = read(tmp_path, **{table: [heads, *rows]})
    assert [f.code for f in found.findings if f.level == "stop"] == ["not-a-number"]


def test_a_repeat_sign_below_nothing_is_accounted_for(tmp_path: Path) -> None:
    rows = [["bar", "body", "firing", "direction", *STAGES], ["1", "Torvan", "K1", "", *HIGH[0]]]
    sheets = read(tmp_path, Bars=[*rows, ["2", "Torvan", "K1", '"', *HIGH[1]]])
    assert sheets.bars["direction"].tolist() == ["", ""]
    assert [f.code for f in sheets.findings if f.level == "stop"] == []


def test_a_repeat_sign_below_a_cone_is_that_cone(tmp_path: Path) -> None:
    rows = [["bar", "clay", "cone", *STAGES], [1, "Torvan", "6", *HIGH[0]], [2, '"', '"', *HIGH[1]]]
    assert named(read(tmp_path, Spring=rows)) == [["1", "Torvan", "cone 6"], ["2", "Torvan", "cone 6"]]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("line A wet mm", "line B wet mm"),
        ("wet A (mm)", "wet B (mm)"),
        ("wet (A) mm", "wet (B) mm"),
        ("wet 1 mm", "wet 2 mm"),
        ("left wet mm", "right wet mm"),
    ],
)
def test_two_lengths_of_a_stage_are_two_marks(one: str, other: str) -> None:
    marks = [meaning(text, "bars") for text in (one, other)]
    assert [mark.key for mark in marks] == ["wet_length"] * 2
    assert marks[0].mark != marks[1].mark
    assert all(mark.mark for mark in marks)


@pytest.mark.parametrize("marks", [("line 1", "line 2"), ("left side", "right side"), ("lower edge", "upper edge")])
def test_marks_merged_over_stages_are_marks(tmp_path: Path, marks: tuple[str, str]) -> None:
    rows: list[list[Any]] = [["Torvan, cone 6, two gauge lines on each bar (mm)"]]
    rows += [["bar", marks[0], None, None, marks[1], None, None], [None, *["wet", "dry", "fired"] * 2]]
    rows += [[i, *one, *other] for i, (one, other) in enumerate(zip(HIGH, reversed(HIGH), strict=True), 1)]
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in rows:
        sheet.append(row)
    sheet.merge_cells("B2:D2")
    sheet.merge_cells("E2:G2")
    book.save(tmp_path / "own.xlsx")
    sheets = read_sheets([tmp_path / "own.xlsx"])
    assert sheets.marks["mark"].tolist() == [mark.split()["line" in mark] for mark in marks] * 3
    assert sheets.marks["wet_length_mm"].tolist()[:2] == [HIGH[0][0], HIGH[2][0]]


def test_lines_as_rows_are_marks(tmp_path: Path) -> None:
    rows = [["bar", "line", "clay", "cone", *STAGES]]
    rows += [[bar, line, "Torvan", "6", *HIGH[line - 1]] for bar in ("1", "2") for line in (1, 2)]
    sheets = read(tmp_path, Spring=rows)
    assert len(sheets.bars) == 2
    assert sheets.marks["mark"].tolist() == ["1", "2", "1", "2"]


def test_bars_as_groups_of_columns_are_bars(tmp_path: Path) -> None:
    heads = ["clay", "cone", *(f"{bar} {stage}" for bar in ("bar 1", "bar 2") for stage in STAGES)]
    rows = [heads, ["Torvan", "6", *HIGH[0], *HIGH[1]], ["Belden", "6", *HIGH[2]]]
    sheets = read(tmp_path, Spring=rows)
    assert sheets.bars["body"].tolist() == ["Torvan", "Torvan", "Belden"]
    assert sheets.marks["fired_length_mm"].tolist() == [bar[2] for bar in HIGH]
    assert [f.code for f in sheets.findings if f.code.startswith("bar")] == []


@pytest.mark.parametrize("names", [("Torvan", "Belden"), ("buff marl", "red marl")])
def test_bodies_alone_in_a_row_name_the_bars_below(tmp_path: Path, names: tuple[str, str]) -> None:
    rows: list[list[Any]] = [["bar", "cone", *STAGES], [names[0]], [1, "6", *HIGH[0]], [2, "6", *HIGH[1]]]
    rows += [[names[1]], [3, "6", *HIGH[2]]]
    sheets = read(tmp_path, Spring=rows)
    assert sheets.bars["body"].tolist() == [names[0], names[0], names[1]]
    asked = [("body-from-title-asked", "Spring!A2"), ("body-from-title-asked", "Spring!A5")]
    assert told(sheets) == ([] if names[0] == "Torvan" else asked)


def test_a_cone_alone_in_a_row_leaves_the_body_above_it(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["bar", *STAGES], ["Torvan"], ["cone 6"], [1, *HIGH[0]], ["cone 8"], [2, *HIGH[1]]]
    assert named(read(tmp_path, Spring=rows)) == [["1", "Torvan", "cone 6"], ["2", "Torvan", "cone 8"]]


def test_labels_beside_their_values_above_the_table_are_read(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["Body", "buff marl"], ["Cone", 6], [], ["bar", *STAGES], [1, *HIGH[0]], [2, *HIGH[1]]]
    assert named(read(tmp_path, Spring=rows)) == [["1", "buff marl", "cone 6"], ["2", "buff marl", "cone 6"]]


@pytest.mark.parametrize("title", [["Torvan, kiln load R8"], ["Clay", "Torvan", "Load", "R8"]])
def test_a_load_above_the_table_is_the_firing(tmp_path: Path, title: list[str]) -> None:
    rows = [title, [], ["bar", *STAGES], [1, *HIGH[0]], [2, *HIGH[1]]]
    sheets = read(tmp_path, Spring=rows)
    assert named(sheets) == [["1", "Torvan", "R8"], ["2", "Torvan", "R8"]]
    assert "heading-missing" not in [f.code for f in sheets.findings]


@pytest.mark.parametrize("text", ["load 12 bars", "load 12.5 kg", "load 2024-05-03", "glaze firing 6", "firing 04"])
def test_a_number_that_may_be_another_is_no_load(text: str) -> None:
    assert read_title(text).firing == ""


def test_a_list_of_firings_beside_the_bars_and_a_code_once_for_two_lines_are_read(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["clay", "load", "bar", "line", *STAGES, "fired g", "boiled g"]]
    for bar, low in enumerate(HIGH, 1):
        first = ["Torvan", f"R{bar}"] if bar < 3 else ["", ""]
        rows += [[*first, bar, "upper", *low, 50.0, 51.0], ["", "", "", "lower", *HIGH[0]]]
    lists = [["load", "cone", "who"], ["R1", "04", "Mo"], ["R2", "6", "Mo"], ["R3", "9", "Mo"]]
    beside = [[*row, *[""] * (10 - len(row)), *(lists[i] if i < 4 else [])] for i, row in enumerate(rows)]
    for sheet in (beside, [*rows, [], *lists], [*rows, [], ["kiln book"], *lists]):
        sheets = read(tmp_path, Spring=sheet)
        assert named(sheets) == [["1", "Torvan", "R1"], ["2", "Torvan", "R2"], ["3", "Torvan", "R2"]]
        assert sheets.firings[["firing", "cone"]].to_numpy().tolist() == [["R1", "04"], ["R2", "6"], ["R3", "9"]]
        assert sheets.marks["wet_length_mm"].tolist() == [w for v in HIGH for w in (v[0], HIGH[0][0])]
        assert told(sheets) == []
        assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)


UNITLESS = [["no.", "wet", "dry", "fired"], *([i, *v] for i, v in enumerate(HIGH, 1))]


@pytest.mark.parametrize(("name", "length", "bars"), [("doorsnee", 100.0, 3), ("doorsnee", 99.8, 4), ("4", 100.0, 4)])
def test_a_word_below_numbered_bars_may_head_rounded_averages(
    tmp_path: Path, name: str, length: float, bars: int
) -> None:
    rows = [["bar", "clay", "cone", *STAGES], *([i, "Torvan", "6", *v] for i, v in enumerate(HIGH, 1))]
    sheets = read(tmp_path, Spring=[*rows, [name, "Torvan", "6", length, 94.0, 87.9]])
    assert len(sheets.bars) == bars
    assert ("averages-of-bars" in [f.code for f in sheets.findings]) == (bars == 3)


def test_labels_with_their_values_may_stand_beside_the_bars(tmp_path: Path) -> None:
    box = [["", ""], ["Clay:", "buff marl"], ["Kiln load", "R8"], ["Units", "mm"]]
    sheets = read(tmp_path, Spring=[[*row, "", "", *pair] for row, pair in zip(UNITLESS, box, strict=True)])
    assert named(sheets) == [[str(i), "buff marl", "R8"] for i in (1, 2, 3)]
    assert told(sheets) == []
    assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)


@pytest.mark.parametrize("below", [["Clay", "buff marl"], ["Clay body", "buff marl", "Fired to", "^8"]])
def test_labels_with_their_values_may_stand_below_the_bars(tmp_path: Path, below: list[str]) -> None:
    rows = [["bar", *STAGES], *UNITLESS[1:], [], below, ["scale", "the small one"]]
    sheets = read(tmp_path, Spring=rows)
    assert named(sheets) == [[str(i), "buff marl", "cone 8" if "^8" in below else ""] for i in (1, 2, 3)]
    assert "not-a-number" not in [f.code for f in sheets.findings]
    assert [f.cell for f in sheets.findings if f.code == "row-without-readings"] == ["Spring!A7"]


@pytest.mark.parametrize("gap", [[], [[]]])
def test_a_bar_that_broke_is_no_remark(tmp_path: Path, gap: list[list[Any]]) -> None:
    rows = [["bar", "clay", *STAGES], *([i, "Torvan", *v] for i, v in enumerate(HIGH, 1))]
    sheets = read(tmp_path, Spring=[*rows, *gap, ["4", "Torvan", "broke", "", ""]])
    assert len(sheets.bars) == 4
    assert "not-a-number" in [f.code for f in sheets.findings]


@pytest.mark.parametrize("text", ["Average (4 bars)", "average:", "Total shrinkage", "std dev (n=4)", "Torvan average"])
def test_a_row_of_averages_may_say_of_what(text: str) -> None:
    assert is_total(text, ["Torvan"])


@pytest.mark.parametrize("text", ["A1", "mean 4", "Mean Xolt", "Torvan", ""])
def test_a_code_is_no_row_of_averages(text: str) -> None:
    assert not is_total(text)


@pytest.mark.parametrize(
    ("heading", "may_be"),
    [
        ("length before drying", ("wet_length", "leather_hard_length")),
        ("weight before glaze firing", ("wet_mass", "dry_mass")),
        ("length before the bisque", ("wet_length", "leather_hard_length", "dry_length")),
    ],
)
def test_before_a_stage_is_not_that_stage(heading: str, may_be: tuple[str, ...]) -> None:
    assert meaning(heading, "bars").may_be == may_be
    assert meaning("dry length before bisque", "bars").key == "dry_length"


@pytest.mark.parametrize("text", ["wet length/mm", "wet length, mm", "wet length:mm", "wet length / mm"])
def test_a_unit_may_stand_after_a_sign(text: str) -> None:
    assert split_unit(text) == ("wet length", "mm")


def test_a_day_that_may_be_two_is_the_one_that_stands_in_another_cell(tmp_path: Path) -> None:
    days = ["2023-03-04", "4 March 23", "4/3/23", "04.03.2023"]
    rows = [["bar", "clay", "date fired", *STAGES], *([i, "Torvan", day, *HIGH[0]] for i, day in enumerate(days, 1))]
    sheets = read(tmp_path, Spring=rows)
    assert sheets.bars["firing"].tolist() == ["2023-03-04"] * 4
    assert "date-unclear" not in [f.code for f in sheets.findings]


def test_stages_above_days_are_days_and_a_mix_with_a_name_is_a_body(tmp_path: Path) -> None:
    heads = ["rolled on", "out of kiln", "mix", "bar", "temp °C", *(f"{h} mm" for h in ("wet", "dry", "fired"))]
    heads += ["fired g", "boiled g"]
    days = ["late March", "2 April 2024", "Torvan"], ["28 March", "2 April", "Torvan"], ["", "9 April 2024", "Torvan"]
    rows = [[*day, i, 1180, *v, 51.0, 52.5] for i, (day, v) in enumerate(zip(days, HIGH, strict=True), 1)]
    sheets = read(tmp_path, Spring=[heads, *rows])
    assert named(sheets) == [
        ["1", "Torvan", "1180 °C 2024-04-02"],
        ["2", "Torvan", "1180 °C 2024-04-02"],
        ["3", "Torvan", "1180 °C 2024-04-09"],
    ]
    assert sheets.bars[["wet_mass_g", "fired_mass_g"]].fillna(0.0).to_numpy().tolist() == [[0.0, 51.0]] * 3
    assert told(sheets) == []
    for row in rows:
        row[2] = "M7"
    assert set(read(tmp_path, Spring=[heads, *rows]).bars["batch"]) == {"M7"}


LEGEND = ["P = plastic, as made", "D = bone dry", "F = glaze fired", "all lengths in mm"]


@pytest.mark.parametrize("beside", [False, True])
def test_a_legend_says_what_letters_above_columns_mean(tmp_path: Path, beside: bool) -> None:
    rows: list[list[Any]] = [["Torvan, cone 6"], ["bar", "P", "D", "F"], *([i, *v] for i, v in enumerate(HIGH, 1))]
    if beside:
        rows = [[*row, *[None] * (5 - len(row)), text] for row, text in zip(rows, ["", *LEGEND], strict=True)]
    else:
        rows += [[], *([text] for text in LEGEND)]
    sheets = read(tmp_path, Spring=rows)
    assert sheets.marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].to_numpy().tolist() == HIGH
    assert told(sheets)[0] == ("body-from-title-asked", "Spring!A1")
    assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)


@pytest.mark.parametrize(
    ("heading", "note", "column"),
    [
        ("green length (mm)", "green = bone dry, before any firing", "dry_length_mm"),
        ("green length (mm)", "green: freshly rolled", "wet_length_mm"),
        ("unfired mm", "unfired means bone dry", "dry_length_mm"),
    ],
)
def test_a_legend_settles_a_stage_in_doubt(tmp_path: Path, heading: str, note: str, column: str) -> None:
    rows = [
        ["bar", "clay", "cone", heading, "fired mm"],
        *([i, "Torvan", "6", v[0], v[2]] for i, v in enumerate(HIGH, 1)),
    ]
    sheets = read(tmp_path, Spring=[*rows, [], [note]])
    assert sheets.marks[column].tolist() == [bar[0] for bar in HIGH]
    assert told(sheets) == []


@pytest.mark.parametrize("note", ["green = not bone dry", "green = dry or wet", "green: see book", "fired = bone dry"])
def test_a_note_that_settles_nothing_leaves_the_question(tmp_path: Path, note: str) -> None:
    rows = [
        ["bar", "clay", "cone", "green (mm)", "fired mm"],
        *([i, "Torvan", "6", v[0], v[2]] for i, v in enumerate(HIGH, 1)),
    ]
    sheets = read(tmp_path, Spring=[*rows, [], [note]])
    assert ("heading-in-doubt", "Spring!D1") in told(sheets)
    assert sheets.marks["fired_length_mm"].tolist() == [bar[2] for bar in HIGH]


def test_dry_in_a_water_test_is_of_what_the_legend_says(tmp_path: Path) -> None:
    rows = [["bar", "clay", "cone", "dry weight (g)", "boiled weight (g)"], [1, "Torvan", "6", 60.1, 61.2]]
    sheets = read(tmp_path, Spring=[*rows, ["dry weight = fired bar, dry, before boiling"]])
    assert sheets.bars["fired_mass_g"].tolist() == [60.1]
    assert told(sheets) == []


LETTERS = ["w wet", "d bone dry", "f glaze kiln", "b boiled 3 h. L in mm", "Wt in g"]


@pytest.mark.parametrize("beside", [True, False])
def test_a_key_of_letters_goes_with_what_the_heading_says_itself(tmp_path: Path, beside: bool) -> None:
    heads = ["bar", "clay", "cone", "L w", "L d", "L f", "Wt f", "Wt b"]
    rows: list[list[Any]] = [heads, *([i, "Torvan", "6", *v, 60.1, 61.2] for i, v in enumerate(HIGH, 1))]
    if beside:
        rows[0] += ["", ", ".join(LETTERS)]
    else:
        said = [
            "length wet, mm",
            "bone dry",
            "after the glaze kiln",
            "weight after the glaze kiln, g",
            "the same, boiled",
        ]
        rows += [[], *([f"{head} = {words}"] for head, words in zip(heads[3:], said, strict=True))]
    sheets = read(tmp_path, Spring=rows)
    assert told(sheets) == []
    assert sheets.marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].to_numpy().tolist() == HIGH
    assert sheets.bars[["fired_mass_g", "boiled_mass_g"]].to_numpy().tolist() == [[60.1, 61.2]] * len(HIGH)


def test_a_key_on_a_tab_of_its_own_is_read_with_the_bars(tmp_path: Path) -> None:
    heads = ["Spec.", "Body", "Cone", "L0 (mm)", "L1 (mm)", "L2 (mm)"]
    rows = [heads, *([f"B{i}", "Torvan", "6", *v] for i, v in enumerate(HIGH, 1))]
    key = [
        ["L0", "length between the lines, plastic"],
        ["L1", "the same, dried at 105 °C"],
        ["L2", "the same, after firing"],
    ]
    sheets = read(tmp_path, Readings=rows, Notation=key)
    assert sheets.marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].to_numpy().tolist() == HIGH
    assert [f.code for f in sheets.findings] == ["few-bars-for-shrinkage"]
    assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)


@pytest.mark.parametrize(("heading", "said"), [("W d", "bone dry"), ("M", "bone dry"), ("L b", "boiled")])
def test_a_letter_that_may_stand_for_another_word_says_nothing_of_the_key(heading: str, said: str) -> None:
    clearer, _ = explained(heading, [Entry(heading, said, Place("Spring", 9, 0))])
    assert not meaning(clearer, "bars").key


def test_small_words_of_a_sentence_are_no_key(tmp_path: Path) -> None:
    rows = [["no", "clay", "cone", *STAGES], *([i, "Torvan", "6", *v] for i, v in enumerate(HIGH, 1))]
    sheets = read(tmp_path, Spring=[*rows, [], ["no bisque, no glaze firing"]])
    assert sheets.bars["bar"].tolist() == ["1", "2", "3"]
    assert "heading-in-doubt" not in [f.code for f in sheets.findings]


KILNS = [["kiln", "date", "cone"], [21, "2023-09-04", "10"], [22, "2023-09-19", "6"]]


@pytest.mark.parametrize("heading", ["kiln", "cone"])
def test_numbers_of_kilns_that_a_tab_lists_are_firings_where_bars_name_none(tmp_path: Path, heading: str) -> None:
    numbers = [21, 22, 22] if heading == "kiln" else [10, 6, 6]
    heads = ["bar", "clay", "kiln", heading][: 3 if heading == "kiln" else 4]
    rows = [
        [i, "Torvan", kiln, number, *v]
        for i, (kiln, number, v) in enumerate(zip([21, 22, 22], numbers, HIGH, strict=True))
    ]
    bars = [[*heads, *STAGES], *(row[:3] + row[-3:] if heading == "kiln" else row for row in rows)]
    sheets = read(tmp_path, log=bars, kilns=KILNS)
    of_kiln = ["21", "22", "22"] if heading == "kiln" else ["cone 10", "cone 6", "cone 6"]
    assert sheets.bars["firing"].tolist() == of_kiln
    assert sheets.firings["cone"].tolist() == ["10", "6"]


COUNTED = ["Spec.", "body", "cone", "L0 plastic (mm)", "L1 dried (mm)", "L2 fired (mm)"]


def test_numbers_that_count_the_stages_are_no_marks(tmp_path: Path) -> None:
    rows = [
        [*COUNTED, "M2 fired (g)", "M3 boiled (g)"],
        *([i, "Torvan", "6", *v, 60.1, 61.2] for i, v in enumerate(HIGH)),
    ]
    sheets = read(tmp_path, Spring=rows)
    assert sheets.marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].to_numpy().tolist() == HIGH
    assert sheets.bars[["fired_mass_g", "boiled_mass_g"]].to_numpy().tolist() == [[60.1, 61.2]] * len(HIGH)
    twice = [[*COUNTED[:3], "L1 wet (mm)", "L2 wet (mm)", "L1 fired (mm)", "L2 fired (mm)"]]
    sheets = read(tmp_path, Spring=[*twice, ["A", "Torvan", "6", 100.1, 100.2, 88.1, 88.2]])
    assert sheets.marks["fired_length_mm"].tolist() == [88.1, 88.2]


@pytest.mark.parametrize(
    ("note", "asked"), [("in cold water, not boiled", True), ("the last one not boiled yet", False)]
)
def test_a_line_above_that_denies_boiling_is_asked_about(tmp_path: Path, note: str, asked: bool) -> None:
    rows = [["bar", "clay", "cone", "fired (g)", "boiled (g)"], [1, "Torvan", "6", 60.1, 61.2]]
    found = read(tmp_path, Spring=[[note], *rows])
    assert ("heading-in-doubt" in [f.code for f in found.findings]) is asked
    assert ("boiled_mass_g" in found.bars and found.bars["boiled_mass_g"].tolist() == [61.2]) is not asked


NUMBERED = ["clay", "cone", *(f"{stage} {number} (mm)" for number in (1, 2) for stage in ("wet", "dry", "fired"))]


def test_numbers_of_bars_or_of_marks_are_asked_about(tmp_path: Path) -> None:
    rows = [NUMBERED, ["Torvan", "6", *HIGH[0], *HIGH[1]], ["Belden", "6", *HIGH[2], *HIGH[0]]]
    sheets = read(tmp_path, Spring=rows)
    (first, *_) = [f for f in sheets.findings if f.code == "heading-in-doubt"]
    assert first.sentence == (
        "The heading “wet 1 (mm)” in Spring!C1 may mean “wet length of mark 1” or “bar 1 wet length”, so its column was"
        " not read."
    )
    for words, bars in (("{1} length of mark {0}", 2), ("bar {0} {1} length", 4)):
        said = [f"{h}={words.format(h.split()[1], h.split()[0])}" for h in NUMBERED[2:]]
        assert len(read(tmp_path, said_by(said, []), Spring=rows).bars) == bars


@pytest.mark.parametrize(("first", "asked"), [("fired 1 (mm)", True), ("fired, line 1 (mm)", False)])
def test_numbers_at_the_fired_length_alone_may_count_firings(tmp_path: Path, first: str, asked: bool) -> None:
    heads = ["bar", "clay", "cone", "wet (mm)", "dry (mm)", first, first.replace("1", "2")]
    rows = [heads, *([k, "Torvan", "6", *HIGH[k], HIGH[k][2] - 0.4] for k in range(3))]
    found = read(tmp_path, Spring=rows)
    doubts = [f.sentence for f in found.findings if f.code == "heading-in-doubt"]
    assert bool(doubts) is asked
    assert found.marks["fired_length_mm"].isna().all() == asked
    if asked:
        assert doubts[0] == (
            "The heading “fired 1 (mm)” in Spring!F1 may mean “fired length of another firing” or “fired length of mark"
            " 1”, so its column was not read."
        )
        said = said_by([f"fired {k} (mm)=fired length of mark {k}" for k in (1, 2)], [])
        assert read(tmp_path, said, Spring=rows).marks["fired_length_mm"].notna().all()


def test_a_unit_in_a_title_after_a_cone_is_no_measure(tmp_path: Path) -> None:
    assert read_title("Torvan, cone 6, mm").units == ("mm",)
    assert read_title("Torvan, line 100 mm").units == ()


def test_a_cone_whose_temperature_is_that_of_the_cone_with_a_zero_is_asked_about(tmp_path: Path) -> None:
    rows = [["bar", "clay", "cone", "temp °C", *STAGES], *([i, "Torvan", 4, 1060, *v] for i, v in enumerate(HIGH, 1))]
    assert ("cone-far-from-temperature", "Spring!D2") in told(read(tmp_path, Spring=rows))


ROUGH = [[100.1, 94.2, 88.0], [100.0, 94.0, 88.3], [100.3, 94.4, 88.1]]


def average(bars: list[list[float]]) -> list[float]:
    return [sum(stage) / len(bars) for stage in zip(*bars, strict=True)]


@pytest.mark.parametrize("label", ["all", "3 of them", ""])
def test_a_row_of_averages_that_says_nothing_of_it_is_no_bar(tmp_path: Path, label: str) -> None:
    rows = [["bar", "clay", "cone", *STAGES], *([i, "Torvan", "6", *v] for i, v in enumerate(ROUGH, 1))]
    sheets = read(tmp_path, Spring=[*rows, [label, "", "", *average(ROUGH)]])
    assert named(sheets) == [[str(i), "Torvan", "cone 6"] for i in (1, 2, 3)]
    assert [f.cell for f in sheets.findings if f.code == "averages-of-bars"] == ["Spring!D5"]


def test_a_row_of_spreads_below_the_averages_is_no_bar(tmp_path: Path) -> None:
    rows = [["bar", "clay", "cone", *STAGES], *([i, "Torvan", "6", *v] for i, v in enumerate(ROUGH, 1))]
    spread = [statistics.stdev(column) for column in zip(*ROUGH, strict=True)]
    sheets = read(tmp_path, Spring=[*rows, ["x̄", "", "", *average(ROUGH)], ["sx", "", "", *spread]])
    assert len(sheets.bars) == len(ROUGH)
    assert [f.cell for f in sheets.findings if f.code == "averages-of-bars"] == ["Spring!D5", "Spring!D6"]


def test_a_tab_of_averages_is_no_bars(tmp_path: Path) -> None:
    heads = ["clay", "cone", *STAGES]
    other = [[round(length - 1.1, 1) for length in bar] for bar in ROUGH]
    tabs = {
        "Means": [heads, ["Torvan", "6", *average(ROUGH)], ["Belden", "6", *average(other)]],
        "March": [["bar", *heads], *([f"T{i}", "Torvan", "6", *v] for i, v in enumerate(ROUGH, 1))],
        "May": [["bar", *heads], *([f"B{i}", "Belden", "6", *v] for i, v in enumerate(other, 1))],
    }
    assert read(tmp_path, **tabs).bars["body"].tolist() == ["Torvan"] * 3 + ["Belden"] * 3


def test_a_bar_between_two_others_is_a_bar(tmp_path: Path) -> None:
    bars = [[100.1, 94.1, 88.1], [100.3, 94.3, 88.3], [100.2, 94.2, 88.2]]
    rows = [["bar", "clay", "cone", *STAGES], *([i, "Torvan", "6", *v] for i, v in enumerate(bars, 1))]
    assert len(read(tmp_path, Spring=rows).bars) == 3


def test_a_mean_is_known_by_a_name_under_any_heading(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["pupil", "bar", "clay", "cone", *STAGES]]
    rows += [["Oda", i, "Torvan", "6", *v] for i, v in enumerate(HIGH, 1)]
    assert len(read(tmp_path, Spring=[*rows, ["class mean", "", "", "", 100.0, 94.0, 88.0]]).bars) == 3


@pytest.mark.parametrize(
    ("text", "wet"),
    [
        ("all bars marked 100 mm when wet", 100.0),
        ("Wet length 10 cm on every bar", 100.0),
        ("gauge lines 100 mm apart", None),
        ("wet bars 100 mm long, lines 80 mm apart", None),
        ("wet bars measured to 0.1 mm", None),
    ],
)
def test_one_wet_length_told_for_all_bars_is_theirs(tmp_path: Path, text: str, wet: float | None) -> None:
    rows = [[text], ["bar", "clay", "cone", *STAGES[1:]], *([i, "Torvan", "6", *v[1:]] for i, v in enumerate(HIGH, 1))]
    sheets = read(tmp_path, Spring=rows)
    code = "wet-length-above" if wet is None else "wet-length-told"
    assert [f.code for f in sheets.findings if f.code.startswith("wet-length")] == [code]
    assert sheets.marks["wet_length_mm"].dropna().tolist() == [wet] * (0 if wet is None else 3)


def test_a_wet_length_beside_its_label_is_that_of_all_bars(tmp_path: Path) -> None:
    rows = [["bar", "clay", "cone", *STAGES[1:]], *([i, "Torvan", "6", *v[1:]] for i, v in enumerate(HIGH, 1))]
    sheets = read(tmp_path, Spring=[["wet line", "100 mm on every bar"], *rows])
    assert sheets.marks["wet_length_mm"].tolist() == [100.0] * 3


def test_units_below_bars_hold_also_where_bar_body_and_firing_are_named(tmp_path: Path) -> None:
    rows = [["bar", "body", "firing", "wet", "dry", "fired"], *([i, "Torvan", "K1", *v] for i, v in enumerate(HIGH, 1))]
    sheets = read(tmp_path, Bars=[*rows, [], ["all in cm"]])
    assert [f.code for f in sheets.findings if f.level != "note"] == []
    assert sheets.marks["wet_length_mm"].tolist() == [10.0 * v[0] for v in HIGH]


def test_what_stands_above_the_first_of_several_bodies_holds_for_all(tmp_path: Path) -> None:
    head = ["bar", "wet (mm)", "dry (mm)", "fired (mm)"]
    block = [[i, *v] for i, v in enumerate(HIGH, 1)]
    rows = [["Kiln in the yard, cone 10 down front and back"], ["Clay: Torvan"], head, *block]
    sheets = read(tmp_path, Spring=[*rows, [], ["Clay: Belden"], head, *block])
    assert sheets.firings["cone"].tolist() == ["10"]
    assert sheets.bars["body"].tolist() == ["Torvan"] * 3 + ["Belden"] * 3
    assert set(sheets.bars["firing"]) == {"cone 10"}


def test_a_list_of_symbols_below_the_bars_with_their_units_is_read(tmp_path: Path) -> None:
    symbols = [["L0", "distance of marks, wet", "mm"], ["L1", "the same, dry", "mm"], ["L2", "the same, fired", "mm"]]
    bars = [[i, "Torvan", "6", *v] for i, v in enumerate(HIGH, 1)]
    sheets = read(tmp_path, Spring=[["bar", "clay", "cone", "L0", "L1", "L2"], *bars, [], *symbols])
    assert sheets.marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].to_numpy().tolist() == [*map(list, HIGH)]
    assert told(sheets) == []


def test_other_words_beside_a_stage_and_its_measure_are_asked_about(tmp_path: Path) -> None:
    heads = ["bar", "clay", "cone", "wet (mm)", "nearly dry (mm)", "fired (mm)"]
    bars = [[i, "Torvan", "6", *v] for i, v in enumerate(HIGH, 1)]
    assert ("heading-in-doubt", "Spring!E1") in told(read(tmp_path, Spring=[heads, *bars]))
    assert meaning("thickness fired (mm)", "bars").may_be == ()


def test_a_table_s_number_is_no_cone() -> None:
    assert read_title("Table C4").cone == ""


def test_a_mix_is_the_body_also_above_a_remark(tmp_path: Path) -> None:
    heads = ["mix", "bar", "cone", *STAGES]
    bars = [["Torvan" if i < 2 else "Belden", i, "6", *v] for i, v in enumerate(HIGH)]
    sheets = read(tmp_path, Spring=[heads, *bars, [], ["dry: from the drying room, before the kiln"]])
    assert sheets.bars["body"].tolist() == ["Torvan", "Torvan", "Belden"]


@pytest.mark.parametrize(("cone", "asked"), [("6", False), ("", False), ("7", True)])
def test_a_cone_beside_the_bars_and_in_the_list_of_firings(tmp_path: Path, cone: str, asked: bool) -> None:
    heads = ["bar", "body", "firing", "cone", *STAGES]
    tabs = {"Bars": [heads, *([i, "Torvan", "K1", "6", *v] for i, v in enumerate(HIGH, 1))]}
    sheets = read(tmp_path, **tabs, Firings=[["firing", "cone"], ["K1", cone]])
    assert [f.cell for f in sheets.findings if f.code == "firing-told-differently"] == ["Bars!D2"] * asked
    assert sheets.firings["cone"].iloc[0] == (cone or "6")


def test_symbols_with_units_and_uncertainties_beside_them_are_read(tmp_path: Path) -> None:
    heads = ["Specimen", "L0 / mm", "u(L0) / mm", "L2 / mm", "m2 / g", "m3 / g"]
    bars = [[f"S{i}", wet, 0.1, fired, 50.0, 52.0] for i, (wet, _, fired) in enumerate(HIGH)]
    legend = [["L0", "distance of the marks, plastic bar, at once after marking"], ["L2", "the same, fired"]]
    legend += [["m2", "mass, fired, dry"], ["m3", "mass, fired, after 5 h boiling, weighed in air"]]
    legend += [["u", "standard uncertainty of the reading"]]
    sheets = read(tmp_path, R88=[["Body", "Torvan"], ["Cone", 6], [], heads, *bars, [], *legend])
    assert sheets.marks["wet_length_mm"].tolist() == [v[0] for v in HIGH]
    assert sheets.bars["boiled_mass_g"].tolist() == [52.0] * 3
    assert [f for f in told(sheets) if f[0] != "cone-without-zero"] == []


def test_a_boiled_bar_in_water_is_a_suspended_one() -> None:
    assert meaning("mass of the boiled bar, hung in water (g)", "bars").key == "suspended_mass"


def test_firings_told_in_a_sentence_are_those_of_their_bars(tmp_path: Path) -> None:
    bars = [[i, "Torvan", f"G{31 + i % 2}", *v] for i, v in enumerate(HIGH)]
    note = "G31 was cone 6 (1220 °C), G32 was cone 8 (1257 °C)"
    sheets = read(tmp_path, Spring=[[note], ["bar", "clay", "glost kiln", *STAGES], *bars])
    assert sheets.firings[["firing", "cone", "peak_temperature_c"]].to_numpy().tolist() == [
        ["G31", "6", 1220.0],
        ["G32", "8", 1257.0],
    ]
    assert told(sheets) == []


@pytest.mark.parametrize(
    ("title", "heat"),
    [
        ("Biscuit 1000 °C, glost 1240 °C. All ten bars went through the same kilns", "1240 °C"),
        ("bisqued to 04 and glazed to cone 6", "6"),
        ("bisque fired to cone 04", "04"),
    ],
)
def test_the_later_of_two_firings_in_a_title_counts(title: str, heat: str) -> None:
    found = read_title(title)
    assert (found.peak_temperature or found.cone) == heat


def test_a_body_that_a_title_calls_so_is_sure() -> None:
    found = read_title("pressed bars of the clay body Wexmire")
    assert (found.body, found.sure) == ("Wexmire", True)
    assert read_title("strips in mm, callipered. cone 6").body == ""


def test_cards_with_one_cone_each_tell_their_firing(tmp_path: Path) -> None:
    names = ["Bar", "Clay", "Kiln", *STAGES]
    cards = [[*zip(names, [f"N{i}", "Torvan", "cone 2", *v], strict=True)] for i, v in enumerate(HIGH)]
    sheets = read(tmp_path, Cards=[[*row] for card in cards for row in [*card, ()]])
    assert sheets.firings["cone"].tolist() == ["2"]
    assert len(sheets.bars) == 3


def test_a_sentence_below_the_bars_tells_how_they_were_fired(tmp_path: Path) -> None:
    bars = [[*v, i, "Torvan"] for i, v in enumerate(HIGH)]
    sheets = read(tmp_path, Spring=[[*STAGES, "bar", "clay"], *bars, [], ["fired in the top-loader to cone 5"]])
    assert sheets.firings["cone"].tolist() == ["5"]
    assert told(sheets) == []


def test_weights_on_a_tab_of_their_own_go_with_their_bars(tmp_path: Path) -> None:
    lengths = [["bar", "clay", "cone", *STAGES], *([f"T{i}", "Torvan", "6", *v] for i, v in enumerate(HIGH, 1))]
    masses: list[list[Any]] = [["bar", "fired weight (g)", "boiled weight (g)"], ["T2", 55.1, 56.0], ["T1", 54.2, 55.3]]
    sheets = read(tmp_path, Ruler=lengths, Scales=masses)
    assert named(sheets) == [[f"T{i}", "Torvan", "cone 6"] for i in (1, 2, 3)]
    assert sheets.bars["fired_mass_g"].tolist()[:2] == [54.2, 55.1]
    assert told(sheets) == []


def test_a_body_once_for_several_bars_needs_no_heading(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["", "bar", "cone", *STAGES], ["Torvan", 1, "6", *HIGH[0]], ["", 2, "6", *HIGH[1]]]
    rows += [["Belden", 3, "6", *HIGH[2]], ["", 4, "6", *HIGH[0]]]
    sheets = read(tmp_path, Spring=rows)
    assert sheets.bars["body"].tolist() == ["Torvan", "Torvan", "Belden", "Belden"]
    assert told(sheets) == [("body-from-title-asked", "Spring!A2"), ("body-from-title-asked", "Spring!A4")]


def test_a_column_of_units_does_not_turn_a_table(tmp_path: Path) -> None:
    rows = [["bar", "clay", "cone", "measured in", "wet", "dry", "fired"]]
    rows += [[i, "Torvan", "6", "mm", *v] for i, v in enumerate(HIGH, 1)]
    assert len(read(tmp_path, Spring=rows).bars) == 3


def test_a_row_for_each_stage_of_a_bar_is_put_together(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["day", "bar", "clay", "stage", "length mm", "weight g", "cone", "remark"]]
    told_at = [("wet", 0, 80.0, ""), ("bone dry", 1, 66.0, ""), ("bisque", 2, 62.0, "04"), ("fired", 2, 61.5, 6)]
    for day, (stage, at, mass, cone) in enumerate(told_at):
        rows += [[day, f"T{i}", "Torvan", stage, v[at], mass, cone, f"{stage}!"] for i, v in enumerate(HIGH)]
    rows += [[9, "T1", "Torvan", "boiled 5 h", "", 62.5, 6, ""]]
    sheets = read(tmp_path, Diary=rows)
    assert named(sheets) == [[f"T{i}", "Torvan", "cone 6"] for i in range(3)]
    assert sheets.marks["dry_length_mm"].tolist() == [bar[1] for bar in HIGH]
    assert sheets.bars["boiled_mass_g"].tolist()[1] == 62.5
    assert sheets.bars["notes"].tolist()[0] == "wet!; bone dry!; bisque!; fired!"
    assert not {code for code, _ in told(sheets) if code.startswith(("bar", "column"))}


def test_a_bar_at_one_stage_twice_is_not_put_together(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["bar", "clay", "stage", "length mm", "cone"]]
    rows += [
        ["T1", "Torvan", stage, length, "6"] for stage, length in (("wet", 100.1), ("fired", 88.0), ("fired", 87.5))
    ]
    sheets = read(tmp_path, Diary=rows)
    assert [f.code for f in sheets.findings if f.level == "stop"] == ["bar-contradicts"]


@pytest.mark.parametrize(
    "remarks", [("bars 1-2: cone 04", "bars 3-3: cone 6"), ("1 to 2, cone 04", "#3-9 went to cone 6")]
)
def test_a_remark_on_bars_by_their_numbers_is_theirs(tmp_path: Path, remarks: tuple[str, str]) -> None:
    rows: list[list[Any]] = [
        ["Torvan"],
        ["bar", *STAGES],
        *([i, *v, "", note] for i, v, note in zip((1, 2, 3), HIGH, (*remarks, ""), strict=True)),
    ]
    sheets = read(tmp_path, Torvan=rows)
    assert named(sheets) == [["1", "Torvan", "cone 04"], ["2", "Torvan", "cone 04"], ["3", "Torvan", "cone 6"]]
    assert told(sheets) == []


@pytest.mark.parametrize("title", ["Soaking, Torvan, cone 6", "Torvan cone 6 absorption"])
def test_dry_and_wet_below_a_title_on_soaking_are_asked_about(tmp_path: Path, title: str) -> None:
    rows = [[title], ["bar", "dry wt (g)", "wet wt (g)"], *([i, 55.2 + i, 57.9 + i] for i in range(1, 5))]
    sheets = read(tmp_path, Spring=rows)
    assert [f.cell for f in sheets.findings if f.code == "heading-in-doubt"] == ["Spring!B2", "Spring!C2"]


@pytest.mark.parametrize(
    ("cone", "masses", "asked"),
    [("5", (55.6, 63.3), True), (5, (55.6, 63.3), True), ("5", (55.6, 56.6), False), ("05", (55.6, 63.3), False)],
)
def test_a_cone_too_hot_for_what_its_bars_take_up_is_asked_about(
    tmp_path: Path, cone: str | int, masses: tuple[float, float], asked: bool
) -> None:
    rows: list[list[Any]] = [["bar", "clay", "cone", *STAGES, "fired weight (g)", "boiled weight (g)"]]
    rows += [[i, "Torvan", cone, *v, *masses] for i, v in enumerate(HIGH, 1)]
    assert (("cone-too-hot-for-bars", "Spring!C2") in told(read(tmp_path, Spring=rows))) == asked


def test_a_cone_behind_a_colon_is_read() -> None:
    assert read_title("Cone: 9").cone == "9"


@pytest.mark.parametrize("merged", [True, False])
def test_a_group_heading_holds_for_its_columns_and_for_no_cone_or_remark(tmp_path: Path, merged: bool) -> None:
    book = openpyxl.Workbook()
    tab = book.create_sheet("Board", 0)
    heads = ["no", "clay", "wet", "dry", "fired", "fired", "boiled", "cone", *(["glaze"] if merged else []), "remarks"]
    tab.append(["", "", "SIZE (mm)", None, None, "WEIGHT (g)"])
    tab.append(heads)
    for number, lengths in enumerate(HIGH, start=1):
        tab.append([number, "Torvan", *lengths, 110.0, 115.0, "6", *(["none"] if merged else []), "soft"])
    if merged:
        tab.merge_cells("C1:E1")
        tab.merge_cells("F1:G1")
    book.save(tmp_path / "board.xlsx")
    sheets = read_sheets([tmp_path / "board.xlsx"])
    assert named(sheets)[0] == ["1", "Torvan", "cone 6"]
    assert sheets.bars["boiled_mass_g"].tolist() == [115.0] * len(HIGH)
    assert [f.code for f in sheets.findings if f.level in ("stop", "ask")] == []


def test_temperatures_told_in_titles_with_their_unit_are_not_asked_about(tmp_path: Path) -> None:
    tabs = {f"burn {heat}": [[f"Burning at {heat} °C"], [], ["no", "clay", *STAGES]] for heat in (1060, 1240)}
    for rows in tabs.values():
        rows += [[str(number), "Torvan", *lengths] for number, lengths in enumerate(HIGH, start=1)]
    sheets = read(tmp_path, **tabs)
    assert sheets.firings["peak_temperature_c"].tolist() == [1060.0, 1240.0]
    assert "unit-missing" not in [f.code for f in sheets.findings]


@pytest.mark.parametrize("heading", ["Observation", "rem", "what we noticed", "What happened"])
def test_words_for_remarks_are_known(heading: str) -> None:
    assert meaning(heading, "bars").key == "notes"


@pytest.mark.parametrize("heading", ["Observatons", "Remarcks"])
def test_a_column_of_remarks_is_never_to_mend(tmp_path: Path, heading: str) -> None:
    rows = [[str(number), "Torvan", *lengths, "soft"] for number, lengths in enumerate(HIGH, start=1)]
    sheets = read(tmp_path, Spring=[["no", "clay", *STAGES, heading], *rows])
    assert [f.code for f in sheets.findings if f.level == "stop"] == []


@pytest.mark.parametrize(
    ("heading", "cells", "cones", "celsius"),
    [
        ("Burnt at", ["980 C", "1080 C", "980 C"], ["", ""], [980.0, 1080.0]),
        ("Fired to", ["2232 F", "2232F", "1945 F"], ["", ""], [1222.2, 1062.8]),
        ("Went to", ["1080°C", "1240 °C", "1240 C"], ["", ""], [1080.0, 1240.0]),
        ("Kiln", ["cone 03", "cone 03", "cone 5"], ["03", "5"], []),
        ("Kiln reached", ["cone 03", '"', "cone 5"], ["03", "5"], []),
        ("We fire it to", ["cone 03", "cone 03", "cone 5"], ["03", "5"], []),
        ("Kiln", ["1080 C", "1080 C", "1240 C"], ["", ""], [1080.0, 1240.0]),
    ],
)
@pytest.mark.parametrize("title", [[], [["Bars of May, all in mm"]]])
def test_cells_that_say_how_hot_tell_the_firings(
    tmp_path: Path, title: list[Any], heading: str, cells: list[Any], cones: list[str], celsius: list[float]
) -> None:
    rows = [*title, ["bar", "clay", heading, *STAGES]]
    rows += [[bar, "Torvan", cell, *HIGH[bar - 1]] for bar, cell in enumerate(cells, start=1)]
    sheets = read(tmp_path, Spring=rows)
    assert len(sheets.bars) == 3
    assert sheets.firings["cone"].tolist() == cones
    assert sheets.firings["peak_temperature_c"].dropna().round(1).tolist() == celsius
    assert told(sheets) == []


@pytest.mark.parametrize("cells", [["small kiln", "big kiln"], [3, 4], ["C3", "C4"], ["cone 5", "small kiln"]])
def test_a_name_or_number_of_a_kiln_is_no_cone(tmp_path: Path, cells: list[Any]) -> None:
    rows = [["Bars of May, all in mm"], ["bar", "clay", "kiln", *STAGES]]
    sheets = read(tmp_path, Spring=[*rows, *([i, "Torvan", cell, *HIGH[i]] for i, cell in enumerate(cells))])
    assert sheets.firings["cone"].tolist() == []
    assert "heading-missing" in [code for code, _ in told(sheets)]


def test_degrees_of_no_scale_are_asked_about(tmp_path: Path) -> None:
    rows = [["bar", "clay", "burning", *STAGES], *([i, "Torvan", "1240 degree", *HIGH[i]] for i in range(3))]
    sheets = read(tmp_path, Spring=rows)
    assert sheets.firings["peak_temperature_c"].tolist() == [1240.0]
    assert told(sheets) == [("unit-missing", "Spring!C1")]


def test_burnings_with_names_are_firings(tmp_path: Path) -> None:
    rows = [["bar", "clay", "burning", *STAGES], *([i, "Torvan", f"B{i}", *HIGH[i]] for i in range(3))]
    assert [row[2] for row in named(read(tmp_path, Spring=rows))] == ["B0", "B1", "B2"]


@pytest.mark.parametrize("heading", ["Clay and bar", "Body / no.", "clay & number", "clay + bar"])
def test_a_body_and_its_bar_may_share_a_cell(tmp_path: Path, heading: str) -> None:
    rows = [[heading, "cone", *STAGES], ["Torvan 1", "6", *HIGH[0]], ["Torvan 2", "6", *HIGH[1]]]
    sheets = read(tmp_path, Spring=[*rows, ["Chalk White #1", "6", *HIGH[2]]])
    assert sheets.bars["body"].tolist() == ["Torvan", "Torvan", "Chalk White"]
    assert sheets.bars["bar"].tolist() == ["Torvan 1", "Torvan 2", "Chalk White #1"]
    assert told(sheets) == []


def test_several_clays_name_no_body() -> None:
    assert [read_title(text, of_tab=True).body for text in ("Sculpture clays", "Sculpture clay")] == ["", "Sculpture"]


def test_a_unit_beside_the_temperature_in_a_title_is_no_question(tmp_path: Path) -> None:
    rows = [["Torvan, burning at 1060 °C"], ["bar", *STAGES], *([i, *bar] for i, bar in enumerate(HIGH))]
    assert [code for code, _ in told(read(tmp_path, Spring=rows))] == ["body-from-title-asked"]


@pytest.mark.parametrize("day", ["Sat 4 Oct", "Saturday 4 Oct", "Sat, 4th Oct", "4th Oct 2025", "4.10.25"])
def test_a_weekday_beside_a_date_makes_no_other_firing(tmp_path: Path, day: str) -> None:
    rows = [["bar", "clay", "fired on", "cone", *STAGES], [1, "Torvan", "2025-10-04", "8", *HIGH[0]]]
    sheets = read(tmp_path, Diary=[*rows, [2, "Torvan", day, "8", *HIGH[1]]])
    assert [row[2] for row in named(sheets)] == ["cone 8 2025-10-04"] * 2
    assert told(sheets) == []


@pytest.mark.parametrize("firing", [[], ["firing"]])
def test_a_clay_mix_with_names_is_a_body_like_the_clay_beside_it(tmp_path: Path, firing: list[str]) -> None:
    rows = [["bar", *firing, "clay type", "clay mix", *STAGES]]
    names = [("Harbel", "Nespar"), ("Harbel", "Corven"), ("Yarl", "Nespar")]
    sheets = read(tmp_path, Tests=[*rows, *([i, *firing, *two, *HIGH[i]] for i, two in enumerate(names))])
    assert sheets.bars.empty
    assert ("heading-twice", f"Tests!{'D' if firing else 'C'}1") in told(sheets)


def test_deliveries_below_a_clay_mix_stay_batches(tmp_path: Path) -> None:
    rows = [["bar", "firing", "clay", "clay mix", *STAGES], *([i, "K1", "Torvan", i // 2, *HIGH[i]] for i in range(3))]
    sheets = read(tmp_path, Tests=rows)
    assert (list(sheets.bars["body"]), list(sheets.bars["batch"])) == (["Torvan"] * 3, ["0", "0", "1"])


def test_one_wet_length_for_all_leaves_bars_without_codes_apart(tmp_path: Path) -> None:
    rows = [
        ["Clay: Torvan"],
        ["cone 6"],
        ["Every line was 100 mm long in the wet clay."],
        ["Pupil", "dry (mm)", "fired (mm)"],
    ]
    rows += [["Ada", 93.5, 88.5], ["Ben", 93.5, 89], ["Cora", 94, 88.5]]
    sheets = read(tmp_path, Tests=[*rows, ["largest", 94, 89], ["smallest", 93.5, 88.5]])
    assert sheets.bars["bar"].tolist() == ["Ada", "Ben", "Cora"]
    assert sheets.marks["wet_length_mm"].tolist() == [100.0] * 3
    sheets = read(tmp_path, Tests=[row[1:] if len(row) > 1 else row for row in rows])
    assert sheets.bars["bar"].tolist() == ["row 5", "row 6", "row 7"]


def test_an_unknown_column_names_no_bars_where_it_may_name_bodies(tmp_path: Path) -> None:
    rows = [["Name", "shrinkage %", "absorption %"], ["Torvan", 11.5, 2.5], ["Belden", 9.5, 6.5]]
    assert read(tmp_path, Tests=rows).bars.empty


@pytest.mark.parametrize(("heading", "no"), [("Counts?", "no"), ("Use", "n"), ("valid", "No")])
def test_bars_that_do_not_count_are_left_out(tmp_path: Path, heading: str, no: str) -> None:
    rows = [["bar", "clay", "firing", *STAGES, heading], *([i, "Torvan", "K1", *HIGH[i], "yes"] for i in range(3))]
    rows[2][-1] = no
    sheets = read(tmp_path, Tests=rows)
    assert sheets.bars["left_out"].tolist() == ["", f"{heading} {no}", ""]
    assert told(sheets) == []
    rows[1][-1] = "perhaps"
    assert read(tmp_path, Tests=rows).bars["left_out"].tolist() == [""] * 3


def test_a_label_is_no_body(tmp_path: Path) -> None:
    rows = [["Pit:", "Cobdell", "Cone:", 6], ["bar", *STAGES], *([i, *bar] for i, bar in enumerate(HIGH))]
    assert set(read(tmp_path, Tests=rows).bars["body"]) == {"Cobdell"}


@pytest.mark.parametrize(
    "said",
    [
        "Briquettes 1 to 2 were fired at 700 °C, briquette 3 - 4 at 850 °C.",
        "1-2 at 700 C; 3-4 at 850 C",
        "Bars 1 to 2: 700 °C and bars 3 to 4: 850 °C",
    ],
)
def test_one_sentence_tells_several_firings_by_the_numbers_of_bars(tmp_path: Path, said: str) -> None:
    rows = [["Clay", "Torvan"], [], ["Briquette", *STAGES], *([i, *HIGH[i % 3]] for i in range(1, 5)), [], [said]]
    assert [row[2] for row in named(read(tmp_path, Tests=rows))] == ["700 °C", "700 °C", "850 °C", "850 °C"]


def test_marks_and_cones_are_no_numbers_of_bars(tmp_path: Path) -> None:
    rows = [["Clay", "Torvan"], [], ["bar", *STAGES], *([i, *HIGH[i % 3]] for i in range(1, 4)), []]
    sheets = read(tmp_path, Tests=[*rows, ["Lines 1 to 2 were read after cone 6, cones 1 to 3 are cone 04."]])
    assert {row[2] for row in named(sheets)} == {""}


def test_a_legend_settles_a_heading_that_is_its_own_words(tmp_path: Path) -> None:
    rows = [["Slip", "Torvan"], ["cone 6"], ["bar", "in the mould mm", "out of the mould mm", "glost mm"]]
    rows += [[str(i), 250, 245.5 + i, 224 + i] for i in range(3)]
    rows += [[], ["in the mould = wet length (the slip fills the mould)"], ["out of the mould = leather hard"]]
    sheets = read(tmp_path, Tests=[*rows, ["glost = after the glaze firing to the cone given; no glaze on bars"]])
    assert sheets.marks["wet_length_mm"].tolist() == [250.0] * 3
    assert sheets.marks["leather_hard_length_mm"].tolist() == [245.5, 246.5, 247.5]
    assert sheets.marks["fired_length_mm"].tolist() == [224.0, 225.0, 226.0]


def test_a_legend_tells_how_a_mass_was_soaked(tmp_path: Path) -> None:
    rows = [["bar", "clay", "firing", "burnt (g)", "Weight steeped (g)"], ["1", "Torvan", "K1", 365, 395.5]]
    sheets = read(tmp_path, Tests=[*rows, [], ["Steeped = a day and a night in cold water, wiped."]])
    assert sheets.bars["cold_soaked_mass_g"].tolist() == [395.5]


def form(first: float) -> list[list[Any]]:
    stages = [("wet", first), ("dry", first - 6), ("fired", first - 12)]
    return [["Bar", None, 1, 2, 3, "mean"], *([f"Length {s}", "mm", a, a + 0.1, a + 0.2, a + 0.1] for s, a in stages)]


def test_a_form_tells_body_and_heat_in_a_line_of_labels_above(tmp_path: Path) -> None:
    forms = [["Body", "Kelder Buff", None, "Delivery", "14/2025", None, "Fired to", "1245 °C"], [], *form(100), [], []]
    forms += [["Body", "Rusholt White", None, "Delivery", "15/2025", None, "Fired to", "1260 °C"], [], *form(99)]
    sheets = read(tmp_path, Deliveries=forms)
    groups = [["Kelder Buff", "1245 °C"]] * 3 + [["Rusholt White", "1260 °C"]] * 3
    assert sheets.bars[["body", "firing"]].to_numpy().tolist() == groups
    assert sheets.marks["fired_length_mm"].tolist() == [88.0, 88.1, 88.2, 87.0, 87.1, 87.2]
    assert told(sheets) == []


def test_labels_and_a_key_beside_a_table_are_no_columns_of_it(tmp_path: Path) -> None:
    beside = [["Firing", "F31"], ["Cone", 6], ["L", "length between marks, mm"], ["Peak °C", 1222]]
    rows = [["Body", "Bar", "L wet", "L dry", "L fired"], *(["Torvan", f"M{i}", *v] for i, v in enumerate(HIGH))]
    sheets = read(tmp_path, F31=[[*row, None, *two] for row, two in zip(rows, beside, strict=True)])
    assert [row[2] for row in named(sheets)] == ["F31"] * 3
    assert sheets.firings[["cone", "peak_temperature_c"]].to_numpy().tolist() == [["6", 1222.0]]
    assert sheets.marks["wet_length_mm"].tolist() == [v[0] for v in HIGH]
    assert "unit-missing" not in [code for code, _ in told(sheets)]


@pytest.mark.parametrize("beside", [[], ["electric 2"]])
def test_a_small_list_below_tells_how_hot_firings_were(tmp_path: Path, beside: list[str]) -> None:
    rows = [["Body", "Firing", "Bar", *STAGES], *(["Torvan", f"F4{i}", i, *v] for i, v in enumerate(HIGH))]
    heats = [[f"F4{i}", heat, *beside] for i, heat in enumerate(["cone 04", "cone 6", "1245 °C"])]
    sheets = read(tmp_path, Tests=[*rows, [], ["Firings"], *heats])
    assert (len(sheets.bars), sheets.firings["cone"].tolist()) == (3, ["04", "6", ""])


def test_a_tile_measured_along_and_across_is_a_bar_of_each_direction(tmp_path: Path) -> None:
    rows = [
        ["# tiles, cone 3, all in mm"],
        ["Tile", "Body", "Direction of rolling", "wet", "dry", "fired"],
    ]
    rows += [["R1", "Torvan", way, *v] for way, v in zip(["along", "across"], HIGH, strict=False)]
    sheets = read(tmp_path, Tests=rows)
    assert sheets.bars[["bar", "direction"]].to_numpy().tolist() == [["R1 along", "along"], ["R1 across", "across"]]
    assert told(sheets) == []


def test_a_title_and_its_tab_that_name_two_cones_are_asked_about(tmp_path: Path) -> None:
    rows = [["Fired to cone 6, all in mm"], ["body", "bar", "wet", "dry", "fired"], ["Torvan", 1, *HIGH[0]]]
    sheets = read(tmp_path, cone_5=rows)
    assert [f.sentence for f in sheets.findings if f.level == "ask"] == [
        "cone 5!A1 says cone 6 and the name of the tab “cone 5” says cone 5; cone 6 was taken for all bars below it."
    ]
    assert told(read(tmp_path, cone_6=rows)) == []


def test_a_missing_column_is_asked_about_at_the_headings(tmp_path: Path) -> None:
    rows = [["Mill and Brook in one firing, cone 2"], ["bar", "wet mm", "fired mm"], *([i, 100, 88] for i in range(3))]
    assert ("heading-missing", "Tests!A2") in told(read(tmp_path, Tests=rows))


def test_a_body_named_once_for_each_bar_across_is_no_label(tmp_path: Path) -> None:
    rows: list[list[Any]] = [["Series 5"], [], ["Spec.", None, None, "B1", "B2", "K1", "K2"]]
    rows += [["Body", None, None, *["Brathe"] * 2, *["Kessin"] * 2], ["Cone", None, None, 6, 6, "02", "02"]]
    for stage, said, lengths in zip(("L0", "L1"), ("plastic", "after firing"), ([100.2, 100], [88.1, 88]), strict=True):
        rows.append([stage, said, "mm", *lengths, *(length + 0.1 for length in lengths)])
    sheets = read(tmp_path, Series=rows)
    assert [row[1:] for row in named(sheets)] == [["Brathe", "cone 6"]] * 2 + [["Kessin", "cone 02"]] * 2


def test_bars_merged_over_stages_are_no_value_of_the_clay_beside_them(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["all fired cone 6, lengths in mm"])
    sheet.append(["clay", "Bar 1", None, None, "Bar 2"])
    sheet.append([None, *["wet", "dry", "fired"] * 2])
    sheet.append(["Keld", *HIGH[0], *HIGH[1]])
    sheet.append(["Orrin", *HIGH[1], *HIGH[2]])
    sheet.merge_cells("B2:D2")
    sheet.merge_cells("E2:G2")
    book.save(tmp_path / "own.xlsx")
    sheets = read_sheets([tmp_path / "own.xlsx"])
    assert [row[1] for row in named(sheets)] == ["Keld", "Keld", "Orrin", "Orrin"]


def test_two_temperatures_above_and_below_bars_are_asked_about(tmp_path: Path) -> None:
    rows = [
        ["clay", "Torvan"],
        ["burnt at", "1020 °C"],
        [],
        ["bar", *STAGES],
        *([i, *v] for i, v in enumerate(HIGH)),
        [],
    ]
    asked = told(read(tmp_path, Tiles=[*rows, ["All in the burn of May, top temperature 1060 °C"]]))
    assert ("heat-told-twice", "Tiles!B2") in asked
    again = told(read(tmp_path, Tiles=[*rows, ["All in the burn of May, top temperature 1020 °C"]]))
    assert "heat-told-twice" not in [code for code, _ in again]


def test_minutes_below_a_hold_are_its_unit(tmp_path: Path) -> None:
    rows = [["bar", "body", "firing", *STAGES], *([i, "Torvan", "F1", *v] for i, v in enumerate(HIGH))]
    beside = [["firing", "peak temp.", "hold"], ["", "°C", "min"], ["F1", 1195, 40], []]
    sheets = read(tmp_path, Tests=[[*row, None, None, *two] for row, two in zip(rows, beside, strict=True)])
    assert sheets.firings[["firing", "peak_temperature_c", "hold_min"]].to_numpy().tolist() == [["F1", 1195.0, 40.0]]


def test_a_question_names_few_meanings(tmp_path: Path) -> None:
    rows = [["bar", "clay", "firing", "before", "after firing (mm)"], *([i, "Torvan", "K1", 100, 88] for i in range(3))]
    (asked,) = [f for f in read(tmp_path, Tests=rows).findings if f.code == "heading-in-doubt"]
    assert (len(meaning("before", "bars").may_be) > 4, asked.sentence.count("” or “")) == (True, 4)


def test_to_weigh_is_a_mass() -> None:
    headings = ["weigh after fire (g)", "weigh after boil in water (g)"]
    assert [meaning(text, "bars").key for text in headings] == ["fired_mass", "boiled_mass"]


def test_commas_in_the_title_of_a_text_hide_no_unit(tmp_path: Path) -> None:
    rows = ["Our bars, spring, all in mm,,,", "body,firing,bar,wet,dry,fired"]
    rows += [f"Torvan,K1,{i},{','.join(map(str, v))}" for i, v in enumerate(HIGH)]
    (tmp_path / "own.csv").write_text("\n".join(rows), encoding="utf-8")
    assert read_sheets([tmp_path / "own.csv"]).marks["wet_length_mm"].tolist() == [v[0] for v in HIGH]


def test_a_repeat_sign_below_a_blank_is_accounted_for_in_any_layout(tmp_path: Path) -> None:
    rows = [["all in mm"], ["bar", "clay", "cone", "wet", "fired"]]
    rows += [[i, clay, "6", 100, 88] for i, clay in enumerate(["Torvan", "Torvan", "", '"', "Belden"])]
    sheets = read(tmp_path, Tests=rows)
    assert sheets.bars["body"].tolist() == ["Torvan", "Torvan", "", "", "Belden"]
    assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)


def test_a_column_of_which_only_a_merged_heading_speaks_is_told_by_its_place(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    heads = [["Torvan, cone 6, all in mm"], ["bar", "Length"], [None, "wet", None, "fired"]]
    for row in (*heads, *([i, 100, 94, 88] for i in range(3))):
        sheet.append(row)
    sheet.merge_cells("B2:D2")
    book.save(tmp_path / "own.xlsx")
    sheets = read_sheets([tmp_path / "own.xlsx"])
    assert ("heading-in-doubt", "Sheet!C3") in told(sheets)


def test_a_name_between_the_bars_with_none_below_it_is_no_question(tmp_path: Path) -> None:
    rows = [["all in mm, cone 6"], ["bar", "wet", "fired"], ["the white"], [1, 100, 88], [2, 100, 88]]
    sheets = read(
        tmp_path, Tests=[*rows, ["the grey"], [3, 100, 87], ["mean", 100, 87.5], ["the old"], ["mean", 99, 87]]
    )
    assert sheets.bars["body"].tolist() == ["the white", "the white", "the grey"]


@pytest.mark.parametrize("below", [False, True])
@pytest.mark.parametrize(
    ("remark", "hot"),
    [
        ("T3 was fired to cone 8", [3]),
        ("Bar 3 went to cone 8", [3]),
        ("T2: cracked, refired to cone 8", [2]),
        ("bars 1 and 3 cone 8", [1, 3]),
        ("bars T1 to T2, T4 in cone 8", [1, 2, 4]),
        ("#4 got cone 8", [4]),
        ("all to cone 8", [1, 2, 3, 4]),
        ("bars T1 to T4 to cone 8", [1, 2, 3, 4]),
    ],
)
def test_a_remark_that_names_some_bars_speaks_of_these_alone(
    tmp_path: Path, *, remark: str, hot: list[int], below: bool
) -> None:
    rows = [
        ["bar", "clay", "wet (mm)", "dry (mm)", "fired (mm)"],
        *([f"T{k + 1}", "Torvan", *HIGH[k % 3]] for k in range(4)),
    ]
    found = read(tmp_path, Spring=[*rows, [], [remark]] if below else [[remark], [], *rows])
    fired = found.bars[found.bars["firing"] == "cone 8"]
    assert fired["bar"].tolist() == [f"T{k}" for k in hot]


DAYS = [
    ["date", "kiln", "cone"],
    ["2 March 2024", "big", "06"],
    ["14 March 2024", "small", "6"],
    ["28 March 2024", "big", "9"],
]


def test_firings_named_by_their_days_are_those_of_a_kiln_book(tmp_path: Path) -> None:
    days = [datetime.datetime(2024, 3, 14), datetime.datetime(2024, 3, 14), datetime.datetime(2024, 3, 28)]
    rows = [["bar", "clay", "fired on", *STAGES], *([f"K{k}", "Torvan", days[k], *HIGH[k]] for k in range(3))]
    found = read(tmp_path, bars=rows, book=DAYS)
    assert found.bars["firing"].tolist() == ["2024-03-14", "2024-03-14", "2024-03-28"]
    assert dict(zip(found.firings["firing"], found.firings["cone"], strict=True))["2024-03-14"] == "6"
    assert not [f for f in found.findings if f.code != "few-bars-for-shrinkage"]


def test_a_kiln_book_with_two_firings_on_a_day_names_none_by_its_days(tmp_path: Path) -> None:
    rows = [["bar", "clay", "fired on", *STAGES], ["K1", "Torvan", "2024-03-28", *HIGH[0]]]
    found = read(tmp_path, bars=rows, book=[*DAYS, ["28 March 2024", "small", "04"]])
    assert set(found.firings["cone"]) == {""}
    assert "table-not-read" in [f.code for f in found.findings]


STAGE_ROWS = [["wet", *HIGH[0][:1]], ["dry", *HIGH[0][1:2]], ["fired", *HIGH[0][2:]]]


def test_names_stand_once_for_all_stages_of_a_bar(tmp_path: Path) -> None:
    names = [["N1", "Torvan", "6"], ["", "", ""], ["", "", ""]]
    rows = [[*name, *row] for name, row in zip(names, STAGE_ROWS, strict=True)]
    again = [["N2", *row[1:]] if row[0] else row for row in rows]
    found = read(tmp_path, Spring=[["bar", "clay", "cone", "stage", "length (mm)"], *rows, *again])
    assert named(found) == [["N1", "Torvan", "cone 6"], ["N2", "Torvan", "cone 6"]]
    assert found.marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].to_numpy().tolist() == [[*HIGH[0]]] * 2


def test_a_stage_alone_in_a_row_is_that_of_the_bars_below(tmp_path: Path) -> None:
    parts = [
        [[stage.upper()], *([k, HIGH[k][at]] for k in range(3)), []] for at, stage in enumerate(("wet", "dry", "fired"))
    ]
    found = read(
        tmp_path, Torvan=[["Torvan, cone 7"], ["bar", "length mm"], [], *(row for part in parts for row in part)]
    )
    assert named(found) == [[str(k), "Torvan", "cone 7"] for k in range(3)]
    assert found.marks[["wet_length_mm", "dry_length_mm", "fired_length_mm"]].to_numpy().tolist() == [
        [*v] for v in HIGH[:3]
    ]


def test_names_beside_each_other_above_parts_of_a_table_are_no_body(tmp_path: Path) -> None:
    rows = [["", "Ansel", "", "", "Runa"], ["bar", "wet mm", "dry mm", "fired mm", "fired g"], ["Y1", *HIGH[0], 57.5]]
    assert read(tmp_path, **{"Torvan cone 5": rows}).bars["body"].tolist() == ["Torvan"]


def test_cones_below_bisque_and_glaze_are_no_lengths(tmp_path: Path) -> None:
    heads = ["bar", "clay", "bisque", "glaze", *STAGES[:2], "after bisque mm", "after glaze mm"]
    rows = [heads, *([k, "Torvan", "△06", "△6", *HIGH[k][:2], 93.2, HIGH[k][2]] for k in range(3))]
    found = read(tmp_path, Spring=rows)
    assert found.bars["firing"].tolist() == ["cone 6"] * 3
    assert found.marks["bisque_length_mm"].tolist() == [93.2] * 3


def test_degrees_told_in_a_title_are_those_of_the_temperatures(tmp_path: Path) -> None:
    rows = [["Torvan. Lengths in mm, pyrometer in °F"], ["bar", "wet", "dry", "fired", "peak"], [1, *HIGH[0], 2190]]
    found = read(tmp_path, Spring=rows)
    assert found.firings["peak_temperature_c"].tolist() == pytest.approx([1198.9], abs=0.05)
    assert found.bars["body"].tolist() == ["Torvan"]


AFTER = [f"fired length after {heat} (mm)" for heat in ("1060 °C", "cone 6")]


def test_a_heat_beside_a_fired_length_is_a_firing_of_its_own(tmp_path: Path) -> None:
    rows = [
        ["Torvan. The same bars, fired twice"],
        ["bar", *STAGES[:2], *AFTER],
        ["T1", *HIGH[0][:2], 91.5, HIGH[0][2]],
    ]
    found = read(tmp_path, Spring=rows)
    assert named(found) == [["T1", "Torvan", "1060 °C"], ["T1", "Torvan", "cone 6"]]
    assert found.marks["fired_length_mm"].tolist() == [91.5, HIGH[0][2]]
    assert found.marks["wet_length_mm"].tolist() == [HIGH[0][0]] * 2


def test_heats_beside_some_readings_of_fired_bars_are_asked_about(tmp_path: Path) -> None:
    rows = [["bar", "clay", *STAGES[:2], *AFTER, "fired (g)"], ["T1", "Torvan", *HIGH[0][:2], 91.5, HIGH[0][2], 57.5]]
    found = read(tmp_path, Spring=rows)
    assert [f.value for f in found.findings if f.code == "heading-in-doubt"] == AFTER


@pytest.mark.parametrize(
    ("heading", "cells", "left"),
    [
        ("exclude from average", ["false", "true", "false"], [2]),
        ("Leave out because", ["", "chipped", ""], [2]),
        ("Counts?", ["yes", "no", "yes"], [2]),
        ("leave out", ["no", "", "cracked"], [1, 3]),
    ],
)
def test_a_column_says_which_bars_are_left_out(tmp_path: Path, heading: str, cells: list[str], left: list[int]) -> None:
    rows = [
        ["id", "bar name", "clay", *STAGES, heading],
        *([90 + k, k + 1, "Torvan", *HIGH[k], cells[k]] for k in range(3)),
    ]
    found = read(tmp_path, Spring=rows).bars
    assert found[found["left_out"] != ""]["bar"].tolist() == [str(k) for k in left]
    assert found["bar"].tolist() == ["1", "2", "3"]


@pytest.mark.parametrize("tail", ["a" * 5000, "-a" * 2500, " and" * 2500, " 1" * 2500])
def test_a_long_word_behind_a_bar_is_looked_through_once(tail: str) -> None:
    """Where each way to part such a word was tried, fifty letters took longer than anybody waits."""
    assert of_all(f"cone 6, bar 3{tail} mm", {"1", "2"}) == f"cone 6, bar 3{tail} mm"
