"""Means over batches, against published values, R and lme4, and by hand."""

import json
from pathlib import Path

import numpy as np
import pytest

from bodytest.stats.effect_intervals import effect_intervals
from bodytest.stats.effects import EXACT, Instruments, summarise_effects
from bodytest.stats.restricted_likelihood import Cells, cells_of
from bodytest.stats.summary import summarise_bars
from bodytest.stats.variance_parts import half_width
from tests.stats.one_batch_values import published

FROM_R = json.loads((Path(__file__).parent / "r" / "several_batches.json").read_text(encoding="utf-8"))


def summarise_batches(values, batch, instruments=EXACT):
    return summarise_effects(values, batch, np.zeros(len(values)), instruments=instruments)


def stacked(groups):
    return np.concatenate(groups), np.repeat(np.arange(len(groups)), [len(group) for group in groups])


def made_up(name):
    sizes = FROM_R[name]["sizes"]
    return np.array(FROM_R[name]["values"]), np.repeat(np.arange(len(sizes)), sizes)


def test_the_dyestuff_variances_are_the_published_ones():
    example = published("reml-dyestuff")  # Davies & Goldsmith 1972, 6.4
    values, batch = stacked(example.inputs["groups"])
    found = summarise_batches(values, batch)
    assert found.batch_sd == pytest.approx(example.expected["sd_batch"], abs=0.005)
    assert found.bar_sd == pytest.approx(example.expected["sd_resid"], abs=0.006)
    assert found.mean == pytest.approx(example.expected["mean"], abs=1e-9)
    assert found.standard_uncertainty == pytest.approx(19.383, abs=5e-4)
    assert found.degrees_of_freedom == pytest.approx(5.0)


def test_two_batches_are_wide_rather_than_optimistic():
    values, batch = [12.1, 12.2, 12.0, 12.6, 12.7, 12.5], [0, 0, 0, 1, 1, 1]
    found, pooled = summarise_batches(values, batch), summarise_bars(values)
    assert found.high - found.low > 5.0 * (pooled.high - pooled.low)
    assert found.next_high - found.next_low > 5.0 * (pooled.next_high - pooled.next_low)
    assert found.degrees_of_freedom == pytest.approx(1.0)


def test_bars_that_all_read_alike_never_give_an_interval_of_nothing():
    found = summarise_batches([12.0] * 6, [0, 0, 0, 1, 1, 1], Instruments(0.04))
    assert found.batch_sd == pytest.approx(0.0, abs=1e-6)
    assert found.bar_sd == pytest.approx(0.04)
    assert found.standard_uncertainty > 0.04
    assert found.low < 12.0 - 0.04 * 1.96


def test_one_bar_a_batch_cannot_tell_batches_from_bars_but_gives_the_usual_t_interval():
    values = [12.0, 12.4, 11.9, 12.3, 12.1]
    found, pooled = summarise_batches(values, range(5)), summarise_bars(values)
    assert found.batch_sd is None
    assert found.bar_sd is None
    for name in ("mean", "sd", "low", "high", "next_low", "next_high"):
        assert getattr(found, name) == pytest.approx(getattr(pooled, name)), name


def test_a_calibration_uncertainty_does_not_average_out():
    values, batch = made_up("apart")
    found = summarise_batches(values, batch, Instruments(calibration=0.3))
    plain = summarise_batches(values, batch)
    assert found.standard_uncertainty**2 == pytest.approx(plain.standard_uncertainty**2 + 0.3**2)
    assert found.degrees_of_freedom > plain.degrees_of_freedom
    assert found.next_high - found.next_low > plain.next_high - plain.next_low


def test_the_order_of_bars_and_the_numbers_of_batches_do_not_matter():
    values, batch = made_up("uneven")
    order = np.random.default_rng(1).permutation(len(values))
    renamed = np.array([3, 5, 1, 0, 4, 2])[batch]
    first, second = summarise_batches(values, batch), summarise_batches(values[order], renamed[order])
    assert first.low == pytest.approx(second.low)
    assert first.batch_sd == pytest.approx(second.batch_sd, rel=1e-6)


@pytest.mark.parametrize("name", ["apart", "uneven"])
def test_the_mean_is_that_of_lme4_and_rests_on_the_batches(name):
    found, r = summarise_batches(*made_up(name)), FROM_R[name]
    assert found.mean == pytest.approx(r["weighted_mean"][0], abs=1e-6)
    assert found.mean == pytest.approx(r["mean"][0], abs=0.1 * (r["interval"][1] - r["interval"][0]))
    assert found.high - found.low == pytest.approx(r["interval"][1] - r["interval"][0], rel=0.05)
    assert found.degrees_of_freedom == pytest.approx(len(r["sizes"]) - 1, abs=0.1)


def test_batches_that_agree_by_chance_do_not_narrow_the_interval_beyond_what_their_bars_allow():
    values, batch = made_up("alike")
    found, r, pooled = summarise_batches(values, batch), FROM_R["alike"], summarise_bars(values)
    assert found.batch_sd == 0.0
    assert found.bar_sd == pytest.approx(r["sd_bar"][0], rel=2e-5)
    assert found.estimator == "REML, scatter between batches at its bound of 0"
    assert found.high - found.low > 3.0 * (r["interval"][1] - r["interval"][0])
    assert found.high - found.low > pooled.high - pooled.low


def test_many_data_sets_at_once_give_what_each_gives_alone():
    rng = np.random.default_rng(5)
    layout = cells_of(np.zeros(12), np.repeat([0, 1, 2], (3, 5, 4)), np.zeros(12)).layout
    many = Cells(layout, rng.normal(size=(20, 3)), rng.chisquare(9, 20))
    together = effect_intervals(many, 0.1, np.full(20, 0.05))
    for place in range(20):
        one = Cells(layout, many.means[place], np.asarray(many.within_squares[place]))
        alone = effect_intervals(one, 0.1, np.asarray(0.05))
        for name in ("mean", "tolerance_half_width", "bar_sd"):
            assert getattr(together, name)[place] == pytest.approx(float(getattr(alone, name)), rel=1e-6), name
        for name in ("parts", "next_parts"):
            widths = half_width(getattr(together, name), 0.95), half_width(getattr(alone, name), 0.95)
            assert widths[0][place] == pytest.approx(float(widths[1]), rel=1e-6), name
