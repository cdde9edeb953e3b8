"""The page Start: the folder's sheets and how far each is; a sheet copied in; a blank one made by a short form."""

import time
from typing import TYPE_CHECKING, Any

from starlette.datastructures import UploadFile
from starlette.responses import HTMLResponse, Response

from bodytest.app.folder import Sheet
from bodytest.app.page import OF_A_SHEET, Asked, led_to, route, shown
from bodytest.app.remembered import MOST_BYTES
from bodytest.errors import UnreadableSheet, UnusableRequest
from bodytest.rounding import counted

if TYPE_CHECKING:
    from bodytest.sheet.blank import BlankSheetOptions
    from bodytest.tables import CheckedSheets

_PATIENCE_S = 5.0
"""Sheets that could not be read within this time are listed without their state until the next look [s]."""
KINDS = (
    ("lengths", "Lengths: shrinkage", True),
    ("masses", "Weights: absorption", True),
    ("leather_hard", "Leather-hard length", False),
    ("bisque", "Length after the bisque", False),
    ("cold_soak", "Weight after 24 h in cold water", False),
    ("suspended", "Weight hanging in water: porosity, density", False),
)
"""What can be measured: the field of `KindsOfTest`, its name, and whether it is usual."""


def start(asked: Asked) -> HTMLResponse:
    """Return the list of sheets, and the two forms."""
    import bodytest.reading  # noqa: F401 (slow the first time, which is not the sheets' doing)

    until = time.monotonic() + _PATIENCE_S
    rows = [_row(asked, sheet, until) for sheet in asked.folder.sheets()]
    return shown("start.html", rows=rows, folder=asked.folder, kinds=KINDS, most=MOST_BYTES >> 20)


def put(asked: Asked) -> Response:
    """Copy the sheet that was sent into the folder, and show it."""
    sent = asked.form.get("sheet")
    if not isinstance(sent, UploadFile) or not sent.filename:
        raise UnusableRequest("nothing-sent")
    return led_to(_address(asked.folder.put(sent.filename, sent.file.read())))


def blank(asked: Asked) -> Response:
    """Make a blank sheet as ``bodytest sheet`` does, and show the list with it."""
    from bodytest.sheet.blank import write_blank_sheet

    options = _options(asked)
    write_blank_sheet(asked.folder.free_path(asked.text("name") or "trial", ".xlsx"), options)
    return led_to("/")


def _options(asked: Asked) -> "BlankSheetOptions":
    from bodytest.sheet.blank import BlankSheetOptions, planned_firings
    from bodytest.sheet.chosen_columns import NEEDED, KindsOfTest

    bars, wanted = asked.text("bars") or "10", asked.texts("kind")
    flags: dict[str, Any] = {name: name in wanted for name, _, _ in KINDS}
    for kind, needed in NEEDED.items():
        flags[needed] |= flags[kind]
    if not bars.isdecimal():
        raise UnusableRequest("not-a-count", value=bars)
    return BlankSheetOptions(
        bodies=_named(asked.text("bodies")),
        firings=planned_firings(_named(asked.text("firings")) or ("F1",)),
        bars=int(bars[:9]),
        kinds=KindsOfTest(**flags),
    )


def _named(text: str) -> tuple[str, ...]:
    """Return names that are separated by commas.

    >>> _named("Drift Buff, Marl Red,")
    ('Drift Buff', 'Marl Red')
    """
    return tuple(name for part in text.split(",") if (name := part.strip()))


def _address(sheet: Sheet) -> str:
    return f"/sheet/{sheet.key}/{OF_A_SHEET[0][0]}"


def _row(asked: Asked, sheet: Sheet, until: float) -> dict[str, Any]:
    """Return what the list says of a sheet: bars, stages measured and doubts in words, and what stands in the way."""
    row = {"sheet": sheet, "address": _address(sheet), "bars": "", "stages": "", "has_bars": False, "trouble": []}
    if time.monotonic() > until:
        return row | {"doubts": "not looked for yet: reload this page"}
    try:
        checked = asked.known.checked(sheet)
    except UnreadableSheet as error:
        return row | {"doubts": "not looked for", "trouble": [error.finding.sentence]}
    unreadable = checked.sheets[0].workbook is None or not checked.sheets[0].workbook.readable
    trouble = [found.sentence for found in checked.findings if unreadable and found.level == "stop"]
    levels = [found.level for found in checked.findings]
    doubts = [f"{levels.count('stop')} to mend"] if "stop" in levels else []
    doubts += [f"{levels.count('ask')} to look at"] if "ask" in levels else []
    return row | {
        "bars": counted(len(checked.bars), "bar"),
        "stages": ", ".join(stages_measured(checked)) or "nothing yet",
        "doubts": ", ".join(doubts) or "none",
        "has_bars": not checked.bars.empty,
        "trouble": trouble,
    }


def stages_measured(checked: "CheckedSheets") -> list[str]:
    """Return the stages at which anything was measured, in their order."""
    from bodytest.lab.record import STAGES
    from bodytest.quantities import READINGS

    measured = {
        reading.stage
        for reading in READINGS
        for table in (checked.bars, checked.marks)
        if reading.column in table and table[reading.column].notna().any()
    }
    return [stage for stage in STAGES if stage in measured]


ROUTES = (route("/", start), route("/sheets", put, form=True), route("/blank", blank, form=True))
