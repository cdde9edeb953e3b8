"""Is what `bodytest plan` promises reached? Planned tests made up with known true values and analysed by the program.

Run: OMP_NUM_THREADS=1 python -m tests.bench.planned --runs 100                       a quick look
     … --part 1 --runs 500 --write tests/bench/planned.md                             keep one part of the table

Bars, loads and batches scatter as the plan supposes; each row is a plan, and each run one whole test of it: readings of
every planned bar, read, checked and analysed as a sheet is.
"""

import argparse
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

import numpy as np
import pandas as pd

from bodytest.analysis.analysing import analyse, summarise
from bodytest.analysis.comparisons import compare
from bodytest.library.read import read_frames
from bodytest.plan.matching import Match, match
from bodytest.plan.measured import Wanted
from bodytest.results import Programme, Results
from bodytest.trial.goals import Goal
from bodytest.trial.planned import Plan, plan
from bodytest.trial.prefilled import plan_content
from bodytest.trial.promise import Need
from bodytest.trial.question import SHRINKAGE_SLOPE, Heat, Kiln, Question, Scatter

SEED = 20281121
TRUE = "true"
"""Column of the true mean shrinkage of whom the answer speaks, %."""
_AT_ONCE = 50
"""Tests that are read and analysed as one workbook."""
_UNITS = {"set temperature": "set temperature (°C)", "temperature ±": "temperature ± (°C)"}


def readings(planned: Plan, draw: np.random.Generator) -> pd.DataFrame:
    """Return the rows of the Bars table with readings as the bars of one test would give them."""
    question, scatter = planned.question, planned.question.scatter
    heat = {load.code: load.heat.celsius for load in planned.loads}
    off_c = {load: question.kiln.off_c * draw.standard_normal() for load in heat}
    of_load = {
        load: SHRINKAGE_SLOPE * off_c[load] if scatter.load is None else scatter.load * draw.standard_normal()
        for load in heat
    }
    deviates = {one: draw.standard_normal() for one in sorted({bar.batch for bar in planned.bars})}
    deviates["last delivery"] = deviates.get("new delivery", 0.0)  # truly alike
    rows = []
    for row in plan_content(planned).bars:
        load, deviate = str(row["firing"]), deviates[str(row["batch"])]
        shrinkage = scatter.shrinkage + scatter.batch * deviate + of_load[load] + scatter.bar * draw.standard_normal()
        wet = question.bar.gauge + 0.3 * draw.standard_normal()
        lengths = {"wet": wet, "dry": 0.94 * wet, "fired": wet * (1.0 - shrinkage / 100.0)}
        read = {f"{stage} length (mm)": _to_step(one, question.reading_step_mm) for stage, one in lengths.items()}
        if question.weighs:
            absorbed = absorption(question, heat[load] + off_c[load])
            if question.goals != ("range",):  # which speaks of the one batch that it rests on
                absorbed += question.absorption_sds[1] * deviate
            absorbed = max(absorbed + question.absorption_sds[0] * draw.standard_normal(), 0.0)
            wet_g = question.wet_g * (1.0 + 0.01 * draw.standard_normal())
            masses = {"wet": wet_g, "dry": 0.8 * wet_g, "fired": 0.735 * wet_g}
            masses["boiled"] = masses["fired"] * (1.0 + absorbed / 100.0)
            read |= {f"{stage} mass (g)": _to_step(one, 0.01) for stage, one in masses.items()}
        true = scatter.shrinkage
        true += scatter.batch * deviate if question.one_batch or question.most_loads == 1 else 0.0
        true += of_load[load] if question.most_loads == 1 else 0.0
        rows.append({**row, **read, TRUE: true})
    return pd.DataFrame(rows)


def absorption(question: Question, celsius: float) -> float:
    """Return the true absorption at a temperature, %, which falls by the stated share for each °C."""
    scatter = question.scatter
    return scatter.absorption * float(np.exp(-scatter.absorption_fall * (celsius - question.kiln.heats[0].celsius)))


def crossing_c(question: Question) -> float:
    """Return the true temperature at which absorption falls to the limit, °C."""
    scatter, limit = question.scatter, question.limit or 0.0
    return question.kiln.heats[0].celsius + np.log(scatter.absorption / limit) / scatter.absorption_fall


