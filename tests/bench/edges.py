"""Tries edges that once went wrong, from outside: ``python -m tests.bench.edges --old FOLDER [--write FILE]``.

Each edge makes its files in an empty folder, calls the command line there and looks at what is left: once with the
package in ``FOLDER`` (a checkout of an earlier version) and once with this one. Exit code 1 when this one goes wrong.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

from tests.bench.edge_cases import MOST_SECONDS, Edge, Ended, edges

HERE = Path(__file__).parents[2]
MOST_BYTES = 3 << 30


def call(package: Path, folder: Path, words: tuple[str | bytes, ...]) -> Ended:
    """Call the command line of a package in a folder, with bounded memory and time."""
    start = time.monotonic()
    settings = {"PYTHONPATH": str(package), "OMP_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    patience = MOST_SECONDS / 3 if "watch" in words else MOST_SECONDS
    with subprocess.Popen(
        ["prlimit", f"--as={MOST_BYTES}", sys.executable, "-m", "bodytest", *words],
        cwd=folder, env=os.environ | settings, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    ) as running:  # fmt: skip
        try:
            out, err = running.communicate(timeout=patience)
            code: int | None = running.returncode
        except subprocess.TimeoutExpired:
            running.kill()
            out, err = running.communicate()
            code = None
    return Ended(code, out.decode(errors="replace"), err.decode(errors="replace"), time.monotonic() - start)


def goes_wrong(edge: Edge, package: Path) -> bool:
    """Make the edge's files in an empty folder, call the package, and say whether it goes wrong."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        edge.make(folder)
        if edge.first:
            call(package, folder, edge.first)
            edge.between(folder)
        return edge.wrong(folder, call(package, folder, edge.words))


def commit(package: Path) -> str:
    told = ["git", "-C", str(package), "rev-parse", "--short", "HEAD"]
    return subprocess.run(told, capture_output=True, text=True, check=True).stdout.strip()


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--old", type=Path, required=True)
    options.add_argument("--write", type=Path)
    options.add_argument("--only", default="")
    chosen = options.parse_args()
    rows, still = [], 0
    for edge in edges():
        if chosen.only in edge.what:
            before, now = goes_wrong(edge, chosen.old.resolve()), goes_wrong(edge, HERE)
            still += now
            rows.append(f"| {edge.what} | {'wrong' if before else 'held'} | {'WRONG' if now else 'holds'} |")
            print(rows[-1], flush=True)
    head = (
        f"# Edges that once went wrong\n\nMade on {date.today()} by `python -m tests.bench.edges`: version 1.0"
        f" (commit {commit(chosen.old)}) and commit {commit(HERE)}.\n\n| edge | 1.0 | now |\n|---|---|---|\n"
    )
    if chosen.write:
        chosen.write.write_text(head + "\n".join(rows) + "\n", encoding="utf-8")
    sys.exit(1 if still else 0)


if __name__ == "__main__":
    main()
