"""Results made by hand for the tests of the report: every field filled, and the ways in which fields can be missing.

All names and numbers are invented. Means and intervals are plain Student ones, enough to have something to show.
"""

from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from bodytest.analysis.comparisons import usual_comparisons
from bodytest.analysis.timeline import timelines
from bodytest.budget import Certainty, CertaintyShare
from bodytest.findings import Finding
from bodytest.quantities import QUANTITIES, QUANTITY_BY_KEY, READINGS
from bodytest.responses import CrossingTemperature, FiringResponse
from bodytest.results import BatchResult, FlaggedBar, Group, PieceComparison, QuantityResult, Results
from bodytest.tables import (
    BAR_COLUMNS,
    BAR_TEXTS,
    FIRING_COLUMNS,
    MARK_COLUMNS,
    PIECE_COLUMNS,
    CheckedSheets,
    Lab,
    SheetSource,
)

TODAY = date(2026, 3, 14)
LAB = Lab(
    workshop="Two-person workshop (invented)",
    measured_by="R. (invented)",
    absorption_method="boil 5 h and soak 24 h",
    water_temperature_c=22.0,
    length_step_mm=0.1,
    length_calibration_mm=0.05,
    mass_step_g=0.01,
    mass_step_inferred=True,
    mass_calibration_g=0.02,
    absorption_limit_percent=3.0,
    shrinkage_tolerance_points=0.5,
)
SHEET = SheetSource("invented-trial.xlsx", "ab" * 32, LAB)


@dataclass(frozen=True)
class Trial:
    """What one group of invented bars is like."""

    body: str
    firing: str
    direction: str
    cone: str | None
    celsius: float | None
    batches: dict[str, int] = field(default_factory=lambda: {"": 10})
    drying: float = 5.5
    total: float | None = 12.0
    absorbed: float | None = 2.0
    finding_date: str | None = "2026-02-10"


DRIFT = {"A": 3, "B": 3, "C": 3}
TRIALS = (
    Trial("Chalk White", "K6", "along", "6", 1222.0, {"1": 10}, 6.2, 14.1, 0.6),
    Trial("Drift Buff", "K4", "across", "4", 1164.0, DRIFT, 5.1, 9.4, 6.9),
    Trial("Drift Buff", "K4", "along", "4", 1164.0, DRIFT, 5.6, 10.1, 6.8),
    Trial("Drift Buff", "K5", "across", "5", 1189.0, DRIFT, 5.1, 10.6, 4.4),
    Trial("Drift Buff", "K5", "along", "5", 1189.0, DRIFT, 5.6, 11.2, 4.3),
    Trial("Drift Buff", "K6", "across", "6", 1224.0, DRIFT, 5.1, 11.5, 2.1),
    Trial("Drift Buff", "K6", "along", "6", 1224.0, DRIFT, 5.6, 12.2, 2.0),
    Trial("Drift Buff", "K7", "across", "7", 1241.0, DRIFT, 5.1, 11.3, 1.4),
    Trial("Drift Buff", "K7", "along", "7", 1241.0, DRIFT, 5.6, 11.9, 1.5),
    Trial("Marl Red", "E1", "along", "04", None, {"red 1": 10}, 6.8, 8.4, 12.6),
)


def example(trials: tuple[Trial, ...] = TRIALS, lab: Lab = LAB, seed: int = 7) -> tuple[Results, CheckedSheets]:
    """Return results and sheets of invented bars."""
    rng = np.random.default_rng(seed)
    sheet = replace(SHEET, lab=lab)
    bars = pd.concat([_bars(trial, number, lab, rng) for number, trial in enumerate(trials)], ignore_index=True)
    bars["row"] = np.arange(len(bars)) + 3
    groups = tuple(_group(trial, bars[bars["group"] == number], lab) for number, trial in enumerate(trials))
    results = Results(
        software="bodytest 1.0.0",
        sheets=(sheet,),
        confidence=lab.confidence,
        lab=lab,
        groups=groups,
        bars=bars,
        findings=FINDINGS,
        responses=_responses(groups),
        pieces=_pieces(groups),
    )
    over_time = tuple(one for key in ("total_shrinkage", "absorption") for one in timelines(results, key))
    results = replace(results, comparisons=usual_comparisons(results), timelines=over_time)
    return results, _sheets(sheet, bars, trials)


