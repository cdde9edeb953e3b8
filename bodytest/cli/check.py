"""``bodytest check``: what is wrong or odd in sheets, cell by cell, and what each code means."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import All, Sheets
from bodytest.cli.progress import working
from bodytest.cli.sources import as_given, read
from bodytest.errors import UnusableRequest
from bodytest.files.outputs import refuse_output
from bodytest.findings import OF_COLUMNS, CatalogueEntry, catalogue, worst_level
from bodytest.rounding import counted

if TYPE_CHECKING:
    from bodytest.findings import Finding
    from bodytest.tables import CellBalance, CheckedSheets

SHOWN = 20
"""Findings of one kind in one sheet that are printed before the others are only counted."""
_LEVELS = {
    "stop": "STOP: the value cannot be used",
    "ask": "ASK: odd; what was done with it is said in each finding",
    "note": "NOTE: worth knowing",
}


def check(
    sheets: Sheets,
    marked: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write a copy of the sheet with the cells coloured and commented."),
    ] = None,
    everything: All = False,
    explain: Annotated[
        str | None, typer.Option(metavar="CODE", help="Say what a code means, why, and what to do.")
    ] = None,
    list_codes: Annotated[bool, typer.Option("--list-codes", help="List every code there is.")] = False,
) -> None:
    """Say what is wrong or odd in sheets, by cell, all in one pass. A half-filled sheet is no fault.

    Example: bodytest check trial.xlsx --marked trial-marked.xlsx

    Exit code: 0 clean, or nothing but questions and notes; 1 when a value cannot be used; 2 wrong usage.
    """
    if list_codes:
        console.answer("codes", lambda: {"codes": [asdict(entry) for entry in catalogue().values()]}, _codes)
    elif explain is not None:
        entry = _entry(explain)
        console.answer("codes", lambda: {"codes": [asdict(entry)]}, lambda: explanation(entry))
    else:
        _check(sheets, marked, None if everything else SHOWN)


def _check(paths: list[Path], marked: Path | None, most: int | None) -> None:
    if marked is not None:
        if len(paths) > 1:
            raise UnusableRequest("marked-copy-of-several", value=len(paths))
        refuse_output(marked, paths, overwrite=False)
    checked = read(paths)
    if marked is not None:
        _write_marked(paths[0], checked.findings, marked)
    with console.beside(marked):
        console.answer(
            "check",
            lambda: _document(checked),
            lambda: [*_by_sheet(checked, most), *console.hint(_advice(checked, paths), *_balance(checked.cells))],
            checked.findings,
        )


def _write_marked(source: Path, findings: "Sequence[Finding]", target: Path) -> None:
    from bodytest.marked.copy import write_marked_copy

    with working("writing the marked copy"):
        left_out = write_marked_copy(source, findings, target)
    console.mention(f"Marked copy: {target}", *left_out)


def _by_sheet(checked: "CheckedSheets", most: int | None) -> Iterator[str]:
    for number, source in enumerate(checked.sheets):
        yield f"{source.name}: {_contents(checked, number)}"
        yield from checked.seen[number]
        yield from _some([replace(f, sheet=None) for f in checked.findings if f.sheet == source.name], most)
        yield ""
    together = [f for f in checked.findings if f.sheet is None]
    if together:
        yield "All sheets together:" if len(checked.sheets) > 1 else "The whole sheet:"
        yield from _some(together, None)
        yield ""


def _some(findings: "list[Finding]", most: int | None) -> Iterator[str]:
    """Yield the lines of findings, of each kind at most so many, and how many more there are."""
    seen: Counter[str] = Counter()
    for found in findings:
        seen[found.code] += 1
        if most is None or seen[found.code] <= most:
            yield from console.finding_lines(found)
    for code, count in seen.items():
        if most is not None and count > most:
            yield f"… and {count - most} more like the last [{code}]. See all of them with --all."


def _contents(checked: "CheckedSheets", number: int) -> str:
    """Return what a sheet holds, in words."""
    bars = checked.bars[checked.bars["sheet"] == number]
    if bars.empty:
        return "no bars were read"
    bodies = bars.loc[bars["body"] != "", "body"].nunique()
    firings = bars.loc[bars["firing"] != "", "firing"].nunique()
    counts = ((len(bars), "bar"), (bodies, "body"), (firings, "firing"))
    return ", ".join(counted(count, noun) for count, noun in counts if count)


def _advice(checked: "CheckedSheets", paths: list[Path]) -> str:
    """Return how much was found and what to do now."""
    names = as_given(paths, but={f.value for f in checked.findings if f.code == "as-not-there"})
    count = f"Found: {console.count_words(checked.findings)}." if checked.findings else "Nothing to mend."
    if to_say := _to_say(checked.findings):
        return f"{count} To go on, say in one command: bodytest check {names} {to_say}"
    to_mend = worst_level(checked.findings) == "stop"
    mend = f"{count} Next: mend what is marked STOP and check again."
    if not _measured(checked):
        return mend if to_mend else f"{count} Nothing is measured yet: fill in readings and check again."
    going_on = f"bodytest report {names} --out report"
    if to_mend:
        return f"{mend} What cannot be used is left out, everything else can be computed already: {going_on}"
    return f"{count} Next: {going_on}"


def _to_say(findings: "Sequence[Finding]") -> str:
    """Return the options that answer all questions about headings and units at once."""
    options = [f'--as "{f.value}=…"' for f in findings if f.code in OF_COLUMNS and f.code != "heading-twice"]
    if any(f.code == "unit-missing" for f in findings):
        options.append("--unit …")
    return " ".join(dict.fromkeys(options))


def _measured(checked: "CheckedSheets") -> bool:
    """Tell whether there is any reading at all, or anything stated."""
    tables = (checked.bars, checked.marks)
    return any(table[c].notna().any() for table in tables for c in table if str(c).endswith(("_mm", "_g", "_percent")))


def _balance(cells: "Sequence[CellBalance]") -> Iterator[str]:
    """Yield what became of all filled cells, where there are any."""
    if not cells:
        return
    filled, used, named = (sum(getattr(b, name) for b in cells) for name in ("filled", "used", "named"))
    aside: Counter[str] = Counter()
    for balance in cells:
        aside.update(balance.set_aside)
    reasons = ", ".join(f"{reason} {count}" for reason, count in aside.most_common())
    words = f"Filled cells: {filled}. Used: {used}; named in findings: {named}; set aside: {aside.total()}"
    words += f" ({reasons})." if reasons else "."
    if lost := filled - used - named - aside.total():
        words += f" What became of {lost} is not known, which is a fault of bodytest."
    yield words


def _document(checked: "CheckedSheets") -> dict[str, object]:
    return {
        "sheets": [{"name": s.name, "sha256": s.sha256} for s in checked.sheets],
        "bars": len(checked.bars),
        "findings": [asdict(f) for f in checked.findings],
        "cells": [asdict(balance) for balance in checked.cells],
    }


def _codes() -> Iterator[str]:
    width = max(map(len, catalogue()))
    for code, entry in catalogue().items():
        yield f"{entry.level:<4}  {code:<{width}}  {entry.title}"


def _entry(code: str) -> CatalogueEntry:
    from difflib import get_close_matches

    entry = catalogue().get(code.strip().lower())
    if entry is None:
        near = get_close_matches(code.lower(), list(catalogue()), n=1)
        nearest = f" The nearest one is {near[0]}." if near else ""
        raise UnusableRequest("code-unknown", value=code, nearest=nearest)
    return entry


def explanation(entry: CatalogueEntry) -> tuple[str, ...]:
    """Return what the catalogue knows of a code, as lines."""
    return (
        f"{entry.code}: {entry.title}",
        f"Level:      {_LEVELS[entry.level]}.",
        f"Says:       {_with_gaps(entry.sentence)}",
        f"Why:        {entry.why}",
        f"What to do: {_with_gaps(entry.remedy)}",
    )


def _with_gaps(template: str) -> str:
    """Return a template with its blanks shown as an ellipsis; those that are whole sentences are left out.

    >>> _with_gaps("The {heading} is {value}.{mend}")
    'The … is ….'
    """
    return re.sub(r"\{\w+[^}]*\}", "…", re.sub(r"(?<=[.;])\{\w+\}", "", template))
