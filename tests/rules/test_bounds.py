"""Each limit of each quantity, from its record: a value beyond it is asked about or not used, one within is not."""

import math

import numpy as np
import pytest

from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITIES, READING_BY_KEY
from bodytest.reading import read_sheets

USUAL = {
    "wet_length": 1000.0, "leather_hard_length": 970.0, "dry_length": 940.0, "bisque_length": 930.0,
    "fired_length": 880.0, "wet_mass": 1250.0, "dry_mass": 1000.0, "fired_mass": 940.0, "cold_soaked_mass": 955.0,
    "boiled_mass": 960.0, "suspended_mass": 550.0, "breaking_load": 1000.0, "span": 500.0, "bar_width": 60.0,
    "bar_thickness": 40.0,
}  # fmt: skip
"""One bar that nothing is asked about, mm, g and N."""
OUT_OF_REACH = {"apparent_specific_gravity", "dry_strength", "fired_strength"}
"""Positive whatever the readings, as long as they are."""


def bounds():
    for quantity in QUANTITIES:
        for what, limits in (("possible", quantity.possible), ("plausible", quantity.plausible)):
            for side, limit in zip(("low", "high"), limits, strict=True):
                if math.isfinite(limit):
                    yield pytest.param(quantity, what, side, limit, id=f"{quantity.key} {what} {side}")


def readings_for(quantity: Quantity, wanted: float) -> dict[str, float] | None:
    """Return readings that give the wanted value, by changing one of them; None where none does."""
    usual = {key: USUAL.get(key, math.nan) for key in quantity.needs}
    for key in [key for key in reversed(usual) if key in USUAL]:
        best = usual[key]
        for width in (1e4, 1.001):
            tried = best * np.geomspace(1 / width, width, 100_001)
            with np.errstate(all="ignore"):
                off = np.abs(np.asarray(quantity.value({**usual, key: tried}), dtype=float) - wanted)
            best = float(tried[int(np.nanargmin(off))])
        if np.nanmin(off) <= 0.002 * max(abs(wanted), 0.1) + 0.002:
            return {**usual, key: best}
    return None


def codes(tmp_path, quantity, readings):
    path = tmp_path / "bars.csv"
    cells = {
        f"{READING_BY_KEY[k].heading} ({READING_BY_KEY[k].dimension.unit})": f"{v:.6g}" for k, v in readings.items()
    }
    if quantity.when is not None:
        cells[quantity.when[0].heading] = quantity.when[1]
    path.write_text(f"bar,body,firing,{','.join(cells)}\nA,Invented,F1,{','.join(cells.values())}\n", encoding="utf-8")
    return {(f.code, f.level) for f in read_sheets([path]).findings}


@pytest.mark.parametrize(("quantity", "what", "side", "limit"), list(bounds()))
def test_a_value_beyond_a_limit_is_asked_about_or_not_used(tmp_path, quantity, what, side, limit):
    beyond = (-1.0 if side == "low" else 1.0) * (0.05 * abs(limit) + 0.5 * (limit == 0.0) + 0.05)
    readings = readings_for(quantity, limit + beyond)
    if readings is None or min(one for one in readings.values() if not math.isnan(one)) <= 0.0:
        assert quantity.key in OUT_OF_REACH
        assert (what, side) == ("possible", "low")
        return
    levels = {level for _, level in codes(tmp_path, quantity, readings)}
    assert ("stop" if what == "possible" else "ask") in levels or "stop" in levels


@pytest.mark.parametrize("quantity", QUANTITIES, ids=lambda one: one.key)
def test_nothing_is_asked_about_the_bar_that_the_limits_are_tried_with(tmp_path, quantity):
    usual = {key: USUAL.get(key, math.nan) for key in quantity.needs}
    assert {level for _, level in codes(tmp_path, quantity, usual)} <= {"note"}


def findings_of(tmp_path, lines, level="ask"):
    path = tmp_path / "bars.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return [(f.code, f.cell, f.sentence) for f in read_sheets([path]).findings if f.level == level]


def test_how_a_bar_was_tested_is_taken_as_it_is_whatever_the_reading_step(tmp_path):
    """A span of 39.99 mm is under four times 10.00 mm by less than their steps of 0.01 mm leave open."""
    headings = "bar,body,firing,breaking load (N),span (mm),width (mm),thickness (mm),broken"
    for span, codes in (("39.99", ["test-not-as-usual"]), ("40.00", [])):
        found = findings_of(tmp_path, [headings, f"A,Invented,F1,100.0,{span},20.00,10.00,dry"])
        assert [code for code, *_ in found] == codes


def test_the_many_are_told_without_looking_for_what_was_meant(tmp_path, monkeypatch):
    headings = "bar,body,firing,fired mass (g),boiled mass (g),suspended mass (g)"
    usual = [f"A{number},Invented,F1,100.0,104.0,60.{number}" for number in range(5)]
    alone, among = [headings, "B,Invented,F1,100.0,104.0,80.0"], [headings, *usual, "B,Invented,F1,100.0,104.0,80.0"]
    told, explained = findings_of(tmp_path, alone), findings_of(tmp_path, among)
    monkeypatch.setattr("bodytest.rules.bounds.EXPLAINED", 0)
    assert [(code, cell) for code, cell, _ in told] == [("beyond-clay", "Bars!F2")]
    assert findings_of(tmp_path, alone) == told
    sentences = [sentence for code, cell, sentence in explained if cell == "Bars!F7"]
    assert any("would fit its neighbours" in sentence for sentence in sentences)
    unexplained = [sentence for code, cell, sentence in findings_of(tmp_path, among) if code == "beyond-clay"]
    assert unexplained == [sentence.replace("F2", "F7") for *_, sentence in told]


def test_where_no_reading_is_known_to_be_the_wrong_one_none_is_used(tmp_path):
    """By hand: 100 g over 100.5 g − 90 g is 9.5 g/cm³, above the limit of 8."""
    headings = "bar,body,firing,fired mass (g),boiled mass (g),suspended mass (g)"
    found = findings_of(tmp_path, [headings, "A,Invented,F1,100.0,100.5,90.0"], "stop")
    told = {cell: code for code, cell, _ in found}
    assert told == {"Bars!D2": "contradicts-another", "Bars!E2": "contradicts-another", "Bars!F2": "impossible-value"}
    assert any(sentence.endswith(" None of these is used.") for *_, sentence in found)


def test_the_reading_that_does_not_fit_is_asked_about_though_another_is_named_last(tmp_path):
    headings = "bar,body,firing,wet mass (g),fired mass (g),boiled mass (g)"
    usual = [f"A{number},Invented,F1,130.{number},100.{number},104.{number}" for number in range(5)]
    found = findings_of(tmp_path, [headings, *usual, "B,Invented,F1,130.0,70.0,104.0"])
    assert [(code, cell) for code, cell, _ in found] == [("beyond-clay", "Bars!E7")]
