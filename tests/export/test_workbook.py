"""The planner workbook: what stands in it, and its cells after LibreOffice has recalculated them."""

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from bodytest import analyse, read_sheets
from bodytest.cli.app import main
from bodytest.errors import NotMeasured
from bodytest.export.planner_figures import BY_BARS, BY_PIECES, NEW_BATCH, ONE_BATCH, figures_rows
from bodytest.export.planner_lists import choices
from bodytest.export.planner_sheet import AGREE, COLUMNS, FIRST_ROW, LOST_OF_100, NAMES, PICKS, TOLERANCE, UNIT
from bodytest.export.workbook import ALL_TOGETHER, FIRST_PART, PART_COLUMNS, to_workbook
from bodytest.plan.amounts import clay_masses
from bodytest.plan.matching import Match, match
from bodytest.plan.measured import Wanted
from bodytest.plan.sizes import sizes
from bodytest.results import BatchResult
from bodytest.scope import SpeaksOf
from tests.broken_sheets.make import workbook_of
from tests.export.example_results import STAGES, group, quantity, results
from tests.report.test_first_look import stoneware

BISQUE = {"bisque_shrinkage": (1.0, 0.2, 10)}
BATCH_A = {key: quantity(key, mean + 0.3, sd, 5) for key, (mean, sd, _) in STAGES.items()}
MANY = results(
    group("Drift Buff", "C5", "along", **STAGES, **BISQUE),
    group("Drift Buff", "C6", "along", batches=("A", "B"),
          by_batch=(BatchResult("A", 5, BATCH_A), BatchResult("B", 5, {})), **STAGES),
    group("Marl*", "=C04", "", batches=("",), total_shrinkage=(8.0, None, 1)),
    group("Marl", "C04", "across", total_shrinkage=(9.0, 0.2, 10)),
    group("Chalk White", "C6", "along", drying_shrinkage=(6.0, 0.1, 10), firing_shrinkage=(5.0, 0.1, 10)),
    group("Bone Grey", "C6", "along", firing_shrinkage=(5.0, 0.1, 10)),
    group("Not fired", "", "along", drying_shrinkage=(6.0, 0.1, 10)),
)  # fmt: skip
DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"
ARCHIVE = Path(__file__).parents[2] / "reports" / "results.json"
TYPED = (200.0, 7.5, 600.0, 0.0, -3.0, "200mm")
OFFICE = pytest.mark.skipif(
    shutil.which("soffice") is None and not os.environ.get("CI"), reason="no LibreOffice on this machine"
)


LIST_CELLS = {"body": "W1", "firing": "W2", "direction": "W3", "dimension": "W4", "batch": "W5"}
UNITS = ("mm", "cm", "in")
SETS = ((2, 0), (2, 10), (3, 5), (4, 30))
LENGTHS = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def lists_of(sheet):
    """Return the formulas of the drop-down lists by cell."""
    return {str(one.sqref): one.formula1 for one in sheet.data_validations.dataValidation}


def book_of(made):
    return openpyxl.load_workbook(io.BytesIO(to_workbook(made)))


def test_the_picks_are_those_that_were_measured():
    rows = figures_rows(MANY)
    assert choices(rows, 0) == {"": ["Drift Buff", "Marl*", "Marl", "Chalk White", "Bone Grey"]}
    assert choices(rows, 1)["Drift Buff"] == ["C5", "C6"]
    assert choices(rows, 3)["Drift Buff|C6|along"] == [BY_BARS]
    assert choices(rows, 4)[f"Drift Buff|C6|along|{BY_BARS}"] == [NEW_BATCH, "A"]


def test_names_that_look_like_formulas_are_texts():
    book = book_of(MANY)
    found = [cell for sheet in book for row in sheet.iter_rows() for cell in row if "C04" in str(cell.value)]
    assert found
    assert all(cell.data_type == "s" for cell in found)
    assert {"'=C04", "C04"} <= {cell.value for cell in found}


def test_the_workbook_holds_the_table_of_results_too():
    sheet = book_of(MANY)["Results"]
    assert [cell.value for cell in sheet[1]][:3] == ["body", "firing", "direction"]
    heading = [cell.value for cell in sheet[1]].index("mean")
    assert sheet[2][heading].value == 3.0


