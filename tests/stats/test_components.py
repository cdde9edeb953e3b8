"""Variance components against published values, R and lme4, statsmodels, and by hand."""

import json
import warnings
from pathlib import Path

import numpy as np
import pytest

from bodytest.stats import components
from bodytest.stats.components import components_of, reml_components
from bodytest.stats.design import cell_layout
from bodytest.stats.mean_squares import mean_squares
from bodytest.stats.restricted_likelihood import Cells, cells_of, solve
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
    both = reml_components(cells_of([1.0, 2.0, 1.0, 2.0] * 2, [0, 0, 0, 0, 1, 1, 1, 1], [0, 0, 1, 1] * 2))
    assert both.estimator == "REML, scatter between batches and loads at its bound of 0"


def test_crossed_and_nested_layouts_that_are_even_give_the_variances_of_their_mean_squares():
    """By hand: what is left when both are fitted, then loads, then batches, each less what lies below it."""
    batch, load = np.repeat([0, 1, 2], 8), np.tile(np.repeat([0, 1, 2, 3], 2), 3)
    values = np.array([0.0, 2.0, 7.0])[batch] + np.array([1.0, 0.0, 4.0, -5.0])[load] + np.tile([-0.5, 0.5], 12)
    # 24 · ¼ in 18 left; 6 · 42 in 3 between loads; 8 · 26 in 2 between batches
    crossed = reml_components(cells_of(values, batch, load))
    assert float(crossed.bar_variance) == pytest.approx(6.0 / 18.0, rel=1e-6)
    assert float(crossed.load_variance) == pytest.approx((84.0 - 6.0 / 18.0) / 6.0, rel=1e-6)
    assert float(crossed.batch_variance) == pytest.approx((104.0 - 6.0 / 18.0) / 8.0, rel=1e-6)
    within = np.tile(np.repeat([-1.5, -0.5, 0.5, 1.5], 2), 3)
    values = np.array([0.0, 2.0, 7.0])[batch] + within + np.tile([-0.5, 0.5], 12)
    # 24 · ¼ in 12 left; 2 · 15 in 9 between loads of a batch; 8 · 26 in 2 between batches
    nested = reml_components(cells_of(values, batch, 4 * batch + load))
    assert float(nested.bar_variance) == pytest.approx(0.5, rel=1e-6)
    assert float(nested.load_variance) == pytest.approx((30.0 / 9.0 - 0.5) / 2.0, rel=1e-6)
    assert float(nested.batch_variance) == pytest.approx((104.0 - 30.0 / 9.0) / 8.0, rel=1e-6)
    assert crossed.kinds == nested.kinds == ("batches", "loads")


def loads_apart(between):
    """Two loads of three bars whose mean square within is 1."""
    return cells_of(np.array([1.0, 2.0, 3.0] * 2) + np.repeat([0.0, between], 3), [0] * 6, np.repeat([0, 1], 3))


@pytest.mark.parametrize(("between", "load_variance"), [(1.2, 0.2 / 3.0), (1.0 + 3e-5, 0.0)])
def test_a_variance_that_is_nothing_beside_that_of_bars_is_0(between, load_variance):
    """N θ is twice as much as the mean squares differ from 1: 0.4, and 0.00006."""
    found = reml_components(loads_apart((between / 1.5) ** 0.5))
    assert float(found.load_variance) == pytest.approx(load_variance, rel=1e-5)
    assert (found.load_variance > 0.0) == (load_variance > 0.0)


def test_loads_whose_bars_are_all_alike_are_e_to_the_24th_apart():
    layout = loads_apart(1.0).layout
    found = reml_components(Cells(layout, np.array([12.0, 13.0]), np.asarray(1e-30)))
    assert float(found.load_variance / found.bar_variance) == pytest.approx((np.exp(24.0) - 1.0) / 6.0)


@pytest.mark.parametrize("design", ["loads", "crossed", "nested"])
def test_the_search_takes_few_rounds(monkeypatch, design):
    looks = []
    monkeypatch.setattr(components, "solve", lambda *of: looks.append(of) or solve(*of))
    rng = np.random.default_rng(5)
    batch, load = rng.integers(0, 1 if design == "loads" else 4, 60), rng.integers(0, 6, 60)
    load = load + 6 * batch if design == "nested" else load
    values = 0.4 * rng.standard_normal(4)[batch] + 0.3 * rng.standard_normal(24)[load] + 0.2 * rng.standard_normal(60)
    reml_components(cells_of(values, batch, load))
    assert len(looks) <= 6, "the grid, four rounds and the answer"


def test_no_ratios_of_variances_are_likelier_than_those_found():
    rng = np.random.default_rng(3)
    ratios = np.concatenate(([0.0], np.geomspace(1e-3, 1e3, 40)))
    outer, inner = (axis.ravel() for axis in np.meshgrid(ratios, ratios))
    for place in range(80):
        sds = rng.choice([0.0, 0.1, 1.0], 2)
        values, batch, load = scattered(rng, int(rng.integers(8, 40)), 1 + place % 4, int(rng.integers(2, 8)), sds)
        nested = values + rng.choice([0.0, 1.0]) * rng.standard_normal(32)[8 * batch + load], batch, 8 * batch + load
        for cells in (cells_of(values, batch, load), cells_of(*nested)):
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


def test_bars_without_a_fellow_in_batch_and_load_leave_it_to_the_mean_squares():
    """By hand: means of pairs 2, 3 and 7, in each of which both are 1 from it."""
    values, own, pair = [1.0, 3.0, 2.0, 4.0, 6.0, 8.0], np.arange(6), np.repeat([0, 1, 2], 2)
    for batch, load, expected, kinds in (
        (0 * own, own, (0.0, 6.8), ("loads",)), (own, 0 * own, (6.8, 0.0), ("batches",)),
        (own, own, (6.8, 0.0), ("batches",)),
        (own, pair, (2.0, 7.0), ("batches", "loads")), (pair, own, (7.0, 2.0), ("batches", "loads")),
    ):  # fmt: skip
        cells = cells_of(values, batch, load)
        found = components_of(cells, mean_squares(cells))
        assert (float(found.batch_variance), float(found.load_variance)) == pytest.approx(expected)
        assert (found.estimator, found.kinds) == ("mean squares", kinds)
        assert found.fit.weights == pytest.approx(np.full(6, 1.0 / 6.0))


def test_what_rounding_leaves_where_bars_have_no_scatter_of_their_own_is_none():
    chain = np.arange(8) // 2, np.arange(1, 9) // 2
    for seed in range(8):
        cells = cells_of(np.random.default_rng(seed).normal(12.0, 1.0, 8), *chain)
        assert components_of(cells, mean_squares(cells)).estimator == "mean squares"


def test_one_bar_with_a_fellow_is_enough_unless_no_bar_differs_from_its_own():
    layout = cell_layout([0, 0, 0], [0, 0, 1])[0]
    for within, estimator in ((0.02, "REML"), (0.0, "mean squares"), ([0.02, 0.0], "mean squares")):
        cells = Cells(layout, np.full((*np.shape(within), 2), [12.0, 14.0]), np.asarray(within))
        found = components_of(cells, mean_squares(cells))
        assert found.by_likelihood == (estimator == "REML")
        assert found.bar_variance == pytest.approx(np.asarray(within))
