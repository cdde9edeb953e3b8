"""The page over all bodies: one row for each, to compare and to choose from."""

from bodytest.analysis.response_levels import celsius_of
from bodytest.report.body_part import BodyPart
from bodytest.report.choosing import Compared, choosing
from bodytest.report.fired import Tested, firing_dates
from bodytest.report.naming import firing_code, firing_details
from bodytest.report.sections.answer import factor_column
from bodytest.report.sections.audit import finding_table
from bodytest.report.sections.response import safe_window_text
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.wording import Voice, short_verdict_mark
from bodytest.results import Results


def index_page(voice: Voice, results: Results, compared: tuple[Compared, ...]) -> dict[str, object]:
    """Return what stands on the index over all bodies; ``names`` are file stem and name of each, row for row."""
    sheets = len(results.sheets)
    message = voice.say(
        "index.message",
        bodies=voice.count("body", len(compared)),
        sheets=voice.say(f"index.sheet_{'one' if sheets == 1 else 'many'}", n=sheets),
    )
    return {
        "workshop": results.lab.workshop,
        "message": message,
        "bodies": _bodies(voice, compared),
        "names": [(one.page.head.file_name.removesuffix(".html"), one.page.head.body) for one in compared],
        "findings": finding_table(voice, results.findings),
        "choosing": choosing(voice, compared),
    }


def last_fired(part: BodyPart) -> str:
    """Return the date of the last firing of a body, ``""`` when none is known."""
    return max(firing_dates(part.groups), default="")


def batch_count(part: BodyPart) -> int:
    """Return the number of named batches of a body."""
    return len({batch for group in part.groups for batch in group.batches if batch})


def _bodies(voice: Voice, compared: tuple[Compared, ...]) -> Table:
    names = ("body", "firing", "total", "factor", "absorption", "verdict", "range", "batches", "bars", "last")
    numeric = {"total", "factor", "absorption", "range", "batches", "bars"}
    columns = columns_of(voice, "index", names, numeric)
    groups = [one.part.choice.group for one in compared]
    totals, absorptions = (
        voice.means([group.quantities.get(key) for group in groups]) for key in ("total_shrinkage", "absorption")
    )
    numbers = zip(totals, factor_column(voice, groups), absorptions, strict=True)
    rows = [_row(voice, one, *own) for one, own in zip(compared, numbers, strict=True)]
    return table(voice.say("index.caption"), columns, rows, key="bodies")


def _row(voice: Voice, one: Compared, total: str, factor: str, absorption: str) -> list[Cell | str]:
    group = one.part.choice.group
    absorbed = group.quantities.get("absorption")
    response = next(iter(one.part.responses), None)
    low = response.safe_window[0] if response and response.safe_window else None
    mark = short_verdict_mark(voice, absorbed.decision if absorbed else None)
    details = firing_details(voice, group, atmosphere=False)
    return [
        Cell(one.page.head.body, link=one.page.head.file_name, sort=one.page.head.body),
        Cell(firing_code(voice, group), small=details, sort=_sortable(celsius_of(group))),
        Cell(total, sort=_mean(group, "total_shrinkage")),
        Cell(factor, sort=_sortable(group.wet_size_factor)),
        Cell(absorption, sort=_mean(group, "absorption")),
        Cell("" if mark else "–", mark=mark, sort=mark.words if mark else ""),
        Cell(safe_window_text(voice, response).removesuffix("\N{NO-BREAK SPACE}°C"), sort=_sortable(low)),
        str(batch_count(one.part)),
        str(len(one.part.bars)),
        last_fired(one.part) or "–",
    ]


def _mean(group: Tested, key: str) -> str:
    return _sortable(group.quantities[key].mean if key in group.quantities else None)


def _sortable(value: float | None) -> str:
    """Return a number for the sorting script; what is not known sorts last."""
    return "" if value is None else f"{value:.6g}"
