"""Speed of the command line as ratios to something else on the same machine, in one table.

Run from the top of the repository:

    python -m tests.bench.speed --write tests/bench/speed.md   everything, some minutes
    python -m tests.bench.speed --quick                        start-up and 60 bars only
    python -m tests.bench.speed --keep DIR                     keep (and reuse) the invented sheets there

Each pair of commands is run alternately and the shortest times of each are taken, so that a busy machine hurts both
alike; the verdict goes by processor times, which other work on the machine stretches least. Beside what bodytest does
stand floors: what its libraries take to be imported, and pandas to read the same file and do nothing with it. Needs
Rscript, soffice and Chromium for the rows that use them.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path

from tests.bench.bars import write_bars, write_small_sheets
from tests.bench.page_load import GOAL_BYTES, GOAL_SECONDS, loading, page_of

HERE = Path(__file__).parent
BODYTEST = [sys.executable, "-m", "bodytest"]
IMPORTS = [sys.executable, "-c", "import pandas, seaborn"]
SMALL, LARGE, GROWTH = 60, 100_000, (10_000, 1_000_000)
MANY_SHEETS = (1000, 20)
"""How many sheets in one call, and bars of each."""
MOST_MEGABYTES = 1536
ONE_THREAD = "import os; os.environ['OPENBLAS_NUM_THREADS'] = '1'"
"""As the command line sets it, before numpy is loaded."""
WATCH_SECONDS = 0.3
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""Each module is compiled once, as those of an installed package are, and not in every run."""


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
    goal: float | None = None
    """Largest ratio wanted; None for a floor, which is measured beside it."""
    runs: int = 5
    """How often each is run."""


def run(command: list[str]) -> Run:
    """Run a command to its end; its exit code must be 0, or 1 for a sheet with findings."""
    started = time.perf_counter()
    with subprocess.Popen(command, env=ENVIRONMENT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as child:
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
        Comparison("--help", [*BODYTEST, "--help"], base, IMPORTS, 0.1),
        Comparison("--version", [*BODYTEST, "--version"], base, IMPORTS, 0.1),
        Comparison(f"check, {SMALL} bars", [*BODYTEST, "check", sheet], base, IMPORTS, 0.4),
        *floors("", base, IMPORTS, ["check", sheet]),
        Comparison(f"size, {SMALL} bars", size, base, IMPORTS, 0.4),
        *floors(", scipy.optimize", base, IMPORTS, size[len(BODYTEST) :]),
        Comparison(f"report, {SMALL} bars", report, base, IMPORTS, 1.0),
        *floors(", scipy.optimize, matplotlib.figure", base, IMPORTS, report[len(BODYTEST) :]),
        Comparison(f"report, {SMALL} bars", report, "pandas script", script, 0.7),
    ]


def floors(also: str, against: str, theirs: list[str], arguments: list[str]) -> Iterator[Comparison]:
    """Yield what a command cannot fall below: its libraries imported, and with them its own modules, doing nothing."""
    libraries = f"{ONE_THREAD}; import typer, pandas{also}"
    yield Comparison("  floor: its libraries", [sys.executable, "-c", libraries], against, theirs)
    loading = f"{libraries}, {', '.join(modules_of(arguments))}"
    yield Comparison("  and its own modules, no work", [sys.executable, "-c", loading], against, theirs)


def modules_of(arguments: list[str]) -> list[str]:
    """Return the modules of ours that a command loads, in the order in which they are loaded."""
    telling = "import runpy, sys; sys.argv[0] = 'bodytest'\ntry: runpy.run_module('bodytest', run_name='__main__')\n"
    telling += "except SystemExit: pass\nprint('\\n', *sys.modules, sep='\\n')"
    told = subprocess.run([sys.executable, "-c", telling, *arguments], capture_output=True, text=True, check=True)
    return [name for name in told.stdout.splitlines() if name.startswith("bodytest") and name != "bodytest.__main__"]