FINDINGS = (
    Finding("not-a-number", "stop", SHEET.name, "Bars!K14", "12..4", "Bars!K14 holds “12..4”, which is no number.",
            "Type the number as read."),
    Finding("few-bars", "note", SHEET.name, None, None, "Marl Red fired in E1 has 9 bars; ASTM C326 asks for 10.",
            "Make one bar more next time."),
)  # fmt: skip


def _bars(trial: Trial, number: int, lab: Lab, rng: np.random.Generator) -> pd.DataFrame:
    rows = []
    for place, (batch, count) in enumerate(trial.batches.items()):
        for bar in range(count):
            code = f"{trial.body[0]}{number}{batch[:1]}{bar + 1}"
            rows.append(_bar(trial, code, batch, (place - 1) * 0.15, lab, rng))
    frame = pd.DataFrame(rows)
    frame["group"] = number
    if len(frame) > 8:
        frame.loc[3, "left_out"] = "cracked in drying"
        frame.loc[1, "total_shrinkage"] = frame.loc[1, "total_shrinkage"] + 1.6
    return frame


def _bar(trial: Trial, code: str, batch: str, shift: float, lab: Lab, rng: np.random.Generator) -> dict[str, object]:
    wet, wet_mass = 100.0 + rng.normal(0, 0.1), 60.0 + rng.normal(0, 1)
    drying = trial.drying + rng.normal(shift, 0.15)
    dry, dry_mass = wet * (1 - drying / 100), wet_mass / 1.25
    row: dict[str, object] = dict.fromkeys((q.key for q in QUANTITIES), np.nan)
    row |= {r.column: np.nan for r in READINGS}
    row |= dict.fromkeys(BAR_TEXTS, "")
    row |= {"sheet": SHEET.name, "bar": code, "body": trial.body, "batch": batch, "firing": trial.firing}
    row |= {"direction": trial.direction, "position": "", "marks": 2}
    row |= {"wet_length_mm": wet, "dry_length_mm": dry, "wet_mass_g": wet_mass, "dry_mass_g": dry_mass}
    row |= {"drying_shrinkage": drying, "water_of_plasticity": 100 * (wet_mass - dry_mass) / dry_mass}
    if trial.total is not None:
        total = trial.total + rng.normal(shift, 0.25)
        row |= {"total_shrinkage": total, "fired_length_mm": wet * (1 - total / 100), "fired_mass_g": dry_mass * 0.94}
        row |= {"firing_shrinkage": 100 * (1 - (1 - total / 100) / (1 - drying / 100)), "loss_on_ignition": 6.0}
    if trial.total is not None and trial.absorbed is not None:
        absorbed = trial.absorbed + rng.normal(shift, 0.2)
        row |= {"absorption": absorbed, "boiled_mass_g": dry_mass * 0.94 * (1 + absorbed / 100)}
        row |= {"bulk_density": 2.3 - absorbed / 50 + rng.normal(0, 0.01)}
    return row


def _group(trial: Trial, bars: pd.DataFrame, lab: Lab) -> Group:
    counted = bars[bars["left_out"] == ""]
    quantities = _quantities(counted, lab)
    total = quantities.get("total_shrinkage")
    return Group(
        body=trial.body,
        firing=trial.firing,
        direction=trial.direction,
        absorption_method=lab.absorption_method,
        cone=trial.cone,
        peak_temperature_c=trial.celsius,
        atmosphere="oxidation" if trial.cone else None,
        bars=len(counted),
        left_out=len(bars) - len(counted),
        batches=tuple(trial.batches),
        wet_size_factor=_factor(total and total.mean),
        wet_size_factor_low=_factor(total and total.low),
        wet_size_factor_high=_factor(total and total.high),
        quantities=quantities,
        by_batch=tuple(
            BatchResult(
                batch, int((counted["batch"] == batch).sum()), _quantities(counted[counted["batch"] == batch], lab)
            )
            for batch in trial.batches
        ),
        date=trial.finding_date if trial.cone else None,
        wet_length_mm=float(counted["wet_length_mm"].mean()),
        nominal_temperature_c=1063.0 if trial.celsius is None and trial.cone == "04" else None,
    )


