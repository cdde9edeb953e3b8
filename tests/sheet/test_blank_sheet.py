"""The blank workbook as it is written: plan, lists, limits, locks, texts that stay text."""

import datetime
import textwrap
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from bodytest.errors import BodytestError, UnwritableFile
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.reading import read_sheets
from bodytest.sheet.blank import (
    BlankSheetOptions,
    FiringPlan,
    planned_content,
    sheet_bytes,
    write_blank_sheet,
)
from bodytest.sheet.chosen_columns import KindsOfTest, Units
from bodytest.tables import LIVE_HEADINGS

TWO_BODIES = BlankSheetOptions(
    bodies=("Marl Red", "Drift Buff"),
    batches=("D1", "D2"),
    firings=(FiringPlan("F1", "04"), FiringPlan("F2", "6")),
    directions=("along", "across"),
    bars=2,
    marks=2,
    kinds=KindsOfTest(suspended=True),
)


def written(options: BlankSheetOptions, folder: Path) -> Path:
    path = folder / "blank.xlsx"
    write_blank_sheet(path, options)
    return path


def headings(path: Path) -> list[str]:
    return [str(cell.value) for cell in openpyxl.load_workbook(path)["Bars"][3] if cell.value]


def test_each_body_batch_firing_and_direction_gets_its_numbered_bars(tmp_path: Path) -> None:
    bars = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))["Bars"]
    rows = [[cell.value for cell in row[:7]] for row in bars.iter_rows(min_row=4) if row[0].value]
    assert len(rows) == 2 * 2 * 2 * 2 * 2 * 2
    assert rows[0] == ["MR1", "Marl Red", "D1", "F1", "along", None, "1"]
    assert rows[1] == ["MR1", "Marl Red", "D1", "F1", "along", None, "2"]
    assert rows[-1] == ["RU16", "Drift Buff", "D2", "F2", "across", None, "2"]
    assert len({row[0] for row in rows}) == 32


def test_a_blank_workbook_is_read_without_a_question(tmp_path: Path) -> None:
    sheets = read_sheets([written(TWO_BODIES, tmp_path)])
    assert [f.sentence for f in sheets.findings if f.level != "note"] == []
    assert [f.code for f in sheets.findings if f.code.startswith(("heading", "unit", "sheet"))] == []
    assert len(sheets.bars) == 32
    assert list(sheets.firings["cone"]) == ["04", "6"]
    assert sheets.sheets[0].lab.absorption_method == "boil 5 h and soak 24 h"


def test_options_choose_columns_and_units(tmp_path: Path) -> None:
    options = BlankSheetOptions(
        kinds=KindsOfTest(leather_hard=True, bisque=True, cold_soak=True, suspended=True),
        units=Units("in", "oz", "°F"),
    )
    path = written(options, tmp_path)
    assert headings(path)[7:18] == [
        "wet length (in)",
        "wet mass (oz)",
        "leather-hard length (in)",
        "dry length (in)",
        "dry mass (oz)",
        "bisque length (in)",
        "fired length (in)",
        "fired mass (oz)",
        "cold-soaked mass (oz)",
        "boiled mass (oz)",
        "suspended mass (oz)",
    ]
    book = openpyxl.load_workbook(path)
    assert [book["Firings"][cell].value for cell in ("G3", "H3", "I3")] == [
        "set temperature (°F)",
        "peak temperature (°F)",
        "temperature ± (°F)",
    ]
    assert [book["Lab"][f"A{row}"].value for row in (10, 12)] == ["length reading step (in)", "mass reading step (oz)"]
    assert [f.sentence for f in read_sheets([path]).findings if f.level != "note"] == []


