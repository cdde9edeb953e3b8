"""Programmes over loads and batches, from a sheet file through the commands; expected values by hand or from lme4."""

import json
import sys
from collections import defaultdict
from importlib.resources import files
from pathlib import Path

import pytest

from bodytest.cli.app import main
from tests.analysis.test_programmes import six_loads_tables, written

SETS = json.loads(files("bodytest.published").joinpath("loads.json").read_text(encoding="utf-8"))["sets"]


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Run a command that succeeds and return what it prints."""

    def command(*arguments: object) -> str:
        monkeypatch.setattr(sys, "argv", ["bodytest", *map(str, arguments)])
        main()  # a failure would end it by SystemExit
        return capsys.readouterr().out

    return command


@pytest.mark.parametrize("known", SETS, ids=[one["name"] for one in SETS])
def test_every_published_set_agrees_with_lme4(known: dict, tmp_path: Path, told) -> None:
    bars = [(one["batch"], one["load"], one["value"]) for one in known["data"]]
    firings = [["firing", "programme"], *([load, "P"] for load in dict.fromkeys(bar[1] for bar in bars))]
    sheet = written(tmp_path, bars, firings, [["length reading step (mm)", 0.0005]])
    (programme,) = json.loads(told("results", sheet))["programmes"]
    total, fit = programme["quantities"]["total_shrinkage"], known["fit"]

    assert (programme["design"], total["n"]) == (known["design"], len(bars))
    assert total["mean"] == pytest.approx(fit["mean"], abs=0.01 * fit["sds"]["Residual"])
    ours = defaultdict(lambda: None, batch=total["batch_sd"], load=total["load_sd"], Residual=total["bar_sd"])
    for factor, sd in fit["sds"].items():
        own = factor.partition(":")[0]  # load:batch are loads within batches
        assert (ours[own] or 0.0) == pytest.approx(sd, rel=0.01, abs=0.002), factor
    assert total["estimator"] == "REML"
    assert total["low"] < fit["mean"] < total["high"]


def test_six_loads_of_five_bars_plan_a_piece_of_the_next_load(tmp_path: Path, told) -> None:
    sheet = written(tmp_path, *six_loads_tables())
    (programme,) = json.loads(told("results", sheet))["programmes"]
    total = programme["quantities"]["total_shrinkage"]

    # by hand: the means scatter by 0.435, t(5) 2.571: 2.571 · 0.435 / √6 = 0.456; next: 2.571 · √(0.241) = 1.26
    assert (round(total["mean"], 2), round(total["high"] - total["mean"], 2)) == (11.99, 0.46)
    assert round(total["next_high"] - total["mean"], 1) == 1.3
    factors = [programme[f"wet_size_factor{end}"] for end in ("_low", "", "_high")]
    assert [round(one, 3) for one in factors] == [1.130, 1.136, 1.142]
    assert told("size", "200mm", sheet) == (
        "200mm finished: Marl, cone 6, along; batch D1 only, in any load (30 bars)\n"
        "  wet            227.3 mm   (226.1 to 228.4 mm)\n"
        "  dry            213.7 mm   (212.6 to 214.8 mm)\n"
        "  fired          200.0 mm\n"
        "  Made 227.3 mm wet, the finished piece will be 197.1 to 202.9 mm (95 % range of one piece).\n"
    )


PLANNED = ("size", "match", "ruler")


def planned(told, command: str, *options: Path | str) -> tuple[str, dict]:
    """Return what a planning command prints, and whom its JSON speaks of."""
    asked = ("--out", options[0].with_name("ruler.svg")) if command == "ruler" else ("200mm",)
    source = ("--from", *options)
    document = json.loads(told(command, *asked, *source, "--json"))
    return told(command, *asked, *source), (document["sizes"][0] if command == "size" else document)["speaks_of"]


@pytest.mark.parametrize("command", PLANNED)
@pytest.mark.parametrize(
    ("options", "words", "load"),
    [
        ((), "batch D1 only, in any load", "any"),
        (("--load", "new", "--batch", "new"), "this batch only, in any load", "any"),
        (("--load", "L3"), "batch D1 only, in this load only", "this"),
        (("--firing", "L3", "--batch", "D1"), "batch D1 only, in this load only", "this"),
    ],
)
def test_every_planning_command_says_whom_it_speaks_of(
    command: str, options: tuple[str, ...], words: str, load: str, tmp_path: Path, told
) -> None:
    said, found = planned(told, command, written(tmp_path, *six_loads_tables()), *options)
    assert words in said
    assert found == {"batch": "this", "load": load}


def test_pieces_say_whom_their_bars_speak_of(tmp_path: Path, told) -> None:
    pieces = [["piece", "body", "batch", "firing", "dimension", "wet size (mm)", "fired size (mm)"]]
    pieces += [[f"J{n}", "Marl", "D1", "L3", "height", 200 + n, 175 + n] for n in range(4)]
    sheet = written(tmp_path, *six_loads_tables(), pieces=pieces)
    assert told("pieces", sheet).startswith("Marl, firing L3; this batch only, in this load only: 4 pieces shrank")
    (found,) = json.loads(told("pieces", sheet, "--json"))["pieces"]
    assert found["speaks_of"] == {"batch": "this", "load": "this"}


def in_two_directions(folder: Path) -> Path:
    bars, firings, lab = six_loads_tables()
    across = [("D1-across", load, shrinkage - 2.0) for _, load, shrinkage in bars[:8]]
    return written(folder, [*across, *bars], firings, lab)


@pytest.mark.parametrize("command", PLANNED)
def test_the_direction_of_the_answer_is_taken_and_told(command: str, tmp_path: Path, told) -> None:
    sheet = in_two_directions(tmp_path)
    own, _ = planned(told, command, sheet)
    note = (
        "Note: Bars were measured across and along; this is for along, as in the report."
        " Otherwise say --direction across."
    )
    assert note in own
    named, _ = planned(told, command, sheet, "--direction", "along")
    assert [line for line in own.splitlines() if note not in line] == named.splitlines()
    across, _ = planned(told, command, sheet, "--direction", "across")
    assert "across" in across
    assert "along" not in across


def test_the_direction_is_told_of_lengths_alone(told) -> None:
    asked = ("size", "--from", Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx", "--body", "Drift Buff")
    note = "Bars were measured across and along; this is for along"
    assert note in told(*asked, "--capacity", "300ml")
    assert note not in told(*asked, "--mass", "2kg") + told(*asked, "200mm", "--as-pieces", "height")
