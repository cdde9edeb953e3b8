import math

import numpy as np
import pytest
from scipy import stats

from bodytest.errors import NotMeasured, UnusableRequest
from bodytest.plan.matching import Match, match
from bodytest.plan.ranges import Scatter, chance_above, chance_of_range
from bodytest.results import BatchResult
from tests.bench.comparison_coverage import matching
from tests.export.example_results import group, quantity, results

ONE_BATCH = results(group(total_shrinkage=(12.0, 0.25, 10)))


def several_batches():
    """Three batches of five bars: 0.3 between batches, 0.2 within, 12 degrees of freedom within."""
    total = quantity("total_shrinkage", 12.0, math.hypot(0.3, 0.2), 15, batch_sd=0.3, bar_sd=0.2)
    parts = {"total_shrinkage": quantity("total_shrinkage", 12.0, 0.2, 5)}
    by_batch = tuple(BatchResult(name, 5, parts) for name in "ABC")
    return results(group(batches="ABC", by_batch=by_batch, total_shrinkage=total))


def test_a_pair_agrees_as_the_normal_formula_says():
    # 200 mm: wet 227.2727 mm, one piece 0.25 % of it = 0.568182 mm, the difference of two 0.568182 √2 = 0.803530 mm;
    # within 1 mm: 2 Φ(1/0.803530) − 1 = 2 Φ(1.244508) − 1 = 0.786696
    found = match(ONE_BATCH, Match("200mm", within="1mm"))
    assert found.piece_sd_mm == pytest.approx(0.568182, abs=1e-6)
    assert found.chance_within_known_scatter == pytest.approx(2 * stats.norm.cdf(1.244508) - 1, abs=1e-6)


def test_a_pair_allows_for_few_bars_as_student_does():
    # The scatter was seen on ten bars, so 1/0.803530 is on Student's t with 9 degrees of freedom.
    found = match(ONE_BATCH, Match("200mm", within="1mm"))
    assert found.chance_within == pytest.approx(1 - 2 * stats.t.sf(1.244508, 9), abs=1e-6)


def test_making_adds_to_firing():
    # 95 % within 1 mm wet: 1/1.96 = 0.510204 mm wet, × 0.88 = 0.448980 mm finished; √(0.568182² + 0.448980²) = 0.724162
    found = match(ONE_BATCH, Match("200mm", within="1mm", made_within="1mm"))
    assert found.piece_sd_mm == pytest.approx(0.724162, abs=1e-5)


@pytest.mark.parametrize("pieces", [2, 3, 6, 20])
@pytest.mark.parametrize("freedom", [2.0, 9.0, 1e6])
def test_the_range_is_that_of_the_studentised_range(pieces, freedom):
    for limit in (0.5, 2.0, 4.0):
        expected = stats.studentized_range.cdf(limit, pieces, freedom)
        assert chance_of_range(Scatter(1.0, freedom, 0.0), pieces, limit) == pytest.approx(expected, abs=2e-5)


def test_the_chance_is_that_of_a_simulation():
    """Experiments with ten bars each and four pieces made to 0.8 mm, all with the same true scatter."""
    rng = np.random.default_rng(11)
    count, left = 4000, 0.88
    seen = rng.normal(12.0, 0.25, (count, 10)).std(axis=1, ddof=1)
    wet = 200 / left + rng.normal(0, 0.8 / 1.96, (count, 4))
    finished = wet * (1 - rng.normal(12.0, 0.25, (count, 4)) / 100)
    agree = (np.ptp(finished, axis=1) <= 2.0).mean()
    truth = match(ONE_BATCH, Match("200mm", pieces=4, within="2mm", made_within="0.8mm")).chance_within_known_scatter
    # standard deviation of the simulated share √(p (1 − p)/4000) ≤ 0.008
    assert truth == pytest.approx(agree, abs=0.027)
    # Limits planned from what ten bars show hold as often as planned: 95 % of 4000, standard deviation 0.0034.
    limits = {round(s, 2): None for s in seen}
    for s in limits:
        body = results(group(total_shrinkage=(12.0, s or 0.01, 10)))
        limits[s] = match(body, Match("200mm", pieces=4, within="2mm", made_within="0.8mm")).within_needed_mm
    held = np.ptp(finished, axis=1) <= np.array([limits[round(s, 2)] for s in seen])
    assert held.mean() == pytest.approx(0.95, abs=0.012)


def test_pieces_of_one_batch_vary_as_bars_of_a_batch():
    # 0.2 % of 227.2727 mm
    found = match(several_batches(), Match("200mm", within="1mm"))
    assert found.piece_sd_mm == pytest.approx(0.454545, abs=1e-6)
    assert found.chance_within == pytest.approx(1 - 2 * stats.t.sf(1 / (0.454545 * 2**0.5), 12), abs=1e-6)


def test_pieces_of_different_batches_vary_by_both():
    # √(0.3² + 0.2²) = 0.360555 %; a batch of five bars shows 0.09 + 0.04/5 with 2 degrees of freedom, the rest 12.
    # Their t are weighted by the squares of both parts: the larger one rules.
    found = match(several_batches(), Match("200mm", batches="different"))
    sd = 2.272727 * 0.360555
    assert found.piece_sd_mm == pytest.approx(sd, abs=1e-5)
    factor = (stats.t.ppf(0.975, 2) * 0.098**2 + stats.t.ppf(0.975, 12) * 0.032**2) / (0.098**2 + 0.032**2)
    assert found.within_needed_mm == pytest.approx(factor * sd * 2**0.5, rel=1e-5)


