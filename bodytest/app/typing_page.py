"""The page Readings: typed bar by bar at the bench; each reading is stored beside the sheet and judged at once."""

import math
from contextlib import suppress
from dataclasses import dataclass, replace
from threading import Lock
from typing import Any

from starlette.responses import HTMLResponse, JSONResponse, Response

from bodytest.app.folder import Sheet
from bodytest.app.page import Asked, route, shown
from bodytest.app.typed_readings import Place, TypedTable, read_table, table_text
from bodytest.errors import UnusableRequest
from bodytest.files.writing import rewrite, write_whole
from bodytest.findings import Finding, finding

_STORING = Lock()
"""One reading is stored at a time, whichever window it comes from."""


@dataclass(frozen=True)
class _Bench:
    """A sheet with what was typed for it."""

    data: dict[str, Any]
    """What the page knows of the sheet."""
    table: TypedTable
    """Where readings are typed to."""


def typing(asked: Asked) -> HTMLResponse:
    """Return the page with what was typed before."""
    bench = _bench(asked, asked.sheet)
    page = bench.data | {"server": {
        "address": f"/sheet/{asked.sheet.key}/typed", "file": bench.table.path.name,
        "sheet": _stamp(asked.sheet), "state": bench.table.state, "typed": _sent(bench.table),
    }}  # fmt: skip
    return shown("readings.html", sheet=asked.sheet, typing=page)


def store(asked: Asked) -> Response:
    """Store one reading, and say what is told of it and what other windows typed meanwhile."""
    sheet = asked.sheet
    text = asked.text("text")
    with _STORING:
        bench = _bench(asked, sheet)
        if asked.text("sheet") != _stamp(sheet):
            return _answer(bench.table, [], finding("sheet-saved-anew", value=sheet.name), taken=False)
        place = _place(bench, asked.text("row"), asked.text("key"), text)
        stands = bench.table.typed.get(place, "")
        if stands not in (asked.text("before"), text):
            told = finding("typed-twice", value=stands, own=text or "nothing")
            return _answer(bench.table, [], told, taken=False)
        elsewhere = finding("typed-elsewhere") if bench.table.state != asked.text("state") else None
        typed = {at: one for at, one in bench.table.typed.items() if at != place} | ({place: text} if text else {})
        _write(bench, typed)
        after = _bench(asked, asked.sheet)
    return _answer(after.table, _doubts(asked, after, place) if text else [], elsewhere, taken=True)


def _stamp(sheet: Sheet) -> str:
    """Return what tells the state of the sheet whose bars the page shows."""
    return f"{sheet.stamp}"


def _write(bench: _Bench, typed: dict[Place, str]) -> None:
    content = table_text(bench.data, typed)
    if bench.table.content:
        rewrite(bench.table.path, bench.table.content, content)
    else:
        write_whole(bench.table.path, content, overwrite=False)


def _answer(table: TypedTable, doubts: list[Finding], told: Finding | None, *, taken: bool) -> Response:
    return JSONResponse({
        "taken": taken,
        "told": f"{told.sentence} {told.remedy}" if told else "",
        "doubts": [{"sentence": one.sentence, "remedy": one.remedy} for one in doubts],
        "typed": _sent(table),
        "state": table.state,
    })  # fmt: skip


def _sent(table: TypedTable) -> dict[str, str]:
    return {f"{row} {key}": text for (row, key), text in table.typed.items()}


def _place(bench: _Bench, row: str, key: str, text: str) -> Place:
    """Return where a reading belongs.

    Raises:
        UnusableRequest: there is no such bar or reading, or the text is no number above zero: our page sends no such.
    """
    try:
        number, at = float(text or "1"), int(row)
    except ValueError:
        number, at = math.nan, -1
    readings = {one["key"] for one in bench.data["readings"]}
    if not (0 <= at < len(bench.data["rows"]) and key in readings and 0 < number < math.inf):
        raise UnusableRequest("not-a-reading", value=text)
    return at, key


def _bench(asked: Asked, sheet: Sheet) -> _Bench:
    """Return the sheet with the table that is typed to: one that is as this page leaves it, else a new one."""
    from bodytest.sheet.phone_form import typing_data

    data = typing_data(asked.known.checked(replace(sheet, typed=())))
    found = next((one for beside in sheet.typed if (one := read_table(beside.path, data))), None)
    found = found or TypedTable(asked.folder.free_path(data["file"]), {}, (), {})
    others = tuple(one for one in sheet.typed if one.path != found.path)
    with suppress(UnusableRequest):  # a table with bars of its own: its readings are not shown here
        data = typing_data(asked.known.checked(replace(sheet, typed=others)))
    return _Bench(data, found)


def _doubts(asked: Asked, bench: _Bench, place: Place) -> list[Finding]:
    """Return what the program finds about the reading that was typed last, with everything typed for the sheet."""
    row, key = place
    column = chr(ord("A") + bench.table.names + bench.table.columns.index(key))
    cell = f"Bars!{column}{bench.table.lines[row]}"
    found = asked.known.checked(asked.sheet).findings
    return [one for one in found if one.sheet == bench.table.path.name and one.cell == cell]


ROUTES = (route("/sheet/{key}/readings", typing), route("/sheet/{key}/typed", store, form=True))
