"""Bars → groups: the statistics of every quantity, for the group and for each of its batches."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bodytest import cones
from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.certainty import certainty_of
from bodytest.analysis.decisions import LIMITED_QUANTITY, decide_on_limit
from bodytest.analysis.estimate import as_result
from bodytest.analysis.flags import flag_bars
from bodytest.analysis.instruments import InstrumentErrors, instrument_errors
from bodytest.analysis.values import Array
from bodytest.lab.shrinkage import wet_size_factor
from bodytest.quantities import QUANTITIES, Quantity
from bodytest.results import BatchResult, FlaggedBar, Group, QuantityResult
from bodytest.stats.batches import BatchesSummary, summarise_batches
from bodytest.stats.nested import mark_spread
from bodytest.stats.summary import MeanSummary, summarise_bars
from bodytest.tables import CheckedSheets


@dataclass(frozen=True)
class GroupKey:
    """What makes bars one group."""

    body: str
    """Name of the body."""
    firing: str
    """Code of the firing, ``""`` when not fired yet."""
    direction: str
    """Direction of the measured length."""
    absorption_method: str
    """Method of the Lab sheet, ``""`` where none is stated."""


def group_rows(sheets: CheckedSheets) -> dict[GroupKey, Rows]:
    """Return the rows of each group, left-out bars included, in the order of the sheets."""
    bars = sheets.bars
    if bars.empty:
        return {}
    methods = np.array([source.lab.absorption_method or "" for source in sheets.sheets], dtype=object)
    keys = bars[["body", "firing", "direction"]].assign(method=methods[bars["sheet"].to_numpy(dtype=np.int64)])
    indices = keys.groupby(["body", "firing", "direction", "method"], sort=False).indices
    return {_group_key(key): np.sort(rows).astype(np.int64) for key, rows in indices.items()}


def _group_key(parts: Any) -> GroupKey:
    return GroupKey(*(str(part) for part in parts))


def first_rows_by_firing(firings: pd.DataFrame) -> "dict[str, pd.Series]":
    """Return the first row of each firing code."""
    return {str(row["firing"]): row for _, row in firings.drop_duplicates("firing").iterrows()}


def summarise_group(bench: Bench, key: GroupKey, rows: Rows) -> Group:
    """Return the statistics of one group."""
    left_out = bench.left_out[rows]
    counted = rows[~left_out]
    batches = _rows_by_batch(bench, counted)
    quantities = dict(_quantities(bench, counted))
    total = quantities.get("total_shrinkage")
    return Group(
        body=key.body,
        firing=key.firing,
        direction=key.direction,
        absorption_method=key.absorption_method or None,
        bars=len(counted),
        left_out=int(left_out.sum()),
        batches=tuple(batches),
        wet_size_factor=_factor(total.mean if total else None),
        wet_size_factor_low=_factor(total.low if total else None),
        wet_size_factor_high=_factor(total.high if total else None),
        quantities=quantities,
        by_batch=_by_batch(bench, batches, quantities),
        wet_length_mm=_mean_or_none(bench.values.readings["wet_length"][counted]),
        **_firing_fields(bench, key.firing),
    )


def _firing_fields(bench: Bench, firing: str) -> dict[str, Any]:
    row = bench.firings.get(firing)
    if row is None:
        return {"cone": None, "peak_temperature_c": None, "atmosphere": None}
    peak = row["peak_temperature_c"] if pd.notna(row["peak_temperature_c"]) else row["set_temperature_c"]
    cone = row["cone"] or None
    measured = None if pd.isna(peak) else float(peak)
    return {
        "cone": cone,
        "peak_temperature_c": measured,
        "atmosphere": row["atmosphere"] or None,
        "date": row["date"] or None,
        "nominal_temperature_c": cones.nominal_celsius(cone) if cone and measured is None else None,
        "temperature_expanded_c": _temperature_expanded(bench, row),
    }


def _temperature_expanded(bench: Bench, row: pd.Series) -> float | None:
    """Return the stated ± of a firing's temperature, that of its Lab table where it states none."""
    if pd.notna(row["temperature_expanded_c"]):
        return float(row["temperature_expanded_c"])
    return bench.sheets.sheets[int(row["sheet"])].lab.temperature_expanded_c


