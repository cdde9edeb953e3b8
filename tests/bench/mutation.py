"""Change one thing in a module, run the tests that cover it, and count how many changes no test notices.

``python -m tests.bench.mutation --write tests/bench/mutation.md`` from the top of the repository; ``--only`` with names
of modules leaves the rows of the others, ``--all`` looks at every mutant in place of a seeded sample. A mutant is
*killed* when a test fails, the module can no longer be imported, or the tests take far longer than before (counted
apart, as *by time*). What is said in the table about a survivor is carried over to the next table.

Each mutant runs in a fork of a process that has loaded the libraries but nothing of bodytest, and is put in place by an
import hook: no file is changed, and a run takes as long as its tests. Tried before: mutmut, which runs a copy of the
package (tests that start programs fail in it) and changes no records outside functions; cosmic-ray, which starts a
process for each mutant, so that loading the libraries takes most of the time, and counts changed annotations as killed.
"""

import argparse
import ast
import copy
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import random
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from types import CodeType, ModuleType

SEED = 20261128
SAMPLE = 40
BY_TIME = 99
SLOW = ("simulation", "hardly_ever", "as_often_as", "any_layout_of_few", "expectations_that_they_state")
UNLESS_SLOW = " and ".join(f"not {name}" for name in SLOW)
"""Tests on many random layouts that take longer than all other tests of their module together are left out."""
TOP = Path(__file__).parents[2]
LIBRARIES = ("pytest", "numpy", "scipy.stats", "scipy.optimize", "pandas", "openpyxl", "statsmodels.api")
EFFECTS = (
    "stats/test_variance_parts.py", "stats/test_effect_intervals.py", "stats/test_effects.py", "stats/test_batches.py",
    "stats/test_components.py",
)  # fmt: skip
SHEETS = "broken_sheets/test_broken_sheets.py::test_a_broken_sheet_is_told_word_for_word[{}]"
IMPOSSIBLE = (
    "dry-heavier-than-wet.csv", "dry-longer-than-leather-hard.csv", "dry-longer-than-wet-alone.csv",
    "dry-longer-than-wet-swapped.csv", "dry-longer-than-wet.csv", "fired-heavier-than-dry.csv",
    "boiled-below-fired.csv",
    "suspended-not-below-fired-alone.csv", "suspended-not-below-fired.csv", "within-reading-uncertainty.xlsx",
    "impossible-value-of-span.csv", "impossible-value.csv", "beyond-clay-in-density.csv", "beyond-clay.csv",
    "test-not-as-usual.csv", "cold-soaked-below-fired.csv",
)  # fmt: skip
RULES = ("rules/test_impossible.py", *(SHEETS.format(name) for name in IMPOSSIBLE), "rules", "lab/test_records.py")
BOUNDS = ("rules/test_bounds.py", *RULES[1:-2], "rules/test_forming.py", "rules/test_units_of_the_sheet.py")
COVERING: dict[str, tuple[str, ...]] = {
    "lab/absorption": ("lab/test_published_values.py", "lab/test_records.py"),
    "plan/matching": ("plan/test_matching.py",),
    "plan/sizes": ("plan/test_sizes.py", "plan/test_stages.py", "plan/test_measured.py"),
    "rules/impossible": RULES,
    "rules/bounds": BOUNDS,
    "stats/summary": ("stats/test_summary.py",),
    "stats/effects": EFFECTS,
    "stats/effect_intervals": EFFECTS,
    "stats/variance_parts": EFFECTS,
    "stats/components": EFFECTS,
}
"""Modules of the package, and the tests beside their own doctests that cover each."""

COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
COMPUTED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd, ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.MatMult: ast.Mult,
}  # fmt: skip
CALLED = {"min": "max", "max": "min", "any": "all", "all": "any", "minimum": "maximum", "maximum": "minimum"}
TAKEN_OUT = (ast.AugAssign, ast.Expr, ast.Raise, ast.Continue, ast.Break)


