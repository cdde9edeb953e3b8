"""Readings that are typed for a sheet: a table beside it, written whole at each of them, which says whose they are."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bodytest.export.csv_tables import guarded_text, rows_as_csv
from bodytest.files.writing import sha256_of
from bodytest.tables import TYPED_FOR

Place = tuple[int, str]
"""Row of the page's data and key of the reading."""


@dataclass(frozen=True)
class TypedTable:
    """The table as it stands on the disk."""

    path: Path
    """Where it is, or will be."""
    typed: Mapping[Place, str]
    """What was typed."""
    columns: tuple[str, ...]
    """Keys of its columns of readings, in their order."""
    lines: Mapping[int, int]
    """Row of the page's data → line of the file, from 1."""
    names: int = 1
    """Columns in front of them that tell which bar."""
    content: bytes = b""
    """Its bytes; nothing where it is not there yet."""

    @property
    def state(self) -> str:
        """What tells this state of it from others."""
        return sha256_of(self.content)[:16]


def table_text(data: Mapping[str, Any], typed: Mapping[Place, str]) -> str:
    """Return the table as the phone form saves it: which sheet, headings, a row for each bar or mark with a reading."""
    rows, names, keys = data["rows"], _names(data), {key for _, key in typed}
    readings = [one for one in data["readings"] if one["key"] in keys]
    there = [number for number in range(len(rows)) if any((number, one["key"]) in typed for one in readings)]
    head = [*(data["headings"][n] for n in names), *(f"{one['heading']} ({one['unit']})" for one in readings)]
    lines = [
        [*(rows[number]["names"][n] for n in names), *(typed.get((number, one["key"]), "") for one in readings)]
        for number in there
    ]
    return rows_as_csv([[data["title"]], head, *lines])


def read_table(path: Path, data: Mapping[str, Any]) -> TypedTable | None:
    """Return what stands in a table of typed readings; None where somebody changed it, so that it is left alone."""
    content = path.read_bytes()
    try:
        lines = list(csv.reader(io.StringIO(content.decode("utf-8"))))
    except (UnicodeDecodeError, csv.Error):
        return None
    if len(lines) < 2 or lines[0] != [data["title"]]:
        return None
    names = _names(data)
    keys = {f"{one['heading']} ({one['unit']})": one["key"] for one in data["readings"]}
    rows = {tuple(guarded_text(row["names"][n]) for n in names): number for number, row in enumerate(data["rows"])}
    columns = [keys.get(heading, "") for heading in lines[1][len(names) :]]
    typed = {
        (rows.get(tuple(line[: len(names)]), -1), key): text
        for line in lines[2:]
        for key, text in zip(columns, line[len(names) :], strict=False)
        if text
    }
    if content != table_text(data, typed).encode():
        return None
    numbers = sorted({number for number, _ in typed})
    return TypedTable(
        path, typed, tuple(columns), {number: at for at, number in enumerate(numbers, 3)}, len(names), content
    )


def typed_for(path: Path) -> str:
    """Return the name of the sheet that a table says its readings were typed for; ``""`` for any other file."""
    if path.suffix.lower() != ".csv":
        return ""
    try:
        with path.open(encoding="utf-8", newline="") as file:
            first = next(csv.reader([file.readline(1000)]), [""])[:1]
    except (OSError, UnicodeDecodeError, csv.Error):
        return ""
    return first[0].removeprefix(TYPED_FOR) if first and first[0].startswith(TYPED_FOR) else ""


def _names(data: Mapping[str, Any]) -> list[int]:
    """Return which names of a bar stand in the table: its code, the mark, and those that tell bars of a code apart."""
    of_code: dict[str, tuple[str, ...]] = {}
    apart = {0}
    for row in data["rows"]:
        first = of_code.setdefault(row["names"][0], row["names"])
        apart |= {n for n, name in enumerate(row["names"]) if name != first[n]}
        apart |= {n for n, name in enumerate(row["names"]) if name and data["headings"][n] == "mark"}
    return sorted(apart)
