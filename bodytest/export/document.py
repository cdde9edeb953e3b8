"""Results → the results document, format version 1: JSON for other programs to read.

Its fields are those of the dataclasses in `bodytest.results`, described one by one in ``results.schema.json``. Numbers
are written unrounded, what is absent is ``null``, and there is never a NaN. Later versions only add fields, at the end
of their objects, so that a reader of version 1 keeps working.
"""

import json
import math
from collections.abc import Iterator
from dataclasses import is_dataclass, replace
from typing import TYPE_CHECKING, Any

from pydantic_core import to_json as encode

from bodytest.documented import document_fields, document_name
from bodytest.export.contract import DATE_FIELDS, READING_FIELDS, Bar, required_fields
from bodytest.files.own_files import IN_JSON, sealed
from bodytest.files.results_file import FORMAT, VERSION
from bodytest.grids.archive import KEY, without_cells, workbook_chunks
from bodytest.quantities import QUANTITIES
from bodytest.results import Results, Summary
from bodytest.tables import SheetSource

if TYPE_CHECKING:
    import pandas as pd

_CHUNK = 20_000
"""Bars encoded at a time, so that a million of them never stand in memory as single objects."""


def with_read_tabs_only(results: Results) -> Results:
    """Return results whose sheets keep of a tab that was not read its name only, and a dash for each of its cells."""
    unread = {(one.sheet, one.cell) for one in results.findings if one.code == "table-not-read"}

    def open_part(source: SheetSource) -> SheetSource:
        if source.workbook is None:
            return source
        grids = [without_cells(one) if (source.name, one.name) in unread else one for one in source.workbook.grids]
        return replace(source, workbook=replace(source.workbook, grids=grids))

    return replace(results, sheets=tuple(map(open_part, results.sheets)))


def to_json(results: Results) -> str:
    """Return the results document as text: one bar a line, everything else indented."""
    return b"".join(json_chunks(results)).decode("utf-8")


def to_document(results: Results) -> dict[str, Any]:
    """Return the results document as plain dictionaries, lists, texts, numbers and None."""
    document: dict[str, Any] = json.loads(b"".join(json_chunks(results)))
    return document


def json_chunks(results: Results) -> Iterator[bytes]:
    """Yield the results document piece by piece as UTF-8, for files that are too big to hold twice."""
    return sealed(_chunks(results), IN_JSON)


def _chunks(results: Results) -> Iterator[bytes]:
    head = {"format": FORMAT, "version": VERSION, **_plain_fields(results, _NAMES[:_BARS])}
    yield encode(head, indent=1).removesuffix(b"\n}")
    yield b',\n "bars": ['
    separator = b"\n"
    for chunk in _bar_chunks(results.bars):
        yield separator + chunk
        separator = b",\n"
    yield b"\n ],"
    yield encode(_plain_fields(results, _NAMES[_BARS:]), indent=1).removeprefix(b"{").removesuffix(b"\n}")
    kept = [source.workbook for source in results.sheets if source.workbook is not None]
    yield f',\n "{KEY}": ['.encode()
    for number, workbook in enumerate(kept):
        yield b",\n" if number else b"\n"
        yield from workbook_chunks(workbook)
    yield b"\n ]\n}\n"


_NAMES = [field.name for field in document_fields(Summary)]
_BARS = 1 + _NAMES.index("groups")
_OBJECTS = ("readings", "dates")
*_SIMPLE, _ = required_fields(Bar)  # the last one holds the values
_ADDED = [field.name for field in document_fields(Bar) if field.name not in (*required_fields(Bar), *_OBJECTS)]


def _plain_fields(results: Results, names: list[str]) -> dict[str, Any]:
    return {name: plain(getattr(results, name)) for name in names}


def plain(value: Any) -> Any:
    """Return dataclasses as dictionaries and tuples as lists; numbers that are not finite become None.

    >>> plain((float("nan"), 12.0, "K6"))
    [None, 12.0, 'K6']
    """
    if value is None or isinstance(value, str | bool):
        return value
    if is_dataclass(value):
        cls: Any = type(value)
        return {document_name(field): plain(getattr(value, field.name)) for field in document_fields(cls)}
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    number = value.item() if hasattr(value, "item") else value
    return number if math.isfinite(number) else None


def _bar_chunks(bars: "pd.DataFrame") -> Iterator[bytes]:
    """Yield the bars as JSON objects, one a line with commas between them, without the brackets of the list."""
    keys = [q.key for q in QUANTITIES if q.key in bars.columns and bars[q.key].notna().any()]
    read = [name for name in READING_FIELDS if name in bars.columns and bars[name].notna().any()]
    added = [name for name in _ADDED if name != "stated" or name in bars.columns]
    dates = [name for name in DATE_FIELDS if name in bars.columns and (bars[name] != "").any()]
    template = _template(keys, added, read, dates)
    for start in range(0, len(bars), _CHUNK):
        chunk = bars.iloc[start : start + _CHUNK]
        days = (_json_texts([day or None for day in chunk[name]]) for name in dates)
        columns = [*_json_columns(chunk, keys, added, read), *days]
        yield ",\n".join([template % bar for bar in zip(*columns, strict=True)]).encode("utf-8")


def _template(keys: list[str], added: list[str], read: list[str], dates: list[str]) -> str:
    """Return the JSON object of a bar with a ``%s`` for each value; dates where any bar has one."""
    before, values, after, readings, days = (
        ",".join(f'"{name}":%s' for name in names) for names in (_SIMPLE, keys, added, read, dates)
    )
    told = f',"dates":{{{days}}}' if dates else ""
    return f'  {{{before},"values":{{{values}}},{after},"readings":{{{readings}}}{told}}}'


def _json_columns(bars: "pd.DataFrame", keys: list[str], added: list[str], read: list[str]) -> list[list[str]]:
    """Return the values of the template, column by column, each already JSON; this is far quicker than bar by bar."""
    absent = [None] * len(bars)
    simple = {**{name: bars[name].tolist() for name in _SIMPLE}, "left_out": [r or None for r in bars["left_out"]]}
    fields_added = [bars[name].tolist() if name in bars.columns else absent for name in added]
    return [
        *map(_json_texts, simple.values()),
        *_json_numbers(bars, keys),
        *(_json_texts(column) for column in fields_added),
        *_json_numbers(bars, read),
    ]


def _json_numbers(bars: "pd.DataFrame", names: list[str]) -> list[list[str]]:
    numbers = encode(bars[names].to_numpy(dtype=float).ravel().tolist(), inf_nan_mode="null").decode()[1:-1].split(",")
    return [numbers[place :: len(names)] for place in range(len(names))]


def _json_texts(values: list[Any]) -> list[str]:
    known = {value: encode(value).decode() for value in dict.fromkeys(values)}
    return [known[value] for value in values]
