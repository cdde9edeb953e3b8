"""Variance components against published values, R and lme4, statsmodels, and by hand."""

import json
import warnings
from pathlib import Path

import numpy as np
import pytest

from bodytest.stats.components import components_of, reml_components
from bodytest.stats.design import cell_layout
from bodytest.stats.mean_squares import mean_squares
from bodytest.stats.restricted_likelihood import cells_of, solve
from tests.stats.one_batch_values import published

FROM_R = json.loads((Path(__file__).parent / "r" / "several_batches.json").read_text(encoding="utf-8"))


def by_batch(groups):
    sizes = [len(group) for group in groups]
    return cells_of(np.concatenate(groups), np.repeat(np.arange(len(groups)), sizes), np.zeros(sum(sizes)))


def scattered(rng, bars, batches, loads, sds):
    """Bars put into batches and loads by chance: some cells empty, most uneven, sometimes in pieces."""
    batch, load = rng.integers(0, batches, bars), rng.integers(0, loads, bars)
    values = 12.0 + sds[0] * rng.standard_normal(batches)[batch] + sds[1] * rng.standard_normal(loads)[load]
    return values + 0.2 * rng.standard_normal(bars), batch, load


def test_the_certified_analysis_of_variance_is_reproduced():
    example = published("strd-anova-sirstv")  # NIST StRD, certified
    squares = mean_squares(by_batch(example.inputs["groups"]))
    assert float(squares.bar_variance) == pytest.approx(example.expected["ms_within"], rel=1e-11)
    assert 5.0 * float(squares.batch.value) == pytest.approx(example.expected["ms_between"], rel=1e-10)
    assert float(squares.residual_squares) == pytest.approx(example.expected["ss_within"], rel=1e-11)


def test_the_likelihood_of_the_dyestuff_data_is_the_published_one():
    example = published("reml-dyestuff")  # Davies & Goldsmith 1972, 6.4
    criterion = float(reml_components(by_batch(example.inputs["groups"])).fit.criterion)
    assert criterion == pytest.approx(example.expected["reml_criterion"], abs=5e-5)


@pytest.mark.parametrize("name", ["apart", "alike", "uneven"])
def test_variances_agree_with_lme4_on_unbalanced_batches(name):
    r = FROM_R[name]
    groups = np.split(np.array(r["values"]), np.cumsum(r["sizes"])[:-1])
    found = reml_components(by_batch(groups))
    assert float(np.sqrt(found.batch_variance)) == pytest.approx(r["sd_batch"][0], rel=2e-5)
    assert float(np.sqrt(found.bar_variance)) == pytest.approx(r["sd_bar"][0], rel=2e-5)
    assert float(found.fit.criterion) == pytest.approx(r["criterion"][0], abs=1e-7)
    assert float(found.fit.mean) == pytest.approx(r["weighted_mean"][0], abs=1e-6)


@pytest.mark.parametrize("sds", [(0.4, 0.3), (0.0, 0.3), (0.5, 0.0)], ids=str)
def test_crossed_variances_agree_with_another_implementation(sds):
    from statsmodels.regression.mixed_linear_model import MixedLM, VCSpec

    rng = np.random.default_rng([7, int(10 * sds[0])])
    values, batch, load = scattered(rng, 40, 4, 6, sds)
    matrices = [[np.eye(4)[batch]], [np.eye(6)[load]]]
    spec = VCSpec(["batch", "load"], [[[str(n) for n in range(4)]], [[str(n) for n in range(6)]]], matrices)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of a variance at zero
        model = MixedLM(values, np.ones((40, 1)), np.zeros(40), exog_vc=spec)
        fit = model.fit(reml=True, method=["lbfgs", "powell"])
    found = reml_components(cells_of(values, batch, load))
    theirs = np.sqrt([*fit.vcomp, fit.scale])
    ours = np.sqrt([float(found.batch_variance), float(found.load_variance), float(found.bar_variance)])
    assert ours == pytest.approx(theirs, rel=5e-3, abs=2e-3)
    assert float(found.fit.criterion) <= -2.0 * float(fit.llf) + 1e-6
    assert float(found.fit.mean) == pytest.approx(float(fit.fe_params[0]), abs=1e-3)