@pytest.mark.parametrize(("name", "wide", "repeated"), [("Figures", 3, "$A:$E"), ("Results", 4, "$A:$C")])
def test_long_tables_print_on_few_pages_in_width_with_headings_and_names_on_each(name, wide, repeated):
    sheet = book_of(results())[name]
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert (sheet.page_setup.orientation, sheet.page_setup.fitToWidth) == ("landscape", wide)
    assert (sheet.print_title_rows, sheet.print_title_cols) == ("$1:$1", repeated)


def test_the_same_results_give_the_same_bytes():
    assert to_workbook(MANY) == to_workbook(MANY)


def test_of_groups_that_differ_in_absorption_method_the_larger_is_taken():
    small = replace(group(total_shrinkage=(13.0, 0.2, 5)), absorption_method="vacuum")
    (row,) = figures_rows(results(small, group(total_shrinkage=(12.0, 0.2, 10))))
    assert (row["total"], row["bars"]) == (12.0, 10)


def test_without_fired_bars_there_is_no_workbook():
    with pytest.raises(NotMeasured) as caught:
        to_workbook(results(group("Not fired", "", "along", drying_shrinkage=(6.0, 0.1, 10))))
    assert caught.value.finding.sentence == (
        "No bars of Not fired were measured both before and after a firing, so nothing is known about finished sizes."
    )


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory):
    """Return the workbook with one planner sheet for each row of Figures, typed into and recalculated."""
    return recalculate(MANY, tmp_path_factory.mktemp("planner"))


def recalculate(made, folder, units=("mm",)):
    book = book_of(made)
    for number, row in enumerate(figures_rows(made)):
        sheet = book.copy_worksheet(book["Planner"])
        sheet.title = f"pick {number}"
        pick(sheet, row)
        sheet[UNIT] = units[number % len(units)]
        sheet[AGREE], sheet[LOST_OF_100] = SETS[number % len(SETS)]
        for name, cell in LIST_CELLS.items():
            formula = lists_of(book["Planner"])[PICKS[name]]
            sheet[cell] = f'=COUNTA({formula})&":"&INDEX({formula},1)'
        for place, size in enumerate(TYPED):
            sheet[f"B{FIRST_ROW + place}"] = size
    wrong = book.copy_worksheet(book["Planner"])
    wrong.title, wrong[PICKS["firing"]].value = "wrong", "C9"
    return in_office(book, folder)


def pick(sheet, row):
    for place, text in zip(
        PICKS.values(), (row["body"], row["firing"], row["direction"], row["dimension"], row["batch"]), strict=True
    ):
        sheet[place].value = text
        sheet[place].data_type = "s"


def in_office(book, folder):
    """Return the workbook as LibreOffice computes it; what openpyxl saves holds no stored values."""
    book.save(folder / "typed.xlsx")
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--convert-to", "xlsx",
         "--outdir", str(folder / "out"), str(folder / "typed.xlsx")],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    return openpyxl.load_workbook(folder / "out" / "typed.xlsx", data_only=True)


@pytest.fixture(scope="module")
def demo():
    return analyse(read_sheets([DEMO]))


def test_the_planner_begins_with_what_answers_for_each_body(demo):
    first = {}
    for row in figures_rows(demo):
        first.setdefault(row["body"], (row["firing"], row["direction"], row["speaks_of"]))
    assert first["Drift Buff"] == ("cone 6", "along", "any batch in any load")
    assert first["Marl Red"] == ("cone 04", "along", "batch M1 only, in this load only")
    names = [(row["body"], row["firing"]) for row in figures_rows(demo)]
    assert ("Marl Red", "F1") not in names  # the only load of its programme is told once


def test_the_planner_opens_on_the_firing_that_answers_not_on_the_bisque(tmp_path):
    """From the bisque a piece of 200 mm would be made 214 mm."""
    fired = [("B", "bisque", "06", 6.5, 14.0, 5), ("T", "test", "9", 13.68, 0.4, 5), ("F", "final", "6", 13.0, 1.5, 5)]
    (tmp_path / "s.xlsx").write_bytes(workbook_of(stoneware(fired)))
    made = analyse(read_sheets([tmp_path / "s.xlsx"]))
    planner = book_of(made)["Planner"]
    assert [planner[PICKS[name]].value for name in ("body", "firing", "batch")] == ["Invented Stone", "cone 6", "S1"]
    assert figures_rows(made)[0]["total"] == pytest.approx(13.0, abs=0.05)


@pytest.fixture(scope="module")
def demo_recalculated(demo, tmp_path_factory):
    return recalculate(demo, tmp_path_factory.mktemp("demo"), UNITS)


