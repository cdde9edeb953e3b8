"""What is said about how many bars it takes."""

from typing import TYPE_CHECKING

from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY
from bodytest.rounding import decimals_for, number_text

if TYPE_CHECKING:
    from bodytest.analysis.bar_needs import BarNeed

_WORTH_IT = 0.9
"""Twice the marks are worth the trouble where they bring the half-width below this part of what it is."""


def within(half_width: float, unit: str) -> str:
    """Return ``± 0.2 percentage points``, with two digits where the first one is 1 or 2.

    >>> within(0.2, "%"), within(0.0123, "g/cm³"), within(0.05, "")
    ('± 0.20 percentage points', '± 0.012 g/cm³', '± 0.05')
    """
    return f"± {amount(half_width, unit)}"


def amount(value: float, unit: str) -> str:
    """Return a difference or standard deviation with its unit in words; percentages differ by percentage points."""
    words = "percentage points" if unit == "%" else unit
    return f"{number_text(value, max(decimals_for(value), 0))} {words}".rstrip()


def summary_for(need: "BarNeed") -> str:
    """Return the message in one or two sentences, with what to do; empty where no half-width was asked for."""
    if need.wanted_half_width is None:
        return ""
    wanted = within(need.wanted_half_width, need.unit)
    if need.half_width_now is not None and need.half_width_now <= need.wanted_half_width:
        bars = f"The {need.bars} bars" if need.batches < 2 else f"The {need.bars} bars of {need.batches} batches"
        return f"{bars} give {within(need.half_width_now, need.unit)} already; {wanted} needs no more."
    return _for_bars(need, wanted) if need.batch_sd is None else _for_batches(need, wanted, need.wanted_half_width)


def _for_bars(need: "BarNeed", wanted: str) -> str:
    if need.bars_needed is None:
        least = within(need.least_half_width or 0.0, need.unit)
        return (
            f"No sensible number of bars gives {wanted}: even a thousand leave {least}, by their scatter and by what"
            " the instruments leave open. Read to a finer step, check the instruments, make longer bars, or settle for"
            " less."
        )
    now = "" if need.half_width_now is None else f" (now {within(need.half_width_now, need.unit)})"
    more = f", {need.bars_needed - need.bars} more than now," if need.bars else ""
    sentence = f"{need.bars_needed} bars of one batch{more} give {wanted}{now} if they scatter as so far."
    if not need.bars:
        return f"{need.bars_needed} bars of one batch give {wanted}."
    if need.bars_to_be_safe is None or need.bars_to_be_safe == need.bars_needed:
        return sentence
    return (
        f"{sentence} {need.bars} bars show their scatter only roughly: to be on the safe side make"
        f" {need.bars_to_be_safe}."
    )


def _for_batches(need: "BarNeed", wanted: str, half_width: float) -> str:
    bars_each = f"{number_text(need.bars_each, 0)} bars each"
    if need.batches_needed is None:
        batches = f"No sensible number of batches with {bars_each} gives {wanted}; settle for less."
    else:
        batches = f"Test {need.batches_needed} batches in all with {bars_each} for {wanted}."
    least = need.least_half_width
    if least is None or least <= half_width:
        more = (
            f" Or make {need.bars_each_needed} bars of each of the same {need.batches}."
            if need.bars_each_needed
            else ""
        )
        return batches + more
    return (
        f"More bars of these {need.batches} batches cannot give {wanted}: the batches differ, which leaves"
        f" {within(least, need.unit)} however many bars are made. {batches}"
    )


def notes_for(need: "BarNeed") -> tuple[str, ...]:
    """Return what follows for noticing differences, for marks, and on a piece."""
    return tuple(note for note in (_noticing(need), _marks(need), _on_a_piece(need)) if note)


def _noticing(need: "BarNeed") -> str:
    if need.difference is None:
        return ""
    difference = amount(need.difference, need.unit)
    if need.bars_to_notice is None:
        return f"No sensible number of bars shows a difference of {difference} between two batches."
    return (
        f"A difference of {difference} between two batches is noticed in four cases of five with"
        f" {need.bars_to_notice} bars of each."
    )


def _marks(need: "BarNeed") -> str:
    if need.marks is None or need.half_width_now is None:
        return ""
    twice = within(need.marks.half_width_twice_the_marks, need.unit)
    scatter = (
        f"The marks of one bar scatter by {amount(need.marks.mark_sd, need.unit)} (standard deviation), bars beyond"
        f" that by {amount(need.marks.bar_sd, need.unit)}."
    )
    if need.marks.half_width_twice_the_marks < _WORTH_IT * need.half_width_now:
        return f"{scatter} Twice the marks on each bar would give {twice} with the same number of bars."
    return f"{scatter} More marks on each bar would change little ({twice} with twice as many): make more bars."


def _on_a_piece(need: "BarNeed") -> str:
    quantity, asked = QUANTITY_BY_KEY[need.quantity], need.wanted_half_width or need.difference
    linear = quantity.key != "total_volume_shrinkage" and READING_BY_KEY[quantity.needs[0]].dimension == "length"
    if not linear or asked is None:
        return ""
    sign = "± " if need.wanted_half_width else ""
    points, on_piece = amount(asked, need.unit), amount(2.0 * asked, "mm")
    return f"{sign}{points} of shrinkage is {sign}{on_piece} on a length of 200 mm."
