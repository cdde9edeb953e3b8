"""Bars → groups: the statistics of every quantity, for the group and for each of its batches."""

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pandas as pd

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.certainty import certainty_of
from bodytest.analysis.decisions import decide_on_limit, with_doubt
from bodytest.analysis.flags import flag_bars
from bodytest.analysis.instruments import InstrumentErrors, instrument_errors
from bodytest.analysis.loads import nominal_from, temperatures
from bodytest.analysis.specifications import LIMITED_QUANTITY
from bodytest.analysis.values import Array
from bodytest.frames import size_factors
from bodytest.lab.record import Quantity
from bodytest.quantities import NEVER_NEGATIVE, QUANTITIES
from bodytest.results import BatchResult, FlaggedBar, Group, QuantityResult
from bodytest.stats.effects import EffectsSummary, Instruments, summarise_effects
from bodytest.stats.nested import mark_scatter
from bodytest.stats.skew import with_room_for_skew
from bodytest.stats.summary import MeanSummary
from bodytest.tables import CheckedSheets

GroupKey = tuple[str, ...]
"""What makes bars one group: body, firing, direction and absorption method, each ``""`` where it is not told."""


def group_rows(sheets: CheckedSheets) -> dict[GroupKey, Rows]:
    """Return the rows of each group, left-out bars included, in the order of the sheets."""
    bars = sheets.bars
    if bars.empty:
        return {}
    methods = np.array([source.lab.absorption_method or "" for source in sheets.sheets], dtype=object)
    keys = bars[["body", "firing", "direction"]].assign(method=methods[bars["sheet"].to_numpy(dtype=np.int64)])
    indices: dict[Any, Any] = keys.groupby(["body", "firing", "direction", "method"], sort=False).indices
    return {tuple(map(str, key)): np.sort(rows).astype(np.int64) for key, rows in indices.items()}


def summarise_group(bench: Bench, key: GroupKey, rows: Rows) -> Group:
    """Return the statistics of one group."""
    body, firing, direction, method = key
    left_out = bench.left_out[rows]
    counted = rows[~left_out]
    batches = rows_by_batch(bench, counted)
    quantities = dict(quantities_of(bench, counted))
    return Group(
        body=body,
        firing=firing,
        direction=direction,
        absorption_method=method or None,
        bars=len(counted),
        left_out=int(left_out.sum()),
        batches=tuple(batches),
        **size_factors(quantities.get("total_shrinkage")),
        quantities=quantities,
        by_batch=by_batch(bench, batches, quantities),
        wet_length_mm=mean_or_none(bench.values.readings["wet_length"][counted]),
        **_firing_fields(bench, firing),
        id=" | ".join(key),
    )


def _firing_fields(bench: Bench, firing: str) -> dict[str, Any]:
    load = bench.firings.get(firing)
    read, nominal = temperatures(load)
    given = {name: None if load is None else load[name] or None for name in ("cone", "atmosphere", "date")}
    celsius = {"peak_temperature_c": read, "nominal_temperature_c": nominal, "nominal_from": nominal_from(load)}
    return {**given, **celsius, "temperature_expanded_c": _temperature_expanded(bench, load)}


def _temperature_expanded(bench: Bench, load: "pd.Series[Any] | None") -> float | None:
    """Return the stated ± of a load's temperature, that of its Lab table where it states none."""
    if load is None:
        return None
    if pd.notna(load["temperature_expanded_c"]):
        return float(load["temperature_expanded_c"])
    return bench.sheets.sheets[int(load["sheet"])].lab.temperature_expanded_c


def rows_by_batch(bench: Bench, rows: Rows) -> dict[str, Rows]:
    """Return the rows of each batch by its name."""
    if len(bench.batch_names) == 1 and len(rows):
        return {bench.batch_names[0]: rows}
    codes = bench.batch_of_bar[rows]
    return {bench.batch_names[code]: rows[codes == code] for code in pd.unique(codes)}


def by_batch(bench: Bench, batches: dict[str, Rows], pooled: dict[str, QuantityResult]) -> tuple[BatchResult, ...]:
    """Return each batch on its own; with one batch that is all of them together."""
    if len(batches) == 1:
        ((name, rows),) = batches.items()
        return (_batch_result(name, rows, pooled),)
    return tuple(_batch_result(name, rows, dict(quantities_of(bench, rows))) for name, rows in batches.items())


def _batch_result(name: str, rows: Rows, quantities: dict[str, QuantityResult]) -> BatchResult:
    return BatchResult(name, len(rows), quantities, **size_factors(quantities.get("total_shrinkage")))


def mean_or_none(lengths: Array) -> float | None:
    """Return the mean of what was measured, None where nothing was."""
    measured = lengths[~np.isnan(lengths)]
    return float(measured.mean()) if len(measured) else None


