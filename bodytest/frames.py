"""Results as flat tables: rows for data frames and CSV, and what a notebook shows of them."""

from collections.abc import Iterator
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from bodytest.errors import UnusableRequest
from bodytest.findings import Finding
from bodytest.quantities import possible
from bodytest.rounding import counted, decimals_for, interval_text, number_text, plus_minus_text

if TYPE_CHECKING:
    import pandas as pd

    from bodytest.results import Group, Programme, QuantityResult, Results

GROUP_COLUMNS = ("body", "firing", "direction", "absorption_method", "cone", "peak_temperature_c", "atmosphere")
"""What names a group and its firing."""
PROGRAMME_COLUMNS = (
    "body", "programme", "called", "purpose", "kiln", "direction", "absorption_method", "cone", "temperature_c",
    "atmosphere",
)  # fmt: skip
"""What names a programme."""
FACTOR_COLUMNS = ("wet_size_factor", "wet_size_factor_low", "wet_size_factor_high")
"""Filled on the rows of ``total_shrinkage``: wet size = fired size × factor."""
UNNAMED_BATCH = "(unnamed)"
"""Stands for a batch without a name among batches that have one, because blank means all batches."""
NOT_IN_TABLE = {"certainty", "flagged", "borrowed"}
"""Fields of a quantity that are themselves lists."""
FRAMES = ("programmes", "groups", "bars", "findings")
"""What there are data frames of."""


def rows_of(one: "Group | Programme", names: tuple[str, ...]) -> Iterator[dict[str, object]]:
    """Yield a row for each quantity: of all batches (blank) first, then of each on its own."""
    named = {name: getattr(one, name) for name in names}
    yield from _rows(named, "", one.bars, one.quantities)
    if one.batches not in ((), ("",)):
        for batch in one.by_batch:
            yield from _rows(named, batch.batch or UNNAMED_BATCH, batch.bars, batch.quantities)


def _rows(
    named: dict[str, object], batch: str, bars: int, quantities: "dict[str, QuantityResult]"
) -> Iterator[dict[str, object]]:
    for key, quantity in quantities.items():
        figures = {one.name: getattr(quantity, one.name) for one in fields(quantity) if one.name not in NOT_IN_TABLE}
        factors = size_factors(quantity) if key == "total_shrinkage" else {}
        yield {**named, "batch": batch, "bars": bars, "quantity": key, **figures, **factors}


def size_factors(total: "QuantityResult | None", names: tuple[str, ...] = FACTOR_COLUMNS) -> dict[str, Any]:
    """Return the wet size over the fired size with its interval, by name; None where the shrinkage is not known."""
    from bodytest.lab.shrinkage import wet_size_factor

    shrinkages = zip(names, (total.mean, total.low, total.high) if total else (None,) * 3, strict=True)
    return {name: None if shrinkage is None else float(wet_size_factor(shrinkage)) for name, shrinkage in shrinkages}


def frame_of(results: "Results", what: str) -> "pd.DataFrame":
    """Return a data frame of programmes or groups (a row for each batch and quantity), bars or findings.

    Raises:
        UnusableRequest: there is no such frame.
    """
    import pandas as pd

    if what == "bars":
        return results.bars.copy()
    if what == "findings":
        return pd.DataFrame([vars(found) for found in results.findings], columns=[one.name for one in fields(Finding)])
    if what == "programmes":
        rows = [row for one in results.programmes for row in rows_of(one, ("id", *PROGRAMME_COLUMNS))]
    elif what == "groups":
        rows = [row for one in results.groups for row in rows_of(one, ("id", *GROUP_COLUMNS))]
    else:
        raise UnusableRequest("no-such-word", value=repr(what), what="to_frame", there=", ".join(FRAMES))
    return pd.DataFrame(rows)


def in_short(results: "Results") -> str:
    """Return what results are in one line."""
    counts = (
        (len(dict.fromkeys(group.body for group in results.groups)), "body"),
        (len(results.programmes), "programme"),
        (len(results.groups), "group"),
        (len(results.bars), "bar"),
        (len(results.sheets), "sheet"),
        (len(results.findings), "finding"),
    )
    told = ", ".join(counted(count, noun) for count, noun in counts)
    return f"<bodytest results: {told}; {100.0 * results.confidence:g} % intervals>"


def html_table(results: "Results") -> str:
    """Return the programme that answers for each body as an HTML table, with ± half of its interval."""
    import pandas as pd

    programmes = {one.id: one for one in results.programmes}
    chosen = [(one, programmes[one.programme]) for one in results.answers if one.programme in programmes]
    rows = [
        {
            "body": one.body,
            "programme": one.called,
            "direction": one.direction,
            "bars": one.bars,
            "total shrinkage (%)": _with_half(one, "total_shrinkage"),
            "wet size = finished ×": number_text(one.wet_size_factor, 4) if answer.known else "not known well enough",
            "absorption (%)": _with_half(one, "absorption"),
            "holds for": one.speaks_of.words(),
        }
        for answer, one in chosen
    ]
    return pd.DataFrame(rows).to_html(index=False, border=0) if rows else "<p>No bar was measured fired yet.</p>"


def _with_half(one: "Programme", key: str) -> str:
    found = one.quantities.get(key)
    if found is None or found.mean is None:
        return ""
    if (low := possible(key, found.low, found.high)) == 0.0 or found.skew:
        return f"{number_text(found.mean, decimals_for(found.half_width))} ({interval_text(low, found.high)})"
    return plus_minus_text(found.mean, found.half_width, decimals_for(found.half_width))
