"""Results files as an archive: every command gives of them what it gives of the sheets that they were made of."""

import json
import shutil
from pathlib import Path

import openpyxl
import pytest

from bodytest.files.own_files import IN_JSON, is_sealed, sealed
from bodytest.files.results_file import FORMAT
from bodytest.grids.archive import KEY, workbook_chunks
from bodytest.reading import read_sheets
from tests.broken_sheets import make

SHEETS = Path(__file__).parents[2] / "sheets"
LATER = """bar;body;batch;firing;direction;wet length (mm);dry length (mm);fired length (mm);notes
M1;Marl Red;R7;F1;along;100,00;94,12;91,3;"a ""good"" one"
M2;Marl Red;R7;F1;along;100,00;94,02;91,2;
M3;Marl Red;R7;F1;along;100,00;94,22;;chipped
M4;Marl Red;R7;F1;along;100,00;94,32;95,1;
M5;Marl Red;R7;F1;along;100,00;abc;91,4;
"""

NAMES, ARCHIVES = ("2024.xlsx", "2025.xlsx", "2026.csv"), ("2024.json", "2025.json", "2026.json")


@pytest.fixture
def years(run, tmp_path):
    """Return three years of sheets, of three kinds and with faults in them, and the results file of each."""
    shutil.copy(SHEETS / "demo-half-filled.xlsx", "2024.xlsx")
    Path("2025.xlsx").write_bytes(make.book_with())
    Path("2026.csv").write_text(LATER, encoding="utf-8")
    for sheet, archive in zip(NAMES, ARCHIVES, strict=True):
        assert run("results", sheet, "--out", archive)[0] < 2
    return NAMES, ARCHIVES


def naming_sheets(told):
    """Return what was told with the sheets named where it names their results files to go on with."""
    for sheet, archive in zip(NAMES, ARCHIVES, strict=True):
        told = told.replace(archive, sheet)
    return told


COMMANDS = [
    ("compare", "--by", "batch", "--json"),
    ("compare", "--by", "direction", "--all"),
    ("timeline", "--json"),
    ("howmany", "--half-width", "0.2", "--json"),
    ("results", "--format", "csv"),
    ("results", "--format", "json", "--confidence", "90"),
    ("pieces", "--json"),
    ("check", "--json"),
]


@pytest.mark.core
def test_a_report_of_three_years_of_results_is_that_of_the_sheets_to_the_byte(run, years):
    sheets, archives = years
    told = run("report", *sheets, "--out", "from-sheets", "--date", "2026-03-14")
    again = run("report", *archives, "--out", "from-results", "--date", "2026-03-14")
    assert told[0] == again[0] == 1
    assert naming_sheets(again[2]).replace("from-results", "from-sheets") == told[2]
    files = sorted(path.name for path in Path("from-sheets").iterdir())
    assert files == sorted(path.name for path in Path("from-results").iterdir())
    assert len(files) > 5
    for name in files:
        assert Path("from-sheets", name).read_bytes() == Path("from-results", name).read_bytes(), name
    whole = run("report", "from-sheets/results.json", "--out", "from-report", "--date", "2026-03-14")
    assert whole[0] == 1
    assert Path("from-report/results.json").read_bytes() == Path("from-sheets/results.json").read_bytes()


def test_every_command_says_of_results_what_it_says_of_the_sheets(run, years):
    sheets, archives = years
    for command, *options in COMMANDS:
        code, out, told = run(command, archives[0], sheets[1], archives[2], *options)
        assert (code, out, naming_sheets(told)) == run(command, *sheets, *options), command
    batch = ("--body", "Marl Red", "--batch", "R7", "--date", "2026-03-14", "--json")
    assert run("release", *archives, *batch, "--out", "a") == run("release", *sheets, *batch, "--out", "b")


def test_sizes_of_two_years_together_are_those_of_the_sheets(run, years):
    sheets, archives = years
    asked = ("size", "200mm", "--body", "Marl Red", "--json")
    of_sheets = run(*asked, *sheets[1:])
    assert of_sheets[0] == 1, "the sheet of 2026 holds a STOP"
    assert run(*asked, *archives[1:]) == of_sheets
    alone = json.loads(run(*asked, "--from", archives[1])[1])
    assert alone == json.loads(run(*asked, "--from", sheets[1])[1])


def test_the_same_sheet_in_two_results_files_counts_once(run, years):
    _, archives = years
    shutil.copy(archives[0], "copy.json")
    _, out, _ = run("check", archives[0], "copy.json", "--json")
    assert "file-twice" in [found["code"] for found in json.loads(out)["findings"]]


def test_a_results_file_that_was_changed_says_so(run, years):
    text = Path("2026.json").read_text(encoding="utf-8")
    assert is_sealed(Path("2026.json"))
    Path("2026.json").write_text(text.replace("91,3", "90,3"), encoding="utf-8")
    code, out, _ = run("check", "2026.json", "--json")
    assert code == 1
    found = {one["code"]: one["sentence"] for one in json.loads(out)["findings"]}
    assert found["results-changed"] == (
        "2026.json was changed since bodytest wrote it, so its cells may not be those of the sheets that it names."
    )


@pytest.mark.parametrize("broken", ["[", "{}", "row", "early", "kind"])
def test_damaged_cells_are_told_and_never_a_traceback(run, years, broken):
    document = json.loads(Path("2024.json").read_text(encoding="utf-8"))
    table = next(one for one in document["workbooks"][0]["tables"] if one["name"] == "Bars")
    changed = {
        "[": lambda: document.update(workbooks=[["x"]]),
        "{}": lambda: document.update(workbooks=[{}]),
        "row": lambda: table["rows"][0].__setitem__(0, "one"),
        "early": lambda: table["rows"][1].__setitem__(0, 1),
        "kind": lambda: table["rows"][1].__setitem__(1, {"colour": "red"}),
    }
    changed[broken]()
    Path("2024.json").write_text(json.dumps(document), encoding="utf-8")
    code, _, err = run("report", "2024.json")
    assert code == 2
    assert "2024.json is damaged: the cells of its sheets are not as bodytest writes them." in err
    code = "results-damaged"
    assert f"[{code}]" in err


