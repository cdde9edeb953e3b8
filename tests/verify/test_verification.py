"""Every published example is met, and a miss is told."""

import dataclasses
import math

import pytest

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.verify.examples import published_examples
from bodytest.verify.printed_digits import Figure, compare, worst
from bodytest.verify.verification import CHECKS, verify

pytestmark = pytest.mark.core

NOT_OURS = {
    "nist-7.2.2.2-sample-size": "bars for a known mean and scatter; the program tries out what bars leave open",
    "nist-7.2.6.3-tolerance": "Howe's approximation; the program uses exact factors",
    "control-chart-constants": "constants of charts with several bars a point; the program charts batch means",
}
"""Examples that ship with the package and rest on methods that the program does not use."""
NOT_OURS_IN_PART = {
    "nist-7.4.3-anova": {"p"},
    "tost-clinic-welch-1": {"df"},
}
"""Figures of other examples that the program has no function for: p of the classic F, and degrees of freedom that show
in the interval only."""


def example(identifier):
    return next(e for e in published_examples() if e.id == identifier)


@pytest.mark.parametrize("figure", verify(), ids=lambda f: f"{f.example} {f.name} {f.position}".strip())
def test_each_published_figure_is_met_within_its_printed_digits(figure):
    assert figure.trouble is None
    assert figure.passed, f"published {figure.published}, ours {figure.ours}, within {figure.tolerance}"


def test_every_example_is_computed_or_named_as_not_ours():
    assert {e.id for e in published_examples() if "quantity" not in e.inputs} == set(CHECKS) | set(NOT_OURS)


def test_every_quantity_has_a_worked_value():
    assert {e.inputs["quantity"] for e in published_examples() if "quantity" in e.inputs} == set(QUANTITY_BY_KEY)


def test_every_figure_of_an_example_is_computed_or_named_as_not_ours():
    computed = {}
    for figure in verify():
        computed.setdefault(figure.example, set()).add(figure.name)
    left = {e.id: set(e.expected) - computed[e.id] for e in published_examples() if e.id in CHECKS}
    assert {key: names for key, names in left.items() if names} == NOT_OURS_IN_PART


def test_a_wrong_published_figure_is_a_miss():
    spoiled = dataclasses.replace(example("kaolinite-loss"), expected={"loss_percent": 13.86})
    (figure,) = verify([spoiled])
    assert not figure.passed
    assert figure.ours == pytest.approx(13.9566, abs=1e-4)


def test_a_method_that_breaks_is_a_miss_with_its_reason():
    spoiled = dataclasses.replace(example("water-density"), inputs={})
    figures = verify([spoiled])
    assert len(figures) == 13
    assert not any(figure.passed for figure in figures)
    assert figures[0].trouble == "KeyError: 't_C'"
    assert figures[0].ours is None


def test_digits_count_the_agreeing_ones():
    figures = list(compare(example("kaolinite-loss"), {"loss_percent": 13.96 * (1 + 1e-5)}))
    assert figures[0].digits == pytest.approx(5.0, abs=1e-6)
    same = dataclasses.replace(figures[0], ours=13.96)
    assert same.digits == 15.0


def test_an_undefined_figure_of_ours_is_a_miss():
    figure = next(compare(example("kaolinite-loss"), {"loss_percent": math.nan}))
    assert not figure.passed
    assert figure.digits == 0.0


def test_the_worst_figure_of_a_list_is_a_missed_one():
    figures = list(compare(example("isotonic-pava"), {"f2": [4.0, 4.1, 4.0]}))
    assert worst(figures).position == "2"


def test_texts_are_compared_as_texts():
    figures = list(compare(example("tost-clinic-welch-1"), {"verdict": "equivalent"}))
    assert figures[0].passed
    assert figures[0].digits is None
    assert not dataclasses.replace(figures[0], ours="different").passed


def test_a_list_of_another_length_is_no_comparison():
    with pytest.raises(ValueError, match=r"longer|shorter"):
        list(compare(example("isotonic-pava"), {"f2": [4.0, 4.0]}))


def test_every_figure_says_where_it_comes_from():
    for figure in verify():
        assert figure.source
        assert figure.provenance
        assert isinstance(figure, Figure)
