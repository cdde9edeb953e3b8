"""The planner workbook: what stands in it, and its cells after LibreOffice has recalculated them."""

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
from bodytest.export.planner_figures import NEW_BATCH, figures_rows
from bodytest.export.planner_lists import choices
from bodytest.export.planner_sheet import COLUMNS, FIRST_ROW, PICKS
from bodytest.export.workbook import to_workbook
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
TYPED = (200.0, 7.5, 600.0, 0.0, -3.0, "200mm")
OFFICE = pytest.mark.skipif(
    shutil.which("soffice") is None and not os.environ.get("CI"), reason="no LibreOffice on this machine"
)


LIST_CELLS = {"body": "T1", "firing": "T2", "direction": "T3", "batch": "T4"}


def lists_of(sheet):
    """Return the formulas of the drop-down lists by cell."""
    return {str(one.sqref): one.formula1 for one in sheet.data_validations.dataValidation}


def book_of(made):
    return openpyxl.load_workbook(io.BytesIO(to_workbook(made)))


def test_the_picks_are_those_that_were_measured():
    rows = figures_rows(MANY)
    assert choices(rows, 0) == {"": ["Drift Buff", "Marl*", "Marl", "Chalk White", "Bone Grey"]}
    assert choices(rows, 1)["Drift Buff"] == ["C5", "C6"]
    assert choices(rows, 3)["Drift Buff|C6|along"] == [NEW_BATCH, "A"]


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


def test_the_same_results_give_the_same_bytes():
    assert to_workbook(MANY) == to_workbook(MANY)


def test_of_groups_that_differ_in_absorption_method_the_larger_is_taken():
    small = replace(group(total_shrinkage=(13.0, 0.2, 5)), absorption_method="vacuum")
    (row,) = figures_rows(results(small, group(total_shrinkage=(12.0, 0.2, 10))))
    assert (row.total, row.bars) == (12.0, 10)


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


def recalculate(made, folder):
    book = book_of(made)
    for number, row in enumerate(figures_rows(made)):
        sheet = book.copy_worksheet(book["Planner"])
        sheet.title = f"pick {number}"
        for name, text in zip(PICKS, (row.body, row.firing, row.direction, row.batch), strict=False):
            sheet[PICKS[name]].value = text
            sheet[PICKS[name]].data_type = "s"
        for name, cell in LIST_CELLS.items():
            formula = lists_of(book["Planner"])[PICKS[name]]
            sheet[cell] = f'=COUNTA({formula})&":"&INDEX({formula},1)'
        for place, size in enumerate(TYPED):
            sheet[f"B{FIRST_ROW + place}"] = size
    wrong = book.copy_worksheet(book["Planner"])
    wrong.title, wrong[PICKS["firing"]].value = "wrong", "C9"
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
        first.setdefault(row.body, (row.firing, row.direction, row.speaks_of))
    assert first["Drift Buff"] == ("cone 6", "along", "any batch in any load")
    assert first["Marl Red"] == ("cone 04", "along", "batch M1 only, in this load only")
    names = [(row.body, row.firing) for row in figures_rows(demo)]
    assert ("Marl Red", "F1") not in names  # the only load of its programme is told once


def test_the_planner_opens_on_the_firing_that_answers_not_on_the_bisque(tmp_path):
    """From the bisque a piece of 200 mm would be made 214 mm."""
    fired = [("B", "bisque", "06", 6.5, 14.0, 5), ("T", "test", "9", 13.68, 0.4, 5), ("F", "final", "6", 13.0, 1.5, 5)]
    (tmp_path / "s.xlsx").write_bytes(workbook_of(stoneware(fired)))
    made = analyse(read_sheets([tmp_path / "s.xlsx"]))
    planner = book_of(made)["Planner"]
    assert [planner[PICKS[name]].value for name in ("body", "firing", "batch")] == ["Invented Stone", "cone 6", "S1"]
    assert figures_rows(made)[0].total == pytest.approx(13.0, abs=0.05)