def test_a_results_file_that_cannot_be_read_hides_nothing_of_the_others(run, years):
    sheets, _ = years
    Path("bad.json").write_text('{"format":', encoding="utf-8")
    code, out, err = run("check", "bad.json", "not there.json", sheets[0], "--json")
    assert (code, err) == (1, "")
    found = {one["sheet"]: one["code"] for one in json.loads(out)["findings"] if one["level"] == "stop"}
    assert found == {"bad.json": "results-not-json", "not there.json": "results-not-found"}
    assert json.loads(out)["bars"] == json.loads(run("check", sheets[0], "--json")[1])["bars"] > 0
    run("results", "bad.json", sheets[0], "--out", "both.json")
    told = "STOP bad.json is no results file: it breaks off or goes wrong at line 1, column 11."
    assert told in run("check", "both.json")[1]


def test_results_of_the_first_version_say_that_they_keep_no_readings(run):
    first = Path(__file__).parents[1] / "export" / "released" / "results-version-1.json"
    code, _, err = run("report", first)
    assert code == 2
    assert f"{first.name} keeps no readings, so its bars cannot be analysed again." in err
    assert err.rstrip().endswith("[" + "results-without-readings" + "]")


ODD_CELLS = {
    "cell-unreadable.xlsx", "cell-repeated.ods", "cell-far-out.xlsx", "column-hidden.xlsx", "date-for-number.xlsx",
    "formula-not-calculated.xlsx", "error-cell.xlsx",
}  # fmt: skip


def test_broken_sheets_are_read_from_their_results_as_from_themselves(tmp_path):
    folder = Path(make.__file__).parent
    for name in sorted({*sorted(make.SHEETS)[::9], *ODD_CELLS} & set(make.SHEETS)):
        sheets = read_sheets([folder / name])
        (source,) = sheets.sheets
        kept = json.loads(b"".join(workbook_chunks(source.workbook)))
        sheet = {"name": source.name, "sha256": source.sha256}
        document = {"format": FORMAT, "version": 1, "sheets": [sheet], KEY: [kept]}
        archive = tmp_path / "kept.json"
        archive.write_bytes(b"".join(sealed([json.dumps(document, indent=1).encode() + b"\n"], IN_JSON)))
        again = read_sheets([archive])
        assert (again.findings, again.cells, again.sheets) == (sheets.findings, sheets.cells, sheets.sheets), name
        assert again.bars.equals(sheets.bars), name
        assert again.marks.equals(sheets.marks), name


def test_what_was_said_of_a_sheet_is_kept_with_it(run):
    rows = [f"{code},Grey,F1,{wet},{wet - 12}" for code, wet in (("B1", 100.0), ("B2", 100.1), ("B3", 100.2))]
    Path("own.csv").write_text("\n".join(["no,ware,Load no,A (wet),B", *rows]), encoding="utf-8")
    pairs = ["Load no=firing", "A (wet)=wet length", "B=fired length", "ware=body"]
    said = (*(word for pair in pairs for word in ("--as", pair)), "--unit", "mm")
    told = run("results", "own.csv", "--out", "own.json", *said)
    assert told[0] == 0
    assert json.loads(Path("own.json").read_text(encoding="utf-8"))[KEY][0]["said"] == [pairs, ["mm"]]
    typed = 'own.csv --as "Load no=firing" --as "A (wet)=wet length" --as "B=fired length" --as ware=body --unit mm'
    for command in (one for one in COMMANDS if one[0] != "pieces"):
        code, out, told = run(*command, "own.csv", *said)
        assert run(*command, "own.json") == (code, out, told.replace(typed, "own.json")), command
    run("results", "own.json", "--out", "again.json")
    assert Path("again.json").read_bytes() == Path("own.json").read_bytes()
    (first, *_) = json.loads(run("results", "own.json", "--as", "ware=batch")[1])["bars"]
    assert (first["body"], first["batch"]) == ("", "Grey")  # what is said now goes before what was kept


def test_tabs_that_are_not_read_can_be_left_out_of_an_archive(run):
    book = openpyxl.load_workbook(SHEETS / "demo-complete.xlsx")
    tab = book.create_sheet("Customers")
    for row in (("name", "town"), ("A. Nobody", "Nowhere"), ("B. Nobody", 471108151)):
        tab.append(row)
    book.save("book.xlsx")
    report = ("report", "book.xlsx", "--date", "2026-03-14")
    run(*report, "--out", "whole")
    run(*report, "--out", "open", "--without-other-tabs")
    run("results", "book.xlsx", "--out", "open.json", "--without-other-tabs")
    assert "Nobody" in Path("whole/results.json").read_text(encoding="utf-8")
    for name in ("open/results.json", "open.json"):
        text = Path(name).read_text(encoding="utf-8")
        assert "Customers" in text
        assert not {word for word in ("Nobody", "Nowhere", "471108151", "town") if word in text}
    run("report", "open.json", "--date", "2026-03-14", "--out", "again", "--without-other-tabs")
    for path in Path("whole").iterdir():
        if path.suffix != ".json":  # the list of files names the hash of results.json
            assert Path("again", path.name).read_bytes() == path.read_bytes()
    assert Path("again/results.json").read_bytes() == Path("open/results.json").read_bytes()
