"""Bars broken in the middle of a span, from the sheet to the results, with all ways a sheet can be wrong about them."""

import math

import pytest

from bodytest import analyse
from bodytest.reading import read_sheets

HEADINGS = (
    "bar,body,firing,dry length (mm),fired length (mm),{load},span (mm),width (mm),thickness (mm),diameter (mm),broken"
)


def results_of(tmp_path, *rows, load="breaking load (N)"):
    path = tmp_path / "bars.csv"
    path.write_text("\n".join([HEADINGS.format(load=load), *rows]), encoding="utf-8")
    return analyse(read_sheets([path]))


def strengths(results):
    """Return dry and fired strength of each bar, None where there is none."""
    return [
        tuple(None if math.isnan(v) else round(v, 2) for v in pair)
        for pair in zip(results.bars["dry_strength"], results.bars["fired_strength"], strict=True)
    ]


def told(results):
    return {f.code: f.level for f in results.findings if f.level != "note"}


def test_the_worked_values_come_out_of_a_sheet(tmp_path):
    # 3 × 180 × 100 / (2 × 30 × 12²) = 6.25 MPa; 8 × 150 × 101.6 / (π 12.7³) = 18.95 MPa, both computed by hand.
    found = results_of(tmp_path, "A,Invented,,150,,180,100,30,12,,dry", "B,Invented,F1,150,140,150,101.6,,,12.7,Fired")
    assert strengths(found) == [(6.25, None), (None, 18.95)]
    assert told(found) == {}


@pytest.mark.parametrize(("load", "newtons"), [("load (kgf)", 9.80665), ("breaking force [lbf]", 4.4482216152605)])
def test_loads_are_read_in_other_units(tmp_path, load, newtons):
    load = load.replace("load (", "breaking load (")
    found = results_of(tmp_path, f"A,Invented,,150,,{180 / newtons},100,30,12,,dry", load=load)
    assert strengths(found) == [(6.25, None)]


def test_the_step_of_the_load_enters_the_uncertainty(tmp_path):
    rows = [f"A{n},Invented,,{150.1 + 0.1 * n:.1f},,{180 + 5 * (n % 2)},100.1,30.1,12.1,,dry" for n in range(6)]
    found = results_of(tmp_path, *rows)
    (group,) = found.groups
    certainty = group.quantities["dry_strength"].certainty
    steps = [share for share in certainty.shares if share.source == "reading step"]
    shares = {share.instrument: share.standard_uncertainty for share in steps}
    # δ = 5 N by the digits typed: 3 × 100.1 / (2 × 30.1 × 12.1²) × 5/√12 = 0.0492 MPa; that of 0.1 mm, which span,
    # width and thickness share, gives 182.5 × 0.0341 × √(1/100.1² + 1/30.1² + 4/12.1²) × 0.1/√12 = 0.0306.
    assert (found.lab.step("length"), found.lab.step("force")) == (0.1, 5.0)
    assert shares["force"] == pytest.approx(0.0492 / math.sqrt(6), rel=0.05)
    assert shares["length"] == pytest.approx(math.hypot(0.0306, 0.0306 / math.sqrt(6)), rel=0.05)
    assert sum(share.share for share in certainty.shares) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("row", "code", "level", "value"),
    [
        ("A,Invented,,100,,180,100,30,12,,dry", "impossible-value", "stop", None),
        ("A,Invented,,150,,180,100,30,26,,dry", "test-not-as-usual", "ask", 1.33),
        ("A,Invented,,150,,180,100,30,12,12.7,dry", "two-formulas", "ask", 22.38),
        ("A,Invented,F1,150,140,180,100,30,12,,dry", "tested-before-it-was-read", "stop", None),
        ("A,Invented,,150,,180,100,30,12,,", "choice-missing", "stop", None),
        ("A,Invented,,150,,180,100,30,12,,wet", "choice-unknown", "stop", None),
    ],
)
def test_what_is_wrong_about_a_broken_bar_is_told_and_costs_its_strength_alone(tmp_path, row, code, level, value):
    found = results_of(tmp_path, row)
    assert told(found)[code] == level
    assert strengths(found) == [(value, None)]
    assert found.bars["dry_length_mm"].notna().all()
