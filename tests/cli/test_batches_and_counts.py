"""The commands timeline and howmany, run through the command line."""

import json
import re

import pytest
from typer.testing import CliRunner

from bodytest.cli.app import app
from bodytest.errors import NotMeasured
from tests.stats.one_batch_values import published

SHEET = "bar,body,batch,firing,cone,wet length (mm),fired length (mm)\n" + "".join(
    f"{batch}{number},Grey,{batch},F{at},6,100.00,{100.0 - mean + 0.1 * (number - 1):.2f}\n"
    for at, (batch, mean) in enumerate(
        {"A": 12.0, "B": 12.1, "C": 11.9, "D": 12.05, "E": 11.95, "G": 12.0, "H": 13.0}.items()
    )
    for number in range(3)
)


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command in a folder with the sheet in it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "trial.csv").write_text(SHEET, encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "200")
    return lambda *arguments: CliRunner().invoke(app, list(arguments))


def test_the_timeline_names_the_newest_batch_that_left(run):
    said = run("timeline", "trial.csv", "--quantity", "total shrinkage", "--reference", "6", "--details")
    assert said.exit_code == 0
    lines = said.stdout.splitlines()
    assert lines[:2] == ["Grey · cone 6", "Total linear shrinkage (%)"]
    assert lines[3].startswith("Batch H, the newest, left the limits: total linear shrinkage 13.00\xa0%, above 12.32")
    (row,) = [line.split() for line in lines if line.startswith("H ")]
    assert row == ["H", "F6", "3", "13.00", "12.30", "outside,", "drift"]
    assert lines[-2].startswith("Rule outside: one batch more than three standard deviations from the middle")


def test_the_timeline_of_one_chart_shows_its_rules_with_details_only(run):
    said = run("timeline", "trial.csv", "--quantity", "total shrinkage", "--reference", "6")
    assert said.stdout.splitlines()[5:8] == [
        "Limits of a mean: 11.68 to 12.32\xa0%, from A to G, 6 batches.",
        "",
        "batch  date  firing  bars  mean",
    ]
    assert "Rule " not in said.stdout


def test_the_timeline_as_json_holds_numbers(run):
    said = run("timeline", "trial.csv", "--json", "--reference", "6")
    document = json.loads(said.stdout)
    (timeline,) = document["timelines"]
    assert (document["format"], timeline["newest_signal"], timeline["quantity"]) == (
        "bodytest timeline", "H", "total_shrinkage",
    )  # fmt: skip
    assert timeline["centre"] == pytest.approx(12.0)
    assert [point["mean"] for point in timeline["points"]][-1] == pytest.approx(13.0)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("timeline", "trial.csv", "-q", "colour"), "'colour' is no quantity of ours. Choose one of:"),
        (
            ("timeline", "trial.csv", "--body", "Brown"),
            "Invalid value for --body: 'Brown' is not in these sheets; there is: Grey.",
        ),
        (
            ("timeline", "trial.csv", "--reference", "8"),
            "Invalid value for --reference: there are not so many batches fired alike; the most are 7.",
        ),
        (("howmany",), "give the sheets that show how bars scatter, or a standard deviation with --sd."),
        (("howmany", "trial.csv", "--sd", "0.1"), "give either sheets or --sd, not both."),
        (("howmany", "trial.csv", "--batch-sd", "0.1", "-w", "1"), "it goes with --sd; from sheets it is taken by"),
        (("howmany", "--sd", "0", "-w", "0.1"), "'--sd': it has to be a number from 0.000001 to 1000000."),
        (("howmany", "--sd", "nan", "-w", "0.1"), "'--sd': it has to be a number from 0.000001 to 1000000."),
        (("howmany", "--sd", "little", "-w", "0.1"), "'--sd': a number is needed, as 0.2 or 0,2."),
        (
            ("howmany", "--sd", "1,000", "-w", "0.1"),
            "'--sd': a number is needed, as 0.2 or 0,2, without a sign between thousands.",
        ),
        (("compare", "trial.csv", "--tolerance", "-1"), "'--tolerance': it has to be a number from 0 to 1000000."),
        (("howmany", "--sd", "0.1"), "say how closely the mean is to be known, e.g. --half-width 0.2"),
        (("howmany", "trial.csv", "-w", "0.1", "--firing", "F9"), "'F9' is not in these sheets; there is: F0, F1,"),
    ],
)
def test_wrong_usage_is_told_in_a_sentence(run, arguments, said):
    answer = run(*arguments)
    assert answer.exit_code == 2
    assert said in answer.stderr


def test_howmany_counts_bars_for_each_group(run):
    said = run("howmany", "trial.csv", "--half-width", "0.1", "--firing", "F0")
    assert said.exit_code == 0
    assert said.stdout.splitlines() == [
        "Grey · F0 · Total linear shrinkage",
        "Standard deviation between bars: 0.10 percentage points; 95 % intervals.",
        "Make 5 more bars of this batch for an even chance of ± 0.1 percentage points (now ± 0.25 percentage points)."
        " To reach it in nine cases of ten make 37 more.",
        "± 0.1 percentage points of shrinkage is ± 0.2 mm on a length of 200 mm.",
    ]


