"""Results written out by hand for the tests of export and planning; all names and numbers are invented."""

import math
from dataclasses import replace

import pandas as pd
from scipy.special import stdtrit

from bodytest.budget import Certainty, CertaintyShare
from bodytest.findings import Finding
from bodytest.quantities import QUANTITIES, QUANTITY_BY_KEY
from bodytest.responses import CrossingTemperature, FiringResponse
from bodytest.results import BatchResult, FlaggedBar, Group, PieceComparison, QuantityResult, Results
from bodytest.tables import Lab, SheetSource

LAB = Lab(workshop="Invented workshop", absorption_method="boil 5 h and soak 24 h", length_step_mm=0.1)
SHEET = SheetSource("invented.xlsx", "0123456789abcdef" * 4, LAB)


def quantity(key, mean, sd=None, n=10, **more):
    """Return a one-batch Student summary: u = s/√n, mean ± t·u, next bar ± t·s·√(1 + 1/n)."""
    unit = QUANTITY_BY_KEY[key].unit
    if n < 2 or sd is None:
        return QuantityResult(unit, n, mean, why_no_interval="One bar alone shows no scatter.", **more)
    u, t = sd / math.sqrt(n), float(stdtrit(n - 1, 0.975))
    ahead = t * math.hypot(sd, u)
    return QuantityResult(unit, n, mean, sd, u, n - 1.0, mean - t * u, mean + t * u, mean - ahead, mean + ahead, **more)


def group(body="Drift Buff", firing="C6", direction="along", *, batches=("A",), by_batch=None, **shrinkages):
    """Return a group; shrinkages are ``key=(mean, sd, n)`` or a finished `QuantityResult`."""
    quantities = {
        key: value if isinstance(value, QuantityResult) else quantity(key, *value) for key, value in shrinkages.items()
    }
    total = quantities.get("total_shrinkage")
    factors = [
        None if s is None else 100 / (100 - s) for s in ((total.mean, total.low, total.high) if total else (None,) * 3)
    ]
    n = max((q.n for q in quantities.values()), default=0)
    if by_batch is None:
        by_batch = tuple(BatchResult(batch, n, quantities) for batch in batches)
    return Group(
        body, firing, direction, LAB.absorption_method, "6", 1222.0, "oxidation", n, 1, tuple(batches), *factors,
        quantities, by_batch, date="2026-03-01", wet_length_mm=100.0,
    )  # fmt: skip


STAGES = {
    "leather_hard_shrinkage": (3.0, 0.2, 10),
    "drying_shrinkage": (6.0, 0.2, 10),
    "firing_shrinkage": (100 * (1 - 0.88 / 0.94), 0.3, 10),
    "total_shrinkage": (12.0, 0.25, 10),
}
"""0.94 × (0.88 / 0.94) = 0.88: drying 6 % and firing 6.383 % compound to 12 %."""


def results(*groups, **more):
    """Return results of the groups given, or of one group of `STAGES`."""
    chosen = groups or (group(**STAGES),)
    return Results("bodytest 1.0.0", (SHEET,), 0.95, LAB, tuple(chosen), (), bars=bars_of(chosen), **more)


def bars_of(groups):
    """Return a table with two bars for each group, the second left out and without numbers."""
    rows = []
    for place, one in enumerate(groups):
        for code in ("1", "2"):
            counted = code == "1"
            numbers = {
                q.key: one.quantities[q.key].mean if counted and q.key in one.quantities else math.nan
                for q in QUANTITIES
            }
            rows.append(
                {"sheet": SHEET.name, "row": 2 + len(rows), "bar": f"{place}-{code}", "body": one.body,
                 "batch": one.batches[0] if one.batches else "", "firing": one.firing, "direction": one.direction,
                 "position": "top shelf", "left_out": "" if counted else "cracked", "notes": "", "group": place,
                 "id": f"{one.body} |  | {place}-{code} | {one.firing}",
                 **numbers}
            )  # fmt: skip
    return pd.DataFrame(rows)


def full():
    """Return results with every field of the format filled."""
    certainty = Certainty(
        (CertaintyShare("bars", 0.08, 0.9), CertaintyShare("calibration", 0.027, 0.1)), "More bars.", 12
    )
    absorbed = replace(
        quantity("absorption", 2.0, 0.3), limit=3.0, decision="meets", certainty=certainty, batch_sd=0.1, bar_sd=0.28,
        flagged=(FlaggedBar("7", SHEET.name, 9, 3.9, "boiled mass"),), mean_without_flagged=1.8, mark_sd=0.1,
        tolerance_low=1.0, tolerance_high=3.0, further_bars=4, further_batches=2, why_no_interval="None.",
    )  # fmt: skip
    parts = {key: quantity(key, *value) for key, value in STAGES.items()} | {"absorption": absorbed}
    by_batch = (BatchResult("A", 5, parts), BatchResult("", 5, parts))
    response = FiringResponse(
        "Drift Buff", "along", LAB.absorption_method, ("C4", "C5", "C6"), (1162.0, 1186.0, 1222.0),
        (False, True, False),
        (1162.0, 1222.0), {"absorption": (6.0, 2.0)}, {"absorption": (5.0, 1.5)}, {"absorption": (7.0, 2.5)},
        CrossingTemperature(1210.0, 1200.0, None, "the upper end lies outside"), CrossingTemperature(None, None, None),
        (1210.0, 1222.0), "Tight from 1210 °C.",
    )  # fmt: skip
    pieces = PieceComparison(
        "Drift Buff", "C6", "height", 4, 12.0, 11.4, -0.6, -0.9, -0.3, 1.1287, 1.125, 1.132, "Less.", "along",
        quantity("total_shrinkage", 11.4, 0.2, 4), True,
    )  # fmt: skip
    finding = Finding("few-bars", "note", SHEET.name, "Bars!A2", "5", "Only 5 bars.", "Make more.")
    first = replace(group(batches=("A", ""), by_batch=by_batch, **parts), nominal_temperature_c=1222.0)
    return replace(results(first), findings=(finding,), responses=(response,), pieces=(pieces,))
