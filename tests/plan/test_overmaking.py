"""How many to make: against integration of the smallest gap, and against kilns simulated by brute force."""

import math
from functools import cache

import numpy as np
import pytest
from scipy import stats

from bodytest.errors import UnusableRequest
from bodytest.plan.match_words import match_lines
from bodytest.plan.matching import Match, match
from bodytest.plan.overmaking import limits_that_suffice, pieces_to_make
from bodytest.plan.ranges import Scatter
from tests.export.example_results import group, results

ONE_BATCH = results(group(total_shrinkage=(12.0, 0.25, 10)))
KNOWN = Scatter(1.0, math.inf, 0.0)


def chance_of_a_gap(count: int, limit: float) -> float:
    """Return P(smallest gap of ``count`` standard normal values ≤ ``limit``), by our own integration.

    All gaps are wider with n! ∫ g_n, where g_1 = φ and g_j(x) = φ(x) ∫_{−∞}^{x − limit} g_{j−1}: each value in order
    lies at least ``limit`` above the one before it.
    """
    steps = 200
    step = limit / steps
    place = np.arange(-9.0, 9.0, step)
    density = stats.norm.pdf(place)
    ordered = density
    for _ in range(count - 1):
        below = np.concatenate(([0.0], np.cumsum((ordered[1:] + ordered[:-1]) / 2.0 * step)))
        ordered = density * np.concatenate((np.zeros(steps), below[:-steps]))
    return 1.0 - math.factorial(count) * float(ordered.sum() * step)


def test_the_integration_of_the_smallest_gap_is_that_of_two_and_three_values():
    assert chance_of_a_gap(2, 0.5) == pytest.approx(2.0 * stats.norm.cdf(0.5 / math.sqrt(2.0)) - 1.0, abs=1e-5)
    from scipy.integrate import dblquad

    def wide(gap: float, middle: float) -> float:
        return 6.0 * stats.norm.pdf(middle) * stats.norm.cdf(middle - 0.5) * stats.norm.pdf(middle + gap)

    apart, _ = dblquad(wide, -7.0, 7.0, 0.5, 12.0, epsabs=1e-8)
    assert chance_of_a_gap(3, 0.5) == pytest.approx(1.0 - apart, abs=1e-5)


@pytest.mark.parametrize("limit", [0.1, 0.3, 0.8])
def test_for_a_pair_without_loss_the_chance_is_that_of_the_smallest_gap(limit):
    """Four standard errors of 20 000 draws."""
    for chance in (0.55, 0.7, 0.8, 0.9, 0.95, 0.99):
        found = pieces_to_make(KNOWN, 2, limit, lost=0.0, chance=chance)
        assert found.chance == pytest.approx(chance_of_a_gap(found.made, limit), abs=4.0 * found.standard_error + 1e-5)
        assert chance_of_a_gap(found.made - 1, limit) < chance + 0.012
        assert found.standard_error < 0.0036


@pytest.mark.parametrize(("pieces", "limit", "lost"), [(2, 0.3, 0.1), (3, 0.6, 0.0), (3, 0.6, 0.25), (5, 1.0, 0.1)])
@pytest.mark.parametrize("freedom", [5.0, math.inf])
def test_kilns_simulated_one_by_one_agree_as_often(pieces, limit, lost, freedom):
    """Scatters that few bars leave possible, pieces lost one by one; the rest looked through for a set."""
    found = pieces_to_make(Scatter(1.0, freedom, 0.0), pieces, limit, lost=lost, chance=0.9)
    rng, kilns = np.random.default_rng(9), 8000
    held = 0
    for _ in range(kilns):
        sd = 1.0 if freedom == math.inf else math.sqrt(freedom / rng.chisquare(freedom))
        whole = np.sort(rng.normal(0.0, sd, found.made)[rng.random(found.made) >= lost])
        held += any(whole[i + pieces - 1] - whole[i] <= limit for i in range(len(whole) - pieces + 1))
    error = math.hypot(math.sqrt(0.09 / kilns), found.standard_error)
    assert held / kilns == pytest.approx(found.chance, abs=4.0 * error)
    assert found.chance >= 0.9