def changed(node: ast.AST) -> Iterator[ast.AST]:
    """Yield what could stand in a node's place."""
    match node:
        case ast.Compare(left=left, ops=[operator], comparators=right):
            yield ast.Compare(left, [COMPARED[type(operator)]()], right)
        case ast.BinOp(left=left, op=operator, right=right) | ast.AugAssign(target=left, op=operator, value=right):
            other = copy.copy(node)
            other.op = COMPUTED[type(operator)]()  # type: ignore[attr-defined]
            yield other
        case ast.BoolOp(op=operator, values=values):
            yield ast.BoolOp(ast.Or() if isinstance(operator, ast.And) else ast.And(), values)
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield operand
        case ast.IfExp(test=test, body=body, orelse=orelse):
            yield ast.IfExp(test, orelse, body)
        case ast.If(test=test):
            other = copy.copy(node)
            other.test = ast.UnaryOp(ast.Not(), test)
            yield other
        case ast.Constant(value=bool() as value):
            yield ast.Constant(not value)
        case ast.Constant(value=int() | float() as number):
            yield ast.Constant(number + 1)
        case ast.Constant(value=str() as text):
            yield ast.Constant(f"{text}X")
        case ast.Name(id=name) if name in CALLED:
            yield ast.Name(CALLED[name], ast.Load())
        case ast.Attribute(value=value, attr=name) if name in CALLED:
            yield ast.Attribute(value, CALLED[name], ast.Load())
    if isinstance(node, TAKEN_OUT):
        yield ast.Pass()


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _children(node: ast.AST) -> Iterator[tuple[str, int | None, ast.AST]]:
    """Yield the children that run: no docstrings, annotations, decorators or words that only name a type."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "ops", "op", "ctx"):
            continue
        for place, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
            of_type = isinstance(child, ast.Subscript) and ast.unparse(child.value) == "Literal"
            if isinstance(child, ast.AST) and not _is_text(child) and not of_type:
                yield name, place, child


@dataclass(frozen=True)
class Mutant:
    """One module with one change."""

    line: int
    within: str
    before: str
    after: str
    code: CodeType

    def __str__(self) -> str:
        return f"`{self.within}`: `{self.before}` → `{self.after}`".replace("\n", " ")


def mutants(path: Path) -> list[Mutant]:
    """Return all mutants of a module, in the order of its lines."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return list(_mutants(tree, tree, path, "module"))


def _mutants(tree: ast.Module, node: ast.AST, path: Path, within: str) -> Iterator[Mutant]:
    for name, place, child in _children(node):
        for other in changed(child):
            ast.copy_location(other, child)
            _put(node, name, place, other)
            whole = ast.fix_missing_locations(copy.deepcopy(tree))
            _put(node, name, place, child)
            before, after = (_shortest(one) for one in (child, other))
            yield Mutant(getattr(child, "lineno", 0), within, before, after, compile(whole, str(path), "exec"))
        named = isinstance(child, ast.FunctionDef | ast.ClassDef)
        yield from _mutants(tree, child, path, child.name if named else within)


def _put(node: ast.AST, name: str, place: int | None, child: ast.AST) -> None:
    if place is None:
        setattr(node, name, child)
    else:
        getattr(node, name)[place] = child


def _shortest(node: ast.AST) -> str:
    text = ast.unparse(ast.fix_missing_locations(copy.deepcopy(node)))
    return text.split("\n", maxsplit=1)[0]


class Instead(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Import the mutant in place of its module."""

    def __init__(self, name: str, path: Path, code: CodeType) -> None:
        self.name, self.path, self.code = name, path, code

    def find_spec(self, name: str, path: object, target: object = None) -> importlib.machinery.ModuleSpec | None:
        return importlib.util.spec_from_file_location(name, self.path, loader=self) if name == self.name else None

    def exec_module(self, module: ModuleType) -> None:
        exec(self.code, module.__dict__)


def run(name: str, path: Path, code: CodeType, tests: Sequence[str], limit_s: float) -> tuple[int, float]:
    """Run the tests on a mutant in a fork; return pytest's exit code, `BY_TIME` beyond the limit, and the seconds."""
    begin, child = time.monotonic(), os.fork()
    if child == 0:
        _run_here(name, path, code, tests)
    while time.monotonic() - begin < limit_s:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status), time.monotonic() - begin
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return BY_TIME, limit_s