def test_one_percentage_point_is_told_as_one(run):
    (*_, on_a_piece) = run("howmany", "--sd", "0.5", "--half-width", "1").stdout.splitlines()
    assert on_a_piece == "± 1 percentage point of shrinkage is ± 2 mm on a length of 200 mm."


def test_howmany_tells_many_groups_in_a_line_each(run, tmp_path):
    cones = "".join(line.replace(",6,", f",{3 + at // 3},") for at, line in enumerate(SHEET.splitlines(keepends=True)))
    (tmp_path / "cones.csv").write_text(cones, encoding="utf-8")
    said = run("howmany", "cones.csv", "--half-width", "0.25")
    lines = said.stdout.splitlines()
    assert re.fullmatch(
        r"Total linear shrinkage is known to ± 0\.25 percentage points in \d of \d groups of bars \(95 % intervals\)\.",
        lines[0],
    )
    assert lines[-1] == "For the batches and loads tested; see all about each group with --details."
    assert 5 < len(lines) <= 15
    whole = run("howmany", "cones.csv", "--half-width", "0.25", "--details").stdout
    assert whole.count("Standard deviation between bars") > 5


def test_howmany_answers_for_the_programme_and_for_one_load_where_asked(run):
    said = run("howmany", "trial.csv", "--half-width", "0.2").stdout.splitlines()
    assert said[0] == "Grey · cone 6 · Total linear shrinkage"
    assert said[2].startswith("More bars of these 7 loads cannot give ± 0.2 percentage points: the loads differ, which")
    assert " more loads of 3 bars for an even chance of ± 0.2 percentage points" in said[2]
    (need,) = json.loads(run("howmany", "trial.csv", "-w", "0.2", "--firing", "F0", "--json").stdout)["needs"]
    assert (need["firing"], need["limited_by"], need["bars"]) == ("F0", "bars", 3)


def test_howmany_from_a_scatter_as_json(run):
    said = run("howmany", "--sd", "0.15", "-w", "0.1", "--confidence", "90", "--json")
    (need,) = json.loads(said.stdout)["needs"]
    assert (need["about_even"], need["nine_in_ten"], need["confidence"]) == (8, 12, 0.9)


def test_howmany_takes_a_difference_alone(run):
    said = run("howmany", "--sd", "0.15", "--difference", "0.3")
    assert said.stdout.splitlines() == [
        "Total linear shrinkage",
        "Standard deviation between bars: 0.15 percentage points; 95 % intervals.",
        "A difference of 0.3 percentage points between two batches is noticed in four cases of five with 6 bars of"
        " each.",
        "0.3 percentage points of shrinkage is 0.6 mm on a length of 200 mm.",
    ]


def test_howmany_says_when_nobody_measured_the_figure(run):
    said = run("howmany", "trial.csv", "-q", "absorption", "-w", "0.1")
    assert isinstance(said.exception, NotMeasured)
    assert said.exception.finding.code == "no-scatter-known"
    assert said.exception.finding.sentence == (
        "Two bars of one group with this figure are needed to see how they scatter; there are none yet."
    )


def test_the_flow_rates_of_the_handbook_come_through_a_sheet_as_printed(run, tmp_path):
    # NIST/SEMATECH e-Handbook 6.3.2.2, as water of plasticity of ten batches of one bar each, dry mass 100 g.
    example = published("nist-6.3.2.2-individuals")
    rows = [f"B{at},Grey,{at:02d},{100 + x:.1f},100.0" for at, x in enumerate(example.inputs["x"])]
    text = "\n".join(["bar,body,batch,wet mass (g),dry mass (g)", *rows, ""])
    (tmp_path / "flow.csv").write_text(text, encoding="utf-8")
    said = run("timeline", "flow.csv", "--json", "--quantity", "water of plasticity", "--order", "listed")
    (timeline,) = json.loads(said.stdout)["timelines"]
    for field, figure in (("centre", "xbar"), ("high", "ucl"), ("low", "lcl")):
        assert timeline[field] == pytest.approx(example.expected[figure], abs=max(example.tolerance[figure], 1e-9))
    assert timeline["newest_signal"] is None


@pytest.mark.parametrize("command", ["compare", "timeline", "howmany"])
def test_without_one_bar_nothing_is_computed(run, command):
    said = run(command, "gone.csv")
    assert (said.exit_code, said.stdout) == (2, "")
    assert said.stderr == (
        "STOP There is no file named gone.csv here.\n"
        "     → Check the spelling and the folder, or make a blank workbook with: bodytest sheet FILE."
        " [file-not-found]\n"
    )