def test_two_even_loads_give_the_variances_of_their_mean_squares_and_alike_ones_are_at_their_bound():
    apart = reml_components(cells_of([1.0, 2.0, 3.0, 3.0, 4.0, 5.0], [0] * 6, [0, 0, 0, 1, 1, 1]))
    assert float(apart.bar_variance) == pytest.approx(1.0, rel=1e-6)  # by hand: mean squares 6 between, 1 within
    assert float(apart.load_variance) == pytest.approx((6.0 - 1.0) / 3.0, rel=1e-6)
    assert apart.estimator == "REML"
    alike = reml_components(cells_of([1.0, 2.0, 3.0, 1.1, 2.1, 3.1], [0] * 6, [0, 0, 0, 1, 1, 1]))
    assert alike.estimator == "REML, scatter between loads at its bound of 0"


def test_no_ratios_of_variances_are_likelier_than_those_found():
    rng = np.random.default_rng(3)
    ratios = np.concatenate(([0.0], np.geomspace(1e-3, 1e3, 40)))
    outer, inner = (axis.ravel() for axis in np.meshgrid(ratios, ratios))
    for place in range(40):
        sds = rng.choice([0.0, 0.1, 1.0], 2)
        cells = cells_of(*scattered(rng, int(rng.integers(8, 40)), 1 + place % 4, int(rng.integers(2, 8)), sds))
        if mean_squares(cells).bar_freedom:
            found = float(reml_components(cells).fit.criterion)
            assert float(solve(cells, outer, inner).criterion.min()) >= found - 1e-7


def test_a_weight_is_what_its_cell_moves_the_mean_by():
    rng = np.random.default_rng(8)
    values, batch, load = scattered(rng, 25, 3, 5, (0.3, 0.3))
    found = reml_components(cells_of(values, batch, load))
    _, cell = cell_layout(batch, load)
    weights = found.fit.weights
    assert weights.sum() == pytest.approx(1.0)
    means = [values[cell == one].mean() for one in range(len(weights))]
    assert float(found.fit.mean) == pytest.approx(float(weights @ means))


def test_the_scatter_of_batches_is_free_of_loads_and_that_of_bars_of_both():
    rng = np.random.default_rng(9)
    values, batch, load = scattered(rng, 40, 4, 5, (0.3, 0.3))
    plain = mean_squares(cells_of(values, batch, load))
    moved = mean_squares(cells_of(values + np.array([0.0, 3.0, -2.0, 1.0, 5.0])[load], batch, load))
    assert float(moved.batch.value) == pytest.approx(float(plain.batch.value))
    assert float(moved.bar_variance) == pytest.approx(float(plain.bar_variance))
    assert float(moved.load.value) > 4.0 * float(plain.load.value)


def test_mean_squares_have_the_expectations_that_they_state():
    rng = np.random.default_rng(10)
    batch, load = np.array([0, 0, 0, 1, 1, 2, 2, 3, 3, 3]), np.array([0, 0, 1, 1, 2, 3, 3, 4, 5, 5])
    found = [
        mean_squares(
            cells_of(
                2.0 * rng.standard_normal(4)[batch] + rng.standard_normal(6)[load] + rng.standard_normal(10),
                batch,
                load,
            )
        )
        for _ in range(4000)
    ]
    one = found[0]
    assert np.mean([s.batch.value for s in found]) == pytest.approx(4.0 + one.batch.noise, rel=0.08)
    assert np.mean([s.load.value for s in found]) == pytest.approx(1.0 + one.load.noise, rel=0.08)
    expected = 4.0 * one.batch_share + one.load_share + one.piece.noise
    assert np.mean([s.piece.value for s in found]) == pytest.approx(expected, rel=0.08)
    assert np.mean([s.bar_variance for s in found]) == pytest.approx(1.0, rel=0.08)
    assert (one.batch.freedom, one.load.freedom, one.piece.freedom, one.bar_freedom) == (1, 3, 2, 3)


def test_bars_that_scatter_less_than_the_reading_step_are_taken_to_scatter_as_much():
    cells = cells_of([1.0, 1.0, 2.0, 2.0], [0, 0, 0, 0], [0, 0, 1, 1])
    assert float(components_of(cells, mean_squares(cells, 0.1)).bar_variance) == pytest.approx(0.01, rel=1e-3)
