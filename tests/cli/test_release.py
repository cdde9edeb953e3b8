"""The command release, run as a user runs it, on the published bricks and on the demo."""

import html
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

import bodytest
from bodytest.analysis.release import release as release_batch
from bodytest.analysis.release import release_of_body
from tests.broken_sheets.make import workbook_of

BRICKS = (15.8, 16.4, 17.1, 16.9, 16.2)
SPECS = [["body", "purpose", "quantity", "lowest", "highest", "applies to", "share (%)", "source"]]
MEAN = ["Invented Brick", "final", "absorption", "", 17.0, "mean", "", "limits of the works"]
EACH = ["Invented Brick", "final", "absorption", "", 20.0, "every bar", "", ""]


def write(
    folder: Path,
    *specs: list[Any],
    batches: tuple[str, ...] = ("B1", "B2"),
    lab: Sequence[list[Any]] = (),
    date: str = "",
    bare: bool = False,
) -> Path:
    """Write five bricks each of the batches B1 and B2, the second one point denser."""
    bars: list[list[Any]] = [["bar", "body", "batch", "firing", "fired mass (g)", "boiled mass (g)"]]
    for batch, less in zip(batches, (0.0, 1.0), strict=False):
        for number, absorbed in enumerate(BRICKS):
            fired = 1000.0 + 7 * number
            boiled = round(fired * (1 + (absorbed - less) / 100), 1)
            bars.append([f"{batch}-{number}", "Invented Brick", batch, "K1", fired, boiled])
    stated = [["workshop", "Invented works"], ["address", "1 Made-up Lane"], ["absorption method", "boil 5 h"]]
    tables = {
        "Bars": bars,
        "Firings": [["firing", "purpose", "cone", "date"], ["K1", "final", "04", date]],
        "Lab": [["name", "value"], *([] if bare else stated), *lab],
        "Specs": [*SPECS, *specs],
    }
    path = folder / "bricks.xlsx"
    path.write_bytes(workbook_of(tables))
    return path


def release(folder: Path, *arguments: str) -> "subprocess.CompletedProcess[str]":
    command = [sys.executable, "-m", "bodytest", "release", "bricks.xlsx", "--body", "Invented Brick", *arguments]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


def test_the_published_bricks_are_released_by_mean_and_by_each_brick(tmp_path: Path) -> None:
    write(tmp_path, MEAN, EACH)
    said = release(tmp_path, "--batch", "B1", "--number", "C-7", "--replaces", "C-6", "--date", "2026-11-28")
    assert said.returncode == 0
    assert said.stdout == (
        "Invented Brick, batch B1: meets.\n"
        "Water absorption, mean, at most 17 %: meets, for this batch only, in this load only."
        " One further bar may reach 18.08 %.\n"
        "Water absorption, every bar, at most 20 %: meets, for this batch only, in this load only.\n"
        "Certificate: invented-brick-b1-certificate.html\n"
    )
    document = json.loads((tmp_path / "invented-brick-b1-certificate.json").read_text(encoding="utf-8"))
    assert (document["format"], document["version"], document["verdict"]) == ("bodytest release", 1, "meets")
    mean, each = (row["verdict"] for row in document["rows"])
    assert mean["value"] + mean["guarded_by"] == pytest.approx(16.98, abs=0.02)
    assert each["value"] == pytest.approx(17.1, abs=0.01)
    assert document["rows"][0]["others"] == [{"batch": "B2", "bars": 5, "mean": pytest.approx(15.48, abs=0.01)}]
    page = (tmp_path / "invented-brick-b1-certificate.html").read_text(encoding="utf-8")
    for text in (
        "Certificate C-7",
        "Replaces certificate C-6.",
        "Invented works, 1 Made-up Lane",
        "ASTM C67",
        "JCGM 106",
    ):
        assert text in page
    assert "ASTM C373" not in page
    assert "reading step, balance" in page
    assert "calibration, balance" in page


def test_a_load_is_found_by_any_spelling_of_its_code(tmp_path: Path) -> None:
    write(tmp_path, MEAN)
    release(tmp_path, "--batch", "B1", "--load", " k1")
    document = json.loads((tmp_path / "invented-brick-b1-k1-certificate.json").read_text(encoding="utf-8"))
    assert document["load"] == "K1"


def test_what_was_not_tested_is_never_a_pass(tmp_path: Path) -> None:
    write(tmp_path, MEAN, ["Invented Brick", "bisque", "absorption", 10, 20, "mean", "", ""])
    said = release(tmp_path, "--batch", "B1")
    assert said.stdout.startswith("Invented Brick, batch B1: not tested.\n")
    assert "Water absorption, mean, 10 to 20 %: not tested." in said.stdout


def test_a_limit_that_cannot_be_read_is_never_passed_over(tmp_path: Path) -> None:
    write(tmp_path, MEAN, ["Invented Brick", "final", "absorbtion", "", 16, "mean", "", ""])
    said = release(tmp_path, "--batch", "B1")
    assert said.returncode == 1
    assert "Invented Brick, batch B1: not tested.\n" in said.stdout


