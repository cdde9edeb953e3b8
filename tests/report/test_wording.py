"""The language of the pages stands in one place: every key exists, every key is used, templates hold no words."""

import re
from pathlib import Path

from bodytest.report import pages
from bodytest.report.told import told_of
from bodytest.report.wording import Voice, english, verdict_mark
from bodytest.results import QuantityResult
from bodytest.units import INSTRUMENTS

FOLDER = Path(pages.__file__).parent
CODE = "\n".join(path.read_text(encoding="utf-8") for path in sorted(FOLDER.rglob("*.py")))
TEMPLATES = {path.name: path.read_text(encoding="utf-8") for path in sorted((FOLDER / "templates").glob("*.html"))}
ALL = CODE + "\n".join(TEMPLATES.values())
VOICE = Voice(english())


def test_every_key_that_is_written_out_exists() -> None:
    keys = set(re.findall(r"""say\(\s*["']([a-z0-9_]+\.[a-z0-9_]+)["']\s*[,)]""", ALL))
    assert len(keys) > 100
    assert keys - set(english()) == set()


def test_every_key_is_used() -> None:
    def is_used(key: str) -> bool:
        section, name = key.split(".")
        computed = re.search(rf"""["'(]{section}\.[^"' ]*{{""", ALL) or key.startswith(COMPUTED)
        return key in ALL or bool(computed) or f'"{name}"' in ALL

    assert [key for key in english() if not is_used(key)] == []


COMPUTED = ("count.", "page.shape_", "section.", "typing.")
"""Keys that are put together, and those of a script: `tests/sheet/test_form.py` asks for each of these."""


def test_templates_hold_no_words_of_their_own() -> None:
    for name, template in TEMPLATES.items():
        without_code = re.sub(r"{{.*?}}|{%.*?%}|{#.*?#}", "", template, flags=re.DOTALL)
        text = re.sub(r"<[^>]*>", " ", re.sub(r"<style>.*?</style>", "", without_code, flags=re.DOTALL))
        words = set(re.findall(r"[A-Za-z]{2,}", text)) - {"results", "json", "csv"}
        assert words == set(), name


def test_numbers_take_the_decimal_sign_asked_for() -> None:
    result = QuantityResult("%", 10, 11.8653, low=11.6379, high=12.0927)
    comma = Voice(english(), ",")
    assert comma.mean(result) == "11,87\N{NO-BREAK SPACE}±\N{NO-BREAK SPACE}0,23\N{NO-BREAK SPACE}%"
    assert comma.interval(11.6379, 12.0927, "%") == "11,64 to 12,09\N{NO-BREAK SPACE}%"
    assert comma.plain(0.05, "mm") == "0,05\N{NO-BREAK SPACE}mm"


def test_a_verdict_has_words_and_a_shape_of_its_own() -> None:
    marks = [verdict_mark(VOICE, verdict) for verdict in ("meets", "does not meet", "cannot tell yet")]
    assert [(mark.words, mark.shape) for mark in marks if mark] == [
        ("meets the limit", "yes"),
        ("does not meet the limit", "no"),
        ("cannot tell yet", "open"),
    ]


def test_counts_know_one_from_many() -> None:
    assert [VOICE.count("bar", number) for number in (0, 1, 2)] == ["0 bars", "1 bar", "2 bars"]


def test_what_cannot_be_negative_is_told_with_an_interval_that_ends_at_0() -> None:
    seen = QuantityResult("%", 10, 1.5, low=-0.2, high=3.2, next_low=-1.6, next_high=4.6)
    absorbed = told_of("absorption", seen)
    assert VOICE.mean(absorbed).replace("\N{NO-BREAK SPACE}", " ") == "1.5 (0 to 3.2) %"
    assert VOICE.between(absorbed.next_low, absorbed.next_high, 1) == "0 to 4.6"
    assert told_of("firing_shrinkage", seen) == seen


def test_a_step_of_a_rule_is_told_in_the_unit_of_the_sheet() -> None:
    inches = Voice(english(), length_unit="in")
    told = [inches.reading(0.0254, INSTRUMENTS["length"]), inches.reading(0.0283495, INSTRUMENTS["mass"])]
    assert told == ["0.001\N{NO-BREAK SPACE}in", "0.02835\N{NO-BREAK SPACE}g"]
