"""The page that sets chosen bodies side by side: one column for each body."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from bodytest.quantities import QUANTITIES
from bodytest.report.choosing import Compared, choosing
from bodytest.report.fired import Tested
from bodytest.report.index_page import batch_count, last_fired
from bodytest.report.naming import firing_name
from bodytest.report.sections.answer import factor_column, on_piece
from bodytest.report.sections.response import safe_window_text
from bodytest.report.table import Cell
from bodytest.report.wording import VerdictMark, Voice, mean_decimals, short_verdict_mark
from bodytest.results import QuantityResult, Results
from bodytest.rounding import decimals_for, with_unit
from bodytest.shown import clipped
from bodytest.stats.mean_differences import LevelMean, MeanDifference, compare_means
from bodytest.units import PIECE

_KEYS = ("total_shrinkage", "absorption")
_NAME_SIGNS = 48


@dataclass(frozen=True)
class Pair:
    """Two bodies and how they differ."""

    keys: tuple[str, str]
    """Keys of both for the script."""
    names: str
    """Both by name."""
    found: tuple[tuple[str, VerdictMark | None, str], ...]
    """For shrinkage and absorption: what the difference is, the verdict, and why none is possible yet."""


def body_differences(voice: Voice, results: Results, compared: Sequence[Compared]) -> tuple[Pair, ...]:
    """Return every two bodies with their differences; the intervals hold for all of them together.

    Parameters:
        voice: words and decimal sign.
        results: of the analysis.
        compared: the bodies.
    """
    tolerance = results.lab.shrinkage_tolerance_points
    judged = [
        _judged([one.measured(key) for one in compared], allowed, results.confidence)
        for key, allowed in zip(_KEYS, (tolerance, None), strict=True)
    ]
    pairs = []
    for pair in combinations(range(len(compared)), 2):
        names = [_name(compared[k]) for k in pair]
        told = tuple(
            _told(voice, key, found[pair], tolerance, results.length_unit)
            if pair in found
            else (voice.say(f"differences.{key}_unknown"), None, _why_unknown(voice, key, [compared[k] for k in pair]))
            for key, found in zip(_KEYS, judged, strict=True)
        )
        together = voice.say("differences.pair", first=names[0], second=names[1])
        pairs.append(Pair((f"body-{pair[0]}", f"body-{pair[1]}"), together, told))
    return tuple(pairs)


def _name(one: Compared) -> str:
    return clipped(one.page.head.body, _NAME_SIGNS)


def _judged(
    figures: Sequence[QuantityResult | None], tolerance: float | None, confidence: float
) -> dict[tuple[int, int], MeanDifference]:
    """Return the differences of those that have an interval, by their positions."""
    known = {k: level for k, one in enumerate(figures) if (level := _level(one)) is not None}
    if len(known) < 2:
        return {}
    place = list(known)
    found = compare_means(list(known.values()), tolerance=tolerance, confidence=confidence)
    return {(place[one.first], place[one.second]): one for one in found}


def _level(one: QuantityResult | None) -> LevelMean | None:
    if one is None or one.mean is None or one.standard_uncertainty is None or not one.degrees_of_freedom:
        return None
    return LevelMean(one.mean, one.standard_uncertainty**2, one.degrees_of_freedom)


def _told(
    voice: Voice, key: str, found: MeanDifference, tolerance: float | None, unit: str
) -> tuple[str, VerdictMark | None, str]:
    decimals = max(decimals_for((found.high - found.low) / 2), 1)
    low, high = (found.low, found.high) if found.difference >= 0 else (-found.high, -found.low)
    amount = voice.number(abs(found.difference), decimals)
    less = "less" if found.difference < 0 else "more"
    said = voice.say(
        f"differences.{key}_{less}",
        amount=amount,
        interval=voice.between(low, high, decimals),
        length=on_piece(voice, abs(found.difference) / 100, unit),
        piece=voice.plain(PIECE[unit], unit),
    )
    why = ""
    if found.verdict == "cannot tell yet":
        reason = "alike" if key == "absorption" else "no_tolerance" if tolerance is None else "tolerance"
        most = voice.number(max(abs(found.low), abs(found.high)), decimals)
        why = voice.say(f"differences.open_{reason}", most=most, tolerance=voice.plain(tolerance))
    return said, short_verdict_mark(voice, found.verdict), why


def _why_unknown(voice: Voice, key: str, two: Sequence[Compared]) -> str:
    missing = [_name(one) for one in two if one.measured(key) is None]
    if missing:
        return voice.say("differences.not_measured", bodies=voice.joined(missing))
    alone = [_name(one) for one in two if _level(one.measured(key)) is None]
    return voice.say("differences.no_interval", bodies=voice.joined(alone))


_COLUMNS = 6
"""Columns of one table; further bodies stand in further tables, so that paper holds them."""


def side_by_side_page(voice: Voice, results: Results, compared: tuple[Compared, ...]) -> dict[str, object]:
    """Return the comparison of all bodies, a column for each; the page's script shows the chosen ones."""
    groups = [one.part.choice.group for one in compared]
    precise = {
        quantity.key: mean_decimals([group.quantities.get(quantity.key) for group in groups], quantity.digits)
        for quantity in QUANTITIES
    }
    factors = factor_column(voice, groups)
    unit = results.length_unit
    cells = [_cells(voice, one, factor, precise, unit) for one, factor in zip(compared, factors, strict=True)]
    labels = list(cells[0]) if cells else []
    return {
        "bodies": [(one.page.head.body, one.page.head.file_name) for one in compared],
        "columns": _COLUMNS,
        "rows": [
            (voice.say(f"side.{label}", piece=voice.plain(PIECE[unit], unit)), [column[label] for column in cells])
            for label in labels
        ],
        "choosing": choosing(voice, compared),
        "pairs": body_differences(voice, results, compared),
        "differences_help": voice.say("differences.help", confidence=voice.percent(results.confidence)),
    }


def _cells(voice: Voice, one: Compared, factor: str, precise: Mapping[str, int], unit: str) -> dict[str, Cell]:
    group = one.part.choice.group
    total = group.quantities.get("total_shrinkage")
    found = {key: group.quantities.get(key) for key in precise}
    mean = {key: Cell(voice.mean_to(precise[key], one, one.unit if one else "")) for key, one in found.items()}
    response = next(iter(one.part.responses), None)
    return {
        "firing": Cell(firing_name(voice, group)),
        "direction": Cell(group.direction or "–"),
        "factor": Cell(factor),
        "wet": Cell("–" if group.wet_size_factor is None else on_piece(voice, group.wet_size_factor, unit)),
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


def _next(voice: Voice, total: QuantityResult | None, decimals: int) -> str:
    return "–" if total is None else with_unit(voice.between(total.next_low, total.next_high, decimals), total.unit)


def _verdict(voice: Voice, group: Tested) -> Cell:
    absorbed = group.quantities.get("absorption")
    mark = short_verdict_mark(voice, absorbed.decision if absorbed else None)
    return Cell("" if mark else "–", mark=mark)
