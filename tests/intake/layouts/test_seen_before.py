"""What was seen to go wrong with sheets of people's own, and bad input of the same kinds."""

from pathlib import Path
from typing import Any

import openpyxl
import pytest

from bodytest.errors import UnusableRequest
from bodytest.grids.grid import Grid
from bodytest.intake.layouts.headings import meaning, nearest_heading
from bodytest.intake.layouts.legends import MOST_ENTRIES, legend_of
from bodytest.intake.layouts.said import Said, said_by
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets

HEADS = ["Bar", "Clay", "Cone", "wet (mm)", "dry (mm)", "fired (mm)"]
LENGTHS = [[100.0, 94.0, 92.5], [100.2, 94.1, 92.4], [99.8, 93.9, 92.3]]
HIGH = [[100.1, 94.2, 88.0], [100.0, 94.0, 87.8], [99.9, 93.8, 87.9]]
BARS = [
    *([i, "Torvan", "04", *v] for i, v in enumerate(LENGTHS, 1)),
    *([i, "Torvan", "6", *v] for i, v in enumerate(HIGH, 4)),
]


def read(path: Path, said: Said | None = None, **tabs: list[list[Any]]) -> CheckedSheets:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in tabs.items():
        tab = book.create_sheet(name.replace("_", " "))
        for row in rows:
            tab.append(row)
    book.save(path / "own.xlsx")
    return read_sheets([path / "own.xlsx"], said)


def told(sheets: CheckedSheets) -> list[tuple[str, str | None]]:
    return [(f.code, f.cell) for f in sheets.findings if f.level != "note"]


def test_a_cone_column_tells_the_firings_apart(tmp_path: Path) -> None:
    sheets = read(tmp_path, Tests=[HEADS, *BARS])
    assert sheets.bars["firing"].tolist() == ["cone 04"] * 3 + ["cone 6"] * 3
    assert sheets.firings[["firing", "cone"]].to_numpy().tolist() == [["cone 04", "04"], ["cone 6", "6"]]
    assert told(sheets) == []
    assert sheets.bars["row"].tolist() == [2, 3, 4, 5, 6, 7]


def test_a_temperature_column_tells_the_firings_apart(tmp_path: Path) -> None:
    rows = [[*bar[:2], 1060 if bar[2] == "04" else 1220, *bar[3:]] for bar in BARS]
    sheets = read(tmp_path, Tests=[["Bar", "Clay", "Temp (°C)", *HEADS[3:]], *rows])
    assert sheets.bars["firing"].tolist() == ["1060 °C"] * 3 + ["1220 °C"] * 3
    assert sheets.firings["peak_temperature_c"].tolist() == [1060.0, 1220.0]


def test_green_length_is_asked_about_in_the_form_that_answers(tmp_path: Path) -> None:
    rows = [[*HEADS[:3], "Green length (mm)", "fired (mm)"], *([*bar[:4], bar[5]] for bar in BARS)]
    (asked,) = [f for f in read(tmp_path, Tests=rows).findings if f.code == "heading-in-doubt"]
    assert asked.sentence == (
        "The heading “Green length (mm)” in Tests!D1 may mean “wet length” or “dry length”, so its column was not read."
    )
    assert asked.remedy == ('Say which, as in --as "Green length (mm)=wet length", or write that above the column.')
    answered = read(tmp_path, said_by(["green length (mm)=wet length"], []), Tests=rows)
    assert answered.marks["wet_length_mm"].tolist() == [bar[3] for bar in BARS]
    assert told(answered) == []


@pytest.mark.parametrize("heading", ["Fired to", "Soaked wt", "Kegel", "weight in water"])
def test_no_heading_is_answered_with_the_name_of_another_method(heading: str) -> None:
    assert meaning(heading, "bars").key == ""
    assert nearest_heading(heading, "bars") is None


def test_fired_to_is_a_cone_or_a_temperature_by_its_cells(tmp_path: Path) -> None:
    sheets = read(tmp_path, Tests=[[*HEADS[:2], "Fired to", *HEADS[3:]], *BARS])
    assert sheets.firings["cone"].tolist() == ["04", "6"]


