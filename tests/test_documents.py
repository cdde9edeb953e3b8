"""What the documents for those who carry on say is there, and what has to be the same in several of them is."""

import re
from pathlib import Path

import pytest

import bodytest

ROOT = Path(__file__).parents[1]
TEXTS = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md")}
DECISIONS = sorted((ROOT / "docs" / "decisions").iterdir())


def test_the_version_is_told_alike():
    citation = (ROOT / "CITATION.cff").read_text(encoding="utf-8")
    assert f"\nversion: {bodytest.__version__}\n" in citation
    heading = rf"^## {re.escape(bodytest.__version__)} \(\d{{4}}-\d\d-\d\d\)$"
    assert re.search(heading, TEXTS["CHANGELOG.md"], re.MULTILINE)


def test_every_command_is_named_in_readme():
    from bodytest.cli.app import app

    names = [command.name or command.callback.__name__ for command in app.registered_commands]
    assert [name for name in names if f"`bodytest {name}" not in TEXTS["README.md"]] == []


def test_what_the_map_names_is_there_and_nothing_is_left_out():
    (table,) = re.findall(r"\| place \|.*?\n\n", TEXTS["DEVELOPERS.md"], re.DOTALL)
    places = re.findall(r"^\| (`.*?) \|", table, re.MULTILINE)
    named = {name.rstrip("/") for place in places for name in re.findall(r"`([^`]+)`", place)}
    package = {path.name for path in (ROOT / "bodytest").iterdir()} - {"__pycache__", "py.typed"}
    glue = {"__init__.py", "__main__.py", "errors.py", "cones.py", "rounding.py"}
    assert named == package - glue


def test_the_scripts_that_developers_are_told_of_are_there():
    told = re.findall(r"python (?:-m )?(tests[./]bench[\w./]+)", TEXTS["DEVELOPERS.md"])
    assert len(told) >= 6
    assert [name for name in told if not (ROOT / f"{name.removesuffix('.py').replace('.', '/')}.py").is_file()] == []


@pytest.mark.parametrize("path", DECISIONS, ids=lambda path: path.stem)
def test_a_decision_is_a_dated_story(path):
    assert re.fullmatch(r"\d{4}-\d\d-\d\d-[a-z0-9-]+\.md", path.name)
    assert path.read_text(encoding="utf-8").startswith("# ")


def test_no_document_names_the_place_of_a_machine():
    for name, text in {**TEXTS, **{path.name: path.read_text(encoding="utf-8") for path in DECISIONS}}.items():
        assert not re.search(r"(?<![\w.])/(?:home|work|root|tmp)/|https?://(?!doi\.org)", text), name
