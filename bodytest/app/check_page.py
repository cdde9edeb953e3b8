"""The page Check: the sheet with its doubtful cells, copies with mends, and what is asked of a layout of one's own."""

from collections.abc import Mapping, Sequence
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.responses import HTMLResponse, Response

from bodytest.app.folder import key_of
from bodytest.app.page import Asked, led_to, on_page, route, shown
from bodytest.app.shown_grid import ShownTable, anchor, shown_tables
from bodytest.errors import UnusableRequest
from bodytest.findings import OF_COLUMNS, Finding
from bodytest.grids.grid import parse_address

if TYPE_CHECKING:
    from bodytest.app.folder import Sheet
    from bodytest.cleaning import Cleaned
    from bodytest.intake.layouts.said import Said
    from bodytest.tables import CheckedSheets

_LEVELS = {"stop": "To mend", "ask": "To look at", "note": "To know"}
_UNITS = ("mm", "cm", "in", "g", "kg", "oz", "lb")
_MOST_LISTED = 300
_TYPED = "mend "
"""How the name of a field for a reading begins; the cell follows."""


def check(asked: Asked) -> HTMLResponse:
    """Return the sheet with what was found in it, read with the answers that the address holds."""
    from bodytest.intake.layouts.vocabulary import COLUMNS

    sheet, said = asked.sheet, _said(asked)
    columns, units = said.options()
    checked = asked.known.checked(sheet, said)
    workbook = checked.sheets[0].workbook
    own = [found for found in checked.findings if _is_own(found, sheet)]
    tables = shown_tables(workbook.grids if workbook else [], own)
    questions = _questions(checked)
    cleaned = _cleaned(asked, said) if questions or checked.seen[0] or columns or units else None
    doubts = [_doubt(found, tables if _is_own(found, sheet) else None) for found in checked.findings[:_MOST_LISTED]]
    return shown(
        "check.html", sheet=sheet, here="Check", tables=tables, doubts=doubts, questions=questions,
        seen=checked.seen[0], more=len(checked.findings) - len(doubts), columns=columns, units=units,
        taken=_taken(cleaned), ours=[column.heading for column in COLUMNS["bars"]], all_units=_UNITS,
        bars=len(checked.bars), typed=_TYPED,
        saved=asked.query.get("saved", ""), values_alone="values" in asked.query,
        writable=asked.folder.writable, clean=bool(cleaned and cleaned.tables),
    )  # fmt: skip


def mend(asked: Asked) -> Response:
    """Save a copy with the mends that were chosen and typed, and check that one."""
    from bodytest.marked.mending import write_mended_copy

    sheet = asked.sheet
    mends: dict[str, dict[tuple[int, int], str]] = {}
    for cell, text in _chosen(asked).items():
        table, _, where = cell.rpartition("!")
        place = parse_address(where)
        if place is None:
            raise UnusableRequest("mend-not-there", cell=cell)
        mends.setdefault(table, {})[place] = text
    if not mends:
        raise UnusableRequest("nothing-to-mend")
    target = _copy_path(asked, "mended")
    left_out = write_mended_copy(sheet.path, mends, target)
    return _led_to_copy(target, "mended", left_out)


def mark(asked: Asked) -> Response:
    """Save a copy with the doubtful cells coloured, as ``bodytest check --marked`` does."""
    from bodytest.marked.copy import write_marked_copy

    sheet = asked.sheet
    target = _copy_path(asked, "marked")
    own = [found for found in asked.known.checked(sheet).findings if _is_own(found, sheet)]
    left_out = write_marked_copy(sheet.path, own, target)
    return _led_to_copy(target, "marked", left_out)


def lay_out(asked: Asked) -> Response:
    """Save the sheet in the layout of ours, as ``bodytest import`` does, and check that one."""
    from bodytest.cleaning import clean_workbook
    from bodytest.files.writing import write_whole
    from bodytest.intake.layouts.said import said_by

    sheet = asked.sheet
    cleaned = _cleaned(asked, said_by(asked.texts("as"), asked.texts("unit")))
    if not cleaned.tables:
        raise UnusableRequest("nothing-to-lay-out", sheet=sheet.name)
    target = asked.folder.free_path(f"{sheet.path.stem}-clean", ".xlsx")
    write_whole(target, clean_workbook(cleaned), overwrite=False)
    return _led_to_copy(target, "clean")