def test_the_published_bricks_meet_their_limits_in_results_and_report_too(tmp_path: Path) -> None:
    write(tmp_path, MEAN, EACH, batches=("B1",))
    command = [sys.executable, "-m", "bodytest"]
    printed = subprocess.run([*command, "results", "bricks.xlsx"], cwd=tmp_path, capture_output=True, check=True).stdout
    (programme,) = json.loads(printed)["programmes"]
    mean, each = programme["verdicts"]
    assert [(v["applies_to"], v["highest"], v["verdict"]) for v in (mean, each)] == [
        ("mean", 17.0, "meets"),
        ("every bar", 20.0, "meets"),
    ]
    assert mean["value"] == pytest.approx(16.48, abs=0.01)
    assert mean["value"] + mean["guarded_by"] == pytest.approx(16.98, abs=0.02)
    assert each["value"] == pytest.approx(17.1, abs=0.01)
    subprocess.run([*command, "report", "bricks.xlsx", "--out", "r"], cwd=tmp_path, capture_output=True, check=True)
    page = (tmp_path / "r" / "invented-brick.html").read_text(encoding="utf-8")
    assert (
        "Water absorption, mean, at most 17\N{NO-BREAK SPACE}%: meets, for this batch only, in this load only." in page
    )
    assert (
        "Water absorption, every bar, at most 20\N{NO-BREAK SPACE}%: meets, for this batch only, in this load only."
        in page
    )


def test_the_worst_verdict_counts(tmp_path: Path) -> None:
    write(tmp_path, MEAN, ["Invented Brick", "final", "absorption", "", 16.0, "every bar", "", ""])
    assert release(tmp_path, "--batch", "B1").stdout.startswith("Invented Brick, batch B1: does not meet.\n")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--batch", "B9"), "STOP No bars of Invented Brick are of a batch “B9”. There are: B1, B2."),
        (
            ("--batch", "B1", "--load", "K9"),
            "STOP No bars of that batch of Invented Brick stood in a load “K9”. There are: K1.",
        ),
    ],
)  # fmt: skip
def test_bars_that_are_not_there_are_told_and_nothing_is_written(
    tmp_path: Path, arguments: tuple[str, ...], told: str
) -> None:
    write(tmp_path, MEAN)
    said = release(tmp_path, *arguments)
    assert said.returncode == 2
    assert said.stderr.splitlines()[0] == told
    assert [path.name for path in tmp_path.iterdir()] == ["bricks.xlsx"]


def test_a_body_without_limits_is_told(tmp_path: Path) -> None:
    write(tmp_path)
    said = release(tmp_path, "--batch", "B1")
    assert said.returncode == 2
    assert said.stderr.startswith("STOP No limit is stated for Invented Brick, so there is nothing to release it by.")


def test_a_file_of_somebody_else_in_its_place_is_left(tmp_path: Path) -> None:
    write(tmp_path, MEAN)
    own = tmp_path / "invented-brick-b1-certificate.html"
    own.write_text("my notes", encoding="utf-8")
    assert release(tmp_path, "--batch", "B1").returncode == 2
    assert own.read_text(encoding="utf-8") == "my notes"


LIST = (
    "title", "laboratory", "location", "number", "customer", "method", "item", "received", "performed", "issued",
    "sampling", "only_items", "results", "deviations", "authoriser", "external", "conditions", "uncertainty",
    "conformity_results", "conformity_specification", "conformity_verdict", "conformity_rule", "conformity_risk",
)  # fmt: skip
"""What §7.8.2 and §7.8.6 ask for, in the order of the certificate."""
BARE_GIVES = {
    "title", "number", "issued", "only_items", "results", "item", "uncertainty",
    "deviations", "conformity_results", "conformity_verdict", "conformity_rule", "conformity_risk",
}  # fmt: skip
"""What the program itself gives, and what bars with a batch and a limit on the Specs sheet give."""
FOR_CERTIFICATES = [
    ["place of work", "at the address above"],
    ["customer", "Invented builder, 2 Made-up Lane"],
    ["received on", "2026-02-01"],
    ["sampling", "five bricks from five pallets"],
    ["authorised by", "K. Invented"],
    ["outside providers", "none"],
    ["oven temperature (°C)", 108],
    ["water temperature (°C)", 0],
    ["boiled on", "2026-03-05; 2026-03-06"],
    ["who measured which stage", "fired: Kim; boiled: Jo"],
    ["balance", "balance No. 2"],
    ["balance certificate", "INV-77"],
    ["balance certificate date", "2026-01-15"],
    ["mass calibration ± (g)", 0.1],
]


def shown(folder: Path) -> str:
    """Return the certificate as it is read."""
    page = (folder / "invented-brick-b1-certificate.html").read_text(encoding="utf-8")
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def checklist(text: str) -> dict[str, bool]:
    """Return whether each thing of the list is given, as the certificate says it."""
    wording = Path(bodytest.__file__).parent / "report" / "wording.toml"
    words = tomllib.loads(wording.read_text(encoding="utf-8"))["iso17025"]
    said = {key: re.search(rf"{re.escape(name)} \S? ?(not given|given)\b", text) for key, name in words.items()}
    return {key: found[1] == "given" for key, found in said.items() if found}