def _factor(shrinkage: float | None) -> float | None:
    return None if shrinkage is None else 100 / (100 - shrinkage)


def _quantities(bars: pd.DataFrame, lab: Lab) -> dict[str, QuantityResult]:
    measured = {q.key: bars[bars[q.key].notna()] for q in QUANTITIES}
    return {key: _quantity(key, some, lab) for key, some in measured.items() if len(some)}


def _quantity(key: str, bars: pd.DataFrame, lab: Lab) -> QuantityResult:
    values = bars[key].to_numpy(float)
    n, mean = len(values), float(values.mean())
    unit = QUANTITY_BY_KEY[key].unit
    limit = lab.absorption_limit_percent if key == "absorption" else None
    if n == 1:
        why = "One bar alone shows no scatter, so no interval can be given; measure at least two more."
        decision = None if limit is None else "cannot tell yet"
        return QuantityResult(unit, 1, mean, limit=limit, decision=decision, why_no_interval=why)  # type: ignore[arg-type]
    sd = max(float(values.std(ddof=1)), 0.04)
    u, t = sd / n**0.5, float(stdtrit(n - 1, 0.975))
    batches = bars.groupby("batch")[key].mean()
    several = len(batches) > 1
    decision = None
    if limit is not None:
        decision = "meets" if mean + t * u < limit else "does not meet" if mean - t * u > limit else "cannot tell yet"
    far = bars[np.abs(values - np.median(values)) > 1.2]
    return QuantityResult(
        unit, n, mean, sd, u, n - 1.0, mean - t * u, mean + t * u,
        mean - t * (sd**2 + u**2) ** 0.5, mean + t * (sd**2 + u**2) ** 0.5, mean - 3 * sd, mean + 3 * sd,
        float(batches.std(ddof=1)) if several else None, 0.9 * sd if several else None, limit, decision,  # type: ignore[arg-type]
        further_bars=6 if decision == "cannot tell yet" else None,
        certainty=Certainty(
            (CertaintyShare("bars", 0.9 * u, 0.62), CertaintyShare("batches", 0.5 * u, 0.23 if several else 0.0),
             CertaintyShare("reading step", 0.3 * u, 0.1), CertaintyShare("calibration", 0.2 * u, 0.05)),
            "The bars differ among themselves (62 % of what is uncertain): more bars help most.", 14,
        ),
        flagged=tuple(
            FlaggedBar(str(b.bar), str(b.sheet), int(b.row), float(v), "fired length")
            for b, v in zip(far.itertuples(), far[key], strict=True)
        ),
        mean_without_flagged=float(values[np.abs(values - np.median(values)) <= 1.2].mean()) if len(far) else None,
        mark_sd=0.08 if key.endswith("shrinkage") else None,
    )  # fmt: skip


def _responses(groups: tuple[Group, ...]) -> tuple[FiringResponse, ...]:
    keys = dict.fromkeys((g.body, g.direction) for g in groups if "absorption" in g.quantities)
    series = {key: [g for g in groups if (g.body, g.direction) == key and g.peak_temperature_c] for key in keys}
    return tuple(_response(key, some) for key, some in series.items() if len(some) >= 3)


def _response(key: tuple[str, str], groups: list[Group]) -> FiringResponse:
    celsius = [float(g.peak_temperature_c or 0) for g in groups]
    grid = np.linspace(celsius[0], celsius[-1], 60)
    shrinkage = np.interp(grid, celsius, [g.quantities["total_shrinkage"].mean or 0 for g in groups])
    absorbed = np.interp(grid, celsius, [g.quantities["absorption"].mean or 0 for g in groups])
    return FiringResponse(
        body=key[0],
        direction=key[1],
        absorption_method=groups[0].absorption_method,
        firings=tuple(g.firing for g in groups),
        temperatures_c=tuple(celsius),
        nominal=tuple(False for _ in celsius),
        grid_c=tuple(grid),
        curves={"total_shrinkage": tuple(shrinkage), "absorption": tuple(absorbed)},
        bands_low={"total_shrinkage": tuple(shrinkage - 0.3), "absorption": tuple(absorbed - 0.3)},
        bands_high={"total_shrinkage": tuple(shrinkage + 0.3), "absorption": tuple(absorbed + 0.3)},
        at_limit=CrossingTemperature(1209.3, 1204.1, 1214.8),
        densest=CrossingTemperature(1224.0, 1219.0, None, "the upper end lies outside the tested range"),
        firing_range=(1209.3, 1224.0),
        summary=f"{key[0]} is tight from about 1209 °C and shrinks most at about 1224 °C.",
    )


