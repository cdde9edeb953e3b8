"""Speed of the command line as ratios to something else on the same machine, in one table.

Run: python tests/bench/speed.py              everything, some minutes
     python tests/bench/speed.py --quick      start-up and 60 bars only
     python tests/bench/speed.py --keep DIR   keep (and reuse) the invented sheets there

Each pair of commands is run alternately and the shortest times of each are taken, so that a busy machine hurts both
alike. Needs Rscript and soffice on the machine for the two comparisons that use them.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
BODYTEST = [sys.executable, "-m", "bodytest"]
IMPORTS = [sys.executable, "-c", "import pandas, seaborn"]
SMALL, LARGE, GROWTH = 60, 100_000, (10_000, 1_000_000)
MANY_SHEETS = (1000, 20)
"""How many sheets in one call, and bars of each."""
MOST_MEGABYTES = 2048


@dataclass(frozen=True)
class Run:
    """One finished command."""

    seconds: float
    """Wall time."""
    busy: float
    """Processor time, of the command and what it started."""
    megabytes: float
    """Largest resident memory."""


@dataclass(frozen=True)
class Comparison:
    """Two commands and how much longer the first may take."""

    what: str
    """What is measured."""
    ours: list[str]
    """The command of ours."""
    against: str
    """What it is compared with."""
    theirs: list[str]
    """The command it is compared with."""
    goal: float
    """Largest ratio wanted."""
    runs: int = 5
    """How often each is run."""


def run(command: list[str]) -> Run:
    """Run a command to its end; its exit code must be 0, or 1 for a sheet with findings."""
    started = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as child:
        complaint = child.stderr.read().decode() if child.stderr else ""
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.perf_counter() - started
    if child.returncode not in (0, 1) or "Traceback" in complaint:
        raise SystemExit(f"{' '.join(command)} ended with {child.returncode}:\n{complaint[-2000:]}")
    return Run(seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def alternate(comparison: Comparison) -> tuple[Run, Run]:
    """Run both commands in turns and return the best of each."""
    pairs = [(run(comparison.ours), run(comparison.theirs)) for _ in range(comparison.runs)]
    ours, theirs = zip(*pairs, strict=True)
    return best(ours), best(theirs)


def best(runs: Sequence[Run]) -> Run:
    """Return the shortest times and the largest memory of several runs."""
    return Run(min(r.seconds for r in runs), min(r.busy for r in runs), max(r.megabytes for r in runs))


def small_comparisons(folder: Path) -> list[Comparison]:
    sheet, page = str(folder / f"{SMALL}.xlsx"), str(folder / "peer.html")
    base = "import pandas, seaborn"
    size = [*BODYTEST, "size", "190mm", "--from", sheet, "--body", "Invented A", "--firing", "F1"]
    report = [*BODYTEST, "report", sheet, "--out", str(folder / "report")]
    script = [sys.executable, str(HERE / "peers" / "pandas_script.py"), sheet, page]
    return [
        Comparison("--help", [*BODYTEST, "--help"], base, IMPORTS, 0.3),
        Comparison("--version", [*BODYTEST, "--version"], base, IMPORTS, 0.3),
        Comparison(f"check, {SMALL} bars", [*BODYTEST, "check", sheet], base, IMPORTS, 0.6),
        Comparison(f"size, {SMALL} bars", size, base, IMPORTS, 0.6),
        Comparison(f"report, {SMALL} bars", report, base, IMPORTS, 1.5),
        Comparison(f"report, {SMALL} bars", report, "pandas script", script, 1.0),
    ]


def large_comparisons(folder: Path) -> list[Comparison]:
    stem = folder / str(LARGE)
    csv, xlsx = f"{stem}.csv", f"{stem}.xlsx"
    in_r = ["Rscript", str(HERE / "peers" / "base_r.R"), csv, str(folder / "r.html")]
    script = [sys.executable, "-W", "ignore", str(HERE / "peers" / "pandas_script.py"), xlsx, str(folder / "p.html")]
    office = ["soffice", "--headless", f"-env:UserInstallation=file://{folder}/office", "--convert-to", "xlsx"]
    office += ["--outdir", str(folder / "recalculated"), f"{stem}-formulas.xlsx"]

    def results(source: str, form: str) -> list[str]:
        return [*BODYTEST, "results", source, "--format", form, "--out", str(folder / f"results.{form}")]

    return [
        Comparison(f"results csv, {LARGE} bars CSV", results(csv, "csv"), "base R script", in_r, 2.0),
        Comparison(f"results json, {LARGE} bars CSV", results(csv, "json"), "base R script", in_r, 2.0),
        Comparison(f"results csv, {LARGE} bars xlsx", results(xlsx, "csv"), "pandas script", script, 0.4, 2),
        Comparison(f"results json, {LARGE} bars xlsx", results(xlsx, "json"), "pandas script", script, 0.4, 2),
        Comparison(f"results csv, {LARGE} bars xlsx", results(xlsx, "csv"), "LibreOffice", office, 0.3, 2),
    ]


def many_sheets(folder: Path) -> Comparison:
    """Return the same bars in many small sheets against one sheet that holds all of them."""
    count, each = MANY_SHEETS
    out = ["--format", "json", "--out", str(folder / "many.json")]
    sheets = [str(path) for path in sorted((folder / "many").glob("sheet-*.csv"))]
    together = [*BODYTEST, "results", str(folder / "many" / "together.csv"), *out]
    return Comparison(
        f"results, {count} CSV of {each} bars", [*BODYTEST, "results", *sheets, *out],
        f"one CSV of {count * each} bars", together, 10.0, 2,
    )  # fmt: skip


def print_row(what: str, ours: str, against: str, ratios: tuple[float, float], goal: float) -> None:
    """Print one line; the goal is for the ratio of wall times, the processor's stands beside it."""
    verdict = "reached" if ratios[0] <= goal else "MISSED"
    print(f"{what:<31}{ours:>8} {against:<25}{ratios[0]:>6.2f}{ratios[1]:>6.2f}  {goal:<4g} {verdict}", flush=True)