def test_a_full_sheet_gives_all_that_the_standard_asks_for(tmp_path: Path) -> None:
    write(tmp_path, MEAN, [*EACH[:-1], "limits of the works"], lab=FOR_CERTIFICATES, date="2026-03-01")
    assert release(tmp_path, "--batch", "B1", "--number", "C-7").returncode == 0
    text = shown(tmp_path)
    assert list(checklist(text).items()) == [(name, True) for name in LIST]
    for said in ("balance No. 2", "INV-77", "2026-01-15", "fired: Kim; boiled: Jo", "Certificate C-7; page"):
        assert said in text
    assert "boil 5 h, water at 0 °C, oven at 108 °C" in text


def test_a_bare_sheet_leaves_all_else_marked_as_not_given(tmp_path: Path) -> None:
    write(tmp_path, [*MEAN[:-1], ""], bare=True)
    assert release(tmp_path, "--batch", "B1").returncode == 0
    text = shown(tmp_path)
    assert checklist(text) == {name: name in BARE_GIVES for name in LIST}
    assert text.count("What departs from the standards") == 2, "the list refers to a heading of the certificate itself"


def test_all_batches_of_a_body_are_held_against_its_limits_together(tmp_path: Path) -> None:
    sheets = bodytest.read_sheets([write(tmp_path, MEAN)])
    found = release_of_body(bodytest.analyse(sheets), "Invented Brick")
    assert found is not None
    assert (found.batch, found.verdict, len(found.rows)) == (None, "cannot tell yet", 1), "two batches one point apart"
    assert [(one.batch, one.bars) for one in found.rows[0].others] == [("B1", 5), ("B2", 5)]
    (tmp_path / "none").mkdir()
    without = bodytest.analyse(bodytest.read_sheets([write(tmp_path / "none")]))
    assert release_of_body(without, "Invented Brick") is None


def test_verdicts_on_several_purposes_or_directions_say_which() -> None:
    demo = bodytest.read_sheets([Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"])
    across_and_along = release_batch(demo, "Drift Buff", "D1").sentences
    assert [sentence.split(", mean,")[0] for sentence in across_and_along] == [
        "Across: Water absorption", "Along: Water absorption",
    ]  # fmt: skip
    found = release_batch(demo, "Marl Red", "M1")
    assert found.sentences == (
        "Bisque: Water absorption, mean, 12 to 16 %: meets, for this batch only, in this load only.",
        "Final: Water absorption, mean, 9 to 12.5 %: meets, for this batch only, in this load only.",
    )


def test_a_batch_fired_to_two_cones_is_told_which_one_misses_the_limit(tmp_path: Path) -> None:
    """By hand: 1000 g that take up 160 to 164 g are above 15 % at cone 04, 120 to 124 g below it at cone 6."""
    bars: list[list[Any]] = [["bar", "body", "batch", "firing", "fired mass (g)", "boiled mass (g)"]]
    for firing, absorbed in (("K1", 160.0), ("K2", 120.0)):
        bars += [[f"{firing}-{n}", "Invented Brick", "B1", firing, 1000.0, 1000.0 + absorbed + n] for n in range(5)]
    path = tmp_path / "bricks.xlsx"
    limit = ["Invented Brick", "final", "absorption", "", 15.0, "mean", "", ""]
    fired = [["firing", "purpose", "cone"], ["K1", "final", "04"], ["K2", "final", "6"]]
    path.write_bytes(workbook_of({"Bars": bars, "Firings": fired, "Specs": [*SPECS, limit]}))
    said = release(tmp_path, "--batch", " b1", "--out", str(tmp_path / "out"))
    assert [line.split(" One further bar")[0] for line in said.stdout.splitlines()[:3]] == [
        "Invented Brick, batch B1: does not meet.",
        "Cone 04: Water absorption, mean, at most 15 %: does not meet, for this batch only, in this load only.",
        "Cone 6: Water absorption, mean, at most 15 %: meets, for this batch only, in this load only.",
    ]


def test_a_certificate_tells_only_of_what_it_judges() -> None:
    demo = bodytest.read_sheets([Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"])
    found = release_batch(demo, "Drift Buff", "D3")
    assert found.deviations == (), "few bars were shrunk at other cones, and no limit on density is stated"
    assert {key for load in found.results.groups for key in load.quantities} == {"absorption"}
    assert {load.firing for load in found.results.groups} == {"F4", "F6", "F7"}


def test_a_certificate_of_what_is_not_tested_yet_tells_of_all_that_was_measured() -> None:
    half = bodytest.read_sheets([Path(__file__).parents[2] / "sheets" / "demo-half-filled.xlsx"])
    found = release_batch(half, "Chalk White", "C1")
    assert found.verdict == "not tested"
    assert "total_shrinkage" in found.results.groups[0].quantities