def test_dates_stand_before_the_readings_of_their_stage(tmp_path: Path) -> None:
    kinds = KindsOfTest(suspended=True, cold_soak=True, quantities=("dry_strength",), dates=True)
    path = written(BlankSheetOptions(bodies=("Marl Red",), kinds=kinds), tmp_path)
    dates = [name for name in headings(path) if "date" in name]
    assert dates == ["wet date", "dry date", "fired date", "cold-soaked date", "boiled date", "broken date"]
    assert headings(path)[7:10] == ["wet date", "wet length (mm)", "wet mass (g)"]
    book = openpyxl.load_workbook(path)
    bars = book["Bars"]
    assert (bars["H4"].number_format, bars["H4"].protection.locked) == ("yyyy-mm-dd", False)
    assert [v.error for v in bars.data_validations.dataValidation if "H4" in v.sqref] == [
        "Here belongs the day of measuring, e.g. 2030-05-17."
    ]
    bars["H4"], bars["I4"] = datetime.datetime(2026, 5, 3), 100.0
    book.save(path)
    sheets = read_sheets([path])
    assert [one.sentence for one in sheets.findings if one.level != "note"] == []
    assert sheets.bars["wet_date_day"][0] == 739739.0
    path.unlink()
    assert not [name for name in headings(written(BlankSheetOptions(), tmp_path)) if "date" in name]


def test_without_masses_there_is_no_absorption_and_without_lengths_no_shrinkage(tmp_path: Path) -> None:
    path = tmp_path / "lengths.xlsx"
    write_blank_sheet(path, BlankSheetOptions(kinds=KindsOfTest(masses=False)))
    assert headings(path)[7:] == [
        "wet length (mm)", "dry length (mm)", "fired length (mm)", "leave out", "notes", "look again",
        "drying shrinkage (%)", "firing shrinkage (%)", "total shrinkage (%)",
    ]  # fmt: skip
    path = tmp_path / "masses.xlsx"
    write_blank_sheet(path, BlankSheetOptions(kinds=KindsOfTest(lengths=False)))
    assert headings(path)[7:] == [
        "wet mass (g)", "dry mass (g)", "fired mass (g)", "boiled mass (g)", "leave out", "notes", "look again",
        "absorption (%)",
    ]  # fmt: skip


def test_live_columns_bear_the_names_that_reading_passes_over(tmp_path: Path) -> None:
    everything = replace(TWO_BODIES, kinds=KindsOfTest(suspended=True, quantities=tuple(QUANTITY_BY_KEY)))
    names = {heading.partition(" (")[0] for heading in headings(written(everything, tmp_path))}
    assert set(LIVE_HEADINGS) <= names


def test_entry_cells_are_open_and_all_others_locked_without_a_password(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))
    for sheet in book:
        assert sheet.protection.sheet
        assert sheet.protection.password is None
    bars = book["Bars"]
    places = {str(cell.value): cell.column_letter for cell in bars[3]}
    for heading, letter in places.items():
        is_live = heading.partition(" (")[0] in LIVE_HEADINGS
        assert bars[f"{letter}3"].protection.locked
        assert bars[f"{letter}4"].protection.locked is is_live, heading


def test_the_bars_sheet_is_ready_for_paper(tmp_path: Path) -> None:
    bars = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))["Bars"]
    assert bars.page_setup.orientation == "landscape"
    assert (bars.page_setup.fitToWidth, bars.page_setup.fitToHeight) == (1, 0)
    assert bars.print_title_rows == "$1:$3"
    assert bars.freeze_panes == "B4"
    assert bars.print_area.endswith("$Q$87")


def test_lists_offer_the_names_of_the_other_sheets(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))
    lists = {
        str(rule.sqref).partition(":")[0]: rule.formula1
        for rule in book["Bars"].data_validations.dataValidation
        if rule.type == "list"
    }
    assert lists == {
        "B4": "Lists!$A$4:$A$43",
        "C4": "Lists!$B$4:$B$43",
        "E4": "Lists!$C$4:$C$43",
        "D4": "Firings!$A$4:$A$33",
        "P4": "Lists!$L$4:$L$43",
    }
    assert [book["Lists"][f"A{row}"].value for row in (4, 5, 6)] == ["Marl Red", "Drift Buff", None]
    assert [book["Lists"][f"H{row}"].value for row in (4, 10)] == ["boil 5 h and soak 24 h", "other"]