@OFFICE
@pytest.mark.office
def test_the_demo_planner_recalculates_to_what_size_prints_as_json(demo, demo_recalculated, monkeypatch, capsys):
    """Each body, programme, load, direction, dimension and batch, with sizes in mm, cm and inches in turn."""
    rows, tried, units = figures_rows(demo), set(), set()
    for number, row in enumerate(rows):
        sheet, unit = demo_recalculated[f"pick {number}"], UNITS[number % 3]
        found = said_by_size(monkeypatch, capsys, row, unit, {group.firing for group in demo.groups})
        stages, mm = {stage["stage"]: stage for stage in found["stages"]}, LENGTHS[unit]
        cells = {name: sheet[f"{column}{FIRST_ROW}"].value for name, column in COLUMNS.items()}
        expected = {
            "wet": stages["wet"]["size_mm"] / mm, "wet_low": stages["wet"]["low_mm"] / mm,
            "wet_high": stages["wet"]["high_mm"] / mm, "dry": stages["dry"]["size_mm"] / mm,
            "finished_low": found["next_low_mm"] / mm, "finished_high": found["next_high_mm"] / mm,
            "chance": found["chance_within"],
        }  # fmt: skip
        assert {name: cells[name] for name in expected} == pytest.approx(expected, rel=1e-9), row
        assert sheet["E6"].value == row["speaks_of"] == SpeaksOf(**found["speaks_of"]).words(found["batch"])
        assert sheet["E5"].value == f"{found['bars']} {found['rests_on']}"
        tried.add((row["body"], row["firing"]))
        units.add(unit)
    assert len(tried) > 12
    assert units == set(UNITS)
    assert {row["dimension"] for row in rows} == {BY_BARS, "height", "diameter", "length"}


def said_by_size(monkeypatch, capsys, row, unit, loads):
    options = ["--body", row["body"], "--firing" if row["firing"] in loads else "--programme", row["firing"]]
    options += ["--direction", row["direction"], "--within", f"2{unit}"]
    if row["dimension"] != BY_BARS:
        options += ["--as-pieces", row["dimension"]]
    elif row["batch"] != ONE_BATCH:
        options += ["--batch", "new" if row["batch"] == NEW_BATCH else row["batch"]]
    monkeypatch.setattr(sys, "argv", ["bodytest", "size", f"200{unit}", "--from", str(ARCHIVE), "--json", *options])
    main()
    return json.loads(capsys.readouterr().out)["sizes"][0]


@OFFICE
@pytest.mark.office
def test_the_demo_planner_says_how_many_to_make_as_match_does(demo, demo_recalculated):
    """Its table is read between its lines, so a tolerance 2 % narrower or wider may be what it answers for."""
    told = set()
    for number, row in list(enumerate(figures_rows(demo)))[:24]:
        sheet, unit = demo_recalculated[f"pick {number}"], UNITS[number % 3]
        pieces, lost = SETS[number % len(SETS)]
        made = sheet[f"{COLUMNS['make']}{FIRST_ROW + 2}"].value
        if row["dimension"] != BY_BARS:
            assert made in {None, ""}
            continue
        batch = None if row["batch"] == ONE_BATCH else "new" if row["batch"] == NEW_BATCH else row["batch"]
        called = (
            {"firing": row["firing"]}
            if row["firing"] in {g.firing for g in demo.groups}
            else {"programme": row["firing"]}
        )
        wanted = Wanted(row["body"], direction=row["direction"], batch=batch, **called)
        size = f"{TYPED[2]}{unit}"
        near = {
            match(demo, Match(size, pieces, within=f"{2.0 * factor}{unit}", lost=lost / 100.0), wanted=wanted).make
            for factor in (0.98, 1.0, 1.02)
        }
        assert made in near or (min(near) > pieces + 20 and made == f"over {pieces + 20}"), row
        told.add((pieces, made))
    assert len(told) > 6


def test_the_reason_for_a_dimension_is_what_the_pieces_said(demo):
    rows = [row for row in figures_rows(demo) if row["body"] == "Drift Buff" and row["direction"] == "along"]
    said = {piece.dimension: piece.sentence for piece in demo.pieces}
    by_pieces = {row["dimension"]: row for row in rows if row["firing"] == "cone 6" and row["dimension"] != BY_BARS}
    assert {dimension: row["reason"] for dimension, row in by_pieces.items()} == said
    assert {row["batch"] for row in by_pieces.values()} == {BY_PIECES}
    assert rows[0]["reason"] == f"{said['height']} To plan by these pieces, pick the dimension height."
    marl = next(row for row in figures_rows(demo) if row["body"] == "Marl Red")
    assert marl["reason"] == (
        "No real pieces were measured wet and fired: every dimension is taken to shrink as the bars did."
    )