def tables(planned: Plan, tests: int, draw: np.random.Generator) -> dict[str, pd.DataFrame]:
    """Return the tables of a workbook filled with so many tests of a plan, each of a body and with loads of its own."""
    content = plan_content(planned)
    lab = [(name, value) for name, value in content.lab.items() if value is not None]
    every: dict[str, list[pd.DataFrame]] = {"Bars": [], "Firings": [], "Specs": []}
    for number in range(tests):
        bars, firings, specs = readings(planned, draw), *map(pd.DataFrame, (content.firings, content.specs))
        bars["bar"] += f"/{number}"
        for one in (bars, firings):
            one["firing"] += f"/{number}"
        for one in (bars, specs) if content.specs else (bars,):
            one["body"] += f" {number}"
        for name, one in zip(every, (bars, firings, specs), strict=True):
            every[name].append(one)
    found = {name: pd.concat(some, ignore_index=True) for name, some in every.items() if not some[0].empty}
    found["Firings"] = found["Firings"].rename(columns=_UNITS)
    return found | {"Lab": pd.DataFrame(lab, columns=["name", "value"])}


def tried(planned: Plan, tests: int, draw: np.random.Generator) -> list[dict[Goal, tuple[bool, bool]]]:
    """Return for each question of many tests whether what was promised is reached, and whether its interval holds."""
    question = planned.question
    filled = tables(planned, tests, draw)
    true = dict(zip(filled["Bars"]["body"], filled["Bars"].pop(TRUE), strict=True))
    sheets = read_frames(filled)
    stops = [found for found in sheets.findings if found.level == "stop"]
    assert len(stops) <= 0.002 * len(filled["Bars"])  # a bar that strays by chance may look like a slip of the pen
    results = analyse(sheets) if "range" in question.goals else summarise(sheets)
    judged = [{} for _ in range(tests)]
    for need in planned.needs:
        ways = {"size": partial(_size, true=true), "tight": _tight, "range": _range, "same": _same, "match": _match}
        for body, found in ways[need.goal](need, question, results):
            judged[int(body.rpartition(" ")[2])][need.goal] = found
    assert all(one.keys() == {*question.goals} for one in judged)
    return judged


def _ware(question: Question, results: Results) -> Iterator[Programme]:
    return (one for one in results.programmes if one.called == question.kiln.heats[0].called)


def _size(need: Need, question: Question, results: Results, true: dict[str, float]):
    for one in _ware(question, results):
        size = one.quantities["total_shrinkage"]
        holds = size.low <= true[one.body] <= size.high
        yield one.body, ((size.high - size.low) / 2.0 <= need.expected, holds)


def _tight(need: Need, question: Question, results: Results):
    wanted = "meets" if question.scatter.absorption < question.limit else "does not meet"
    for one in _ware(question, results):
        yield one.body, (one.quantities["absorption"].decision == wanted, False)


def _range(need: Need, question: Question, results: Results):
    for one in results.responses:
        at = one.at_limit
        known = at is not None and at.low is not None and at.high is not None
        narrow = known and (at.high - at.low) / 2.0 <= need.expected
        yield one.body, (narrow, not known or at.low <= crossing_c(question) <= at.high)


def _same(need: Need, question: Question, results: Results):
    for one in compare(results, "batch", quantities=("total_shrinkage",)):
        if {level.name for level in one.levels} == {"new delivery", "last delivery"}:
            yield one.body, (one.differences[0].verdict == "same within tolerance", False)


def _match(need: Need, question: Question, results: Results):
    for one in _ware(question, results):
        wanted = Wanted(body=one.body, firing=one.loads[0], batch=one.batches[0])
        pair = match(results, Match("200mm", within=f"{question.pair_mm}mm"), wanted=wanted)
        yield one.body, (pair.chance_within >= 0.95, False)


def shares(planned: Plan, runs: int, draw: np.random.Generator) -> dict[Goal, tuple[float, float]]:
    """Return the share of tests in which each question was answered as promised, and its interval held."""
    sizes = [min(_AT_ONCE, runs - done) for done in range(0, runs, _AT_ONCE)]
    done = [one for size in sizes for one in tried(planned, size, draw)]
    return {goal: tuple(np.mean([one[goal] for one in done], axis=0).tolist()) for goal in planned.question.goals}


def _to_step(value: float, step: float) -> float:
    return round(round(value / step) * step, 4)


