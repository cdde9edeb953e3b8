"""What is written out and what is left as it is; the doors that text leaves through."""

import json
import re
import sys
import unicodedata
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from bodytest.shown import clipped, file_label, shown, visible, visible_json

PACKAGE = Path(__file__).parents[1] / "bodytest"
SEEN_FORMATS = {"ARABIC", "SYRIAC", "KAITHI", "EGYPTIAN", "SHORTHAND", "MUSICAL"}
"""Scripts whose signs of category Cf are drawn or belong to their spelling."""


def test_every_sign_that_steers_or_hides_is_written_out():
    left = []
    for code in range(sys.maxunicode + 1):
        sign = chr(code)
        if unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Zl", "Zp"} and visible(sign) == sign and sign != "\n":
            left.append(unicodedata.name(sign).split()[0])
    assert set(left) == SEEN_FORMATS


def test_letters_of_all_scripts_stay_as_they_are():
    for name in (
        "Größe ½ cm³",
        "Глина №5",
        "陶土",
        "صلصال",
        "می\u200cخواهم",
        "क्\u200dष",
        "Marl\N{NO-BREAK SPACE}Red 🏺",
    ):
        assert visible(name) == name
        assert shown(name) == name


def test_joiners_between_other_letters_are_written_out():
    assert visible("Marl\u200dRed\u200c") == r"Marl\u200dRed\u200c"


@given(st.text(st.characters(codec=None)))
def test_what_is_shown_is_one_line_without_hidden_signs_and_stays_so(text):
    line = shown(text)
    assert "\n" not in line
    assert visible(line) == line
    assert len(line) <= 1200


@given(st.text(st.characters(codec=None)))
def test_visible_json_reads_back_the_same(text):
    document = visible_json(json.dumps({text: [text]}, ensure_ascii=False))
    assert json.loads(document) == {text: [text]}
    assert visible(document) == document
    document.encode("utf-8")


@given(st.text(max_size=50), st.integers(min_value=3, max_value=30))
def test_clipped_keeps_beginning_and_end(text, most):
    short = clipped(text, most)
    assert len(short) <= max(most, 0)
    if len(text) > most:
        begin, end = short.split("…", 1) if "…" not in text else (short[: most - most // 2 - 1], short[-(most // 2) :])
        assert text.startswith(begin)
        assert text.endswith(end)


def test_a_label_keeps_every_sign_of_a_sound_name():
    assert file_label("Größe\n\x1b\u202e.csv") == "Größe\n\x1b\u202e.csv"


def test_templates_escape_everything():
    for template in sorted((PACKAGE / "report" / "templates").glob("*.html")):
        text = template.read_text(encoding="utf-8")
        assert re.findall(r"\|\s*safe\b|autoescape|Markup", text) == [], template.name


def test_the_linter_holds_the_doors():
    settings = (PACKAGE.parent / "pyproject.toml").read_text(encoding="utf-8")
    assert '"TID251"' in settings
    for door in ("typer.echo", "sys.stdout", "sys.stderr", "rich", "csv.writer", "markupsafe.Markup"):
        assert f'"{door}".msg' in settings
    allowed = {
        str(module.relative_to(PACKAGE))
        for module in PACKAGE.rglob("*.py")
        if "noqa: TID251" in module.read_text(encoding="utf-8")
    }
    assert allowed == {
        "export/csv_tables.py",
        "export/schema.py",
        "files/writing.py",
        "report/charts/svg.py",
        "report/render.py",
        "report/sections/method.py",
    }
