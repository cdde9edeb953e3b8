"""The demo's report in ``reports/``: what the command makes of the demo sheet today, compared with what is kept.

To accept a change, look at the new pages and run, from the top of the repository::

    bodytest report sheets/demo-complete.xlsx --out reports --date 2026-03-14

Numbers may differ in their last digit, as another processor or library may round another way; nothing else may.
"""

import html
import re
import subprocess
import sys
from pathlib import Path

import pytest

from bodytest.analysis.timeline_words import RULES

ROOT = Path(__file__).parents[2]
KEPT = ROOT / "reports"
COMMAND = ("report", "sheets/demo-complete.xlsx", "--date", "2026-03-14", "--out")
SEAL = re.compile(r"bodytest:[0-9a-f]{64}")
"""Of the whole file, so that it differs where a last digit does."""
NUMBER = re.compile(r"\d+(?:\.\d+)?(?:e-?\d+)?")
BODIES = ("chalk-white", "check-grey", "drift-buff", "marl-red")
ENDINGS = ("", "-bench", "-certificate")
NAMES = ("index.html", "side-by-side.html", *(f"{body}{end}.html" for body in BODIES for end in ENDINGS))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("reports")
    command = [sys.executable, "-m", "bodytest", *COMMAND, str(folder)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    return folder


def numbers(text: str) -> list[float]:
    return [float(number) for number in NUMBER.findall(text)]


def skeleton(text: str) -> str:
    """Return the text without its numbers and without the spaces that line them up."""
    return re.sub(r"[\N{FIGURE SPACE}]+", "", NUMBER.sub("#", text))


@pytest.mark.parametrize("name", [*NAMES, "results.json", "results.csv"])
def test_the_demo_report_is_the_one_that_is_kept(made: Path, name: str) -> None:
    new, kept = (SEAL.sub("", (folder / name).read_text(encoding="utf-8")) for folder in (made, KEPT))
    if new == kept:
        return
    assert skeleton(new) == skeleton(kept)
    assert numbers(new) == pytest.approx(numbers(kept), rel=1e-6, abs=0.11 if name.endswith(".html") else 1e-9)


def test_nothing_else_is_written_and_nothing_is_kept_that_is_not_made(made: Path) -> None:
    assert {path.name for path in made.iterdir()} == {
        *NAMES,
        "results.json",
        "results.csv",
        "datapackage.json",
        "bodytest-files.json",
    }
    pictures = {path.name for path in KEPT.glob("*.png")}
    assert {path.name for path in KEPT.iterdir()} - pictures == {path.name for path in made.iterdir()}


def read(name: str) -> str:
    """Return the words of a kept page, as they are spaced."""
    markup = re.sub(r"<(style|script).*?</\1>", "", (KEPT / name).read_text(encoding="utf-8"), flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]+>", " ", markup))


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_the_program_says_itself_is_cut_and_no_unit_stands_on_the_next_line(name: str) -> None:
    assert "…" not in read(name)
    assert re.findall(r".{9}(?:\d %|\d °C|± \d)", read(name)) == []


def test_the_demo_tells_all_rules_of_its_chart_over_time_and_which_bars_are_too_few() -> None:
    page = " ".join(read("drift-buff.html").split())
    for rule in RULES.values():
        assert rule in page
    assert "Shrinkage at cone 4 across, cone 5 across, cone 7 across rests on 4 bars; ASTM C326 asks for 10." in page


@pytest.mark.parametrize("body", BODIES)
def test_a_topic_says_nothing_that_was_said_right_above_it_or_among_the_steps(body: str) -> None:
    page = (KEPT / f"{body}.html").read_text(encoding="utf-8")
    found, headings = (set(re.findall(one, page)) for one in ('class="finding">(.*?)<', "<figcaption><h3>(.*?)<"))
    assert found.isdisjoint(headings)
    steps = re.findall("<li>(.*?)<", page.split('<ol class="steps">')[1].split("</ol>")[0])
    certainty = page.split('id="certainty"')[1].split("</details>")[0]
    assert not [step for step in steps if step in certainty]


def test_a_certificate_tells_the_formula_of_what_it_judges_alone_and_the_rule_for_any_mean() -> None:
    assert "A mean meets its limit when its upper one-sided 95" in read("drift-buff-certificate.html")
    page = (KEPT / "drift-buff-certificate.html").read_text(encoding="utf-8")
    assert re.findall("<dt>(.*?)</dt>", page) == ["Water absorption"]


def test_what_to_do_about_open_differences_is_said_once() -> None:
    assert read("side-by-side.html").count("testing more would show it") == 1


def test_a_wide_range_of_a_factor_from_pieces_says_why() -> None:
    why = "The range for height is wide: its pieces are of few batches, and these differ."
    assert why in read("drift-buff.html")
    assert why in read("drift-buff-bench.html")


def test_the_demo_says_that_its_numbers_are_invented(made: Path) -> None:
    for name in NAMES[2:]:
        assert "invented" in (made / name).read_text(encoding="utf-8").lower()