def quantities_of(bench: Bench, rows: Rows) -> Iterator[tuple[str, QuantityResult]]:
    """Yield each quantity that some of the bars have readings for, by key."""
    for quantity in QUANTITIES:
        if (found := quantity_of(bench, quantity, rows)) is not None:
            yield quantity.key, found


def quantity_of(bench: Bench, quantity: Quantity, rows: Rows) -> QuantityResult | None:
    """Return one quantity over bars of any batches and loads, None where no bar has the readings for it."""
    measured = rows[~np.isnan(bench.values.values[quantity.key][rows])]
    return _summarise(bench, quantity, measured) if len(measured) else None


def _summarise(bench: Bench, quantity: Quantity, rows: Rows) -> QuantityResult:
    cells = _rows_by_cell(bench, rows)
    errors = instrument_errors(bench, quantity, rows)
    summary = _summary(bench, quantity, rows, errors)
    flagged = _flagged(bench, quantity, cells)
    spread = _mark_spread(bench, quantity.key, rows)
    stated = bench.values.stated_of(quantity.key, rows)
    result = replace(
        as_result(summary, unit=quantity.unit, why_no_interval=_ONE_BAR),
        stated=stated,
        certainty=None if stated else certainty_of(summary, errors, spread),
        flagged=tuple(flagged.values()),
        mean_without_flagged=_mean_without(bench.values.values[quantity.key][rows], rows, flagged),
        mark_sd=spread[0] if spread else None,
    )
    result = with_doubt(result, quantity)
    return decide_on_limit(bench, rows, summary, errors, result) if quantity.key == LIMITED_QUANTITY else result


def _flagged(bench: Bench, quantity: Quantity, cells: list[Rows]) -> dict[int, FlaggedBar]:
    """Return the bars that stand apart within their cell, each cell looked at once."""
    found: dict[int, FlaggedBar] = {}
    for rows in cells:
        key = (quantity.key, rows.tobytes())
        if key not in bench.flagged:
            bench.flagged[key] = flag_bars(bench, quantity, rows)
        found |= bench.flagged[key]
    return found


def summary_of(bench: Bench, quantity: Quantity, rows: Rows) -> EffectsSummary | None:
    """Return the plain statistics of one quantity, None where no bar has the readings for it."""
    measured = rows[~np.isnan(bench.values.values[quantity.key][rows])]
    return _summary(bench, quantity, measured, instrument_errors(bench, quantity, measured)) if len(measured) else None


_ONE_BAR = "One bar alone shows no scatter, so no interval can be given; measure at least two more."


def _summary(bench: Bench, quantity: Quantity, rows: Rows, errors: InstrumentErrors) -> EffectsSummary:
    summary = summarise_effects(
        bench.values.values[quantity.key][rows],
        bench.batch_of_bar[rows],
        bench.load_of_bar[rows],
        confidence=bench.confidence,
        instruments=Instruments(errors.step, errors.calibration, errors.shared_step),
    )
    return with_room_for_skew(summary, errors.step) if quantity.key in NEVER_NEGATIVE else summary


def _rows_by_cell(bench: Bench, rows: Rows) -> list[Rows]:
    """Return the rows of each batch in each load."""
    cells = bench.cell_of_bar[rows]
    if np.all(cells == cells[0]):
        return [rows]
    return [rows[cells == number] for number in np.unique(cells)]


def _mark_spread(bench: Bench, key: str, rows: Rows) -> tuple[float, float] | None:
    """Return the SD between marks of one bar and the mean number of marks, where bars carry several."""
    if key not in bench.values.mark_values or bench.values.marks[rows].max() < 2:
        return None
    values, bar_row = bench.values.mark_values[key]
    chosen = np.isin(bar_row, rows)
    scatter = mark_scatter(values[chosen], bar_row[chosen])
    return None if scatter is None else (scatter, chosen.sum() / len(np.unique(bar_row[chosen])))


def _mean_without(values: Array, rows: Rows, flagged: dict[int, FlaggedBar]) -> float | None:
    if not flagged:
        return None
    others = values[~np.isin(rows, list(flagged))]
    return float(others.mean()) if len(others) else None


_FIGURES = {one.name for one in fields(QuantityResult)}


def as_result(summary: MeanSummary, *, unit: str, why_no_interval: str) -> QuantityResult:
    """Return the figures of a summary; ``why_no_interval`` is told where there is no interval."""
    figures = {one.name: getattr(summary, one.name) for one in fields(summary) if one.name in _FIGURES}
    result = QuantityResult(unit=unit, **figures, why_no_interval=None if summary.low is not None else why_no_interval)
    several = isinstance(summary, EffectsSummary) and summary.batches * summary.loads > 1
    return result if several else replace(result, bar_sd=None)  # one batch in one load scatters as its bars do
