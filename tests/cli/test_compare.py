"""The command compare, and published batches through a sheet and the command line."""

import json
import os
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from bodytest.cli.app import app
from bodytest.errors import NotMeasured
from tests.stats.one_batch_values import published

pytestmark = pytest.mark.core

HEAD = "bar,body,batch,firing,wet length (mm),fired length (mm)\n"
OFF = (-0.1, 0.05, 0.0, 0.08, -0.03)


def sheet_of(**means):
    return HEAD + "".join(
        f"{batch}{at},Grey,{batch},F1,100.00,{100.0 - mean - off:.2f}\n"
        for batch, mean in means.items()
        for at, off in enumerate(OFF)
    )


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command in a folder with a sheet in it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")

    def command(sheet, *arguments):
        (tmp_path / "trial.csv").write_text(sheet, encoding="utf-8")
        return CliRunner().invoke(app, [arguments[0], "trial.csv", *arguments[1:]])

    return command


def test_batches_are_compared_in_a_table_with_the_verdict_first(run):
    said = run(sheet_of(A=12.0, B=12.02, C=12.6), "compare", "--by", "batch", "--tolerance", "0.3")
    assert said.exit_code == 0
    assert said.stdout.splitlines() == [
        "Total linear shrinkage (%) by batch: Grey · F1",
        "Different: A and C; B and C. Same within tolerance: A and B.",
        "",
        "batch  bars  batches  mean    interval of the mean",
        "A      5     1        12.000  11.913 to 12.087",
        "B      5     1        12.020  11.933 to 12.107",
        "C      5     1        12.600  12.513 to 12.687",
        "",
        "second − first  difference  interval       on 200 mm  verdict",
        "B − A           0.02        −0.11 to 0.15  0.0\xa0mm     same within tolerance",
        "C − A           0.60        0.47 to 0.73   1.2\xa0mm     different",
        "C − B           0.58        0.45 to 0.71   1.2\xa0mm     different",
        "",
        "All intervals of differences hold together with 95 % confidence.",
    ]


def test_details_add_the_test_statistics(run):
    usual, whole = (
        run(sheet_of(A=12.0, B=12.02, C=12.6), "compare", "--tolerance", "0.3", *more).stdout.splitlines()
        for more in ((), ("--details",))
    )
    assert [line for line in whole if line not in usual] == [
        "second − first  difference  interval       on 200 mm  p        verdict",
        "B − A           0.02        −0.11 to 0.15  0.0\xa0mm     0.962    same within tolerance",
        "C − A           0.60        0.47 to 0.73   1.2\xa0mm     < 0.001  different",
        "C − B           0.58        0.45 to 0.71   1.2\xa0mm     < 0.001  different",
        "Welch's analysis of variance: F(2, 8.0) = 108.28, p < 0.001.",
    ]


def test_without_a_tolerance_it_says_that_nothing_can_be_called_the_same(run):
    said = run(sheet_of(A=12.0, B=12.02), "compare")
    assert "Cannot tell yet: A and B." in said.stdout
    assert said.stdout.splitlines()[-1] == (
        "No tolerance is stated, so nothing can be called the same; state one with --tolerance."
    )


def test_several_comparisons_are_told_in_a_line_each_those_with_a_difference_first(run):
    sheet = sheet_of(A=12.0, B=12.02)
    more = sheet_of(A=12.0, B=12.8).splitlines()[1:]
    both = "\n".join([sheet.rstrip("\n"), *(line.replace(",F1,", ",F2,") for line in more)]) + "\n"
    said = run(both, "compare", "--by", "batch", "--tolerance", "0.3")
    assert said.stdout.splitlines() == [
        "Different: Grey A and B (in 1 of 2 comparisons).",
        "Total linear shrinkage, Grey · F2: Different: A and B.",
        "Total linear shrinkage, Grey · F1: Same within tolerance: A and B.",
        "By how much, and on a piece of 200 mm: --details.",
    ]
    whole = run(both, "compare", "--by", "batch", "--tolerance", "0.3", "--details").stdout
    assert whole.count("interval of the mean") == 2


def test_json_holds_numbers_and_sentences(run):
    said = run(sheet_of(A=12.0, B=12.5), "compare", "--json", "--quantity", "total shrinkage")
    document = json.loads(said.stdout)
    assert (document["format"], document["version"]) == ("bodytest comparison", 1)
    (one,) = document["comparisons"]
    (difference,) = one["differences"]
    assert difference["difference"] == pytest.approx(0.5)
    assert difference["mm_on_piece"] == pytest.approx(1.0)
    assert difference["verdict"] == "different"
    assert [level["bars"] for level in one["levels"]] == [5, 5]