def print_comparison(comparison: Comparison) -> None:
    ours, theirs = alternate(comparison)
    against = f"{comparison.against} {theirs.seconds:.2f}"
    ratios = (ours.seconds / theirs.seconds, ours.busy / theirs.busy)
    print_row(comparison.what, f"{ours.seconds:.2f} s", against, ratios, comparison.goal)


def print_growth(folder: Path) -> None:
    """Print time and memory for a hundred times the bars, as a ratio to a hundred times the time."""
    few, many = GROWTH
    for form in ("csv", "json"):
        commands = [
            [*BODYTEST, "results", str(folder / f"{n}.csv"), "--format", form, "--out", str(folder / f"g.{form}")]
            for n in GROWTH
        ]
        quick = best([run(commands[0]) for _ in range(3)])
        slow = run(commands[1])
        times = many / few
        ratios = (slow.seconds / (quick.seconds * times), slow.busy / (quick.busy * times))
        print_row(f"results {form}, {many} bars CSV", f"{slow.seconds:.1f} s", f"{few} bars × {times:g}", ratios, 1)
        part = slow.megabytes / MOST_MEGABYTES
        print_row("  its memory", f"{slow.megabytes:.0f} MB", f"{MOST_MEGABYTES} MB", (part, part), 1)


def write_sheets(folder: Path, counts: list[tuple[int, bool]]) -> None:
    from bars import write_bars, write_small_sheets  # the neighbouring script

    for count, workbooks in counts:
        if not (folder / f"{count}.csv").exists():
            write_bars(count, folder / str(count), workbooks=workbooks)
    if len(counts) > 1 and not (folder / "many").exists():
        write_small_sheets(*MANY_SHEETS, folder / "many")


def measure(folder: Path, quick: bool) -> None:
    counts = [(SMALL, True)] if quick else [(SMALL, True), (LARGE, True), *((n, False) for n in GROWTH)]
    write_sheets(folder, counts)
    print(f"{'what':<31}{'ours':>8} {'against, seconds':<25}{'ratio':>6}{'CPU':>6}  goal")
    for comparison in small_comparisons(folder) + ([] if quick else [*large_comparisons(folder), many_sheets(folder)]):
        print_comparison(comparison)
    if not quick:
        print_growth(folder)


def main() -> None:
    parser = argparse.ArgumentParser(description="Print speed as ratios.")
    parser.add_argument("--quick", action="store_true", help="start-up and 60 bars only")
    parser.add_argument("--keep", type=Path, help="folder that keeps the invented sheets")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = (chosen.keep or Path(scratch)).resolve()
        folder.mkdir(parents=True, exist_ok=True)
        measure(folder, chosen.quick)


if __name__ == "__main__":
    main()