def large_comparisons(folder: Path) -> list[Comparison]:
    stem = folder / str(LARGE)
    csv, xlsx = f"{stem}.csv", f"{stem}.xlsx"
    in_r = ["Rscript", str(HERE / "peers" / "base_r.R"), csv, str(folder / "r.html")]
    script = [sys.executable, "-W", "ignore", str(HERE / "peers" / "pandas_script.py"), xlsx, str(folder / "p.html")]
    office = ["soffice", "--headless", f"-env:UserInstallation=file://{folder}/office", "--convert-to", "xlsx"]
    office += ["--outdir", str(folder / "recalculated"), f"{stem}-formulas.xlsx"]

    libraries = f"{ONE_THREAD}; import typer, scipy.optimize, pandas"
    read_csv = [sys.executable, "-c", f"{libraries}; pandas.read_csv({csv!r})"]
    read_xlsx = [sys.executable, "-c", f"{libraries}; pandas.read_excel({xlsx!r}, engine='calamine')"]

    own = ", ".join(modules_of(["results", str(folder / f"{SMALL}.csv"), "--format", "csv"]))

    def results(source: str, form: str) -> list[str]:
        return [*BODYTEST, "results", source, "--format", form, "--out", str(folder / f"results.{form}")]

    return [
        Comparison(f"results csv, {LARGE} bars CSV", results(csv, "csv"), "base R script", in_r, 2.0),
        Comparison("  floor: libraries, and read it", read_csv, "base R script", in_r),
        Comparison(
            "  and its own modules, no work", [*read_csv[:-1], f"{read_csv[-1]}; import {own}"], "base R script", in_r
        ),
        Comparison(f"results json, {LARGE} bars CSV", results(csv, "json"), "base R script", in_r, 2.0),
        Comparison(f"results csv, {LARGE} bars xlsx", results(xlsx, "csv"), "pandas script", script, 0.3, 2),
        Comparison(f"results json, {LARGE} bars xlsx", results(xlsx, "json"), "pandas script", script, 0.3, 2),
        Comparison(f"results csv, {LARGE} bars xlsx", results(xlsx, "csv"), "LibreOffice", office, 0.15, 2),
        Comparison("  floor: libraries, and read it", read_xlsx, "LibreOffice", office, runs=2),
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


def print_row(what: str, ours: str, against: str, ratios: tuple[float, float], goal: float | None) -> None:
    """Print one line: the ratios of wall times and of processor times; the goal is for the second."""
    verdict = "" if goal is None else f"  {goal:<4g} {'reached' if ratios[1] <= goal else 'MISSED'}"
    print(f"{what:<31}{ours:>8} {against:<25}{ratios[0]:>6.2f}{ratios[1]:>6.2f}{verdict}", flush=True)


def print_comparison(comparison: Comparison) -> None:
    ours, theirs = alternate(comparison)
    against = f"{comparison.against} {theirs.seconds:.2f}"
    ratios = (ours.seconds / theirs.seconds, ours.busy / theirs.busy)
    print_row(comparison.what, f"{ours.seconds:.2f} s", against, ratios, comparison.goal)


def print_growth(folder: Path) -> None:
    """Print time without the start, and memory, for a hundred times the bars, against a hundred times the time."""
    few, many = GROWTH
    times = many / few
    for form in ("csv", "json"):
        start, quick, slow = (
            best([run([*BODYTEST, "results", str(folder / f"{n}.csv"), "--format", form, "--out", f"{folder}/g.{form}"])
                  for _ in range(runs)])
            for n, runs in ((SMALL, 9), (few, 9), (many, 1))
        )  # fmt: skip
        ratios = ((slow.seconds - start.seconds) / (quick.seconds - start.seconds) / times,
                  (slow.busy - start.busy) / (quick.busy - start.busy) / times)  # fmt: skip
        told = 1 if quick.busy > 1.2 * start.busy else None  # else it is nearly all start-up
        print_row(f"results {form}, {many} bars CSV", f"{slow.seconds:.1f} s", f"{few} bars × {times:g}", ratios, told)
        part = slow.megabytes / MOST_MEGABYTES
        print_row("  its memory", f"{slow.megabytes:.0f} MB", f"{MOST_MEGABYTES} MB", (part, part), 1)


def print_page(folder: Path) -> None:
    """Print how large the page of all bars as one body is, and how long Chromium takes to load it."""
    page = page_of(LARGE, folder)
    size, (seconds, elements) = page.stat().st_size, loading(page)
    part = size / GOAL_BYTES
    print_row(f"page, {LARGE} bars", f"{size / 1e6:.2f} MB", f"{GOAL_BYTES / 1e6:g} MB", (part, part), 1)
    part = seconds / GOAL_SECONDS
    print_row(f"  loaded, {elements} elements", f"{seconds:.2f} s", f"{GOAL_SECONDS:g} s", (part, part), 1)


def busy_of(process: int) -> float:
    """Return the processor time that a running process has taken [s] (proc(5), fields 14 and 15 of stat)."""
    fields = Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def each_save(folder: Path, saves: int) -> Iterator[float]:
    """Yield the processor time from each save of a watched sheet of a few bars until its new page has been written."""
    place = folder / "watched"
    place.mkdir(exist_ok=True)
    sheet, index = place / "trial.csv", place / "report" / "index.html"
    lines = (folder / f"{SMALL}.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    sheet.write_text("".join(lines), encoding="utf-8")
    with subprocess.Popen([*BODYTEST, "watch", str(place)], stdout=subprocess.DEVNULL) as watching:
        for last in range(len(lines), len(lines) - saves - 1, -1):
            before = index.stat().st_mtime_ns if index.exists() else 0
            began = busy_of(watching.pid)
            sheet.write_text("".join(lines[:last]), encoding="utf-8")
            while not index.exists() or index.stat().st_mtime_ns == before:
                time.sleep(0.02)
            time.sleep(1.0)
            yield busy_of(watching.pid) - began
        watching.terminate()


def print_watch(folder: Path) -> None:
    """Print what a save costs while a folder is watched; the first report, which imports the libraries, aside."""
    seconds = min(list(each_save(folder, 5))[1:])
    part = seconds / WATCH_SECONDS
    print_row(
        f"watch, a save at {SMALL} bars", f"{seconds:.2f} s", f"{WATCH_SECONDS:g} s of computing", (part, part), 1
    )
    seconds = undrawn(folder)
    part = seconds / WATCH_SECONDS
    print_row("  floor: no chart drawn", f"{seconds:.2f} s", f"{WATCH_SECONDS:g} s of computing", (part, part), None)


def undrawn(folder: Path) -> float:
    """Return the processor time of reading, computing and writing pages once more whose charts are drawn already."""
    code = (
        f"{ONE_THREAD}; import time; from datetime import date; from bodytest.analysis.analysing import analyse\n"
        "from bodytest.library.report_files import write_files; from bodytest.reading import read_sheets\n"
        "from pathlib import Path\n"
        f"sheet, pages = {str(folder / f'{SMALL}.csv')!r}, Path({str(folder / 'report')!r})\n"
        "def once(): write_files(analyse(read_sheets([sheet])), pages, date(2026, 3, 14))\n"
        "def timed():\n    began = time.process_time(); once(); return time.process_time() - began\n"
        "once(); print(min(timed() for _ in range(5)))"
    )
    return float(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout)


def write_sheets(folder: Path, counts: list[tuple[int, bool]]) -> None:
    for count, workbooks in counts:
        if not (folder / f"{count}.csv").exists():
            write_bars(count, folder / str(count), workbooks=workbooks)
    if len(counts) > 1 and not (folder / "many").exists():
        write_small_sheets(*MANY_SHEETS, folder / "many")


def measure(folder: Path, quick: bool) -> None:
    counts = [(SMALL, True)] if quick else [(SMALL, True), (LARGE, True), *((n, False) for n in GROWTH)]
    write_sheets(folder, counts)
    print(f"{'what':<31}{'ours':>8} {'against, seconds':<25}{'wall':>6}{'CPU':>6}  goal")
    for comparison in small_comparisons(folder) + ([] if quick else [*large_comparisons(folder), many_sheets(folder)]):
        print_comparison(comparison)
    print_watch(folder)
    if not quick:
        print_page(folder)
        print_growth(folder)


def main() -> None:
    """Measure and print; with --write keep the table too, above what is said below it."""
    parser = argparse.ArgumentParser(description="Print speed as ratios.")
    parser.add_argument("--quick", action="store_true", help="start-up and 60 bars only")
    parser.add_argument("--keep", type=Path, help="folder that keeps the invented sheets")
    parser.add_argument("--write", type=Path, help="file whose table is replaced")
    chosen = parser.parse_args()
    table = StringIO()
    with tempfile.TemporaryDirectory() as scratch, redirect_stdout(table if chosen.write else sys.stdout):
        folder = (chosen.keep or Path(scratch)).resolve()
        folder.mkdir(parents=True, exist_ok=True)
        measure(folder, chosen.quick)
    if chosen.write:
        write_table(chosen.write, table.getvalue())


def write_table(path: Path, table: str) -> None:
    """Put a new table into a file, with date and commit; what is said below the table stays."""
    asked = ["git", "rev-parse", "--short", "HEAD"]
    commit = subprocess.run(asked, check=True, capture_output=True, text=True).stdout.strip()
    head = (
        "# How fast the command line is\n\n"
        f"Made on {datetime.now(UTC).date()} at commit {commit} by `python -m tests.bench.speed`, {os.cpu_count()} "
        "processor cores.\nRatios of the shortest wall times and processor times; goals are for the second.\n\n"
    )
    said = path.read_text(encoding="utf-8").rpartition("```\n")[2]
    path.write_text(f"{head}```\n{table}```\n{said}", encoding="utf-8")


if __name__ == "__main__":
    main()