def question(goals: tuple[Goal, ...], heats: str = "6", expected: float | None = None, **more: object) -> Question:
    """Return a question about an invented body."""
    kiln = Kiln(tuple(Heat.of_cone(cone) for cone in heats.split()), shelves=2, temperature_pm_c=10.0)
    return replace(Question("Drift Buff", goals, kiln, scatter=Scatter(absorption=expected)), **more)


PARTS = (
    (
        question(("size",)),
        question(("size",), half_width=0.3),
        question(("size",), one_batch=True, half_width=0.4),
        question(("size",), most_loads=1, half_width=0.1),
        question(("match",), pair_mm=1.5),
        question(("match",), pair_mm=1.3),
        question(("same",), tolerance=0.3),
        question(("same",), tolerance=0.2),
        question(("size", "same", "match"), pair_mm=1.5),
    ),
    (
        question(("tight",), expected=1.2, limit=2.0),
        question(("tight",), expected=3.0, limit=2.0),
        question(("tight",), expected=1.5, limit=2.0, most_loads=1),
        question(("tight",), expected=2.3, limit=3.0, one_batch=True),
        question(("range",), "6 4 5 7", expected=1.5, limit=2.0),
        question(("range",), "6 5 7", expected=1.5, limit=2.0),
        question(("range",), "7 4 5 6 8", expected=1.0, limit=3.0),
        question(("size", "tight"), expected=1.2, limit=2.0),
    ),
)


def _rows(part: int, runs: int) -> Iterator[str]:
    for place, one in enumerate(PARTS[part - 1]):
        planned = plan(one)
        found = shares(planned, runs, np.random.default_rng([SEED, part, place]))
        for need in planned.needs:
            is_chance = need.goal in ("tight", "same", "match")
            told = f"{need.expected:.2f}" if is_chance else f"0.80 for ± {need.expected:.2f}"
            asked = ", ".join(f"{name} {value}" for name, value in _told(one).items())
            reached, holds = found[need.goal]
            held = "" if is_chance else f"{holds:.3f}"
            yield (
                f"| {need.goal} | {asked} | {need.loads} × {len(need.heats)} | {need.bars} | {told} | {reached:.3f} |"
                f" {held} |"
            )


def _told(one: Question) -> dict[str, object]:
    heats = " ".join(heat.cone for heat in one.kiln.heats)
    told = {"cones": heats, "asked together": " ".join(one.goals) if len(one.goals) > 1 else None,
            "expected": one.scatter.absorption, "limit": one.limit,
            "±": one.half_width if "size" in one.goals else None,
            "tolerance": one.tolerance if "same" in one.goals else None,
            "pair mm": one.pair_mm if "match" in one.goals else None,
            "one batch": "yes" if one.one_batch else None,
            "most loads": 1 if one.most_loads == 1 else None}  # fmt: skip
    return {name: value for name, value in told.items() if value is not None}


HEAD = """# Are plans kept?

Made by `python -m tests.bench.planned --part 1 --write tests/bench/planned.md`, and part 2; each row is a plan, each
run a whole test of it with the program's own analysis. "Told" is the chance that the plan tells, "reached" the share of
tests that reached it, "holds" the share whose interval holds the true value. With 200 runs a share has a standard error
of 0.02 to 0.03. Each row has a seed of its own, so rows may be run one at a time.
"""
COLUMNS = "| question | asked | loads × firings | bars each | told | reached | holds |\n|---|---|---|---|---|---|---|"


def _keep(path: Path, part: int, runs: int, rows: list[str]) -> None:
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False)
    own = f"## Part {part}\n\n{date.today()}, commit {commit.stdout.strip()}, {runs} runs a row, seed {SEED}\n\n"
    text = path.read_text(encoding="utf-8") if path.exists() else HEAD
    head, *others = text.split("## Part ")
    kept = {one[0]: f"## Part {one.rstrip()}\n" for one in others}
    kept[str(part)] = own + "\n".join([COLUMNS, *rows]) + "\n"
    path.write_text("\n".join([head.rstrip("\n") + "\n", *(kept[key] for key in sorted(kept))]), encoding="utf-8")


if __name__ == "__main__":
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--part", type=int, choices=(1, 2), action="append")
    options.add_argument("--runs", type=int, default=500)
    options.add_argument("--write", type=Path)
    chosen = options.parse_args()
    for part in chosen.part or (1, 2):
        rows = []
        for row in _rows(part, chosen.runs):
            print(row, flush=True)
            rows.append(row)
            if chosen.write:
                _keep(chosen.write, part, chosen.runs, rows)
