"""Whole sentences of the advice, with the arithmetic beside them."""

import pytest

from bodytest.analysis.certainty import advice_for
from bodytest.budget import CertaintyShare

SOURCES = ("bars", "batches", "marks", "reading step", "calibration")


def advice(source, share, **changes):
    rest = next(s for s in SOURCES if s != source)
    shares = (CertaintyShare(source, 1.0, share), CertaintyShare(rest, 0.5, 1.0 - share))
    known = {"levels": {"batches": 1, "loads": 1}, "bars_to_halve": None, "step": "0.1 mm", "finer_step": "0.05 mm"}
    return advice_for(shares, **(known | changes))


@pytest.mark.parametrize(
    ("source", "share", "changes", "sentence"),
    [
        (
            "bars", 0.96, {"bars_to_halve": 13},
            "The bars differ among themselves (96 % of what is uncertain). About 13 more bars would"
            " halve the interval.",
        ),
        (
            "bars", 0.96, {"bars_to_halve": 1},
            "The bars differ among themselves (96 % of what is uncertain). About 1 more bar would halve the interval.",
        ),
        (
            # the bars' and the batches' share together: √(1 − 1/2) · t(3; 0.975)/t(1; 0.975) = 0.707 · 3.182/12.706
            "bars", 0.96, {"levels": {"batches": 2, "loads": 1}},
            "The bars differ among themselves (96 % of what is uncertain). The interval rests on 2 batches all"
            " the same. Testing 2 further batches would probably narrow the interval to about 18 % of its width.",
        ),
        (
            # √(1 − 0.94/2) · t(5; 0.975)/t(2; 0.975) = 0.728 · 2.571/4.303 = 0.435
            "batches", 0.94, {"levels": {"batches": 3, "loads": 1}},
            "The batches differ from each other (94 % of what is uncertain): more bars of the same batches hardly help."
            " Testing 3 further batches would probably narrow the interval to about 43 % of its width.",
        ),
        (
            # √(1 − 0.97/2) · t(11; 0.975)/t(5; 0.975) = 0.718 · 2.201/2.571 = 0.614
            "loads", 0.97, {"levels": {"batches": 1, "loads": 6}},
            "The loads differ from each other (97 % of what is uncertain): more bars in the same loads hardly help."
            " Testing 6 further loads would probably narrow the interval to about 61 % of its width.",
        ),
        (
            # √(1 − 0.5/2) = 0.866
            "marks", 0.5, {},
            "The marks of one bar disagree (50 % of what is uncertain): finer gauge lines help."
            " Twice as many marks on each bar would narrow it to about 87 % of its width.",
        ),
        (
            # half the step leaves a quarter of its variance: √(1 − 0.8 · 0.75) = 0.632
            "reading step", 0.8, {},
            "Much of it is the reading step (80 % of what is uncertain). Reading to 0.05 mm instead of 0.1 mm"
            " would narrow the interval to about 63 % of its width; longer bars help as well.",
        ),
        (
            "calibration", 0.8, {},
            "Much of it is the calibration of the instrument (80 % of what is uncertain). Knowing the"
            " instrument twice as well would narrow the interval to about 63 % of its width; more bars do not help.",
        ),
    ],
)  # fmt: skip
def test_the_advice_names_the_largest_source_and_what_a_remedy_would_give(source, share, changes, sentence):
    assert advice(source, share, **changes) == sentence.replace(" %", "\u00a0%")


def test_hundreds_of_bars_are_no_advice():
    assert advice("bars", 0.96, bars_to_halve=554).endswith("More bars help most.")