@pytest.mark.parametrize("batches", [2, 3, 6])
@pytest.mark.parametrize("between", [0.1, 0.4])
def test_pieces_of_different_batches_agree_as_often_as_told(batches, between):
    found = matching(batches, between, 400, np.random.default_rng([12, batches]))
    assert found.agree > 0.95 - 0.015


def test_the_difference_to_allow_for_95_per_cent():
    # t(0.975; 9) × 0.803530 = 2.262157 × 0.803530 = 1.817711 mm
    found = match(ONE_BATCH, Match("200mm"))
    assert found.within_needed_mm == pytest.approx(1.817711, abs=1e-4)
    assert match(ONE_BATCH, Match("200mm", within="1.817711mm")).chance_within == pytest.approx(0.95, abs=1e-6)


def test_a_lid_fits_with_the_clearance_that_is_needed():
    # one-sided t(0.95; 9) = 1.833113 × 0.803530 = 1.472961 mm
    found = match(ONE_BATCH, Match("200mm", clearance="1mm"))
    assert found.clearance_needed_mm == pytest.approx(1.472961, abs=1e-4)
    assert found.chance_fits == pytest.approx(stats.t.cdf(1.244508, 9), abs=1e-6)
    assert chance_above(Scatter(0.0, 9.0, 0.0), 1.0) == pytest.approx(1.0, abs=1e-12)


def test_the_accuracy_of_making_that_is_needed_gives_the_wanted_chance():
    found = match(ONE_BATCH, Match("200mm", within="3mm", chance=0.9))
    again = match(ONE_BATCH, Match("200mm", within="3mm", made_within=f"{found.made_within_needed_mm!r}mm"))
    assert again.chance_within == pytest.approx(0.9, abs=1e-9)
    # 1.9 mm is little more than the 1.817711 mm that firing takes, so they have to be made within half a millimetre
    near = match(ONE_BATCH, Match("200mm", within="1.9mm")).made_within_needed_mm
    assert 0.4 < near < 0.5
    exact = match(ONE_BATCH, Match("200mm", within="1.9mm", made_within=f"{near!r}mm"))
    assert exact.chance_within == pytest.approx(0.95, abs=1e-9)
    both = match(ONE_BATCH, Match("200mm", within="1.9mm", clearance="1.6mm"))
    alone = match(ONE_BATCH, Match("200mm", clearance="1.6mm"))
    assert both.made_within_needed_mm == min(near, alone.made_within_needed_mm)


def test_bars_that_do_not_scatter_at_all_agree_exactly():
    found = match(results(group(total_shrinkage=(12.0, 0.0, 10))), Match("200mm", within="0.1mm"))
    assert (found.piece_sd_mm, found.chance_within, found.within_needed_mm) == (0.0, 1.0, 0.0)
    assert (found.batches, found.loads, found.pieces, found.wanted_chance) == ("same", "same", 2, 0.95)


def test_no_accuracy_is_enough_when_the_firing_varies_too_much():
    assert match(ONE_BATCH, Match("200mm", within="1mm")).made_within_needed_mm is None


def test_what_is_not_known_is_refused():
    with pytest.raises(NotMeasured) as caught:
        match(ONE_BATCH, Match("200mm", batches="different"))
    assert caught.value.finding.sentence == (
        "How far batches of Drift Buff fired in C6 differ is not known: at least two batches with two bars each have"
        " to be tested for it."
    )
    with pytest.raises(NotMeasured) as caught:
        match(results(group(firing_shrinkage=(6.0, 0.1, 10))), Match("200mm"))
    assert caught.value.finding.sentence == (
        "Bars of Drift Buff fired in C6 were not measured at the stage “wet”. There are: dry."
    )
    with pytest.raises(NotMeasured) as caught:
        match(results(group(total_shrinkage=(12.0, None, 1))), Match("200mm"))
    assert caught.value.finding.sentence == (
        "Only one bar of Drift Buff fired in C6 was measured, so nothing is known about how pieces differ."
    )


@pytest.mark.parametrize(
    ("wish", "sentence"),
    [
        (Match("200mm", pieces=1), "1 pieces cannot be compared; it has to be from 2 to 1000."),
        (Match("200mm", pieces=5000), "5000 pieces cannot be compared; it has to be from 2 to 1000."),
        (Match("200mm", chance=1.0), "A chance of 100 % cannot be planned for."),
        (Match("200mm", chance=0.2), "A chance of 20 % cannot be planned for."),
        (Match("200mm", pieces=3, clearance="1mm"),
         "A clearance is the space between two pieces, but 3 pieces were asked for."),
        (Match("200mm", within="0mm"), "“0mm” is no size of a piece: it has to be above zero."),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told(wish, sentence):
    with pytest.raises(UnusableRequest) as caught:
        match(ONE_BATCH, wish)
    assert caught.value.finding.sentence == sentence
