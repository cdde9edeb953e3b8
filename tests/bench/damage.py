"""Reads thousands of damaged sheets and keeps the accounts: ``python -m tests.bench.damage [SHEETS] [SEED]``.

Prints how many were read, what was found in them, and every sheet with a traceback or with a cell that is neither in
the tables nor spoken of by a finding. Exit code 1 when there is such a sheet.
"""

import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tests.grids.damage import Choose, damage, read_damaged, sound_sheet


@dataclass
class Counts:
    """What came out of all sheets."""

    sheets: int = 0
    without_bars: int = 0
    numbers: int = 0
    damages: Counter[str] = field(default_factory=Counter)
    levels: Counter[str] = field(default_factory=Counter)
    codes: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)


def choosing(seed: int) -> Choose:
    """Return a chooser whose choices repeat with the seed."""
    source = random.Random(seed)
    return lambda n: source.randrange(n) if n > 0 else 0


def run_one(seed: int, folder: Path, counts: Counts) -> None:
    """Make, damage and read one sheet."""
    choose = choosing(seed)
    sheet = sound_sheet(choose)
    done = [damage(sheet, choose) for _ in range(1 + choose(4))]
    counts.sheets += 1
    counts.damages.update(done)
    try:
        sheets, lost = read_damaged(sheet, folder, choose)
    except Exception:  # a traceback is what is looked for
        counts.failures.append(f"seed {seed} ({', '.join(done)}): {traceback.format_exc(limit=-2)}")
        return
    counts.without_bars += sheets.bars.empty
    counts.numbers += int(sheets.marks.iloc[:, 3:].notna().to_numpy().sum())
    counts.numbers += int(sheets.bars.iloc[:, 10:].notna().to_numpy().sum())
    counts.levels.update(f.level for f in sheets.findings)
    counts.codes.update(f.code for f in sheets.findings)
    if lost:
        counts.failures.append(f"seed {seed} ({', '.join(done)}): lost {'; '.join(lost[:3])}")


def main() -> int:
    """Run the benchmark."""
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    counts = Counts()
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, first + number):
            run_one(seed, Path(folder), counts)
    seconds = time.perf_counter() - start
    print(f"{counts.sheets} damaged sheets read in {seconds:.0f} s ({1000 * seconds / counts.sheets:.0f} ms each)")
    print(f"damage done: {sum(counts.damages.values())}: {dict(counts.damages.most_common())}")
    print(f"readings kept: {counts.numbers}; sheets without any bar left: {counts.without_bars}")
    print(f"findings: {dict(counts.levels)}; {len(counts.codes)} different codes: {dict(counts.codes.most_common())}")
    print(f"tracebacks or losses: {len(counts.failures)}")
    for failure in counts.failures[:20]:
        print(failure)
    return 1 if counts.failures else 0


if __name__ == "__main__":
    sys.exit(main())