def test_limits_are_friendly_and_in_the_unit_of_the_heading(tmp_path: Path) -> None:
    options = BlankSheetOptions(units=Units("in", "oz", "°F"))
    book = openpyxl.load_workbook(written(options, tmp_path))
    assert "temperature ± (°F)" in [cell.value for cell in book["Lab"]["A"]]
    rules = book["Bars"].data_validations.dataValidation
    wet_length = next(rule for rule in rules if rule.promptTitle == "wet length (in)")
    assert (wet_length.formula1, wet_length.formula2, wet_length.errorStyle) == ("0.394", "23.622", "warning")
    assert wet_length.error == (
        "A wet length is a number between 0.394 and 23.622 in. Is it in another unit, or has a digit slipped?"
    )
    assert all(len(rule.error or "") <= 225 and len(rule.prompt or "") <= 255 for rule in rules)


def test_texts_from_options_never_become_formulas(tmp_path: Path) -> None:
    nasty = ('=HYPERLINK("http://x","y")', "+1-1", "-2", "@SUM(A1)", '<b>&"Tom"</b>', "'quoted")
    path = tmp_path / "nasty.xlsx"
    write_blank_sheet(
        path,
        BlankSheetOptions(
            bodies=nasty, batches=("=1",), firings=(FiringPlan("=1+1"),), directions=("=A1",), workshop="=1+1", bars=1
        ),
    )
    book = openpyxl.load_workbook(path)
    assert [book["Bars"][f"B{row}"].value for row in range(4, 10)] == list(nasty)
    live = {cell.column_letter for cell in book["Bars"][3] if str(cell.value).partition(" (")[0] in LIVE_HEADINGS}
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f" or (sheet.title == "Bars" and cell.column_letter in live)
    assert sorted(set(read_sheets([path]).bars["body"])) == sorted(nasty)


def test_codes_stay_text_so_that_no_program_makes_dates_or_numbers_of_them(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))
    assert {book["Bars"][f"{letter}60"].number_format for letter in "ABCDEFG"} == {"@"}
    assert book["Firings"]["F4"].number_format == "@"
    assert book["Firings"]["F4"].value == "04"


def test_the_same_options_give_the_same_bytes(tmp_path: Path) -> None:
    assert sheet_bytes(planned_content(TWO_BODIES)) == sheet_bytes(planned_content(TWO_BODIES))
    with zipfile.ZipFile(written(TWO_BODIES, tmp_path)) as archive:
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_workbook_is_never_overwritten(tmp_path: Path) -> None:
    path = written(BlankSheetOptions(), tmp_path)
    before = path.read_bytes()
    with pytest.raises(UnwritableFile) as told:
        write_blank_sheet(path, TWO_BODIES)
    assert told.value.finding.sentence == f"{path} exists already and was left as it is."
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (BlankSheetOptions(bars=0), "--bars 0 cannot be meant: it goes from 1 to 1000."),
        (BlankSheetOptions(bars=10_000), "--bars 10000 cannot be meant: it goes from 1 to 1000."),
        (BlankSheetOptions(marks=50), "--marks 50 cannot be meant: it goes from 1 to 20."),
        (
            BlankSheetOptions(bars=1000, marks=20),
            "That makes 20000 rows; a blank workbook has at most 5000.",
        ),
        (
            BlankSheetOptions(bodies=("",)),
            "--body '' cannot be a name: it needs 1 to 80 characters, and no line breaks or control characters.",
        ),
        (
            BlankSheetOptions(bodies=("a\nb",)),
            "--body 'a\\nb' cannot be a name: it needs 1 to 80 characters, and no line breaks or control characters.",
        ),
        (
            BlankSheetOptions(bodies=("a\udcffb",)),
            "--body 'a\\udcffb' cannot be a name: it needs 1 to 80 characters, and no line breaks or control"
            " characters.",
        ),
        (
            BlankSheetOptions(workshop="a\x01b"),
            "--workshop 'a\\x01b' cannot be a name: it needs 1 to 80 characters, and no line breaks or control"
            " characters.",
        ),
        (BlankSheetOptions(batches=("D1", "d1")), "--batch d1 was given twice."),
        (
            BlankSheetOptions(firings=tuple(FiringPlan(f"F{n}") for n in range(31))),
            "--firing was given 31 times; a drop-down list holds at most 30 names.",
        ),
        (
            BlankSheetOptions(kinds=KindsOfTest(lengths=False, masses=False)),
            "--no-lengths and --no-masses cannot both be meant: nothing would be measured.",
        ),
    ],
)
def test_options_that_cannot_be_meant_are_told(options: BlankSheetOptions, sentence: str, tmp_path: Path) -> None:
    with pytest.raises(BodytestError) as told:
        written(options, tmp_path)
    assert told.value.finding.sentence == sentence
    assert list(tmp_path.iterdir()) == []