def _pieces(groups: tuple[Group, ...]) -> tuple[PieceComparison, ...]:
    fired = next((g for g in groups if g.body == "Drift Buff" and g.firing == "K6" and g.quantities), None)
    if fired is None:
        return ()
    sentence = "Four jars shrank 0.6 points less in height than the bars along; use 1.131 for height."
    return (
        PieceComparison("Drift Buff", "K6", "height", 4, 12.2, 11.6, -0.6, -0.9, -0.3, 1.131, 1.127, 1.135, sentence),
        PieceComparison("Drift Buff", "K6", "width", 1, 12.2, 12.0, -0.2, None, None, 1.136, None, None,
                        "One jar shrank 12.0 % in width, the bars 12.2 %; one piece gives no interval."),
    )  # fmt: skip


def _sheets(sheet: SheetSource, bars: pd.DataFrame, trials: tuple[Trial, ...]) -> CheckedSheets:
    table = pd.DataFrame({column: bars[column] for column in BAR_COLUMNS if column in bars})
    table["sheet"] = 0
    firings = pd.DataFrame(
        [
            {"sheet": 0, "row": row, "firing": t.firing, "date": t.finding_date or "", "kiln": "front loader",
             "purpose": "test", "cone": t.cone or "", "set_temperature_c": np.nan,
             "peak_temperature_c": t.celsius if t.celsius else np.nan, "hold_min": 15.0, "atmosphere": "oxidation",
             "notes": ""}
            for row, t in enumerate({t.firing: t for t in trials if t.cone}.values(), start=2)
        ],
        columns=list(FIRING_COLUMNS),
    )  # fmt: skip
    return CheckedSheets(
        sheets=(sheet,),
        bars=table.reset_index(drop=True),
        marks=pd.DataFrame(columns=list(MARK_COLUMNS)),
        firings=firings,
        pieces=pd.DataFrame(columns=list(PIECE_COLUMNS)),
        findings=FINDINGS,
    )


def few_bars() -> tuple[Results, CheckedSheets]:
    """Return the same kinds of things with few bars."""
    batches = {"A": 5, "B": 5}
    drift = [replace(t, batches=batches) for t in TRIALS if t.body == "Drift Buff" and t.direction == "along"]
    return example((*drift, replace(TRIALS[-1], batches={"red 1": 3})))


def unfired() -> tuple[Results, CheckedSheets]:
    """Return a half-filled sheet: bars measured wet and dry, nothing fired yet."""
    return example((Trial("Marl Red", "", "along", None, None, total=None),))


def one_bar() -> tuple[Results, CheckedSheets]:
    """Return one bar alone."""
    return example((Trial("Marl Red", "E1", "along", "04", None, {"": 1}),))


def without_absorption() -> tuple[Results, CheckedSheets]:
    """Return bars that were measured and never weighed wet."""
    lab = replace(LAB, absorption_limit_percent=None, absorption_method=None)
    return example((Trial("Marl Red", "E1", "", "04", None, absorbed=None),), lab)


MARKUP = "<script>alert('x')</script> & \"Marl\" {{ 7*7 }}"


def markup_names() -> tuple[Results, CheckedSheets]:
    """Return names that try to be markup, in every place where a name can stand."""
    lab = replace(LAB, workshop=MARKUP, measured_by="</style><b>", absorption_method="other")
    batches = {"<i>1</i>": 6, "]]>": 6}
    return example((Trial(MARKUP, "</title>", "<u>up</u>", "6", 1222.0, batches),
                    Trial(MARKUP, "--> K", "<u>up</u>", "7", 1240.0, batches),
                    Trial(MARKUP, "K'\"", "<u>up</u>", "8", 1255.0, batches)), lab)  # fmt: skip
