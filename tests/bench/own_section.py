"""A section of the kept coverage table that is made on its own, with its own date and commit."""

import argparse
import subprocess
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path


def table(title: str, headings: tuple[str, ...], rows: Iterator[tuple[object, ...]]) -> Iterator[str]:
    """Yield the lines of a table below a heading of the third level."""
    yield f"\n### {title}\n"
    yield "| " + " | ".join(headings) + " |"
    yield "|" + "---|" * len(headings)
    for row in rows:
        yield "| " + " | ".join(cell if isinstance(cell, str) else f"{cell:.3f}" for cell in row) + " |"


def keep_section(path: Path, title: str, made_by: str, lines: list[str]) -> None:
    """Replace the section of that title, or put it at the end, and leave the rest of the file as it is."""
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False)
    head = f"Made on {date.today()} at commit {commit.stdout.strip()} by {made_by}."
    own = "\n".join([f"## {title}\n", head, *lines]) + "\n"
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    before, *sections = text.split("\n## ")
    kept, found = [], False
    for section in sections:
        mine = section.splitlines()[0] == title
        found |= mine
        kept.append(own if mine else f"## {section}")
    if not found:
        kept.append(own)
    path.write_text(
        "\n".join([before.rstrip("\n") + "\n", *(one.rstrip("\n") + "\n" for one in kept)]), encoding="utf-8"
    )


def make_section(
    sections: Sequence[Callable[[int], Iterator[str]]], *, title: str, script: str, what: str, seed: int
) -> None:
    """Print the tables of a script, as its options say, and keep them as its section where that is asked for."""
    options = argparse.ArgumentParser(prog=script, description=title)
    options.add_argument("--runs", type=int, default=10_000, help=f"simulated {what} for each row")
    options.add_argument("--write", type=Path, help="file whose section is replaced")
    chosen = options.parse_args()
    lines = []
    for section in sections:
        for line in section(chosen.runs):
            print(line, flush=True)
            lines.append(line)
    if chosen.write:
        made_by = f"`python tests/bench/{script}`, {chosen.runs} simulated {what} a row, seed {seed}"
        keep_section(chosen.write, title, made_by, lines)
