"""The page that sets chosen bodies side by side: one column for each body."""

from collections.abc import Mapping
from dataclasses import dataclass

from bodytest.quantities import QUANTITIES
from bodytest.report.choosing import Choosing, Compared, choosing
from bodytest.report.differences import Pair, body_differences
from bodytest.report.fired import Tested
from bodytest.report.index_page import batch_count, last_fired
from bodytest.report.naming import firing_name
from bodytest.report.sections.answer import factor_column
from bodytest.report.sections.response import safe_window_text
from bodytest.report.table import Cell
from bodytest.report.wording import Voice, mean_decimals, short_verdict_mark
from bodytest.results import QuantityResult, Results
from bodytest.rounding import with_unit

_FINISHED_MM = 200.0
_COLUMNS = 6


@dataclass(frozen=True)
class SideBySidePage:
    """The bodies and what is compared."""

    bodies: tuple[tuple[str, str], ...]
    """Name and page of each body: one column each."""
    columns: int
    """Columns of one table; further bodies stand in further tables, so that paper holds them."""
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]
    """Label of each row with a cell for each body."""
    choosing: Choosing
    """Picture, rows of dots and filters."""
    pairs: tuple[Pair, ...]
    """How every two of them differ."""
    differences_help: str
    """What these differences hold for."""


def side_by_side_page(voice: Voice, results: Results, compared: tuple[Compared, ...]) -> SideBySidePage:
    """Return the comparison of all bodies; the page's script shows the chosen ones."""
    bodies = tuple((one.page.head.body, one.page.head.file_name) for one in compared)
    groups = [one.part.choice.group for one in compared]
    precise = {
        quantity.key: mean_decimals([group.quantities.get(quantity.key) for group in groups], quantity.digits)
        for quantity in QUANTITIES
    }
    factors = factor_column(voice, groups)
    cells = [_cells(voice, one, factor, precise) for one, factor in zip(compared, factors, strict=True)]
    labels = list(cells[0]) if cells else []
    rows = tuple((voice.say(f"side.{label}"), tuple(column[label] for column in cells)) for label in labels)
    pairs = body_differences(voice, results, compared)
    sure = voice.say("differences.help", confidence=voice.percent(results.confidence))
    return SideBySidePage(bodies, _COLUMNS, rows, choosing(voice, compared), pairs, sure)


def _cells(voice: Voice, one: Compared, factor: str, precise: Mapping[str, int]) -> dict[str, Cell]:
    group = one.part.choice.group
    total = group.quantities.get("total_shrinkage")
    found = {key: group.quantities.get(key) for key in precise}
    mean = {key: Cell(voice.mean_to(precise[key], one, one.unit if one else "")) for key, one in found.items()}
    response = next(iter(one.part.responses), None)
    return {
        "firing": Cell(firing_name(voice, group)),
        "direction": Cell(group.direction or "–"),
        "factor": Cell(factor),
        "wet_200": Cell(_wet(voice, group)),
        "drying": mean["drying_shrinkage"],
        "total": mean["total_shrinkage"],
        "next": Cell(_next(voice, total, precise["total_shrinkage"])),
        "absorption": mean["absorption"],
        "verdict": _verdict(voice, group),
        "density": mean["bulk_density"],
        "loi": mean["loss_on_ignition"],
        "range": Cell(safe_window_text(voice, response)),
        "batches": Cell(str(batch_count(one.part))),
        "bars": Cell(str(len(one.part.bars))),
        "last": Cell(last_fired(one.part) or "–"),
    }


def _wet(voice: Voice, group: Tested) -> str:
    factor = group.wet_size_factor
    return "–" if factor is None else voice.number(_FINISHED_MM * factor, 1, "mm")


def _next(voice: Voice, total: QuantityResult | None, decimals: int) -> str:
    return "–" if total is None else with_unit(voice.between(total.next_low, total.next_high, decimals), total.unit)


def _verdict(voice: Voice, group: Tested) -> Cell:
    absorbed = group.quantities.get("absorption")
    mark = short_verdict_mark(voice, absorbed.decision if absorbed else None)
    return Cell("" if mark else "–", mark=mark)
