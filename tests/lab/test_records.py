"""What the records beside the lab functions tell people: names, sources and limits, as sheets and pages show them."""

import pytest

from bodytest.quantities import QUANTITIES
from bodytest.reading import read_sheets
from bodytest.sheet.live_formulas import look_again_formula

ABSORPTION = """
absorption | Water absorption | A | % | dry fired mass | {method} | 1
cold_absorption | Cold-soak absorption | A_c | % | dry fired mass | ASTM C67 | 1
saturation_coefficient | Saturation coefficient | C/B |  | 24 h cold soak over 5 h boil | ASTM C67 | 2
"""


def told(tmp_path, fired, cold, boiled):
    path = tmp_path / "bars.csv"
    heading = "bar,body,firing,fired mass (g),cold-soaked mass (g),boiled mass (g)"
    path.write_text(f"{heading}\nA,Invented,F1,{fired},{cold},{boiled}\n", encoding="utf-8")
    return [f.sentence for f in read_sheets([path]).findings if f.level != "note"]


def test_absorption_is_named_as_the_contract_says():
    rows = [(q.key, q.name, q.symbol, q.unit, q.basis, q.source, str(q.digits)) for q in QUANTITIES]
    assert [" | ".join(row) for row in rows if "soak" in row[4] or "absorption" in row[0]] == [
        line for line in ABSORPTION.splitlines() if line
    ]


FULL = "outside what can be true (−5 to 400 %; pores of nine tenths of the volume (common practice, no source))."
NOT_BOTH = "100 in Bars!D2 (fired mass) was not used, because it and Bars!{} cannot both be right."


@pytest.mark.parametrize(
    ("masses", "sentences"),
    [
        ((100, "", "130.50"), ["In Bars!F2 the water absorption comes to 30.5 % (fired mass 100 g, boiled mass 130.5"
                               " g), outside what clay usually does (−0.1 to 30 %); it was used."]),
        ((100, "130.50", ""), ["In Bars!E2 the cold-soak absorption comes to 30.5 % (fired mass 100 g, cold-soaked mass"
                               " 130.5 g), outside what clay usually does (−0.1 to 30 %); it was used."]),
        ((100, "120.5", "112.5"), ["In Bars!F2 the saturation coefficient comes to 1.64 (fired mass 100 g, cold-soaked"
                                   " mass 120.5 g, boiled mass 112.5 g), outside what clay usually does (0 to 1.1); it"
                                   " was used."]),
        ((100, "", "501"), [NOT_BOTH.format("F2"),
                            "In Bars!F2 the water absorption comes to 401.0 % (fired mass 100 g, boiled mass 501 g),"
                            f" {FULL} None of these is used."]),
        ((100, "501", ""), [NOT_BOTH.format("E2"),
                            "In Bars!E2 the cold-soak absorption comes to 401.0 % (fired mass 100 g, cold-soaked mass"
                            f" 501 g), {FULL} None of these is used."]),
        ((100, "98.00", ""), [NOT_BOTH.format("E2"),
                              "The bar A weighs 98 g after the cold soak and 100 g fired (Bars!E2 and Bars!D2); soaking"
                              " cannot make it lighter. Neither is used."]),
        ((100, "", "98.00"), [NOT_BOTH.format("F2"),
                              "The bar A weighs 98 g boiled and 100 g fired (Bars!F2 and Bars!D2); boiling cannot make"
                              " it lighter. Neither is used."]),
    ],
)  # fmt: skip
def test_masses_that_cannot_be_or_hardly_ever_are_told_whole(tmp_path, masses, sentences):
    assert told(tmp_path, *masses) == sentences


def test_the_blank_sheet_says_at_once_that_a_soaked_bar_is_lighter_by_more_than_a_thousandth():
    letters = {"firing": "C", "fired mass": "D", "cold-soaked mass": "E", "boiled mass": "F"}
    formula = look_again_formula(letters, tuple(letters), 2)
    assert 'IF(D2>F2*1.001,"Boiled is lighter than fired. ","")' in formula
    assert 'IF(D2>E2*1.001,"Cold-soaked is lighter than fired. ","")' in formula
    assert [q.key for q in QUANTITIES if q.live and "absorption" in q.key] == ["absorption"]
