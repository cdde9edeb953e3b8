"""How long `bodytest open` takes to its first page, and a check of 60 bars once it runs.

Run: python -m tests.bench.open_pages [--write tests/bench/open_pages.md]

The shortest of five, start and `import pandas, seaborn` in turn; before each check the sheet is saved anew, so that it
is read again.
"""

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from bodytest.app.folder import key_of
from tests.app.conftest import Running
from tests.bench.bars import write_bars

RUNS, GOAL_START, GOAL_CHECK_S = 5, 2.0, 0.3
IMPORTS = [sys.executable, "-c", "import pandas, seaborn"]
SHEET = "sixty.xlsx"


def timed(what: Callable[[], object]) -> float:
    """Return the seconds that something takes."""
    began = time.perf_counter()
    what()
    return time.perf_counter() - began


def started(folder: Path) -> Running:
    """Start the program and read its first page."""
    command = [sys.executable, "-m", "bodytest", "open", str(folder), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    found = re.search(r"http://\S+", process.stdout.readline())
    running = Running(process, folder, found.group())
    assert SHEET in running.read("/").text
    return running


def start_seconds(folder: Path) -> float:
    """Return the time from the command to its first page with the state of the sheet."""
    began = time.perf_counter()
    running = started(folder)
    seconds = time.perf_counter() - began
    running.stop()
    return seconds


def busy_seconds(running: Running) -> float:
    """Return the processor time that the program has taken so far."""
    fields = Path(f"/proc/{running.process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def check_seconds(folder: Path) -> tuple[float, float]:
    """Return wall and processor time of a check of a sheet that was just saved, with everything imported."""
    running = started(folder)
    address = f"/sheet/{key_of(SHEET)}/check"
    cookie = running.cookie()
    time.sleep(8)  # until what the other pages need is imported
    seconds, before = [], busy_seconds(running)
    for _ in range(RUNS):
        os.utime(folder / SHEET)
        seconds.append(timed(lambda: running.ask(address, Cookie=cookie)))
    busy = (busy_seconds(running) - before) / RUNS
    running.stop()
    return min(seconds), busy


def main() -> None:
    """Measure and print, or write, the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", type=Path)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "sheets"
        folder.mkdir()
        write_bars(60, Path(name) / "sixty")
        (Path(name) / SHEET).rename(folder / SHEET)
        pairs = [(start_seconds(folder), timed(lambda: subprocess.run(IMPORTS, check=True))) for _ in range(RUNS)]
        start, imports = (min(column) for column in zip(*pairs, strict=True))
        check, busy = check_seconds(folder)
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], check=True, capture_output=True, text=True).stdout
    head = f"# The pages of open\n\nMade on {datetime.now(UTC).date().isoformat()} at commit {commit.strip()} by "
    verdicts = ["reached" if ok else "MISSED" for ok in (start <= GOAL_START * imports, check <= GOAL_CHECK_S)]
    text = head + (
        "`python -m tests.bench.open_pages`.\n\n```\n"
        f"start to first page, 60 bars      {start:.2f} s = {start / imports:.2f} x import pandas, seaborn"
        f" ({imports:.2f} s); goal {GOAL_START:g} x   {verdicts[0]}\n"
        f"check of 60 bars, once running    {check:.3f} s ({busy:.3f} s of processor, mean); goal {GOAL_CHECK_S:g} s"
        f"   {verdicts[1]}\nload of the machine               {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores\n```\n"
    )
    print(text)
    if given.write:
        given.write.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
