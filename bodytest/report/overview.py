"""The pages over all bodies: the index with a row for each, and chosen ones side by side in columns."""

from collections.abc import Mapping, Sequence
from itertools import combinations

from bodytest.quantities import QUANTITIES
from bodytest.report.body_page import BodyPage
from bodytest.report.choosing import choosing
from bodytest.report.sections.answer import factor_column
from bodytest.report.sections.audit import finding_table
from bodytest.report.sections.response import safe_window_text
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import Tested, firing_code, firing_details, firing_name
from bodytest.report.wording import VerdictMark, Voice, mean_decimals, short_verdict_mark
from bodytest.results import QuantityResult, Results
from bodytest.rounding import NO_BREAK, decimals_for, with_unit
from bodytest.shown import clipped
from bodytest.stats.mean_differences import LevelMean, MeanDifference, compare_means


def index_page(voice: Voice, results: Results, compared: tuple[BodyPage, ...]) -> dict[str, object]:
    """Return what stands on the index over all bodies."""
    counts = {"bodies": voice.count("body", len(compared)), "sheets": voice.count("sheet", len(results.sheets))}
    return {
        "workshop": results.lab.workshop,
        "message": voice.say("index.message", **counts),
        "bodies": _bodies(voice, compared),
        "findings": finding_table(voice, results.findings),
        "choosing": choosing(voice, compared),
    }


def _bodies(voice: Voice, compared: tuple[BodyPage, ...]) -> Table:
    names = ("body", "firing", "total", "factor", "absorption", "verdict", "range", "batches", "bars", "last")
    numeric = {"total", "factor", "absorption", "range", "batches", "bars"}
    columns = columns_of(voice, "index", names, numeric)
    groups = [one.part.choice.group for one in compared]
    totals, absorptions = (
        voice.means([group.quantities.get(key) for group in groups]) for key in ("total_shrinkage", "absorption")
    )
    numbers = zip(totals, factor_column(voice, groups), absorptions, strict=True)
    rows = [_row(voice, one, *own) for one, own in zip(compared, numbers, strict=True)]
    return table(voice.say("index.caption"), columns, rows, key="bodies", whole=True)


def _row(voice: Voice, one: BodyPage, total: str, factor: str, absorption: str) -> list[Cell | str]:
    group = one.part.choice.group
    response = next(iter(one.part.responses), None)
    low = response.safe_window[0] if response and response.safe_window else None
    details = firing_details(voice, group, atmosphere=False)
    return [
        Cell(one.body, link=one.file_name, sort=one.body),
        Cell(firing_code(voice, group), small=details, sort=_sortable(one.celsius)),
        Cell(total, sort=_mean(group, "total_shrinkage")),
        Cell(factor, sort=_sortable(group.wet_size_factor)),
        Cell(absorption, sort=_mean(group, "absorption")),
        _verdict(voice, one),
        Cell(
            safe_window_text(voice, response).removesuffix(f"{NO_BREAK}{voice.temperature_unit}"), sort=_sortable(low)
        ),
        str(len(one.part.batches)),
        str(len(one.part.bars)),
        one.part.last_fired or "–",
    ]


def _mean(group: Tested, key: str) -> str:
    return _sortable(group.quantities[key].mean if key in group.quantities else None)


def _sortable(value: float | None) -> str:
    """Return a number for the sorting script; what is not known sorts last."""
    return "" if value is None else f"{value:.6g}"


_KEYS = ("total_shrinkage", "absorption")
_NAME_SIGNS = 48


def body_differences(voice: Voice, results: Results, compared: Sequence[BodyPage]) -> list[dict[str, object]]:
    """Return every two bodies with their differences; the intervals hold for all of them together.

    What is found of shrinkage and absorption is the difference, its verdict, and why none is possible yet.
    """
    tolerance = results.lab.shrinkage_tolerance_points
    judged = [
        _judged([one.measured(key) for one in compared], allowed, results.confidence)
        for key, allowed in zip(_KEYS, (tolerance, None), strict=True)
    ]
    pairs: list[dict[str, object]] = []
    for pair in combinations(range(len(compared)), 2):
        names = [_name(compared[k]) for k in pair]
        told = tuple(
            _told(voice, key, found[pair], tolerance)
            if pair in found
            else (voice.say(f"differences.{key}_unknown"), None, _why_unknown(voice, key, [compared[k] for k in pair]))
            for key, found in zip(_KEYS, judged, strict=True)
        )
        together = voice.say("differences.pair", first=names[0], second=names[1])
        pairs.append({"of": [f"body-{k}" for k in pair], "names": together, "found": told})
    return pairs