def test_a_confidence_can_be_asked_for(run):
    wide, usual = (
        json.loads(run(sheet_of(A=12.0, B=12.1), "compare", "--json", *more).stdout)["comparisons"][0]
        for more in (("--confidence", "99"), ())
    )
    assert wide["confidence"] == 0.99
    assert wide["differences"][0]["high"] > usual["differences"][0]["high"]


@pytest.mark.parametrize(
    ("by", "told"),
    [
        ("direction", "no two directions have two bars each of the same body and firing with the readings for it."),
        ("body", "no two bodies have two bars each of the same firing and direction with the readings for it."),
    ],
)
def test_nothing_to_compare_is_said(run, by, told):
    said = run(sheet_of(A=12.0, B=12.1), "compare", "--by", by)
    assert isinstance(said.exception, NotMeasured)
    assert said.exception.finding.code == "nothing-to-compare"
    assert said.exception.finding.sentence == f"Nothing to compare: {told}"


def test_an_unknown_quantity_or_way_to_compare_is_wrong_usage(run):
    for arguments in (("--quantity", "colour"), ("--by", "weather")):
        said = run(sheet_of(A=12.0), "compare", *arguments)
        assert said.exit_code == 2
        assert "Traceback" not in said.output


def test_the_published_dyestuff_variances_come_out_of_a_sheet_and_the_command_line(run):
    # Davies & Goldsmith 1972, 6.4. A yield of 1545 stands as 115.45 g wet and 100 g dry: water of plasticity 15.45 %.
    example = published("reml-dyestuff")
    rows = [
        f"{batch}{at},Trial,{batch},{100.0 + value / 100.0:.2f},100.00\n"
        for batch, values in zip(example.inputs["labels"], example.inputs["groups"], strict=True)
        for at, value in enumerate(values)
    ]
    sheet = "bar,body,batch,wet mass (g),dry mass (g)\n" + "".join(rows)
    document = json.loads(run(sheet, "results", "--format", "json").stdout)
    (group,) = document["groups"]
    found = group["quantities"]["water_of_plasticity"]
    assert len(group["batches"]) == 6
    assert 100.0 * found["batch_sd"] == pytest.approx(example.expected["sd_batch"], abs=0.005)
    assert 100.0 * found["bar_sd"] == pytest.approx(example.expected["sd_resid"], abs=0.006)
    assert 100.0 * found["mean"] == pytest.approx(example.expected["mean"], abs=1e-9)


def test_of_many_batches_only_those_that_differ_are_listed_unless_all_are_wanted(run):
    sheet = sheet_of(**{f"D{n}": 12.0 for n in range(8)}, D9=14.0)
    short, whole = (run(sheet, "compare", "--tolerance", "0.5", *more).stdout for more in ((), ("--all",)))
    of_shrinkage = short.split("\n\n\n")[0]
    assert [line.split("  ")[0] for line in of_shrinkage.splitlines() if " − D" in line] == [
        f"D9 − D{n}" for n in range(8)
    ]
    assert "Not listed: 28 same within tolerance. See them with --all." in of_shrinkage
    assert len([line for line in whole.split("\n\n\n")[0].splitlines() if " − D" in line]) == 36


def test_json_is_whole_where_the_output_has_few_signs(tmp_path):
    (tmp_path / "bars.csv").write_text(sheet_of(D1=12.0, D2=12.4), encoding="utf-8")
    told = subprocess.run(
        [sys.executable, "-m", "bodytest", "compare", "bars.csv", "--json"],
        cwd=tmp_path, capture_output=True, check=True, env={**os.environ, "PYTHONIOENCODING": "cp1252"},
    )  # fmt: skip
    (comparison,) = json.loads(told.stdout.decode("ascii"))["comparisons"]
    assert "Welch’s" in comparison["welch"] or "Welch's" in comparison["welch"]


def test_a_sheet_in_inches_is_told_in_inches_and_its_json_stays_in_mm(run, tmp_path):
    lines = sheet_of(A=5.0, B=6.0).replace("(mm)", "(in)").replace("100.00", "4.0000").splitlines()
    rows = [line.rsplit(",", 1) for line in lines[1:]]
    text = "\n".join([lines[0], *(f"{start},{float(last) / 25.0:.4f}" for start, last in rows)])
    (tmp_path / "inches.csv").write_text(text, encoding="utf-8")
    arguments = ["compare", str(tmp_path / "inches.csv"), "--by", "batch", "--quantity", "total_shrinkage"]
    told = CliRunner().invoke(app, arguments).stdout.replace("\N{NO-BREAK SPACE}", " ")
    assert "on 8 in" in told
    assert "0.08 in" in told
    assert " mm" not in told
    found = json.loads(CliRunner().invoke(app, [*arguments, "--json"]).stdout)["comparisons"][0]["differences"][0]
    assert found["mm_on_piece"] == pytest.approx(2.0)
    sentence = found["sentence"].replace("\N{NO-BREAK SPACE}", " ")
    assert "0.080 in on a piece that measures 8 in wet" in sentence
