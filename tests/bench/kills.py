"""Kill ``report`` and ``watch`` at random moments: the folder holds the old report or the new one, whole, each time.

``python -m tests.bench.kills --kills 200 --write tests/bench/kills.md`` from the top of the repository; the last table
stays beside this file. A kill is counted as *mixed* when pages of two sheets stand together or one is missing, and as
*left over* when the next run leaves anything beside the files of its own report.
"""

import argparse
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path

HEADINGS = "bar,body,batch,firing,peak temperature (°C),wet length (mm),dry length (mm),fired length (mm)\n"
FIXED = {"index.html", "side-by-side.html", "results.json", "results.csv", "datapackage.json", "bodytest-files.json"}
SEED = 20261128
PATIENCE_S = 120.0


def write_sheet(path: Path, turn: int) -> None:
    """Write a sheet of two bodies; the second has another name each time, so that its page comes and goes."""
    rows = [
        f"{body[0]}{n},{body},1,K1,1200,100.{n},94.{n},88.{n}\n"
        for body in ("Grey", f"Turn{turn}")
        for n in range(1, 6)
    ]
    part = path.with_suffix(".tmp")
    part.write_text(HEADINGS + "".join(rows), encoding="utf-8")
    part.replace(path)


def turn_of(folder: Path) -> int | None:
    """Return the turn that the folder is the whole report of; None when it is of none."""
    names = {path.name for path in folder.iterdir()}
    pages = [int(found[1]) for name in names if (found := re.fullmatch(r"turn(\d+)\.html", name, re.IGNORECASE))]
    if len(pages) != 1:
        return None
    page = next(name for name in names if re.fullmatch(r"turn\d+\.html", name, re.IGNORECASE))
    others = names - FIXED - {page, page.replace(".html", "-bench.html")}
    if not names >= FIXED or len(others) != 2:
        return None
    (turn,) = pages
    texts = [(folder / name).read_text(encoding="utf-8") for name in (FIXED | {page}) - {"datapackage.json"}]
    return turn if all({int(n) for n in re.findall(r"[Tt]urn(\d+)", text)} == {turn} for text in texts) else None


def command(*words: object) -> list[str]:
    return [sys.executable, "-m", "bodytest", *map(str, words)]


def finished(sheet: Path, out: Path) -> None:
    subprocess.run(command("report", sheet, "--out", out), check=True, capture_output=True, timeout=PATIENCE_S)


def kills_of_report(folder: Path, kills: int, chance: random.Random, *, late: bool) -> Iterator[str]:
    """Yield what each kill of ``report`` left; ``late`` kills fall into the last fifth of a run, where it writes."""
    sheet, out = folder / "trial.csv", folder / "report"
    write_sheet(sheet, 0)
    begin = time.monotonic()
    finished(sheet, out)
    takes, before = time.monotonic() - begin, 0
    for turn in range(1, kills + 1):
        write_sheet(sheet, turn)
        running = subprocess.Popen(
            command("report", sheet, "--out", out), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        time.sleep(chance.uniform(0.8, 1.1) * takes if late else chance.uniform(0.0, 1.1) * takes)
        yield _judged(running, folder, before, turn)
        before = turn_of(out) or before


def kills_of_watch(folder: Path, kills: int, chance: random.Random) -> Iterator[str]:
    """Yield what each kill of ``watch`` left, some moment after a save that it saw."""
    sheet, out = folder / "trial.csv", folder / "report"
    write_sheet(sheet, 0)
    finished(sheet, out)
    before = 0
    for turn in range(1, kills + 1):
        running = subprocess.Popen(command("watch", folder), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        assert running.stdout is not None
        while b"\xe2\x86\x92" not in (line := running.stdout.readline()) and line:
            pass
        before = turn_of(out) or before
        write_sheet(sheet, turn)
        time.sleep(chance.uniform(0.3, 1.0))
        yield _judged(running, folder, before, turn)
        before = turn_of(out) or before


def _judged(running: "subprocess.Popen[bytes]", folder: Path, before: int, turn: int) -> str:
    os.kill(running.pid, signal.SIGKILL)
    running.wait()
    if running.stdout is not None:
        running.stdout.close()
    found = turn_of(folder / "report")
    traces = {path.name for path in folder.iterdir()} - {"trial.csv", "report"}
    word = "mixed" if found not in (before, turn) else "new" if found == turn else "old"
    if traces or word == "mixed":
        finished(folder / "trial.csv", folder / "report")
        left = {path.name for path in folder.iterdir()} - {"trial.csv", "report"}
        return f"{word}, {'left over' if left or turn_of(folder / 'report') != turn else 'tidied'}"
    return word


def table(kills: int) -> str:
    chance = random.Random(SEED)
    kinds = {
        "report, any moment": lambda where: kills_of_report(where, kills // 4, chance, late=False),
        "report, while it writes": lambda where: kills_of_report(where, kills // 4, chance, late=True),
        "watch, after a save": lambda where: kills_of_watch(where, kills - 2 * (kills // 4), chance),
    }
    rows = ["| killed | kills | old | new | of these with traces, gone after the next run | mixed | left over |",
            "|---|---|---|---|---|---|---|"]  # fmt: skip
    for name, run in kinds.items():
        where = Path(tempfile.mkdtemp())
        seen = Counter(run(where))
        shutil.rmtree(where)
        words = ("old", "new", "tidied", "mixed", "left over")
        counts = [str(sum(n for key, n in seen.items() if word in key.split(", "))) for word in words]
        rows.append(f"| {name} | {seen.total()} | {' | '.join(counts)} |")
        print(rows[-1], flush=True)
    return "\n".join(rows)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--kills", type=int, default=200)
    options.add_argument("--write", type=Path)
    chosen = options.parse_args()
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=True).stdout
    head = f"# Kills of `report` and `watch`\n\n{date.today()}, commit {commit.strip()}, seed {SEED}: "
    text = f"{head}`python -m tests.bench.kills --kills {chosen.kills}`\n\n{table(chosen.kills)}\n"
    if chosen.write:
        chosen.write.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