def _name(one: BodyPage) -> str:
    return clipped(one.body, _NAME_SIGNS)


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
    voice: Voice, key: str, found: MeanDifference, tolerance: float | None
) -> tuple[str, VerdictMark | None, str]:
    decimals = max(decimals_for((found.high - found.low) / 2), 1)
    low, high = (found.low, found.high) if found.difference >= 0 else (-found.high, -found.low)
    amount = voice.number(abs(found.difference), decimals)
    less = "less" if found.difference < 0 else "more"
    said = voice.say(
        f"differences.{key}_{less}",
        amount=amount,
        interval=voice.between(low, high, decimals),
        length=voice.on_piece(abs(found.difference) / 100),
        piece=voice.piece(),
    )
    why = ""
    if found.verdict == "cannot tell yet":
        reason = "alike" if key == "absorption" else "no_tolerance" if tolerance is None else "tolerance"
        most = voice.number(max(abs(found.low), abs(found.high)), decimals)
        why = voice.say(f"differences.open_{reason}", most=most, tolerance=voice.plain(tolerance))
    return said, short_verdict_mark(voice, found.verdict), why


def _why_unknown(voice: Voice, key: str, two: Sequence[BodyPage]) -> str:
    missing = [_name(one) for one in two if one.measured(key) is None]
    if missing:
        return voice.say("differences.not_measured", bodies=voice.joined(missing))
    alone = [_name(one) for one in two if _level(one.measured(key)) is None]
    return voice.say("differences.no_interval", bodies=voice.joined(alone))


_COLUMNS = 6
"""Columns of one table; further bodies stand in further tables, so that paper holds them."""


def side_by_side_page(voice: Voice, results: Results, compared: tuple[BodyPage, ...]) -> dict[str, object]:
    """Return the comparison of all bodies, a column for each; the page's script shows the chosen ones."""
    groups = [one.part.choice.group for one in compared]
    precise = {
        quantity.key: mean_decimals([group.quantities.get(quantity.key) for group in groups], quantity.digits)
        for quantity in QUANTITIES
    }
    factors = factor_column(voice, groups)
    cells = [_cells(voice, one, factor, precise) for one, factor in zip(compared, factors, strict=True)]
    labels = list(cells[0]) if cells else []
    return {
        "bodies": [(one.body, one.file_name) for one in compared],
        "columns": _COLUMNS,
        "rows": [
            (voice.say(f"side.{label}", piece=voice.piece()), [column[label] for column in cells]) for label in labels
        ],
        "choosing": choosing(voice, compared),
        "pairs": body_differences(voice, results, compared),
        "differences_help": voice.say("differences.help", confidence=voice.percent(results.confidence)),
    }


def _cells(voice: Voice, one: BodyPage, factor: str, precise: Mapping[str, int]) -> dict[str, Cell]:
    group = one.part.choice.group
    total = group.quantities.get("total_shrinkage")
    found = {key: group.quantities.get(key) for key in precise}
    mean = {key: Cell(voice.mean_to(precise[key], one, one.unit if one else "")) for key, one in found.items()}
    response = next(iter(one.part.responses), None)
    return {
        "firing": Cell(firing_name(voice, group)),
        "direction": Cell(group.direction or "–"),
        "factor": Cell(factor),
        "wet": Cell("–" if group.wet_size_factor is None else voice.on_piece(group.wet_size_factor)),
        "drying": mean["drying_shrinkage"],
        "total": mean["total_shrinkage"],
        "next": Cell(_next(voice, total, precise["total_shrinkage"])),
        "absorption": mean["absorption"],
        "verdict": _verdict(voice, one),
        "density": mean["bulk_density"],
        "loi": mean["loss_on_ignition"],
        "range": Cell(safe_window_text(voice, response)),
        "batches": Cell(str(len(one.part.batches))),
        "bars": Cell(str(len(one.part.bars))),
        "last": Cell(one.part.last_fired or "–"),
    }


def _next(voice: Voice, total: QuantityResult | None, decimals: int) -> str:
    return "–" if total is None else with_unit(voice.between(total.next_low, total.next_high, decimals), total.unit)


def _verdict(voice: Voice, one: BodyPage) -> Cell:
    mark = short_verdict_mark(voice, one.decision)
    return Cell("" if mark else "–", mark=mark, sort=mark.words if mark else "")