@OFFICE
@pytest.mark.office
def test_the_demo_planner_recalculates_to_what_size_prints_as_json(demo, tmp_path, monkeypatch, capsys):
    book, rows = recalculate(demo, tmp_path), figures_rows(demo)
    tried = [number for number, row in enumerate(rows) if row.body == "Drift Buff" and row.firing == "cone 6"]
    assert len(tried) == 5  # a new batch, three batches along, one across
    for number in tried:
        row, sheet = rows[number], book[f"pick {number}"]
        batch = "new" if row.batch == NEW_BATCH else row.batch
        options = ("--body", row.body, "--programme", row.firing, "--direction", row.direction, "--batch", batch)
        monkeypatch.setattr(sys, "argv", ["bodytest", "size", "200mm", "--from", str(DEMO), "--json", *options])
        main()
        (found,) = json.loads(capsys.readouterr().out)["sizes"]
        stages = {stage["stage"]: stage for stage in found["stages"]}
        cells = {name: sheet[f"{column}{FIRST_ROW}"].value for name, column in COLUMNS.items()}
        assert cells["wet"] == pytest.approx(stages["wet"]["size_mm"], rel=1e-9)
        assert cells["wet_low"] == pytest.approx(stages["wet"]["low_mm"], rel=1e-9)
        assert cells["wet_high"] == pytest.approx(stages["wet"]["high_mm"], rel=1e-9)
        assert cells["dry"] == pytest.approx(stages["dry"]["size_mm"], rel=1e-9)
        assert cells["finished_low"] == pytest.approx(found["next_low_mm"], rel=1e-9)
        assert cells["finished_high"] == pytest.approx(found["next_high_mm"], rel=1e-9)
        assert sheet["E6"].value == row.speaks_of == SpeaksOf(**found["speaks_of"]).words(found["batch"])


@OFFICE
@pytest.mark.office
def test_each_drop_down_holds_what_belongs_to_the_picks_above_it(recalculated):
    rows = figures_rows(MANY)
    for number, row in enumerate(rows):
        names = (row.body, row.firing, row.direction, row.batch)
        for level, cell in enumerate(LIST_CELLS.values()):
            belonging = choices(rows, level)["|".join(names[:level])]
            assert recalculated[f"pick {number}"][cell].value == f"{len(belonging)}:{belonging[0]}"


def test_the_formula_of_a_drop_down_is_short_enough_for_every_spreadsheet():
    assert max(len(formula) for formula in lists_of(book_of(MANY)["Planner"]).values()) <= 255


def plan_of(row, size):
    names = {"(blank)": "", "'=C04": "=C04"}
    batch = None if row.batch in {NEW_BATCH, "(the one tested)"} else row.batch
    firing, direction = (names.get(name, name) for name in (row.firing, row.direction))
    (found,) = sizes(MANY, [f"{size!r}mm"], wanted=Wanted(row.body, firing, direction, batch))
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
    notes = [recalculated["pick 0"][f"K{FIRST_ROW + place}"].value or "" for place in range(len(TYPED) + 1)]
    assert notes == [
        "", "far from the length of the bars: make a trial piece first",
        "far from the length of the bars: make a trial piece first", "a size has to be above zero",
        "a size has to be above zero", "type a number, without its unit", "",
    ]  # fmt: skip


@OFFICE
@pytest.mark.office
def test_one_bar_says_why_it_has_no_range(recalculated):
    number = [row.body for row in figures_rows(MANY)].index("Marl*")
    assert recalculated[f"pick {number}"][f"K{FIRST_ROW}"].value == "One bar alone shows no scatter."


@OFFICE
@pytest.mark.office
def test_a_firing_that_does_not_belong_to_the_body_is_told(recalculated):
    sheet = recalculated["wrong"]
    assert sheet["A10"].value == "This was not measured: pick again, from top to bottom."
    assert sheet[f"C{FIRST_ROW}"].value in {None, ""}
    assert sheet[f"K{FIRST_ROW}"].value == "not measured"


@OFFICE
@pytest.mark.office
def test_no_cell_shows_an_error(recalculated):
    errors = [
        (sheet.title, cell.coordinate)
        for sheet in recalculated
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "e" or str(cell.value).startswith(("#", "Err:"))
    ]
    assert errors == []
