"""Bars → programmes: what is planned with, over all loads and batches; and what firing cannot change, told once."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.borrowing import seen_elsewhere, stated, with_borrowed
from bodytest.analysis.groups import by_batch, mean_or_none, quantities_of, quantity_of, rows_by_batch
from bodytest.analysis.loads import FiringProgramme, programme_of, shortest_names, temperatures
from bodytest.analysis.response_levels import celsius_of
from bodytest.analysis.specifications import with_verdicts
from bodytest.analysis.stages import stages_of
from bodytest.analysis.volume import with_volumes
from bodytest.frames import size_factors
from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITIES, QUANTITY_BY_KEY
from bodytest.results import BeforeFiring, Group, Programme, QuantityResult
from bodytest.scope import speaks_of
from bodytest.stats.combined_freedom import combined_freedom, student_factor
from bodytest.stats.design import classify
from bodytest.tables import Lab

BEFORE_FIRING: tuple[Quantity, ...] = tuple(q for q in QUANTITIES if not q.needs_firing)
"""Quantities whose readings are all taken before the kiln."""


_Key = tuple[str, FiringProgramme, str, str]
"""What makes bars one programme group: body, programme, direction and absorption method."""
_Parts = list[tuple[Group, Rows]]
"""Bars load by load, with their rows."""


def summarise_programmes(
    bench: Bench, groups: _Parts, lab: Lab, *, borrow: bool
) -> tuple[tuple[Programme, ...], tuple[BeforeFiring, ...]]:
    """Return the programmes of all bodies, in the order of their coolest load, and what firing cannot change.

    The scatter of batches and loads that the Lab table states, or with ``borrow`` what other programmes show, gives a
    second interval where a programme's own bars cannot speak of other batches or loads.
    """
    members: dict[_Key, _Parts] = {}
    for group, rows in groups:
        if group.firing:
            load = bench.firings.get(group.firing)
            of = FiringProgramme((group.firing,)) if load is None else programme_of(load, bench.sheets.temperature_unit)
            key = group.body, of, group.direction, group.absorption_method or ""
            members.setdefault(key, []).append((group, rows))
    called = _called(members)
    before = {(one.body, one.direction): one for one in _before_firing(bench, groups)}
    programmes = tuple(
        _programme_result(bench, of, called[body][of], parts, before[body, direction])
        for (body, of, direction, _), parts in members.items()
    )
    rows_of = [_counted(bench, parts) for parts in members.values()]
    lent = [seen_elsewhere(programmes, one) if borrow else stated(lab) for one in programmes]
    borrowed = tuple(with_borrowed(bench, *one) for one in zip(programmes, rows_of, lent, strict=True))
    judged = tuple(with_verdicts(bench, *one) for one in zip(borrowed, rows_of, strict=True))
    told = with_volumes(judged, bench.confidence)
    overfired = (replace(one, overfired=_overfired(one, told, bench.confidence)) for one in told)
    return tuple(overfired), tuple(before.values())


def _counted(bench: Bench, parts: _Parts) -> Rows:
    rows = np.sort(np.concatenate([rows for _, rows in parts]))
    return np.asarray(rows[~bench.left_out[rows]])


def _called(members: Iterable[_Key]) -> dict[str, dict[FiringProgramme, str]]:
    of_body: dict[str, list[FiringProgramme]] = {}
    for body, of, _, _ in members:
        if of not in of_body.setdefault(body, []):
            of_body[body].append(of)
    return {body: shortest_names(programmes) for body, programmes in of_body.items()}


def _programme_result(bench: Bench, of: FiringProgramme, called: str, parts: _Parts, before: BeforeFiring) -> Programme:
    counted, first = _counted(bench, parts), parts[0][0]
    one_load = len(parts) == 1  # its figures are those of the programme
    quantities = (first.quantities if one_load else dict(quantities_of(bench, counted))) | before.quantities
    loads = tuple(group.firing for group, _ in parts)
    batches = rows_by_batch(bench, counted)
    heats = [temperatures(bench.firings.get(code)) for code in loads]
    return Programme(
        id=" | ".join((first.body, of.name, first.direction, first.absorption_method or "")),
        body=first.body,
        programme=of.name,
        called=called,
        purpose=of.purpose or None,
        kiln=of.kiln or None,
        cone=of.cone or None,
        temperature_c=_mean([read for read, _ in heats]),
        nominal_temperature_c=_mean([nominal for _, nominal in heats]),
        nominal_from="; ".join(dict.fromkeys(group.nominal_from for group, _ in parts if group.nominal_from)) or None,
        atmosphere=of.atmosphere or None,
        direction=first.direction,
        absorption_method=first.absorption_method,
        loads=loads,
        batches=tuple(batches),
        bars=len(counted),
        left_out=sum(group.left_out for group, _ in parts),
        design=classify(bench.batch_of_bar[counted], bench.load_of_bar[counted]) if len(counted) else "one load",
        speaks_of=speaks_of(len(batches), len(loads)),
        **size_factors(quantities.get("total_shrinkage")),
        quantities={q.key: quantities[q.key] for q in QUANTITIES if q.key in quantities},
        by_batch=first.by_batch if one_load else by_batch(bench, batches, quantities),
        wet_length_mm=mean_or_none(bench.values.readings["wet_length"][counted]),
        **stages_of(bench, counted),
    )


def _mean(celsius: list[float | None]) -> float | None:
    known = [one for one in celsius if one is not None]
    return sum(known) / len(known) if known else None


def _before_firing(bench: Bench, groups: _Parts) -> Iterator[BeforeFiring]:
    """Yield what firing cannot change for each body and direction, each bar counted once however often it was fired."""
    of: dict[tuple[str, str], list[Rows]] = {}
    for group, rows in groups:
        of.setdefault((group.body, group.direction), []).append(rows)
    for (body, direction), parts in of.items():
        rows = _once(bench, np.sort(np.concatenate(parts)))
        one_load = bench.unfired()
        found = {q.key: result for q in BEFORE_FIRING if (result := quantity_of(one_load, q, rows)) is not None}
        yield BeforeFiring(body, direction, len(rows), tuple(rows_by_batch(bench, rows)), found)


def _once(bench: Bench, rows: Rows) -> Rows:
    """Return the rows that count, the first of each bar."""
    kept = rows[~bench.left_out[rows]]
    _, first = np.unique(bench.bar_of_row[kept], return_index=True)
    return kept[np.sort(first)]


_DOUBTFUL_FROM = 2.0
"""Standard uncertainties by which a mean lies below one of a cooler programme where the body may have turned."""
_TURNS_BACK = ("total_shrinkage", "firing_shrinkage", "bulk_density")
"""What rises with the firing until the body swells; the first one measured at both programmes is told."""
_WHAT = {"total_shrinkage": "shrinks less", "firing_shrinkage": "shrinks less", "bulk_density": "is less dense"}


def _overfired(one: Programme, programmes: Sequence[Programme], confidence: float) -> str | None:
    """Return a sentence where the body has, or may have, begun to swell at a programme, by what it did at cooler ones.

    It has where the fall is larger than scatter makes any between two of the programmes (Bonferroni, one-sided).
    """
    grown = one.quantities.get("firing_shrinkage")
    if grown is not None and grown.high is not None and grown.high < 0.0 and celsius_of(one) is not None:
        return f"{one.body} grows in the firing at {one.called}: it is overfired and swells."
    cooler = [other for other in programmes if _is_cooler(other, one)]
    for key in _TURNS_BACK:
        mine = one.quantities.get(key)
        known = [other for other in cooler if key in other.quantities]
        if mine is None or not known:
            continue
        best = max(known, key=lambda other: other.quantities[key].mean or -math.inf)
        fall, freedom = _fall(mine, best.quantities[key])
        if fall > _DOUBTFUL_FROM:
            quantity = QUANTITY_BY_KEY[key]
            now, before = (f"{value.mean:.{quantity.digits + 1}f}" for value in (mine, best.quantities[key]))
            figures = f"({now} against {before} {quantity.unit})"
            at = f"{one.called}, {one.direction}," if one.direction else one.called
            turned = f"At {at} {one.body} {_WHAT[key]} than at {best.called} {figures}"
            pairs = math.comb(sum(_is_alike(other, one) and key in other.quantities for other in programmes), 2)
            if fall > student_factor(freedom, 1.0 - 2.0 * (1.0 - confidence) / pairs):
                return f"{turned}: it is overfired and has begun to swell."
            return f"{turned}: it may be overfired. Further bars at both would tell."
    return None


def _is_cooler(other: Programme, one: Programme) -> bool:
    """Say whether another programme shows the same bars of the same body, fired less hot."""
    mine, theirs = celsius_of(one), celsius_of(other)
    return _is_alike(other, one) and mine is not None and theirs is not None and theirs < mine


def _is_alike(other: Programme, one: Programme) -> bool:
    mine, theirs = ((p.body, p.direction, p.absorption_method) for p in (one, other))
    return mine == theirs


def _fall(mine: QuantityResult, theirs: QuantityResult) -> tuple[float, float]:
    """Return by how many of its standard uncertainties a mean lies below another, and their degrees of freedom."""
    if mine.mean is None or theirs.mean is None or not (mine.standard_uncertainty and theirs.standard_uncertainty):
        return 0.0, 1.0
    variances = mine.standard_uncertainty**2, theirs.standard_uncertainty**2
    freedom = combined_freedom(variances, [one.degrees_of_freedom or math.inf for one in (mine, theirs)], math.inf)
    return (theirs.mean - mine.mean) / math.sqrt(sum(variances)), float(freedom)
