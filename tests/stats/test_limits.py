import numpy as np
import pytest
from scipy.special import stdtrit

from bodytest.stats.limits import Seen, further_bars, settling_probability
from bodytest.stats.skew import Positive
from bodytest.stats.summary import summarise_bars
from tests.stats.deciding import decide


def test_a_mean_meets_the_limit_only_with_its_whole_margin_below():
    margin = stdtrit(4, 0.95) * 0.2
    assert decide(3.0 - margin - 1e-9, 0.2, 4, (None, 3.0)) == "meets"
    assert decide(3.0 - margin + 1e-9, 0.2, 4, (None, 3.0)) == "cannot tell yet"
    assert decide(3.0 + margin, 0.2, 4, (None, 3.0)) == "cannot tell yet"
    assert decide(3.0 + margin + 1e-9, 0.2, 4, (None, 3.0)) == "does not meet"


def test_the_limit_itself_is_accepted():
    # ISO 13006: the upper limit belongs to the lower class.
    assert decide(3.0, 0.0, 4, (None, 3.0)) == "meets"
    assert decide(3.0 + 1e-9, 0.0, 4, (None, 3.0)) == "does not meet"


@pytest.mark.parametrize(("true_mean", "wrong"), [(3.0, "does not meet"), (3.0001, "meets")])
@pytest.mark.parametrize("n", [3, 5, 12])
def test_a_wrong_statement_is_made_no_more_often_than_stated(true_mean, wrong, n):
    rng = np.random.default_rng(n)
    wrongly = 0
    for sample in rng.normal(true_mean, 0.2, (3000, n)):
        summary = summarise_bars(sample)
        said = decide(summary.mean, summary.standard_uncertainty, summary.degrees_of_freedom, (None, 3.0))
        wrongly += said == wrong
    assert wrongly / 3000 < 0.062  # 5 % and three standard errors of 3000 runs


def simulated_settling(further, distance, n, confidence, shared=0.0, trials=400_000):
    """Return how often further bars settle it, over true means and scatters drawn from what the bars seen allow."""
    rng = np.random.default_rng([further, n])
    variance = (n - 1) / rng.chisquare(n - 1, trials)
    true_mean = distance + np.sqrt(variance / n) * rng.standard_normal(trials)
    new_mean = true_mean + np.sqrt(variance / further) * rng.standard_normal(trials)
    new_squares = variance * rng.chisquare(further - 1, trials)
    bars = n + further
    mean = (n * distance + further * new_mean) / bars
    squares = (n - 1) + new_squares + n * further / bars * (new_mean - distance) ** 2
    scatter = squares / (bars - 1) / bars
    total = scatter + shared**2
    freedom = (bars - 1) * (total / scatter - shared**2 / total) ** 2
    return float(np.mean(np.abs(mean) > stdtrit(freedom, confidence) * np.sqrt(total)))


@pytest.mark.parametrize(
    ("further", "distance", "n", "confidence", "shared"),
    [(19, 1.0, 5, 0.99, 0.0), (5, 0.3, 5, 0.95, 0.0), (100, 0.1, 10, 0.95, 0.0), (30, 0.3, 3, 0.95, 0.0),
     (2, 0.9, 4, 0.95, 0.0), (20, 0.5, 8, 0.95, 0.1)],
)  # fmt: skip
def test_the_chance_to_settle_is_that_of_a_simulation(further, distance, n, confidence, shared):
    ours = settling_probability(further, Seen(distance, 1.0, n, shared), 0.0, confidence)
    assert ours == pytest.approx(simulated_settling(further, distance, n, confidence, shared), abs=0.004)


def test_the_number_given_is_enough_and_one_less_is_not():
    seen = Seen(2.8, 0.3, 5, values=Positive(0.3))
    further = further_bars(seen, 3.0)
    probable = [settling_probability(m, seen, 3.0) for m in (further - 1, further)]
    assert probable[0] < 2 / 3 <= probable[1]


@pytest.mark.parametrize(("mean", "tail"), [(20.0, False), (2.0, False), (2.0, True)], ids=["far", "near", "skewed"])
def test_it_settles_as_often_as_said_when_bodies_lie_anywhere_about_the_limit(mean, tail):
    # Bodies within 1.5 SD of the limit, five bars; of those left open with a number given, that many more are tested.
    rng = np.random.default_rng(9)
    settled = {"meets": [], "does not meet": []}
    for distance in rng.uniform(-1.5, 1.5, 1200):
        seen = absorptions(mean, tail, 5, rng)
        sd = float(seen.std(ddof=1))
        limit = mean + distance
        if decision_on(seen, limit) == "cannot tell yet":
            further = further_bars(Seen(float(seen.mean()), sd, 5, values=Positive(sd)), limit)
            if further is not None:
                every = np.append(seen, absorptions(mean, tail, further, rng))
                settled["meets" if distance > 0.0 else "does not meet"].append(decision_on(every, limit))
    for side in settled.values():
        assert len(side) > 200
        assert np.mean([one != "cannot tell yet" for one in side]) > 2 / 3 - 0.07


def absorptions(mean, tail, bars, rng):
    """Return bars with a standard deviation of 1, by steps or, with a tail, by lognormal factors."""
    if not tail:
        return mean + rng.standard_normal(bars)
    sigma = np.sqrt(np.log1p(mean**-2))
    return mean * np.exp(sigma * rng.standard_normal(bars) - sigma**2 / 2.0)


def decision_on(values, limit):
    summary = summarise_bars(values)
    known = summary.mean, summary.standard_uncertainty, summary.degrees_of_freedom
    return decide(*known, (None, limit), values=Positive(summary.sd))


@pytest.mark.parametrize(
    ("mean", "shared", "power"),
    [(3.0, 0.0, 0.6), (2.999, 0.0, 0.9), (2.8, 0.2, 2 / 3)],
    ids=["mean on the limit", "mean too near", "calibration leaves it open"],
)
def test_no_number_is_given_where_bars_do_not_settle_it(mean, shared, power):
    assert further_bars(Seen(mean, 0.3, 5, shared), 3.0, power=power) is None


def test_a_calibration_costs_bars():
    assert further_bars(Seen(2.8, 0.3, 5, 0.05), 3.0) > further_bars(Seen(2.8, 0.3, 5), 3.0)


def test_one_bar_or_no_scatter_says_nothing_about_further_bars():
    assert further_bars(Seen(2.8, 0.3, 1), 3.0) is None
    assert further_bars(Seen(2.8, 0.0, 5), 3.0) is None
