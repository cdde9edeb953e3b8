"""What formulas come to; that all formulas of the planner come to what LibreOffice says is shown in test_workbook."""

import openpyxl
import pytest
from scipy import stats

from bodytest.export.formula_values import formula_values


def value_of(formula, **cells):
    book = openpyxl.Workbook()
    for place, value in cells.items():
        book.active[place] = value
    book.active["Z1"] = f"={formula}"
    return formula_values(book)["Sheet"]["Z1"]


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("2+3*4-6/3", 12.0),
        ("(2+3)*4", 20.0),
        ("10-4-3", 3.0),
        ("A1", 7.0),
        ("A9", 0.0),  # a blank cell on its own is zero
        ('IF(A9="","blank",A9)', "blank"),
        ("IF(A9=0,1,2)", 1.0),
        ('IF(A2>A1,"texts come after numbers","")', "texts come after numbers"),
        ('A2="CONE 6"', True),
        ('A1&" of """&A2&""""', '7 of "cone 6"'),
        ("SUM(A1:A4)", 10.0),
        ("SUMPRODUCT((A1:A4=3)*ROW(A1:A4))", 3.0),
        ("INDEX(A1:A4,3)", 3.0),
        ("AND(ISNUMBER(A1),NOT(ISNUMBER(A2)))", True),
        ('IF(ISNUMBER(A2),A2*2,"no number")', "no number"),  # the branch not taken may fail
        ("1/A9", None),
        ("A2+1", None),
        ("MAX(0,A1-9)", 0.0),
    ],
)
def test_a_formula_comes_to_what_a_spreadsheet_shows(formula, value):
    assert value_of(formula, A1=7.0, A2="cone 6", A3=3.0) == value


def test_a_formula_may_rest_on_another():
    assert value_of("A2*2", A1=3, A2="=A1+1") == 8.0


def test_the_incomplete_beta_function_gives_students_t():
    t, freedom = 1.3, 4.7
    share = t * t / (freedom + t * t)
    assert value_of(f"BETADIST({share!r},0.5,{freedom / 2!r})") == pytest.approx(
        1 - 2 * stats.t.sf(t, freedom), rel=1e-12
    )


@pytest.mark.parametrize("formula", ["A1^2", "VLOOKUP(A1,A2,1)", "1+", "{1,2}"])
def test_what_it_does_not_know_is_a_fault(formula):
    with pytest.raises((ValueError, KeyError)):
        value_of(formula, A1=1.0)
