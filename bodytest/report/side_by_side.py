"""The page that sets chosen bodies side by side: one column for each body."""

from dataclasses import dataclass

from bodytest.report.fired import Tested
from bodytest.report.index_page import Compared, batch_count, last_fired
from bodytest.report.naming import firing_name
from bodytest.report.sections.answer import factor_text
from bodytest.report.sections.response import safe_window_text
from bodytest.report.table import Cell
from bodytest.report.wording import Voice, short_verdict_mark

_FINISHED_MM = 200.0


@dataclass(frozen=True)
class SideBySidePage:
    """The bodies and what is compared."""

    bodies: tuple[tuple[str, str, str], ...]
    """Key, name and page of each body: one column each."""
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]
    """Label of each row with a cell for each body."""


def side_by_side_page(voice: Voice, compared: tuple[Compared, ...]) -> SideBySidePage:
    """Return the comparison of all bodies; the page's script shows the chosen ones."""
    bodies = tuple((f"body-{k}", one.page.head.body, one.page.head.file_name) for k, one in enumerate(compared))
    cells = [_cells(voice, one) for one in compared]
    labels = list(cells[0]) if cells else []
    rows = tuple((voice.say(f"side.{label}"), tuple(column[label] for column in cells)) for label in labels)
    return SideBySidePage(bodies, rows)


def _cells(voice: Voice, one: Compared) -> dict[str, Cell]:
    group = one.part.choice.group
    response = next(iter(one.part.responses), None)
    return {
        "firing": Cell(firing_name(voice, group)),
        "direction": Cell(group.direction or "–"),
        "factor": Cell(factor_text(voice, group)),
        "wet_200": Cell(_wet(voice, group)),
        "drying": _mean(voice, group, "drying_shrinkage"),
        "total": _mean(voice, group, "total_shrinkage"),
        "next": Cell(_next(voice, group)),
        "absorption": _mean(voice, group, "absorption"),
        "verdict": _verdict(voice, group),
        "density": _mean(voice, group, "bulk_density", 2),
        "loi": _mean(voice, group, "loss_on_ignition"),
        "range": Cell(safe_window_text(voice, response)),
        "batches": Cell(str(batch_count(one.part))),
        "bars": Cell(str(len(one.part.bars))),
        "last": Cell(last_fired(one.part) or "–"),
    }


def _mean(voice: Voice, group: Tested, key: str, digits: int = 1) -> Cell:
    return Cell(voice.mean(group.quantities.get(key), digits))


def _wet(voice: Voice, group: Tested) -> str:
    factor = group.wet_size_factor
    return "–" if factor is None else voice.number(_FINISHED_MM * factor, 1, "mm")


def _next(voice: Voice, group: Tested) -> str:
    total = group.quantities.get("total_shrinkage")
    return "–" if total is None else voice.interval(total.next_low, total.next_high, total.unit)


def _verdict(voice: Voice, group: Tested) -> Cell:
    absorbed = group.quantities.get("absorption")
    mark = short_verdict_mark(voice, absorbed.decision if absorbed else None)
    return Cell("" if mark else "–", mark=mark)