@OFFICE
@pytest.mark.office
def test_stored_values_are_what_libreoffice_computes(demo, demo_recalculated):
    """The first planner sheet and the list of parts are as they were written."""
    made = to_workbook(demo)
    formulas, stored = (
        openpyxl.load_workbook(io.BytesIO(made)),
        openpyxl.load_workbook(io.BytesIO(made), data_only=True),
    )
    places = [
        (sheet.title, cell.coordinate)
        for sheet in formulas
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]
    assert len(places) > 600
    for sheet, cell in places:
        ours, theirs = stored[sheet][cell].value, demo_recalculated[sheet][cell].value
        if isinstance(ours, float | int):
            assert ours == pytest.approx(theirs, rel=1e-9), (sheet, cell)
        else:
            assert (ours or "") == (theirs or ""), (sheet, cell)
    assert stored["Planner"][f"C{FIRST_ROW}"].value == pytest.approx(200.0 * stored["Planner"]["E4"].value)


@OFFICE
@pytest.mark.office
def test_what_was_typed_wrongly_is_told_in_words(demo, tmp_path):
    book = book_of(demo)
    sheet, parts = book["Planner"], book["Parts"]
    sheet[UNIT], sheet[TOLERANCE], sheet[AGREE], sheet[LOST_OF_100] = "xx", "two", 7, "some"
    for place, size in enumerate((200.0, -3.0, "200mm", None)):
        sheet[f"B{FIRST_ROW + place}"] = size
    for place, (many, mass) in enumerate(((3, 800.0), (None, 800.0), (-1, 800.0), ("x", 800.0), (2, "800g"), (2, -1))):
        parts[f"B{FIRST_PART + place}"], parts[f"C{FIRST_PART + place}"] = many, mass
    for other in (0, -1.0):
        copied = book.copy_worksheet(sheet)
        copied.title, copied[UNIT], copied[TOLERANCE] = f"tolerance {other}", "cm", other
    done = in_office(book, tmp_path)
    sheet, parts = done["Planner"], done["Parts"]
    assert sheet["C9"].value == "The unit has to be mm, cm or in."
    assert sheet["C10"].value == "Type the tolerance as a number, without its unit."
    assert sheet["C11"].value == "This has to be 2, 3 or 4."
    assert sheet["C12"].value == "This has to be 0, 5, 10, 20 or 30."
    assert [sheet[f"{COLUMNS['note']}{FIRST_ROW + place}"].value or "" for place in range(4)] == [
        "pick the unit: mm, cm or in", "a size has to be above zero", "type a number, without its unit", "",
    ]  # fmt: skip
    assert {sheet[f"{COLUMNS[name]}{FIRST_ROW}"].value or "" for name in ("wet", "dry", "chance", "make")} == {""}
    for other in (0, -1.0):
        assert done[f"tolerance {other}"]["C10"].value == "The tolerance has to be above zero."
        assert done[f"tolerance {other}"][f"{COLUMNS['wet']}{FIRST_ROW}"].value > 200.0
        assert not done[f"tolerance {other}"][f"{COLUMNS['chance']}{FIRST_ROW}"].value
    assert [parts[f"H{FIRST_PART + place}"].value or "" for place in range(6)] == [
        "", "", "type how many as a number above zero", "type how many as a number above zero",
        "type a number, without its unit", "a mass has to be above zero",
    ]  # fmt: skip
    assert errors_in(done) == []


@OFFICE
@pytest.mark.office
def test_the_clay_for_parts_is_that_of_size(demo, tmp_path):
    book = book_of(demo)
    for place, (many, mass) in enumerate(((3, 800.0), (None, 250.0))):
        book["Parts"][f"B{FIRST_PART + place}"], book["Parts"][f"C{FIRST_PART + place}"] = many, mass
    row = figures_rows(demo)[0]
    parts = in_office(book, tmp_path)["Parts"]
    wanted = Wanted(row["body"], programme=row["firing"], direction=row["direction"])
    large, small = clay_masses(demo, ["800g", "250g"], wanted=wanted)
    for place, plan in enumerate((large, small)):
        cells = [parts[f"{PART_COLUMNS[name]}{FIRST_PART + place}"].value for name in ("wet", "low", "high")]
        assert cells == pytest.approx([plan.wet_g, plan.wet_low_g, plan.wet_high_g], rel=1e-9)
    assert parts[ALL_TOGETHER].value == pytest.approx(3 * large.wet_g + small.wet_g, rel=1e-9)
    assert parts["A4"].value == f"As picked on the sheet Planner: {row['body']}, {row['firing']}"
    assert not parts["A5"].value


