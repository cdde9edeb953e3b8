"""Codes to scratch: none of a sheet is taken for another, upside down either."""

from hypothesis import given
from hypothesis import strategies as st

from bodytest.sheet.bar_codes import bar_letters, easily_confused
from bodytest.sheet.blank import BlankSheetOptions, planned_content

ALIKE = ("0OQD", "1IL", "2Z", "3E", "5S", "6G", "8B", "UV", "MW")
TURNED = {"0": "0", "1": "1", "2": "2", "3": "E", "5": "5", "7": "L", "8": "8", "H": "H", "N": "N", "X": "X", "M": "W"}


def as_read(code):
    """Return a code with each sign that looks like others replaced by the first of them."""
    return "".join(next((signs[0] for signs in ALIKE if sign in signs), sign) for sign in code)


def upside_down(code):
    """Return what is read upside down; a turned sign that no reader would take for another stays apart."""
    return as_read("".join(TURNED.get(sign, f"<{sign}>") for sign in reversed(code)))


def test_bar_letters_differ_between_bodies_with_the_same_initials():
    taken = []
    for body in ("Marl Red", "Marl Rose", "Marl Rust", "黏土", "粘土"):
        taken.append(bar_letters(body, taken))
    assert taken == ["MR", "MRA", "MRC", "T", "TA"]


def test_letters_that_look_like_digits_or_like_each_other_turned_are_passed_over():
    assert [bar_letters(body, ()) for body in ("Drift Buff", "OIZ SBGQDLEVW", "white", "Heron Grey Two")] == [
        "RU", "T", "H", "HR"
    ]  # fmt: skip


@given(st.lists(st.text(st.characters(categories=("Lu", "Ll", "Zs")), max_size=12), min_size=1, max_size=5),
       st.integers(1, 100))  # fmt: skip
def test_no_two_codes_of_a_sheet_are_alike_whatever_its_bodies_are_called(bodies, bars):
    names = tuple({body.strip().casefold(): body.strip() for body in bodies if body.strip()}.values())
    codes = [row["bar"] for row in planned_content(BlankSheetOptions(bodies=names, bars=bars)).bars]
    assert len(codes) == bars * max(len(names), 1) <= 500
    upright = {as_read(code): code for code in codes}
    assert len(upright) == len(codes)
    # 6 and 9 carry a stroke, so that a code that has one is seen to be turned
    assert [code for code in codes if upright.get(upside_down(code), code) != code] == []
    assert easily_confused(codes) == ()


def test_codes_that_others_chose_are_told_when_they_are_easily_confused():
    assert easily_confused(["B8", "88", "8B", "O1", "01", "X1", "1X", "A1", "1A"]) == (
        ("B8", "88"), ("B8", "8B"), ("O1", "01"), ("X1", "1X")
    )  # fmt: skip
    assert easily_confused(["1", "8", "11", "88", "69", "96", "6", "9"]) == ()
