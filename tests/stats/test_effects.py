"""Bars over batches and loads: designs, components against lme4, and whom the intervals speak of."""

import json
from importlib.resources import files

import numpy as np
import pytest

from bodytest.stats.borrowed import KnownScatter, borrow_scatter
from bodytest.stats.design import classify
from bodytest.stats.effects import Instruments, summarise_effects
from bodytest.stats.summary import summarise_bars

PUBLISHED = json.loads(files("bodytest").joinpath("published", "loads.json").read_text(encoding="utf-8"))["sets"]
SIX_LOADS = (12.02, 12.50, 11.62, 12.26, 11.34, 12.22)
FIVE_BARS = 0.16 * np.array([-2.0, -1.0, 0.0, 1.0, 2.0]) / np.sqrt(2.5)


def columns(published):
    rows = published["data"]
    codes = (np.unique([row[kind] for row in rows], return_inverse=True)[1] for kind in ("batch", "load"))
    return [row["value"] for row in rows], *codes


def six_loads(**options):
    values = np.add.outer(SIX_LOADS, FIVE_BARS).ravel()
    return summarise_effects(values, np.zeros(30, dtype=int), np.repeat(np.arange(6), 5), **options)


@pytest.mark.parametrize("published", PUBLISHED, ids=lambda one: one["name"])
def test_design_components_and_mean_are_those_of_lme4(published):
    found, fit = summarise_effects(*columns(published)), published["fit"]
    assert found.design == classify(*columns(published)[1:]) == published["design"]
    assert found.estimator == "REML"
    assert found.mean == pytest.approx(fit["mean"], abs=1e-5)
    assert found.bar_sd == pytest.approx(fit["sds"]["Residual"], rel=1e-4)
    assert found.load_sd == pytest.approx(fit["sds"].get("load", fit["sds"].get("load:batch")), rel=1e-4)
    if "batch" in fit["sds"]:
        assert found.batch_sd == pytest.approx(fit["sds"]["batch"], rel=1e-4)
    assert found.model_standard_error == pytest.approx(fit["se"], rel=1e-4)
    assert found.standard_uncertainty == pytest.approx(fit["se"], rel=0.02)  # with the noise of uneven bars
    assert 0.7 * fit["df_kenward_roger"] < found.degrees_of_freedom < 1.1 * fit["df_kenward_roger"]


def test_six_loads_of_a_programme_give_the_worked_answer():
    found = six_loads()
    assert found.mean == pytest.approx(11.99, abs=0.005)
    assert found.high - found.mean == pytest.approx(0.46, abs=0.005)
    assert found.next_high - found.mean == pytest.approx(1.3, abs=0.05)
    assert [round(100 / (100 - at), 3) for at in (found.mean, found.low, found.high)] == [1.136, 1.13, 1.142]
    assert [round(227.3 * (1 - at / 100)) for at in (found.next_high, found.next_low)] == [197, 203]
    assert (found.design, found.batches, found.loads) == ("loads", 1, 6)


def test_one_load_speaks_of_this_load_only_and_says_what_its_bars_say():
    found, bars = summarise_effects(SIX_LOADS, [0] * 6, [3] * 6), summarise_bars(SIX_LOADS)
    assert (found.design, found.batches, found.loads) == ("one load", 1, 1)
    for name in ("mean", "low", "high", "next_low", "next_high", "tolerance_high", "next_standard_deviation"):
        assert getattr(found, name) == getattr(bars, name), name


def test_batch_and_load_that_change_together_cannot_be_spoken_of_apart():
    values, codes = [12.0, 12.2, 12.6, 12.7, 11.9, 11.8], [0, 0, 1, 1, 2, 2]
    both = summarise_effects(values, codes, codes)
    assert (both.design, both.batch_sd == both.load_sd) == ("confounded", True)
    assert [part.source for part in both.parts] == ["batches and loads", "bars", "instruments"]


def test_bars_that_read_alike_never_give_an_interval_of_nothing():
    found = summarise_effects([12.0] * 6, [0, 0, 0, 1, 1, 1], [0, 1, 0, 1, 0, 1], instruments=Instruments(0.04))
    assert found.high - found.mean > 0.04 * 1.96


def test_any_layout_of_few_bars_gives_intervals_that_hold_the_mean_and_never_vanish():
    rng = np.random.default_rng(12)
    for place in range(400):
        bars = int(rng.integers(2, 12))
        batch, load = rng.integers(0, rng.integers(1, 5), bars), rng.integers(0, rng.integers(1, 5), bars)
        load = 5 * batch + load if place % 3 == 0 else load
        values = 12.0 + rng.choice([0.0, 0.2]) * rng.standard_normal(30)[load] + rng.choice([0.0, 0.1], bars)
        found = summarise_effects(values, batch, load, instruments=Instruments(0.03, 0.01))
        assert (found.batches, found.loads) == (len(set(batch)), len(set(load)))
        assert found.next_low < found.low < found.mean - 0.01 < found.high < found.next_high
        assert found.degrees_of_freedom > 0.99


def test_bars_whose_scatter_cannot_be_told_from_batches_and_loads_give_an_interval_all_the_same():
    found = summarise_effects([12.0, 12.2, 12.6], [0, 0, 1], [0, 1, 1])
    assert found.bar_sd is None
    assert found.low < found.mean < found.high


def test_scatter_known_from_elsewhere_widens_what_one_load_says():
    own = summarise_effects([11.8, 11.9, 12.0, 12.1, 12.2], [0] * 5, [0] * 5)
    both = borrow_scatter(own, between_loads=KnownScatter(0.3, 6))
    assert both.standard_uncertainty == pytest.approx(np.hypot(0.1 / np.sqrt(2), 0.3))
    assert both.next_standard_deviation == pytest.approx(np.sqrt(0.025 * 1.2 + 2 * 0.09))
    assert both.high - both.mean > 2.57 * 0.3
    assert borrow_scatter(own) is None
    assert borrow_scatter(six_loads(), between_loads=KnownScatter(0.3, 6)) is None


def test_one_load_keeps_what_its_mean_rests_on():
    # s² = 0.025, n = 5: 0.005 with four degrees of freedom, the next bar 0.025 more; the calibration beside both
    values = [11.8, 11.9, 12.0, 12.1, 12.2]
    found = summarise_effects(values, [0] * 5, [0] * 5, instruments=Instruments(calibration=0.3))
    told = [
        [(part.source, float(part.variance), part.freedom) for part in one] for one in (found.parts, found.next_parts)
    ]
    assert told == [
        [("bars", pytest.approx(0.005), 4), ("instruments", pytest.approx(0.09), 1e6)],
        [("bars", pytest.approx(0.030), 4), ("instruments", pytest.approx(0.09), 1e6)],
    ]
    assert (found.bar_sd, found.estimator) == (pytest.approx(0.025**0.5), "standard deviation of the bars")


def test_one_bar_alone_has_a_mean_and_nothing_else():
    found = summarise_effects([12.0], [3], [4])
    assert (found.mean, found.low, found.parts, found.estimator) == (12.0, None, (), "none")


def test_the_step_that_bars_share_is_what_their_scatter_leaves_of_it():
    # s² = 0.0025 of two bars that differ by 0.0707: √(0.04² − 0.0025/3) = 0.02769; 0.03 is of the certificate
    shared = Instruments(0.04, 0.03).shared(np.array([12.0, 12.0 + 0.0025**0.5 * 2**0.5]))
    assert float(shared) == pytest.approx(np.hypot(0.027689, 0.03), abs=1e-6)
    assert float(Instruments(0.04, 0.03, 0.0).shared(np.array([12.0, 12.0]))) == 0.03