def test_pieces_weigh_as_the_bars_whatever_the_dimension(demo):
    rows = [
        row
        for row in figures_rows(demo)
        if (row["body"], row["firing"], row["direction"]) == ("Drift Buff", "cone 6", "along")
    ]
    new_batch = rows[0]
    by_pieces = [row for row in rows if row["batch"] == BY_PIECES]
    assert len(by_pieces) == 3
    for row in by_pieces:
        assert (row["clay"], row["clay_low"], row["clay_high"]) == (
            new_batch["clay"],
            new_batch["clay_low"],
            new_batch["clay_high"],
        )
    assert new_batch["clay"] > 1.2


@OFFICE
@pytest.mark.office
def test_a_chance_is_shown_in_per_cent(demo, tmp_path):
    """As text: LibreOffice writes to CSV what it shows."""
    book = book_of(demo)
    sheet = book["Planner"]
    for place, tolerance in enumerate((2.0, 0.3, 0.0001)):
        sheet[f"B{FIRST_ROW + place}"] = 200.0
        formula = sheet[f"{COLUMNS['chance']}{FIRST_ROW + place}"].value
        sheet[f"{COLUMNS['chance']}{FIRST_ROW + place}"] = formula.replace(
            f"${TOLERANCE[0]}${TOLERANCE[1:]}", f"{tolerance}"
        )
    book.save(tmp_path / "shown.xlsx")
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless", "--convert-to",
         "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true",
         "--outdir", str(tmp_path), str(tmp_path / "shown.xlsx")],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    lines = list(csv.reader((tmp_path / "shown.csv").read_text(encoding="utf-8").splitlines()))
    shown = [lines[FIRST_ROW - 1 + place][10] for place in range(3)]
    (plan,) = sizes(demo, "200mm", wanted=Wanted("Chalk White"), within="0.3mm")
    assert shown == ["over 99 %", f"{100 * plan.chance_within:.0f} %", "under 1 %"]


def test_formulas_are_locked_and_inputs_are_not(demo):
    book = book_of(demo)
    typed = {
        "Planner": {
            *PICKS.values(),
            UNIT,
            TOLERANCE,
            AGREE,
            LOST_OF_100,
            *(f"{c}{FIRST_ROW + n}" for c in "AB" for n in range(40)),
        },
        "Parts": {f"{c}{FIRST_PART + n}" for c in "ABC" for n in range(40)},
        "Figures": set(),
    }
    for name, places in typed.items():
        sheet = book[name]
        assert sheet.protection.sheet
        assert sheet.protection.password is None
        assert {c.coordinate for row in sheet.iter_rows() for c in row if not c.protection.locked} == places


def test_what_may_be_typed_is_refused_otherwise(demo):
    book = book_of(demo)
    rules = {str(one.sqref): one for name in ("Planner", "Parts") for one in book[name].data_validations.dataValidation}
    assert all(one.showErrorMessage and one.errorStyle == "stop" for one in rules.values())
    assert (rules[UNIT].formula1, rules[UNIT].error) == ('"mm,cm,in"', "Pick the unit: mm, cm or in.")
    sizes_rule = rules[f"B{FIRST_ROW}:B{FIRST_ROW + 39}"]
    assert (sizes_rule.type, sizes_rule.operator, sizes_rule.formula1) == ("decimal", "greaterThan", "0")
    assert sizes_rule.error == "Type a finished size as a number above zero, without a unit."
    assert rules[f"B{FIRST_PART}:B{FIRST_PART + 39}"].type == "whole"
    assert {*PICKS.values(), UNIT, TOLERANCE} <= set(rules)


def test_names_and_tables_are_there_for_formulas_of_ones_own(demo):
    book = book_of(demo)
    assert {name: one.attr_text for name, one in book.defined_names.items()} == {
        name: f"Planner!${place.replace('$', '')[0]}${place.replace('$', '')[1:]}" for name, place in NAMES.items()
    }
    tables = {name: sheet for sheet in book.sheetnames for name in book[sheet].tables}
    assert tables == {
        "PiecesTable": "Planner", "PartsTable": "Parts", "FiguresTable": "Figures", "ResultsTable": "Results"
    }  # fmt: skip
    for name, sheet in tables.items():
        table = book[sheet].tables[name]
        headings = [cell.value for cell in book[sheet][table.ref][0]]
        assert [column.name for column in table.tableColumns] == headings


