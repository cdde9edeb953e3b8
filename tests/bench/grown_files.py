"""Reads thousands of files grown from the grammar: ``python -m tests.bench.grown_files [FILES] [SEED] [--write FILE]``.

Every fourth is harmed afterwards. Counts those with a traceback, a cell that is read wrong or neither in the tables nor
named, more than ten seconds of the processor, or more than a gigabyte of memory. Exit code 1 when there is one.
"""

import argparse
import random
import resource
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tests.grids.differences import differences
from tests.grids.grammar import Choose, made

MOST_SECONDS, MOST_MEGABYTES = 10, 1024


@dataclass
class Counts:
    """What came out of all files."""

    kinds: Counter[str] = field(default_factory=Counter)
    cells: int = 0
    with_stops: int = 0
    slowest: float = 0.0
    failures: list[str] = field(default_factory=list)


def choosing(seed: int) -> Choose:
    """Return a chooser whose choices repeat with the seed."""
    source = random.Random(seed)
    return lambda n: source.randrange(n) if n > 0 else 0


def run_one(seed: int, folder: Path, counts: Counts) -> None:
    """Make and read one file."""
    file = made(choosing(seed))
    counts.kinds[file.name.partition(".")[2] + (" harmed" if file.harmed else "")] += 1
    start = time.process_time()
    try:
        sheets, wrong = differences(file, folder)
    except Exception:  # a traceback is what is looked for
        counts.failures.append(f"seed {seed}: {traceback.format_exc(limit=-2)}")
        return
    seconds = time.process_time() - start
    counts.slowest = max(counts.slowest, seconds)
    counts.cells += 0 if file.harmed else len(file.cells)
    counts.with_stops += any(f.level == "stop" for f in sheets.findings)
    if wrong or seconds > MOST_SECONDS:
        counts.failures.append(f"seed {seed}, {file.name}, {seconds:.1f} s: {'; '.join(wrong[:3])}")


def table(counts: Counts, first: int) -> str:
    """Return the counts as they are kept."""
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10
    if memory > MOST_MEGABYTES:
        counts.failures.append(f"{memory} MB of memory")
    kinds = "\n".join(f"| {kind} | {number} |" for kind, number in sorted(counts.kinds.items()))
    return (
        f"| files | number |\n|---|---|\n{kinds}\n| all, from seed {first} on | {counts.kinds.total()} |\n"
        f"| cells compared one by one | {counts.cells} |\n| files with a stop | {counts.with_stops} |\n"
        f"| slowest, seconds of the processor | {counts.slowest:.2f} |\n| largest memory of the run, MB | {memory} |\n"
        f"| tracebacks, cells read wrong, lost or unaccounted for, beyond time or memory | {len(counts.failures)} |\n"
    )


def main() -> int:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description="Read files grown from the grammar.")
    parser.add_argument("files", type=int, nargs="?", default=20_000)
    parser.add_argument("seed", type=int, nargs="?", default=1)
    parser.add_argument("--write", type=Path, help="file that keeps the table")
    chosen = parser.parse_args()
    warnings.simplefilter("ignore")  # zipfile warns of names that are put in twice on purpose
    counts = Counts()
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(chosen.seed, chosen.seed + chosen.files):
            run_one(seed, Path(folder), counts)
    text = table(counts, chosen.seed)
    print(text, *counts.failures[:20], sep="\n")
    if chosen.write:
        commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=True)
        command = f"python -m tests.bench.grown_files {chosen.files} {chosen.seed}"
        made_on = f"Made on {time.strftime('%Y-%m-%d')} at commit {commit.stdout.strip()} by `{command}`."
        chosen.write.write_text(f"# Files grown from the grammar\n\n{made_on}\n\n{text}", encoding="utf-8")
    return 1 if counts.failures else 0


if __name__ == "__main__":
    sys.exit(main())