def _run_here(name: str, path: Path, code: CodeType, tests: Sequence[str]) -> None:
    """Run the tests in this process and end it."""
    ended = 3
    try:
        for stream in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
        sys.meta_path.insert(0, Instead(name, path, code))
        importlib.import_module(name)
        pytest = importlib.import_module("pytest")
        ended = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-k", UNLESS_SLOW, str(path), *tests]))
    finally:
        os._exit(ended)


@dataclass(frozen=True)
class Outcome:
    """What became of the mutants of a module."""

    every: int
    run: int
    by_time: int
    survivors: tuple[Mutant, ...]

    def row(self, module: str) -> str:
        killed = self.run - len(self.survivors)
        share = f"{killed} ({100 * killed / self.run:.0f} %)"
        return f"| {module} | {self.every} | {self.run} | {share} | {self.by_time} | {date.today()}, {_commit()} |"


def _commit() -> str:
    found = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=True)
    return found.stdout.strip()


def look_at(module: str, sample: int | None) -> Outcome:
    """Run the tests on the mutants of a module, on a seeded sample where a size is given."""
    path, name = TOP / "bodytest" / f"{module}.py", f"bodytest.{module.replace('/', '.')}"
    tests = [str(TOP / "tests" / one) for one in COVERING[module]]
    unchanged = compile(path.read_text(encoding="utf-8"), str(path), "exec")
    ended, takes = run(name, path, unchanged, tests, 600.0)
    if ended:
        raise SystemExit(f"{module}: the tests end with {ended} before anything is changed")
    every = mutants(path)
    few = sample is None or len(every) <= sample
    chosen = every if few else random.Random(f"{SEED} {module}").sample(every, sample or 0)
    chosen = sorted(chosen, key=lambda one: one.line)
    with ThreadPoolExecutor(os.cpu_count()) as forks:
        ends = list(forks.map(lambda one: run(name, path, one.code, tests, 5.0 * takes + 30.0)[0], chosen))
    survivors = tuple(mutant for mutant, end in zip(chosen, ends, strict=True) if end == 0)
    return Outcome(len(every), len(chosen), ends.count(BY_TIME), survivors)


@dataclass
class Table:
    """The table as kept: a row for each module, and what is said about each survivor."""

    rows: dict[str, str]
    told: dict[str, str]

    @classmethod
    def of(cls, text: str) -> "Table":
        rows = dict(re.findall(r"^(?=\| (\w+/\w+) )(\|.+\|)$", text, re.MULTILINE))
        return cls(rows, dict(re.findall(r"^- (\S+ `.*` → `.*`)\. (.+)$", text, re.MULTILINE)))

    def add(self, module: str, outcome: Outcome) -> None:
        """Put the outcome of a module in place of its last one."""
        said = {key: text for key, text in self.told.items() if key.startswith(f"{module} ")}
        self.told = {key: text for key, text in self.told.items() if key not in said}
        keys = [f"{module} {mutant}" for mutant in outcome.survivors]
        self.told |= {key: said.get(key, "Not explained yet.") for key in keys}
        self.rows[module] = outcome.row(module)

    def text(self) -> str:
        head = f"# Mutants\n\nSeed {SEED}: `python -m tests.bench.mutation --write tests/bench/mutation.md`\n"
        titles = ["| module | mutants | run | killed | of these by time | when, at |", "|---|---|---|---|---|---|"]
        rows = [self.rows[module] for module in COVERING if module in self.rows]
        told = [
            f"- {key}. {text}" for module in COVERING for key, text in self.told.items() if key.startswith(module + " ")
        ]
        return "\n".join([head, *titles, *rows, "", "## Survivors", "", *told, ""])


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--only", nargs="*", help="modules in place of all")
    options.add_argument("--all", action="store_true", help="every mutant")
    options.add_argument("--write", type=Path)
    chosen = options.parse_args()
    for library in LIBRARIES:
        importlib.import_module(library)
    kept = chosen.write
    table = Table.of(kept.read_text(encoding="utf-8") if kept and kept.exists() else "")
    for module in chosen.only or COVERING:
        table.add(module, look_at(module, None if chosen.all else SAMPLE))
        print(table.text(), flush=True)
        if kept:
            kept.write_text(table.text(), encoding="utf-8")


if __name__ == "__main__":
    main()
