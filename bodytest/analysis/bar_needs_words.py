"""What is said about how many bars it takes."""

from bodytest.bars_needed import BarNeed
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.rounding import decimals_apart, decimals_for, difference_unit, number_text
from bodytest.stats.skew import SKEWED_FROM
from bodytest.units import PIECE, on_piece

_WORTH_IT = 0.9
"""Twice the marks are worth the trouble where they bring the half-width below this part of what it is."""

TOO_FEW_TO_BE_SURE = 2
"""Of so many no number is told that reaches a half-width in nine cases of ten: a number below a thousand comes from two
that happen to agree, and suffices in eight of ten."""


def within(half_width: float, unit: str, wanted: float | None = None) -> str:
    """Return ``± 0.2 percentage points``, with two digits where the first one is 1 or 2.

    It looks like what is ``wanted`` only where it is no more and no less.

    >>> within(0.2, "%"), within(0.0123, "g/cm³"), within(0.05, "")
    ('± 0.20 percentage points', '± 0.012 g/cm³', '± 0.05')
    >>> within(0.41, "", 0.4), within(0.41, "", 0.3)
    ('± 0.41', '± 0.4')
    """
    return f"± {amount(half_width, unit, wanted)}"


def _within(need: BarNeed, half_width: float) -> str:
    return within(half_width, need.unit, need.wanted_half_width)


def asked(value: float, unit: str) -> str:
    """Return a number that the user gave as it was given, with its unit in words."""
    return f"{value:g} {difference_unit(unit, f'{value:g}')}".rstrip()


def amount(value: float, unit: str, wanted: float | None = None) -> str:
    """Return a difference or standard deviation with its unit in words; percentages differ by percentage points."""
    decimals = decimals_apart(value, max(decimals_for(value), 0), () if wanted is None else (wanted,))
    number = number_text(value, decimals)
    return f"{number} {difference_unit(unit, number)}".rstrip()


def is_enough(need: BarNeed) -> bool:
    """Tell whether the mean is known well enough already."""
    now, wanted = need.half_width_now, need.wanted_half_width
    return now is not None and wanted is not None and now <= wanted


def summary_for(need: BarNeed) -> str:
    """Return the message in one or two sentences, with what to do; empty where no half-width was asked for."""
    if need.wanted_half_width is None:
        return ""
    wanted = f"± {asked(need.wanted_half_width, need.unit)}"
    if is_enough(need):
        of = "" if need.limited_by == "bars" else f" of {_seen(need)} {need.limited_by}"
        bars = f"The {need.bars} bars{of}"
        return f"{bars} give {_within(need, need.half_width_now or 0.0)} already; {wanted} needs no more."
    return " ".join(filter(None, (_bars_do_not_help(need, wanted), _to_do(need, wanted), _or_bars(need))))


def to_do(need: BarNeed) -> str:
    """Return how many more in few words, for a line among many."""
    if need.about_even is None:
        return f"no sensible number of {need.limited_by} does it"
    even, sure = _more(need, need.about_even), _more(need, need.nine_in_ten)
    each = "" if need.bars_each is None else f" of {need.bars_each:.0f} bars"
    many = "unknown" if _seen(need) == TOO_FEW_TO_BE_SURE else "over a thousand"
    in_nine = f"{many if need.nine_in_ten is None else sure} for nine in ten"
    return f"{even} more {_unit(need, even)}{each} for an even chance, {in_nine}"


def _seen(need: BarNeed) -> int:
    return {"bars": need.bars, "batches": need.batches, "loads": need.loads}[need.limited_by] if need.bars else 0


def _more(need: BarNeed, number: int | None) -> int:
    return (number or 0) - _seen(need)


def _unit(need: BarNeed, number: int) -> str:
    one = {"bars": "bar", "batches": "batch", "loads": "load"}[need.limited_by]
    return one if number == 1 else need.limited_by