def test_the_guide_teaches_each_step_with_its_source_and_the_cautions(tmp_path: Path) -> None:
    guide = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))["Guide"]
    text = "\n".join(str(cell.value) for row in guide.iter_rows() for cell in row if cell.value)
    for fact in (
        "105–110 °C", "102 mm apart", "at least three times their mass", "Boil 5 h", "24 h", "damp cloth",
        "ASTM C326", "ASTM C373", "ISO 10545-3", "steam scald", "Kilns burn", "crystalline silica",
        "neither that ware is safe for food nor that it survives frost", "licensed", "local codes",
        "at least 50 g when fired", "12 × 40 × 130 mm", "Go on below 90 °C until they no longer feel cool",
        "on a tile of scrap clay with a rim", "Damp bars burst in the kiln", "fired edges cut",
        "A vacuum vessel can implode", "eye protection rated for infra-red", "FFP3 (EN 149) or P100 (NIOSH)",
        "(classes from memory)", "Never use the pot for food again", "bodytest kit FILE", "bodytest sheet FILE --dates",
        "a bar longer fired than dry may be a slip or may have swelled",
    ):  # fmt: skip
        assert fact in text, fact


def test_nobody_misses_the_guide_nor_takes_the_first_sheet_for_a_form_on_paper(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))
    assert book.active is book["Bars"]
    assert book["Bars"]["A1"].value == (
        "Test bars  ·  how to measure: sheet Guide  ·  type in the white cells, one row for each bar or mark"
        "  ·  forms to fill in by hand: bodytest kit"
    )


def test_leave_out_offers_reasons_and_says_how_to_keep_what_was_read_before(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))
    bars = book["Bars"]
    letter = next(cell.column_letter for cell in bars[3] if cell.value == "leave out")
    (offered,) = [v for v in bars.data_validations.dataValidation if f"{letter}4" in v.sqref]
    assert offered.formula1 == "Lists!$L$4:$L$43"
    assert "fired: cracked" in [cell.value for cell in book["Lists"]["L"]]
    assert not offered.showErrorMessage
    assert offered.prompt == (
        "Blank: the bar counts. A reason leaves the whole bar out (fell). A stage and a colon before it leave out what"
        " was read from then on and keep what was read before (fired: cracked)."
    )
    guide = "\n".join(str(cell.value) for row in book["Guide"].iter_rows() for cell in row if cell.value)
    assert "put the stage and a colon before the reason (fired: cracked): what was read before still counts." in guide


@pytest.mark.parametrize("name", ["Bars", "Firings", "Pieces", "Specs"])
def test_headings_stand_whole_in_their_row(tmp_path: Path, name: str) -> None:
    sheet = openpyxl.load_workbook(written(TWO_BODIES, tmp_path))[name]
    for cell in sheet[3]:
        lines = textwrap.wrap(str(cell.value or ""), int(sheet.column_dimensions[cell.column_letter].width - 1))
        assert 13.5 * len(lines) <= sheet.row_dimensions[3].height, cell.value
