"""Figures for notebooks and papers, drawn with seaborn; each returns the Axes, to be changed and saved by its caller.

Every figure can be drawn on Axes that are given; else it makes its own. Percentages are in per cent.
"""

from typing import TYPE_CHECKING

from bodytest.analysis.response_levels import celsius_of
from bodytest.errors import NotMeasured
from bodytest.quantities import QUANTITY_BY_KEY, possible
from bodytest.results import Programme, Results
from bodytest.units import PIECE, degrees

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes

_STAGES = (("leather-hard", "leather_hard_shrinkage"), ("dry", "drying_shrinkage"), ("fired", "total_shrinkage"))
"""Stage and the shrinkage from wet to it."""


def response(results: Results, body: str, *, ax: "Axes | None" = None) -> "Axes":
    """Draw each bar's total shrinkage and absorption against the peak temperature of its firing, as typed.

    Raises:
        NotMeasured: there is no such body, or no bar of it has a temperature and a reading.
    """
    import numpy as np
    import seaborn as sns

    unit = results.temperature_unit
    fired = [np.nan if (at := celsius_of(group)) is None else degrees(at, unit) for group in results.groups]
    bars = _bars(results, body)
    shown = bars.assign(fired=np.array(fired)[bars["group"].to_numpy(dtype=int)])
    long = shown.melt(["fired"], ["total_shrinkage", "absorption"], "quantity", "percent").dropna()
    _refuse_empty(long, body)
    long["quantity"] = [QUANTITY_BY_KEY[key].name for key in long["quantity"]]
    axes: Axes = sns.lineplot(long, x="fired", y="percent", hue="quantity", marker="o", errorbar=None, ax=_axes(ax))
    sns.scatterplot(long, x="fired", y="percent", hue="quantity", alpha=0.5, legend=False, ax=axes)
    axes.set(xlabel=f"Peak temperature ({unit})", ylabel="Per cent", title=body)
    return axes


def bodies(results: Results, *, ax: "Axes | None" = None) -> "Axes":
    """Draw absorption against total shrinkage of each body at the programme that answers for it, with both intervals.

    Raises:
        NotMeasured: no body has both.
    """
    import pandas as pd
    import seaborn as sns

    chosen = [one for answer in results.answers for one in results.programmes if one.id == answer.programme]
    both = [one for one in chosen if {"total_shrinkage", "absorption"} <= one.quantities.keys()]
    rows = [
        (f"{one.body}, {one.called}", *(one.quantities[key].mean for key in ("total_shrinkage", "absorption")))
        for one in both
    ]
    table = pd.DataFrame(rows, columns=["body", "total_shrinkage", "absorption"])
    _refuse_empty(table, "any body")
    axes: Axes = sns.scatterplot(table, x="total_shrinkage", y="absorption", hue="body", s=60, ax=_axes(ax))
    for one, across, up in zip(both, table["total_shrinkage"], table["absorption"], strict=True):
        axes.hlines(up, *_ends(one, "total_shrinkage"), color="0.4")
        axes.vlines(across, *_ends(one, "absorption"), color="0.4")
    axes.set(xlabel="Total linear shrinkage (%)", ylabel="Water absorption (%)")
    return axes


def batches(results: Results, body: str, *, ax: "Axes | None" = None) -> "Axes":
    """Draw each bar's total shrinkage by batch, with the mean of each batch, at the programme that answers.

    Raises:
        NotMeasured: there is no such body, or nothing to draw of it.
    """
    import seaborn as sns

    one = _answering(results, body)
    bars = _bars(results, body)
    shown = bars[bars["firing"].isin(one.loads) & (bars["direction"] == one.direction)].dropna(
        subset=["total_shrinkage"]
    )
    _refuse_empty(shown, body)
    axes: Axes = sns.stripplot(shown, x="batch", y="total_shrinkage", alpha=0.6, ax=_axes(ax))
    sns.pointplot(shown, x="batch", y="total_shrinkage", linestyle="none", marker="_", errorbar=None, ax=axes)
    axes.set(xlabel="Batch", ylabel="Total linear shrinkage (%)", title=f"{body}, {one.called}")
    return axes


def stages(results: Results, body: str, *, ax: "Axes | None" = None) -> "Axes":
    """Draw how long wet 100 mm, or 4 in, still are at each stage, with intervals, at the programme that answers.

    Raises:
        NotMeasured: there is no such body, or nothing to draw of it.
    """
    import pandas as pd
    import seaborn as sns

    one = _answering(results, body)
    known = [(stage, one.quantities[key]) for stage, key in _STAGES if key in one.quantities]
    unit = results.length_unit
    wet = PIECE[unit] / 2.0
    shares = [(stage, (found.mean or 0.0) / 100.0, (found.half_width or 0.0) / 100.0) for stage, found in known]
    rows = [("wet", wet, 0.0), *((stage, wet - wet * shrunk, wet * half) for stage, shrunk, half in shares)]
    table = pd.DataFrame(rows, columns=["stage", "length", "half"])
    _refuse_empty(table.iloc[1:], body)
    axes: Axes = sns.lineplot(table, x="stage", y="length", marker="o", errorbar=None, ax=_axes(ax))
    axes.errorbar(table["stage"], table["length"], yerr=table["half"], fmt="none", ecolor="0.4", capsize=3)
    axes.set(xlabel="Stage", ylabel=f"Length of wet {wet:g} {unit} ({unit})", title=f"{body}, {one.called}")
    return axes


def _ends(one: Programme, key: str) -> tuple[float, float]:
    """Return the interval of a mean as people are told it; the mean alone where it has none."""
    found = one.quantities[key]
    ends = possible(key, found.low, found.high), found.high
    low, high = ((found.mean or 0.0) if end is None else end for end in ends)
    return low, high


def _axes(given: "Axes | None") -> "Axes":
    from matplotlib.figure import Figure

    return Figure(layout="constrained").add_subplot() if given is None else given


def _bars(results: Results, body: str) -> "pd.DataFrame":
    """Return the bars of a body that count."""
    known = dict.fromkeys(group.body for group in results.groups)
    if body not in known:
        raise NotMeasured("body-not-measured", value=body, there=", ".join(known))
    bars = results.bars
    return bars[(bars["body"] == body) & (bars["left_out"] == "") & (bars["group"] >= 0)]


def _answering(results: Results, body: str) -> Programme:
    _bars(results, body)
    wanted = next((one.programme for one in results.answers if one.body == body), None)
    found = next((one for one in results.programmes if one.id == wanted), None)
    if found is None:
        raise NotMeasured("nothing-to-draw", value=body)
    return found


def _refuse_empty(table: "pd.DataFrame", body: str) -> None:
    if table.empty:
        raise NotMeasured("nothing-to-draw", value=body)
