"""Data frames in and out: what a notebook reads and shows."""

import pandas as pd
import pytest

import bodytest

pytestmark = pytest.mark.core

BARS = pd.DataFrame(
    {
        "bar": ["A1", "A2", "A3", "A4", "A5"],
        "body": "Marl Red",
        "batch": "D1",
        "firing": "F1",
        "wet length (mm)": [100.0, 100.0, 100.0, 100.0, 100.0],
        "dry length (mm)": [94.0, 94.2, 93.9, 94.1, None],
        "fired length (mm)": [88.1, 88.3, 88.0, 88.2, 88.4],
    }
)
FIRINGS = pd.DataFrame(
    {"firing": ["F1"], "date": [pd.Timestamp("2026-03-01")], "cone": ["06"], "peak temperature (°C)": [1000]}
)
LAB = pd.DataFrame({"name": ["workshop", "confidence (%)"], "value": ["Two Hands", 90]})


@pytest.fixture(scope="module")
def results():
    return bodytest.analyse(bodytest.read_frames({"Bars": BARS, "Firings": FIRINGS, "Lab": LAB}))


def test_frames_give_what_a_workbook_of_the_same_cells_gives(results, tmp_path):
    path = tmp_path / "same.xlsx"
    with pd.ExcelWriter(path) as book:
        for name, frame in (("Bars", BARS), ("Firings", FIRINGS), ("Lab", LAB)):
            frame.to_excel(book, sheet_name=name, index=False)
    same = bodytest.analyse(bodytest.read_sheets(path))
    assert results.groups == same.groups
    assert [(f.code, f.cell) for f in results.findings] == [(f.code, f.cell) for f in same.findings]
    assert (results.confidence, results.lab.workshop, results.firings[0].date) == (0.9, "Two Hands", "2026-03-01")


def test_a_frame_is_named_by_its_table_and_row_where_something_is_wrong():
    wrong = BARS.assign(**{"fired length (mm)": [88.1, -88.3, 88.0, 88.2, 88.4]})
    found = [one for one in bodytest.read_frames({"Bars": wrong}).findings if one.level == "stop"]
    assert [(one.sheet, one.cell) for one in found] == [("data frames", "Bars!G3")]


def test_results_are_told_in_one_line_and_shown_as_a_table(results):
    assert repr(results) == (
        "<bodytest results: 1 body, 1 programme, 1 group, 5 bars, 1 sheet, 2 findings; 90 % intervals>"
    )
    shown = results._repr_html_().replace("\xa0", " ")
    assert shown.startswith("<table")
    assert "<td>Marl Red</td>" in shown
    total = results.programmes[0].quantities["total_shrinkage"]
    assert f"<td>{total.mean:.2f} ± {(total.high - total.low) / 2:.2f}</td>" in shown


def test_a_body_cannot_put_markup_into_the_table():
    named = BARS.assign(body="<script>alert(1)</script>")
    assert "<script>" not in bodytest.analyse(bodytest.read_frames({"Bars": named}))._repr_html_()


def test_each_frame_has_the_figures_of_the_results(results):
    (one,) = results.programmes
    programmes, groups = results.to_frame("programmes"), results.to_frame("groups")
    total = programmes[programmes["quantity"] == "total_shrinkage"].iloc[0]
    assert (total["mean"], total["low"]) == (
        one.quantities["total_shrinkage"].mean,
        one.quantities["total_shrinkage"].low,
    )
    assert total["wet_size_factor"] == pytest.approx(one.wet_size_factor, abs=1e-12)
    assert set(groups["quantity"]) == set(one.quantities) == set(programmes["quantity"])
    bars = results.to_frame("bars")
    assert bars["total_shrinkage"].tolist() == pytest.approx([11.9, 11.7, 12.0, 11.8, 11.6])
    bars["total_shrinkage"] = 0.0
    assert results.bars["total_shrinkage"].min() > 11.0
    assert results.to_frame("findings")["code"].tolist() == [found.code for found in results.findings]


def test_one_path_is_one_file_and_never_its_letters(tmp_path):
    (tmp_path / "b.csv").write_text(BARS.to_csv(index=False))
    assert len(bodytest.read_sheets(str(tmp_path / "b.csv")).sheets) == 1
    assert len(bodytest.read_sheets(tmp_path / "b.csv").sheets) == 1