def _copy_path(asked: Asked, what: str) -> Path:
    """Return a free path for a copy that keeps what the sheet holds, macros too."""
    path = asked.sheet.path
    return asked.folder.free_path(f"{path.stem}-{what}", ".xlsm" if path.suffix.lower() == ".xlsm" else ".xlsx")


def _led_to_copy(path: Path, what: str, left_out: Sequence[str] = ()) -> Response:
    """Lead on to the copy; the page says how it was made, and whether it holds values alone."""
    return led_to(f"/sheet/{key_of(path.name)}/check?saved={what}{'&values=alone' if left_out else ''}")


def _said(asked: Asked) -> "Said":
    from bodytest.intake.layouts.said import said_by

    columns, units = ([text for text in asked.query.getlist(name) if text] for name in ("as", "unit"))
    return said_by(columns, units)


def _cleaned(asked: Asked, said: "Said") -> "Cleaned":
    from bodytest.cleaning import clean

    return asked.known.once(("clean", said.options()), asked.sheet, lambda: clean(asked.sheet.path, said))


def _questions(checked: "CheckedSheets") -> list[dict[str, str]]:
    """Return what the sheet does not tell, each thing once, with the heading that it is about; ``""`` for a unit."""
    found: dict[str, dict[str, str]] = {}
    for one in checked.findings:
        if one.code in OF_COLUMNS and one.value:
            found.setdefault(one.value, {"sentence": one.sentence, "value": one.value})
        elif one.code == "unit-missing":
            found.setdefault("", {"sentence": one.sentence, "value": ""})
    return list(found.values())


def _taken(cleaned: "Cleaned | None") -> list[list[str]]:
    """Return what each column was taken for: table, column of ours, cells, heading."""
    if cleaned is None or "Sources" not in cleaned.tables:
        return []
    return [[str(cell) for cell in row] for row in takewhile(bool, cleaned.tables["Sources"][1:])]


def _is_own(found: Finding, sheet: "Sheet") -> bool:
    """Tell whether a finding is about the sheet itself, and not about readings typed for it in a table beside it."""
    return found.sheet in (None, sheet.name)


def _doubt(found: Finding, tables: list[ShownTable] | None) -> dict[str, object]:
    """Return one finding of the list: where its cell is on the page, and readings that would mend it, if any do.

    Another reading can be typed for a cell that is shown, unless the page asks about it of its own, further up.
    """
    place, level = anchor(found, tables or []), _LEVELS[found.level]
    asked_above = found.code in (*OF_COLUMNS, "unit-missing")
    return {
        "found": found,
        "remedy": on_page(found.remedy),
        "level": level if tables is not None else f"{level} · {found.sheet}",
        "anchor": place,
        "offers": list(offers(found, tables).items()) if tables is not None else [],
        "asked_above": asked_above,
        "can_be_typed": bool(place) and found.level != "note" and not asked_above,
    }


def _chosen(asked: Asked) -> dict[str, str]:
    """Return cell → reading: those offered and chosen, and those typed, which go first."""
    chosen: dict[str, str] = {}
    for offer in asked.texts("offer"):
        for part in offer.split("\n"):
            cell, _, text = part.strip().rpartition("=")
            chosen[cell] = text
    typed = {name.removeprefix(_TYPED): asked.text(name) for name in asked.form if name.startswith(_TYPED)}
    return chosen | {cell: text for cell, text in typed.items() if text}


def offers(found: Finding, tables: list[ShownTable]) -> Mapping[str, str]:
    """Return cell → reading of the mend that a finding tells of; nothing where it tells of none that is sure."""
    from bodytest.rules.slips import meant_in, swapped_in

    if found.cell is None:
        return {}
    if (meant := meant_in(found.sentence)) is not None:
        return {found.cell: meant}
    other = swapped_in(found.sentence)
    texts = {cell: text for cell in (found.cell, other or "") for text in [_text_at(tables, cell)] if text}
    return {found.cell: texts[other], other: texts[found.cell]} if other in texts and found.cell in texts else {}


def _text_at(tables: list[ShownTable], cell: str) -> str:
    table, _, where = cell.rpartition("!")
    return next((one.texts.get(where, "") for one in tables if one.name == table), "")


ROUTES = (
    route("/sheet/{key}/check", check),
    route("/sheet/{key}/mend", mend, form=True),
    route("/sheet/{key}/mark", mark, form=True),
    route("/sheet/{key}/clean", lay_out, form=True),
)