def test_what_is_made_to_the_number_told_holds_over_many_trials():
    """Ten bars show the scatter of each trial anew; pairs are found at least as often as wanted."""
    rng, held, trials = np.random.default_rng(10), 0, 600

    @cache
    def planned(sd: float) -> int:
        return pieces_to_make(Scatter(sd**2, 9.0, 0.0), 2, 0.1, lost=0.1, chance=0.9).made

    for sd in rng.normal(12.0, 0.25, (trials, 10)).std(axis=1, ddof=1):
        made = planned(round(sd, 2))
        whole = np.sort(rng.normal(0.0, 0.25, made)[rng.random(made) >= 0.1])
        held += bool((np.diff(whole) <= 0.1).any())
    assert held / trials > 0.9 - 2.0 * math.sqrt(0.09 / trials)


def test_the_limits_of_a_table_are_the_answer_turned_round():
    limits = limits_that_suffice(9.0, 3, (0.0, 0.1), 0.95, 8)
    # with one in ten lost, three of three are whole in 73 %, three of four in 94.8 %, however closely they agree
    assert np.isinf(limits).tolist() == [[False] * 9, [True] * 2 + [False] * 7]
    for share, row in zip((0.0, 0.1), limits, strict=True):
        for more in range(9):
            if more and math.isfinite(row[more]):
                found = [pieces_to_make(Scatter(1.0, 9.0, 0.0), 3, row[more] * near, lost=share, chance=0.95).made
                         for near in (0.98, 1.02)]  # fmt: skip
                assert found == [3 + more + 1, 3 + more]


def test_pieces_that_do_not_scatter_need_only_spares():
    # without scatter two whole ones of three made are enough: 0.9³ + 3 × 0.9² × 0.1 = 0.972
    found = pieces_to_make(Scatter(0.0, 9.0, 0.0), 2, 1.0, lost=0.1, chance=0.95)
    assert found.made == 3
    assert found.chance == pytest.approx(0.972, abs=1e-12)


@pytest.mark.parametrize(
    ("wish", "sentence"),
    [
        (Match("200mm", within="3mm"), "Make 2 to have a pair within 3 mm with 95 % chance."),
        (Match("200mm", within="1mm"), "Make 3 to have a pair within 1 mm with 95 % chance."),
        (Match("200mm", within="1mm", lost=0.1),
         "Make 4 to have a pair within 1 mm with 95 % chance, if one in ten is lost."),
        (Match("8in", pieces=4, within="0.02in", lost=0.07, chance=0.9),
         "Make 11 to have 4 within 0.02 in with 90 % chance, if 7 % are lost."),
        (Match("200mm", within="0.001mm", lost=0.5),
         "Even 100 made are not enough to have a pair within 0.001 mm with 95 % chance, if one in two is lost."),
    ],
)  # fmt: skip
def test_how_many_to_make_is_told_first(wish, sentence):
    assert next(iter(match_lines(match(ONE_BATCH, wish)))) == sentence


def test_without_a_tolerance_no_number_is_told():
    found = match(ONE_BATCH, Match("200mm"))
    assert (found.make, found.make_chance, found.make_chance_error) == (None, None, None)
    assert next(iter(match_lines(found))).startswith("2 pieces of 200.0 mm finished")


@pytest.mark.parametrize(
    ("wish", "sentence"),
    [
        (Match("200mm", within="1mm", lost=1.0), "With 100 % lost nothing can be planned."),
        (Match("200mm", within="1mm", lost=-0.1), "With -10 % lost nothing can be planned."),
        (Match("200mm", within="1mm", lost=math.nan), "With nan % lost nothing can be planned."),
        (Match("200mm", within="1mm", chance=0.0), "A chance of 0 % cannot be planned for."),
        (Match("200mm", lost=0.1),
         "How many to make, some being lost, depends on how closely the pieces are to agree, and that was not said."),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told(wish, sentence):
    with pytest.raises(UnusableRequest) as caught:
        match(ONE_BATCH, wish)
    assert caught.value.finding.sentence == sentence