def _to_do(need: BarNeed, wanted: str) -> str:
    each = "" if need.bars_each is None else f" of {need.bars_each:.0f} bars"
    which_batch = " of this batch" if need.bars else " of one batch"
    of_batch = which_batch if need.limited_by == "bars" else ""
    if need.about_even is None:
        return _no_number(need, wanted, each)
    now = "" if need.half_width_now is None else f" (now {_within(need, need.half_width_now)})"
    if not need.bars:
        sure = "" if need.nine_in_ten is None else f", {need.nine_in_ten} in nine cases of ten"
        which = f"{need.about_even} {_unit(need, need.about_even)}{of_batch}{each}"
        own = ", each with another batch," if need.load_sd is not None and need.batch_sd is not None else ""
        return f"{which}{own} give {wanted} in about half of all cases{sure}."
    even = _more(need, need.about_even)
    make = {"bars": "Make", "batches": "Test", "loads": "Fire"}[need.limited_by]
    if need.nine_in_ten is not None:
        sure = f" To reach it in nine cases of ten {make.lower()} {_more(need, need.nine_in_ten)} more."
    elif _seen(need) == TOO_FEW_TO_BE_SURE:
        sure = f" Two {need.limited_by} do not tell how many reach it in nine cases of ten."
    else:
        sure = " To be sure in nine cases of ten takes more than a thousand."
    return f"{make} {even} more {_unit(need, even)}{each}{of_batch} for an even chance of {wanted}{now}.{sure}"


def _no_number(need: BarNeed, wanted: str, each: str) -> str:
    if need.limited_by == "bars":
        return (
            f"No sensible number of bars gives {wanted}, by their scatter and by what the instruments leave open. Read"
            " to a finer step, check the instruments, make longer bars, or settle for less."
        )
    others = "loads" if need.limited_by == "batches" else "batches"
    left = need.left_by_others or 0.0
    if left >= (need.wanted_half_width or 0.0):
        return (
            f"No number of {need.limited_by} alone gives {wanted}: the {others} leave {_within(need, left)}. Fire"
            " further batches in further loads, or settle for less."
        )
    return f"No sensible number of {need.limited_by}{each} gives {wanted}; settle for less."


def _bars_do_not_help(need: BarNeed, wanted: str) -> str:
    least = need.least_half_width
    if need.limited_by == "bars" or least is None or least <= (need.wanted_half_width or 0.0):
        return ""
    return (
        f"More bars of these {_seen(need)} {need.limited_by} cannot give {wanted}: the {need.limited_by} differ, which"
        f" leaves {_within(need, least)} however many bars are made."
    )


def _or_bars(need: BarNeed) -> str:
    if need.bars_each_needed is None:
        return ""
    return f"Or make {need.bars_each_needed} bars of each of the same {_seen(need)}, for about the same chance."


def notes_for(need: BarNeed, length_unit: str, *, may_be_skewed: bool) -> tuple[str, ...]:
    """Return what follows for noticing differences, for marks, on a piece, and where bars may have a long tail."""
    tail = _long_tail(need) if may_be_skewed else ""
    return tuple(note for note in (_noticing(need), _marks(need), _on_a_piece(need, length_unit), tail) if note)


def _long_tail(need: BarNeed) -> str:
    """Return how much less often than told a half-width is reached (simulated, tests/bench/promises.md)."""
    if need.wanted_half_width is None or is_enough(need):
        return ""
    return (
        f"Where bars scatter by more than {100.0 * SKEWED_FROM:.0f} % of their mean, the ± leaves room for a long upper"
        " tail: it is then reached in as few as six cases of ten where nine are told, in a third where half are. Test"
        " more than told."
    )


def _noticing(need: BarNeed) -> str:
    if need.difference is None:
        return ""
    difference = asked(need.difference, need.unit)
    if need.bars_to_notice is None:
        return f"No sensible number of bars shows a difference of {difference} between two batches."
    return (
        f"A difference of {difference} between two batches is noticed in four cases of five with"
        f" {need.bars_to_notice} bars of each."
    )


def _marks(need: BarNeed) -> str:
    if need.marks is None or need.half_width_now is None:
        return ""
    twice = within(need.marks.half_width_twice_the_marks, need.unit)
    scatter = (
        f"The marks of one bar scatter by {amount(need.marks.mark_sd, need.unit)} (standard deviation), bars beyond"
        f" that by {amount(need.marks.bar_sd, need.unit)}."
    )
    if need.marks.half_width_twice_the_marks < _WORTH_IT * need.half_width_now:
        return f"{scatter} Twice the marks on each bar would give {twice} with the same number of bars."
    return f"{scatter} More marks on each bar would change little ({twice} with twice as many)."


def _on_a_piece(need: BarNeed, unit: str) -> str:
    quantity, points = QUANTITY_BY_KEY[need.quantity], need.wanted_half_width or need.difference
    if not quantity.told_as_length or points is None:
        return ""
    sign = "± " if need.wanted_half_width else ""
    amount = asked(on_piece(points, unit), unit)
    return f"{sign}{asked(points, need.unit)} of shrinkage is {sign}{amount} on a length of {PIECE[unit]:.0f} {unit}."
