"""What ``howmany`` says of the demo's bodies never contradicts itself."""

from pathlib import Path

import pytest

from bodytest import analyse, read_sheets
from bodytest.analysis.bar_needs import BarNeed, Wish, needs_of_sheets
from bodytest.analysis.bar_needs_words import is_enough, to_do
from bodytest.results import Results

DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"


@pytest.fixture(scope="module")
def demo() -> Results:
    return analyse(read_sheets([DEMO]))


@pytest.mark.parametrize("quantity", ["total_shrinkage", "absorption", "drying_shrinkage"])
@pytest.mark.parametrize("half_width", [0.02, 0.1, 0.2, 0.3, 0.5, 1.0])
def test_a_group_needs_no_more_or_is_told_what_to_make_and_with_what_chance(
    demo: Results, quantity: str, half_width: float
) -> None:
    needs = needs_of_sheets(demo, quantity, Wish(half_width))
    assert len(needs) >= 10
    for need in needs:
        said = need.summary
        assert ("needs no more" in said) == is_enough(need) == (need.half_width_now <= half_width)
        if is_enough(need):
            assert not any(word in said for word in ("Make", "Test", "Fire", "cannot"))
        elif need.about_even is None:
            assert said.startswith(("No ", "More bars of these"))
            assert "settle for less" in said
            assert to_do(need) == f"no sensible number of {need.limited_by} does it"
        else:
            _asks_for_one_thing_with_both_chances(need)


def _asks_for_one_thing_with_both_chances(need: BarNeed) -> None:
    verb = {"bars": "Make", "batches": "Test", "loads": "Fire"}[need.limited_by]
    seen = {"bars": need.bars, "batches": need.batches, "loads": need.loads}[need.limited_by]
    assert f"{verb} {need.about_even - seen} more " in need.summary
    assert "for an even chance of ±" in need.summary
    assert "nine cases of ten" in need.summary
    assert need.about_even > seen
    assert need.nine_in_ten is None or need.nine_in_ten >= need.about_even
    assert ("More bars of these" in need.summary) == (
        need.limited_by != "bars"
        and need.least_half_width is not None
        and need.least_half_width > need.wanted_half_width
    )
