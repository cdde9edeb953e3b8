"""The command ``kit``: what it writes, and what it says where it cannot."""

import json

import pytest

SHEET = "bar,body,firing,position,wet length (mm),dry length (mm)\n" + "".join(
    f"T{n},Grey,F1,{7 - n},{100 + n / 10},\n" for n in range(1, 7)
)


@pytest.fixture
def trial(tmp_path):
    (tmp_path / "trial.csv").write_text(SHEET, encoding="utf-8")


def test_the_kit_is_written_and_told_part_by_part(run, trial, tmp_path):
    code, out, err = run("kit", "trial.csv", "--only", "dry", "--only", "labels", "--paper", "Letter")
    assert (code, err) == (
        0,
        "Findings: 0 to mend, 0 to look at, 1 note. See them all with: bodytest check trial.csv\n",
    )
    assert out.splitlines() == [
        "Wrote kit.pdf: 2 pages.",
        "  Dry day: dried through and cooled: 1 page",
        "  Labels to lay with the bars: 1 page",
        "Print at 100 % (actual size), not fitted to the page, and check the template's 100 mm line.",
    ]
    assert (tmp_path / "kit.pdf").read_bytes().startswith(b"%PDF-")


def test_as_json_it_names_file_contents_and_notes(run, trial):
    code, out, _ = run("kit", "trial.csv", "--only", "wet", "--out", "k.pdf", "--json")
    told = json.loads(out)
    assert (code, told["files"], told["notes"]) == (0, ["k.pdf"], [])
    assert told["contents"] == {"Wet day: make, mark, measure and weigh at once": 1}


def test_a_sheet_with_stops_still_gets_its_kit_and_says_what_could_not_be_read(run, tmp_path):
    (tmp_path / "trial.csv").write_text(SHEET.replace("100.3", "oops"), encoding="utf-8")
    code, out, err = run("kit", "trial.csv", "--only", "wet")
    assert code == 1
    assert out.startswith("Wrote kit.pdf: 1 page.\n")
    assert "trial.csv" in err
    assert "oops" in err


def test_codes_that_are_easily_confused_are_told(run, tmp_path):
    (tmp_path / "trial.csv").write_text("bar,body,wet length (mm)\nB8,Grey,100\n88,Grey,100.1\n", encoding="utf-8")
    _, out, _ = run("kit", "trial.csv", "--only", "labels")
    assert "Note: Codes that are easily confused in clay: B8 and 88. Give one of each another code." in out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--out", "kit.svg"), "STOP A kit is written as .pdf, not as .svg."),
        (("--out", "kit"), "STOP A kit is written as .pdf, not as a name without an ending."),
        (("--bar", "12x40x400"), "STOP A template for a bar of 12 × 40 × 400 mm does not fit on A4."),
        (("--gauge", "125"), "STOP Marks 125 mm apart do not lie on a bar of 130 mm."),
    ],
)
def test_what_cannot_be_meant_is_refused_and_nothing_is_written(run, trial, tmp_path, arguments, sentence):
    code, out, err = run("kit", "trial.csv", *arguments)
    assert (code, out) == (2, "")
    assert sentence in err.splitlines()
    assert [path.name for path in tmp_path.iterdir()] == ["trial.csv"]


def test_a_sheet_of_5000_bars_is_told_to_be_split(run, tmp_path):
    rows = "".join(f"T{n},Grey,100.1\n" for n in range(5000))
    (tmp_path / "trial.csv").write_text(f"bar,body,wet length (mm)\n{rows}", encoding="utf-8")
    code, _, err = run("kit", "trial.csv")
    assert code == 2
    assert "STOP The sheet has 5000 rows of bars and marks; a kit has room for 1000." in err.splitlines()


def test_several_sheets_and_a_sheet_without_bars_are_refused(run, trial, tmp_path):
    (tmp_path / "other.csv").write_text(SHEET.replace("Grey", "Red"), encoding="utf-8")
    code, _, err = run("kit", "trial.csv", "other.csv")
    assert (code, "one form is for the bars of one." in err) == (2, True)
    (tmp_path / "none.csv").write_text("bar,body,wet length (mm)\n", encoding="utf-8")
    code, out, err = run("kit", "none.csv")
    assert (code, out) == (2, "")
    assert "none.csv holds headings but no bars." in err
