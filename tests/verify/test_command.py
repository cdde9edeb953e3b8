"""``bodytest verify`` at the command line."""

import json

import pytest
from typer.testing import CliRunner

from bodytest.cli.app import app
from bodytest.verify import verification
from bodytest.verify.examples import published_examples

pytestmark = pytest.mark.core

run = CliRunner().invoke


@pytest.fixture
def one_wrong(monkeypatch):
    """Let the program believe that kaolinite loses 15 %."""
    examples = published_examples()
    for e in examples:
        if e.id == "kaolinite-loss":
            e.expected["loss_percent"] = 15.0
    monkeypatch.setattr(verification, "published_examples", lambda: examples)


def test_the_table_ends_with_all_figures_met_and_exit_code_0():
    done = run(app, ["verify"])
    assert done.exit_code == 0
    last = " ".join(done.output.split("\n\n")[-1].split())
    assert last.startswith("All ")
    assert "published examples are met (bodytest " in last


def test_the_table_is_readable_at_80_columns_and_gives_each_source():
    short, output = run(app, ["verify"]).output, run(app, ["verify", "--all"]).output
    assert max(len(line) for line in (short + output).splitlines()) <= 80
    for source in ("doi 10.11583/DTU.30157108.v1", "Metrologia 38:301-309", "JCGM 100:2008 Annex H.1", "Davies"):
        assert source in output


def test_a_list_is_shown_by_its_worst_figure_unless_all_are_wanted():
    assert "rho kg m3 (13)" in run(app, ["verify"]).output
    assert "rho kg m3 13 " in run(app, ["verify", "--all"]).output


def test_a_miss_is_marked_told_and_ends_with_exit_code_1(one_wrong):
    done = run(app, ["verify"])
    assert done.exit_code == 1
    (row,) = [line for line in done.output.splitlines() if line.startswith("  loss percent")]
    assert row.endswith("MISS")
    last = " ".join(done.output.split("\n\n")[-1].split())
    assert last.startswith("1 of ")
    assert last.endswith(
        "Do not rely on this installation: install bodytest again into an empty virtual environment with the versions "
        "of the lock file; if it still misses, please report it with this table."
    )


def test_json_holds_every_figure():
    done = run(app, ["verify", "--json"])
    document = json.loads(done.output)
    assert done.exit_code == 0
    assert document["format"] == "bodytest verification"
    assert document["passed"] is True
    assert len(document["figures"]) == len(verification.verify())
    assert set(document["figures"][0]) == {
        "example", "source", "provenance", "title", "name", "position", "published", "ours", "tolerance", "trouble",
        "digits", "passed",
    }  # fmt: skip


def test_json_with_a_miss_says_so(one_wrong):
    done = run(app, ["verify", "--json"])
    assert done.exit_code == 1
    assert json.loads(done.output)["passed"] is False