def _rows_by_batch(bench: Bench, rows: Rows) -> dict[str, Rows]:
    if len(bench.batch_names) == 1 and len(rows):
        return {bench.batch_names[0]: rows}
    codes = bench.batch_of_bar[rows]
    return {bench.batch_names[code]: rows[codes == code] for code in pd.unique(codes)}


def _by_batch(bench: Bench, batches: dict[str, Rows], pooled: dict[str, QuantityResult]) -> tuple[BatchResult, ...]:
    if len(batches) == 1:
        ((name, rows),) = batches.items()
        return (BatchResult(name, len(rows), pooled),)
    return tuple(BatchResult(name, len(rows), dict(_quantities(bench, rows))) for name, rows in batches.items())


def _factor(shrinkage_percent: float | None) -> float | None:
    return None if shrinkage_percent is None else float(wet_size_factor(shrinkage_percent))


def _mean_or_none(lengths: Array) -> float | None:
    measured = lengths[~np.isnan(lengths)]
    return float(measured.mean()) if len(measured) else None


def _quantities(bench: Bench, rows: Rows) -> Iterator[tuple[str, QuantityResult]]:
    for quantity in QUANTITIES:
        measured = rows[~np.isnan(bench.values.values[quantity.key][rows])]
        if len(measured):
            yield quantity.key, _summarise(bench, quantity, measured)


def _summarise(bench: Bench, quantity: Quantity, rows: Rows) -> QuantityResult:
    values = bench.values.values[quantity.key][rows]
    batches = _rows_by_batch(bench, rows)
    errors = instrument_errors(bench, quantity, rows)
    summary = _summary(bench, values, batches, rows, errors)
    flagged = flag_bars(bench.sheets, bench.values, quantity, batches)
    spread = _mark_spread(bench, quantity.key, rows)
    result = replace(
        as_result(summary, unit=quantity.unit, why_no_interval=_ONE_BAR),
        certainty=certainty_of(summary, [len(b) for b in batches.values()], errors, spread),
        flagged=tuple(flagged.values()),
        mean_without_flagged=_mean_without(values, rows, flagged),
        mark_sd=spread[0] if spread else None,
    )
    return decide_on_limit(bench, rows, len(batches), result) if quantity.key == LIMITED_QUANTITY else result


_ONE_BAR = "One bar alone shows no scatter, so no interval can be given; measure at least two more."


def _summary(
    bench: Bench, values: Array, batches: dict[str, Rows], rows: Rows, errors: InstrumentErrors
) -> MeanSummary | BatchesSummary:
    options = {
        "confidence": bench.confidence,
        "step_uncertainty": errors.step,
        "shared_uncertainty": errors.shared_step,
        "calibration_uncertainty": errors.calibration,
    }
    if len(batches) < 2:
        return summarise_bars(values, **options)
    codes, _ = pd.factorize(bench.batch_of_bar[rows])
    return summarise_batches(values, codes, **options)


def _mark_spread(bench: Bench, key: str, rows: Rows) -> tuple[float, float] | None:
    """Return the SD between marks of one bar and the mean number of marks, where bars carry several."""
    if key not in bench.values.mark_values or bench.values.marks[rows].max() < 2:
        return None
    values, bar_row = bench.values.mark_values[key]
    chosen = np.isin(bar_row, rows)
    bar_count = len(np.unique(bar_row[chosen]))
    if not bar_count or chosen.sum() == bar_count:
        return None
    spread = mark_spread(values[chosen], bar_row[chosen])
    return None if spread.mark_sd is None else (float(spread.mark_sd), chosen.sum() / bar_count)


def _mean_without(values: Array, rows: Rows, flagged: dict[int, FlaggedBar]) -> float | None:
    if not flagged:
        return None
    others = values[~np.isin(rows, list(flagged))]
    return float(others.mean()) if len(others) else None
