"""The analysis: checked sheets in, results out."""

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pandas as pd

from bodytest import __version__
from bodytest.analysis.answers import answers
from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.decisions import doubts
from bodytest.analysis.groups import group_rows, summarise_group
from bodytest.analysis.programmes import summarise_programmes
from bodytest.analysis.response_levels import celsius_of
from bodytest.analysis.values import BarValues, bar_values
from bodytest.findings import Finding, finding
from bodytest.quantities import BAR_READINGS, DATES, MARK_READINGS
from bodytest.results import Group, Results
from bodytest.tables import BAR_TEXTS, CheckedSheets, Firing, Lab
from bodytest.units import iso_day

_USUAL_CONFIDENCE = 0.95


def analyse(sheets: CheckedSheets, *, confidence: float | None = None, borrow: bool = False) -> Results:
    """Compute every quantity of each bar, summarise the groups and fit the responses to firing.

    Parameters:
        sheets: what `bodytest.read_sheets` returned.
        confidence: confidence of the intervals as a fraction; when None, what the Lab tables state, else 0.95.
        borrow: take the scatter of batches and loads from the workshop's other programmes of the same purpose, where a
            programme's own bars do not show it; else only from what the Lab tables state.
    """
    from bodytest.analysis.bar_needs import usual_needs
    from bodytest.analysis.comparisons import USUAL_QUANTITIES, usual_comparisons
    from bodytest.analysis.pieces import compare_pieces
    from bodytest.analysis.response import firing_responses
    from bodytest.analysis.timeline import timelines

    results = summarise(sheets, confidence=confidence, borrow=borrow)
    return replace(
        results,
        responses=firing_responses(results),
        pieces=compare_pieces(results, sheets.pieces, confidence=results.confidence),
        comparisons=usual_comparisons(results),
        timelines=tuple(one for quantity in USUAL_QUANTITIES for one in timelines(results, quantity)),
        bar_needs=usual_needs(results),
    )


def summarise(sheets: CheckedSheets, *, confidence: float | None = None, borrow: bool = False) -> Results:
    """Compute every quantity of each bar and summarise the groups, without responses and pieces."""
    lab, differing = _common_lab(sheets)
    chosen = _USUAL_CONFIDENCE if "confidence" in differing else lab.confidence
    bench = Bench(sheets, bar_values(sheets), confidence or chosen)
    rows_of = group_rows(sheets)
    unordered = [(summarise_group(bench, key, rows), rows) for key, rows in rows_of.items()]
    ordered = sorted(unordered, key=lambda pair: _order(pair[0]))
    programmes, before_firing = summarise_programmes(bench, ordered, lab, borrow=borrow)
    return Results(
        software=f"bodytest {__version__}",
        sheets=sheets.sheets,
        confidence=bench.confidence,
        lab=lab,
        groups=tuple(group for group, _ in ordered),
        bars=_bar_table(sheets, bench.values, [rows for _, rows in ordered]),
        findings=(*sheets.findings, *_lab_findings(differing), *doubts(programmes)),
        programmes=programmes,
        answers=answers(programmes, lab.shrinkage_tolerance_points),
        before_firing=before_firing,
        specifications=sheets.specifications,
        cells=sheets.cells,
        firings=tuple(_firings(sheets)),
        marks=sheets.marks,
        length_unit=sheets.length_unit,
        temperature_unit=sheets.temperature_unit,
    )


def _firings(sheets: CheckedSheets) -> Iterator[Firing]:
    for row in sheets.firings.to_dict("records"):
        told: dict[str, Any] = {str(name): None if pd.isna(value) else value for name, value in row.items()}
        yield Firing(**{**told, "sheet": sheets.sheets[row["sheet"]].name})


def _common_lab(sheets: CheckedSheets) -> tuple[Lab, list[str]]:
    """Return what the Lab tables of all sheets with bars agree on, and the names of the fields in which they differ."""
    with_bars = np.unique(sheets.bars["sheet"].to_numpy(dtype=np.int64))
    labs = [sheets.sheets[position].lab for position in with_bars]
    if not labs:
        return Lab(), []
    first = labs[0]
    names = [item.name for item in fields(Lab)]
    differing = [name for name in names if any(getattr(lab, name) != getattr(first, name) for lab in labs)]
    defaults = Lab()
    return replace(first, **{name: getattr(defaults, name) for name in differing}), differing


_MATTER_WHEN_DIFFERENT = {
    "absorption_limit_percent": ("absorption limit", "the lowest one is used where bars are put together"),
    "confidence": ("confidence", "95 % is used"),
    "shrinkage_tolerance_points": ("shrinkage tolerance", "none is used unless it is given to the command"),
}


def _lab_findings(differing: list[str]) -> list[Finding]:
    return [
        finding("lab-differs", item=_MATTER_WHEN_DIFFERENT[name][0], used=_MATTER_WHEN_DIFFERENT[name][1])
        for name in differing
        if name in _MATTER_WHEN_DIFFERENT
    ]


def _order(group: Group) -> tuple[object, ...]:
    celsius = celsius_of(group)
    method = group.absorption_method or ""
    return (group.body, celsius is None, celsius or 0.0, group.firing == "", group.firing, group.direction, method)


def _bar_table(sheets: CheckedSheets, values: BarValues, rows_of_groups: list[Rows]) -> pd.DataFrame:
    names = np.array([source.name for source in sheets.sheets], dtype=object)
    group = np.full(len(sheets.bars), -1, dtype=np.int64)
    for position, rows in enumerate(rows_of_groups):
        group[rows] = position
    columns: dict[str, object] = {
        "sheet": names[sheets.bars["sheet"].to_numpy(dtype=np.int64)] if len(sheets.bars) else [],
        "row": sheets.bars["row"].to_numpy(),
        **{text: sheets.bars[text].to_numpy() for text in BAR_TEXTS},
        "group": group,
        **values.values,
        **{reading.column: values.readings[reading.key] for reading in (*BAR_READINGS, *MARK_READINGS)},
        "marks": values.marks,
    }
    for date in (one for one in DATES if one.column in sheets.bars):
        columns[date.key] = list(map(iso_day, sheets.bars[date.column]))
    if values.stated:
        stated = values.stated.items()
        columns["stated"] = [tuple(key for key, bars in stated if bars[bar]) for bar in range(len(sheets.bars))]
    bars = pd.DataFrame(columns)
    bars["id"] = _ids(bars)
    return bars


def _ids(bars: pd.DataFrame) -> list[str]:
    """Return a name for each bar that stays the same whatever its file is called.

    One without a code, and a second one of the same names, is told by its sheet and row.
    """
    names = (bars[text].tolist() for text in ("body", "batch", "bar", "firing"))
    told = [" | ".join(one) for one in zip(*names, strict=True)]
    again = pd.Series(told, dtype=object).duplicated().to_numpy() | (bars["bar"] == "").to_numpy()
    for at in np.flatnonzero(again):
        told[at] = f"{told[at]} | {bars['sheet'].iloc[at]}, row {bars['row'].iloc[at]}"
    return told