@OFFICE
@pytest.mark.office
def test_each_drop_down_holds_what_belongs_to_the_picks_above_it(recalculated):
    rows = figures_rows(MANY)
    for number, row in enumerate(rows):
        names = (row["body"], row["firing"], row["direction"], row["dimension"], row["batch"])
        for level, cell in enumerate(LIST_CELLS.values()):
            belonging = choices(rows, level)["|".join(names[:level])]
            assert recalculated[f"pick {number}"][cell].value == f"{len(belonging)}:{belonging[0]}"


def test_the_formula_of_a_drop_down_is_short_enough_for_every_spreadsheet():
    assert max(len(formula) for formula in lists_of(book_of(MANY)["Planner"]).values()) <= 255


def plan_of(row, size):
    names = {"(blank)": "", "'=C04": "=C04"}
    batch = None if row["batch"] in {NEW_BATCH, "(the one tested)"} else row["batch"]
    firing, direction = (names.get(name, name) for name in (row["firing"], row["direction"]))
    (found,) = sizes(MANY, [f"{size!r}mm"], wanted=Wanted(row["body"], firing, direction, batch))
    return found


def expected_cells(found):
    stages = {stage.stage: stage for stage in found.stages}
    wet = stages.get("wet")
    direct = (
        "total_shrinkage" in next(g for g in MANY.groups if (g.body, g.firing) == (found.body, found.firing)).quantities
    )
    return {
        "wet": wet.size_mm if wet else None,
        "wet_low": wet.low_mm if wet and direct else None,
        "wet_high": wet.high_mm if wet and direct else None,
        "leather_hard": stages["leather-hard"].size_mm if "leather-hard" in stages else None,
        "dry": stages["dry"].size_mm if "dry" in stages else None,
        "bisque": stages["bisque"].size_mm if "bisque" in stages else None,
        "finished_low": found.next_low_mm if direct else None,
        "finished_high": found.next_high_mm if direct else None,
    }


@OFFICE
@pytest.mark.office
@pytest.mark.parametrize("number", range(len(figures_rows(MANY))))
def test_recalculated_cells_equal_the_sizes_from_python(recalculated, number):
    row, sheet = figures_rows(MANY)[number], recalculated[f"pick {number}"]
    for place, size in enumerate(TYPED[:3]):
        for name, value in expected_cells(plan_of(row, size)).items():
            cell = sheet[f"{COLUMNS[name]}{FIRST_ROW + place}"].value
            if value is None:
                assert cell in {None, ""}, name
            else:
                assert cell == pytest.approx(value, rel=1e-9, abs=1e-9), name


@OFFICE
@pytest.mark.office
def test_notes_tell_what_cannot_be_computed(recalculated):
    notes = [
        recalculated["pick 0"][f"{COLUMNS['note']}{FIRST_ROW + place}"].value or "" for place in range(len(TYPED) + 1)
    ]
    assert notes == [
        "", "far from the length of the bars: make a trial piece first",
        "far from the length of the bars: make a trial piece first", "a size has to be above zero",
        "a size has to be above zero", "type a number, without its unit", "",
    ]  # fmt: skip


@OFFICE
@pytest.mark.office
def test_one_bar_says_why_it_has_no_range(recalculated):
    number = [row["body"] for row in figures_rows(MANY)].index("Marl*")
    assert recalculated[f"pick {number}"][f"{COLUMNS['note']}{FIRST_ROW}"].value == "One bar alone shows no scatter."


@OFFICE
@pytest.mark.office
def test_a_firing_that_does_not_belong_to_the_body_is_told(recalculated):
    sheet = recalculated["wrong"]
    assert sheet["A14"].value == "This was not measured: pick again, from top to bottom."
    assert sheet[f"C{FIRST_ROW}"].value in {None, ""}
    assert sheet[f"{COLUMNS['note']}{FIRST_ROW}"].value == "not measured"


@OFFICE
@pytest.mark.office
def test_no_cell_shows_an_error(recalculated, demo_recalculated):
    assert errors_in(recalculated) == errors_in(demo_recalculated) == []


def errors_in(book):
    return [
        (sheet.title, cell.coordinate)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "e" or str(cell.value).startswith(("#", "Err:"))
    ]