def test_units_in_cells_a_title_row_and_no_bar_column_are_no_obstacle(tmp_path: Path) -> None:
    rows = [["Torvan cone 6"], ["wet", "fired"], *([f"{v[0]} mm", f"{v[2]} mm".replace(".", ",")] for v in HIGH)]
    sheets = read(tmp_path, Sheet1=rows)
    assert sheets.bars[["bar", "body", "firing"]].to_numpy().tolist() == [
        [f"row {row}", "Torvan", "cone 6"] for row in (3, 4, 5)
    ]
    assert sheets.marks["fired_length_mm"].tolist() == [88.0, 87.8, 87.9]
    assert told(sheets) == [("body-from-title-asked", "Sheet1!A1")]


def test_without_a_column_of_bars_one_question_stands_for_all_rows(tmp_path: Path) -> None:
    heads = ["body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
    sheets = read(tmp_path, Bars=[heads, *(bar[1:] for bar in BARS)])
    assert [f.sentence for f in sheets.findings if f.level != "note"] == [
        "None of the headings beside Bars!A1 is “bar”; each row is taken as a bar of its own."
    ]
    assert sheets.bars["bar"].tolist() == [f"row {row}" for row in range(2, 8)]


@pytest.mark.parametrize("name", ["{} - Table 1", "Sheet 1 - {}", "{} (2)", "Copy of {}"])
def test_tabs_that_another_program_renamed_keep_cone_and_limit(tmp_path: Path, name: str) -> None:
    heads = ["bar", "body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
    pieces = [["piece", "body", "firing", "dimension", "wet size (mm)", "fired size (mm)"]]
    pieces.append(["jar", "Torvan", "6", "height", 200, 176])
    tabs = {"Bars": [heads, *BARS], "Firings": [["firing", "cone"], ["04", "04"], ["6", "6"]], "Pieces": pieces}
    tabs["Lab"] = [["absorption limit (%)", 5]]
    sheets = read(tmp_path, **{name.format(tab): rows for tab, rows in tabs.items()})
    assert sheets.firings["cone"].tolist() == ["04", "6"]
    assert sheets.sheets[0].lab.absorption_limit_percent == 5.0
    assert sheets.pieces["fired_size_mm"].tolist() == [176.0]
    assert told(sheets) == []


def test_an_unknown_column_that_tells_bars_apart_is_asked_about_and_nothing_is_pooled(tmp_path: Path) -> None:
    rows = [[*bar[:2], "K1", "red" if bar[2] == "6" else "white", *bar[3:]] for bar in BARS]
    heads = ["Bar", "Clay", "Firing", "Engobe", *HEADS[3:]]
    sheets = read(tmp_path, Tests=[heads, *rows])
    (asked,) = [f for f in sheets.findings if f.code == "column-splits-bars"]
    assert sheets.bars.empty
    assert asked.sentence == (
        "The column “Engobe” (Tests!D1) is not known here, and it tells apart bars that would be put together (“red”,"
        " “white”), so 6 bars were not read: rows 2 to 7."
    )
    assert len(read(tmp_path, said_by(["Engobe=-"], []), Tests=[heads, *rows]).bars) == 6


def test_an_unknown_column_behind_the_readings_is_asked_about_and_its_bars_are_read(tmp_path: Path) -> None:
    rows = [[*bar, "no" if bar[2] == "6" else "ok"] for bar in BARS]
    sheets = read(tmp_path, Tests=[[*HEADS, "rings"], *([*row[:2], "6", *row[3:]] for row in rows)])
    assert len(sheets.bars) == 6
    assert [f.sentence for f in sheets.findings if f.code == "column-may-split-bars"] == [
        "The column “rings” (Tests!G1) is not known here; bars that differ in it (“no”, “ok”) were put together: rows 2"
        " to 7."
    ]


def test_bars_across_that_can_be_read_upright_too_are_asked_about(tmp_path: Path) -> None:
    rows = [["bar", "wet (mm)", "dry (mm)"], ["wet (mm)", 100.0, 94.0], ["dry (mm)", 94.1, 88.0]]
    sheets = read(tmp_path, Tests=rows)
    assert sheets.bars.empty
    assert ("layout-in-doubt", "Tests") in told(sheets)


def test_figures_of_last_year_beside_readings_do_not_count(tmp_path: Path) -> None:
    summary = [["clay", "cone", "total shrinkage %"], ["Torvan", "04", 7.5], ["Torvan", "6", 12.1]]
    sheets = read(tmp_path, Tests=[HEADS, *BARS], Summary=summary)
    assert len(sheets.bars) == 6
    assert [f.cell for f in sheets.findings if f.code == "summary-beside-readings"] == ["Summary!C1"]


def test_two_columns_that_name_the_body_and_disagree_leave_no_bar(tmp_path: Path) -> None:
    rows = [[*HEADS[:2], "body", *HEADS[2:]], *([*bar[:2], "Munker", *bar[2:]] for bar in BARS)]
    sheets = read(tmp_path, Tests=rows)
    assert sheets.bars.empty
    assert [f.sentence for f in sheets.findings if f.code == "heading-twice"] == [
        "The headings “Clay” in Tests!B1 and “body” in Tests!C1 both stand for “body”, and the two columns do not hold "
        "the same, so neither was read, and no bar from Tests!A1 to Tests!G7: none can be told from another without it."
    ]


def test_a_note_that_names_another_unit_than_the_headings_is_asked_about(tmp_path: Path) -> None:
    sheets = read(tmp_path, Tests=[["all lengths in cm"], HEADS, *BARS])
    assert told(sheets) == [("units-contradict", f"Tests!{column}2") for column in "DEF"]
    assert [f.sentence for f in sheets.findings if f.cell == "Tests!D2"] == [
        "The heading “wet (mm)” (Tests!D2) says mm, and Tests!A1 says cm; its numbers were taken in mm."
    ]
    assert sheets.marks["wet_length_mm"].tolist() == [bar[3] for bar in BARS]


def test_figures_of_last_year_below_the_readings_do_not_count(tmp_path: Path) -> None:
    summary = [[], ["clay", "cone", "total shrinkage %"], ["Torvan", "04", 7.5], ["Torvan", "6", 12.1]]
    sheets = read(tmp_path, Tests=[HEADS, *BARS, *summary])
    assert len(sheets.bars) == 6
    assert [f.cell for f in sheets.findings if f.code == "summary-beside-readings"] == ["Tests!C9"]
    assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)


def test_a_heading_that_is_told_and_not_there_is_an_error(tmp_path: Path) -> None:
    sheets = read(tmp_path, said_by(["Glaze=batch"], []), Tests=[HEADS, *BARS])
    assert [(f.code, f.value) for f in sheets.findings if f.code == "as-not-there"] == [("as-not-there", "Glaze")]


@pytest.mark.parametrize(
    ("columns", "units", "code"),
    [(["Glaze"], [], "as-unclear"), (["Glaze=shine"], [], "as-unknown-column"), ([], ["ell"], "unit-option-unknown")],
)
def test_options_that_say_nothing_are_refused(columns: list[str], units: list[str], code: str) -> None:
    with pytest.raises(UnusableRequest) as refused:
        said_by(columns, units)
    assert refused.value.finding.code == code


def test_a_unit_that_was_told_ends_the_question(tmp_path: Path) -> None:
    rows = [
        [*HEADS[:3], "wet length", "dry length", "fired length"],
        *([*b[:3], *(v / 10 for v in b[3:])] for b in BARS),
    ]
    asked = read(tmp_path, Tests=rows)
    assert [code for code, _ in told(asked)].count("unit-missing") == 3
    answered = read(tmp_path, said_by([], ["cm"]), Tests=rows)
    assert told(answered) == []
    assert answered.marks["wet_length_mm"].tolist() == pytest.approx([bar[3] for bar in BARS])


NO_CONE = [HEADS[:2] + HEADS[3:], *([*bar[:2], *bar[3:]] for bar in BARS[:3])]


def test_names_of_bars_need_no_heading_and_the_average_among_them_is_no_bar(tmp_path: Path) -> None:
    rows = [["", *HEADS[3:]], *([f"bar {bar[0]}", *bar[3:]] for bar in BARS[:3]), ["average", 100.0, 94.0, 92.4]]
    sheets = read(tmp_path, Torvan=[["Torvan, cone 04"], *rows])
    assert sheets.bars["bar"].tolist() == ["bar 1", "bar 2", "bar 3"]
    across = read(tmp_path, Torvan=[["Torvan, cone 04"], *map(list, zip(*rows, strict=True))])
    assert across.bars["bar"].tolist() == ["bar 1", "bar 2", "bar 3"]


@pytest.mark.parametrize("cells", [["x", "x", "y"], [101.0, 99.0, 98.0]], ids=["names that repeat", "readings"])
def test_a_column_without_a_heading_that_names_no_bars_is_told(tmp_path: Path, cells: list[Any]) -> None:
    rows = [["", *HEADS[3:]], *([cell, *bar[3:]] for cell, bar in zip(cells, BARS[:3], strict=True))]
    sheets = read(tmp_path, Torvan=[["Torvan, cone 04"], *rows])
    assert sheets.bars["bar"].tolist() == ["row 3", "row 4", "row 5"]
    assert "column-without-heading" in [code for code, _ in told(sheets)]


def test_a_row_called_by_the_sign_for_the_average_is_no_bar(tmp_path: Path) -> None:
    sheets = read(tmp_path, Tests=[*NO_CONE, ["Ø", "Torvan", 100.0, 94.0, 92.4], ["⌀", "Torvan", 100.0, 94.0, 92.4]])
    assert sheets.bars["bar"].tolist() == ["1", "2", "3"]


def test_a_title_that_names_another_body_than_all_bars_below_is_asked_about(tmp_path: Path) -> None:
    (asked,) = [f for f in read(tmp_path, Tests=[["Munker test bars, cone 04"], *NO_CONE]).findings if f.level == "ask"]
    assert asked.sentence == (
        "“Munker test bars, cone 04” in Tests!A1 seems to name the body Munker, and all bars below it name the body "
        "Torvan, which was taken."
    )


@pytest.mark.parametrize("title", ["Torvan Buff, cone 04", "Mill Lane Pottery, cone 04", "cone 04, fired by Munker"])
def test_a_title_that_names_the_body_or_people_raises_no_question(tmp_path: Path, title: str) -> None:
    assert told(read(tmp_path, Tests=[[title], *NO_CONE])) == []


def test_stages_beside_their_weights_are_lengths(tmp_path: Path) -> None:
    rows = [["Bar", "As made", "Bone dry", "Fired", "Weight fired"], *([bar[0], *bar[3:], 55.0] for bar in BARS[:3])]
    sheets = read(tmp_path, Torvan_white=[["Cone 04. Lengths in mm, weights in g."], *rows])
    assert sheets.marks["fired_length_mm"].tolist() == [92.5, 92.4, 92.3]
    assert sheets.bars[["body", "fired_mass_g"]].to_numpy().tolist() == [["Torvan white", 55.0]] * 3
    assert [code for code, _ in told(sheets)] == ["body-from-title-asked"]


def test_blocks_below_each_other_may_be_headed_by_pairs_of_cells_and_share_units(tmp_path: Path) -> None:
    heads, low, high = ["Bar", "Wet", "Dry", "Fired"], ["Clay", "Torvan", "Cone", 6], ["Clay", "Munker", "Cone", 10]
    rows = [[bar[0], *bar[3:]] for bar in BARS[:3]]
    sheets = read(tmp_path, Tests=[["All lengths in mm"], [], low, heads, *rows, [], high, heads, *rows])
    assert sheets.bars["body"].tolist() == ["Torvan"] * 3 + ["Munker"] * 3
    assert sheets.firings["cone"].tolist() == ["6", "10"]
    assert sheets.marks["fired_length_mm"].tolist() == [92.5, 92.4, 92.3] * 2


def test_a_body_in_a_pair_of_cells_may_have_a_percentage_in_its_name(tmp_path: Path) -> None:
    rows = [[bar[0], *bar[3:]] for bar in BARS[:3]]
    sheets = read(tmp_path, Tests=[["Clay body", "Torvan + 10% grog"], ["Cone", "6"], ["Bar", *HEADS[3:]], *rows])
    assert sheets.bars["body"].tolist() == ["Torvan + 10% grog"] * 3


@pytest.mark.parametrize("name", ["bars", "tests"])
def test_a_log_of_firings_under_another_name_is_read_beside_bars_that_name_them(tmp_path: Path, name: str) -> None:
    rows = [["Firing no", "Bar no", "Clay", *HEADS[3:]], *([14, bar[0], "Torvan", *bar[3:]] for bar in BARS[:3])]
    sheets = read(
        tmp_path,
        **{name: rows, "firing_log": [["No", "Cone bent", "Top temp C", "what is in"], [14, "5", 1186, "jars"]]},
    )
    assert sheets.firings[["firing", "cone", "peak_temperature_c"]].to_numpy().tolist() == [["14", "5", 1186.0]]


def test_a_saturated_mass_is_asked_about(tmp_path: Path) -> None:
    rows = [["Bar", "Clay", "fired weight g", "saturated weight g"], *([n, "Torvan", 55.0, 57.0] for n in range(3))]
    assert ("heading-in-doubt", "Tests!D1") in told(read(tmp_path, Tests=rows))


def test_letters_of_a_legend_above_are_no_body(tmp_path: Path) -> None:
    legend = ["W = wet length, D = dry length, F = fired length, all mm"]
    rows = [["bar", "W", "D", "F"], *([bar[0], *bar[3:]] for bar in BARS[:3])]
    sheets = read(tmp_path, Tests=[["Torvan, cone 6"], legend, *rows])
    assert sheets.bars["body"].tolist() == ["Torvan"] * 3


def test_a_long_list_of_words_and_values_is_no_legend(tmp_path: Path) -> None:
    lines = [[f"word{number}: dry length"] for number in range(MOST_ENTRIES + 1)]
    for rows, entries in ((lines, 0), (lines[1:], MOST_ENTRIES)):
        assert len(legend_of(Grid("Tests", rows))) == entries


def test_a_title_like_a_legend_names_the_body_also_where_bars_stand_across(tmp_path: Path) -> None:
    rows = [
        ["", "unit", "Bar 1", "Bar 2", "Average"],
        *([h[:-5], "mm", v, v, v] for h, v in zip(HEADS[3:], LENGTHS[0], strict=True)),
    ]
    sheets = read(tmp_path, Year_12=[["Clay test: Torvan, cone 04"], ["Thursday group"], [], *rows])
    assert sheets.bars[["bar", "body"]].to_numpy().tolist() == [["Bar 1", "Torvan"], ["Bar 2", "Torvan"]]


def test_what_stands_above_the_first_of_several_blocks_alone_holds_for_all(tmp_path: Path) -> None:
    heads, bar = ["Bar", *HEADS[3:]], [1, *LENGTHS[0]]
    cones = ["Cone 04", "", "", "", "", "Cone 6"]
    sheets = read(tmp_path, Tests=[["Body:", "Torvan", "", "by mk"], [], cones, [*heads, "", *heads], [*bar, "", *bar]])
    assert sheets.bars[["body", "firing"]].to_numpy().tolist() == [["Torvan", "cone 04"], ["Torvan", "cone 6"]]


def test_bricks_are_moulded_and_burnt(tmp_path: Path) -> None:
    rows = [["Brick no", "As moulded (mm)", "Dry (mm)", "Burnt (mm)"], *([bar[0], *bar[3:]] for bar in BARS[:3])]
    sheets = read(tmp_path, Bricks=[["Torvan pit, cone 04"], *rows])
    assert sheets.bars["body"].tolist() == ["Torvan pit"] * 3
    assert sheets.marks["fired_length_mm"].tolist() == [92.5, 92.4, 92.3]


@pytest.mark.parametrize(
    ("heading", "key"),
    [("Peak temp (C)", "peak_temperature"), ("just cut, wet mm", "wet_length"), ("mix no.", "batch")],
)
def test_words_seen_on_sheets_mean_what_they_say(heading: str, key: str) -> None:
    assert meaning(heading, "bars").key == key
