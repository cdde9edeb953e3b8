"""The printed ruler is measured: the PDF is rendered at 600 dots an inch and its marks are found in the picture."""

import re
import xml.etree.ElementTree as ET
from datetime import date
from functools import cache

import numpy as np
import pymupdf
import pytest

from bodytest.errors import NotMeasured, UnusableRequest
from bodytest.plan.drawing import to_svg
from bodytest.plan.drawing_pdf import to_pdf
from bodytest.plan.measured import Wanted
from bodytest.plan.ruler import MARGIN, PAPERS, Strip, ruler, strips
from bodytest.plan.ruler_pages import CHECK_LINE_MM, ruler_pages
from tests.export.example_results import STAGES, full, group, results

DAY = date(2026, 3, 14)
FACTOR = 1 / 0.88
DPI = 600
FIRST_STRIP_TOP = 22.0


def drawn(paper="A4", length_mm=None, **how):
    return ruler_pages(ruler(results(), made_on=DAY), length_mm=length_mm, paper=paper, **how)


@cache
def printed(paper="A4"):
    """Return the first page of the printed ruler."""
    return pymupdf.open(stream=to_pdf(drawn(paper)))[0]


def marks_on_row(page, y_mm):
    """Return the centres, in mm, of the dark runs on the row of dots at a height."""
    points = 72 / 25.4
    clip = pymupdf.Rect(0, (y_mm - 0.2) * points, page.rect.width, (y_mm + 0.2) * points)
    pixels = page.get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY, clip=clip)
    light = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)[:, : pixels.width]
    row = 1.0 - light[pixels.height // 2] / 255.0
    inside = np.concatenate(([0], (row > 0.3).astype(int), [0]))
    begins, ends = np.flatnonzero(np.diff(inside) == 1), np.flatnonzero(np.diff(inside) == -1)
    centres = [np.average(np.arange(b, e) + 0.5, weights=row[b:e]) for b, e in zip(begins, ends, strict=True)]
    return np.array(centres) / DPI * 25.4


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_marks_stand_within_a_tenth_of_a_millimetre_over_200_mm(paper):
    marks = marks_on_row(printed(paper), FIRST_STRIP_TOP + 2.0)
    expected = MARGIN + FACTOR * np.arange(len(marks))
    assert expected[-1] - expected[0] > 200.0
    assert np.abs(marks - expected).max() < 0.1


def test_the_200_mm_mark_stands_at_227_27_mm():
    # 200 mm at 12.0 % total shrinkage: 200 / 0.88 = 227.27 mm from the zero mark
    marks = marks_on_row(printed(), FIRST_STRIP_TOP + 2.0)
    assert marks[200] - marks[0] == pytest.approx(227.27, abs=0.05)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_check_line_is_100_mm(paper):
    height = PAPERS[paper][1]
    ends = marks_on_row(printed(paper), height - 17.0 + 2.0)
    assert ends[1] - ends[0] == pytest.approx(CHECK_LINE_MM, abs=0.05)


@pytest.mark.parametrize(("paper", "size"), [("A4", (297.0, 210.0)), ("Letter", (279.4, 215.9))])
def test_the_page_has_the_size_of_the_paper(paper, size):
    page = printed(paper)
    assert (page.rect.width / 72 * 25.4, page.rect.height / 72 * 25.4) == pytest.approx(size, abs=0.01)


def test_inches_are_drawn_at_wet_size_with_true_ones_below_as_millimetres_are():
    dark = printed()
    top = FIRST_STRIP_TOP + 41.0
    finished = marks_on_row(dark, top + 8.0)
    # whole inches alone reach so far down: each 25.4 / 0.88 = 28.8636 mm from the last
    assert np.diff(finished) == pytest.approx(np.full(len(finished) - 1, 28.8636), abs=0.06)
    for first, step in ((top, 25.4), (FIRST_STRIP_TOP, 10.0)):
        true = marks_on_row(dark, first + 36.0 - 4.9)[1:-1]
        assert np.diff(true) == pytest.approx(np.full(len(true) - 1, step), abs=0.06)


def test_marks_of_an_inch_step_down_in_length():
    lines = drawn(length_mm=100.0)[0].lines
    top = FIRST_STRIP_TOP + 41.0
    heights = {round(line.y2 - line.y1, 3) for line in lines if line.y1 == top and line.x1 == line.x2}
    assert heights == {9.0, 7.0, 5.5, 4.0, 2.8, 36.0}


def test_a_long_ruler_comes_in_strips_that_overlap_by_two_marks_about_a_join():
    assert strips(60, 10 * FACTOR, 267.0) == (
        Strip(0, 22, ((21, "A"),)), Strip(20, 42, ((21, "A"), (41, "B"))), Strip(40, 60, ((41, "B"),))
    )  # fmt: skip
    assert strips(23.0, 10 * FACTOR, 267.0) == (Strip(0, 23, ()),)
    assert strips(23.1, 10 * FACTOR, 267.0)[-1].end == 24


def test_the_same_join_stands_at_the_same_mark_on_both_strips():
    page = drawn(length_mm=400.0, inches=False)[0]
    joins = [line for line in page.lines if line.dashed]
    # first strip from 0 to 210 mm, second from 190 mm on; the join is the mark 200 mm of both
    assert [line.x1 - MARGIN for line in joins] == pytest.approx([200 * FACTOR, 10 * FACTOR], abs=1e-9)


def test_strips_spread_over_pages_that_all_carry_the_check_line():
    pages = drawn(length_mm=1500.0)
    assert len(pages) == 5
    assert min(text.size for page in pages for text in page.texts) >= 1.8
    for page in pages:
        assert any(text.text == "check: exactly 100 mm" for text in page.texts)


def test_nothing_is_drawn_outside_the_margins():
    for paper, (width, height) in PAPERS.items():
        for page in drawn(paper, 1500.0):
            ends = [(x, y) for line in page.lines for x, y in ((line.x1, line.y1), (line.x2, line.y2))]
            assert min(x for x, _ in ends) >= MARGIN - 1e-9
            assert max(x for x, _ in ends) <= width - MARGIN + 1e-9
            assert max(y for _, y in ends) <= height - 10.0
            assert min(y for _, y in ends) >= 10.0


def words(pages):
    return [text.text for page in pages for text in page.texts]


def test_body_firing_factor_range_and_date_stand_on_each_strip():
    one = results().groups[0]
    factor = f"wet = finished × 1.1364 ({one.wet_size_factor_low:.4f} to {one.wet_size_factor_high:.4f}, 95 %)"
    found = words(drawn(length_mm=400.0))
    assert found.count("Drift Buff · firing C6 (cone 6) · along · 10 bars · 2026-03-14") == 4
    assert found.count(factor) == 4
    assert found.count("speaks of batch A only, in this load only") == 4


def test_how_to_check_the_printout_stands_on_the_page():
    told = " ".join(words(drawn()))
    assert "Print at 100 % (“actual size”), not “fit to page”. Then measure this line with a" in told
    assert "steel rule: 1 mm too short or too long makes every size 1 % wrong; print again." in told


def test_one_bar_gives_a_ruler_that_says_it_has_no_range():
    found = ruler(results(group(total_shrinkage=(12.0, None, 1))), made_on=DAY)
    assert found.factor_text == "wet = finished × 1.1364 (no range: one bar)"
    assert found.why_no_range == "One bar alone shows no scatter."


def test_a_leather_hard_ruler_is_drawn_at_leather_hard_size():
    # wet 100 → leather-hard 97 → fired 88: 97/88 = 1.102273
    assert ruler(results(), made_on=DAY, stage="leather-hard").factor == pytest.approx(1.102273, abs=1e-6)


def test_a_ruler_can_rest_on_pieces():
    found = ruler(full(), made_on=DAY, as_pieces="height")
    assert found.factor == pytest.approx(1 / 0.886, abs=1e-9)
    assert (found.rests_on, found.direction) == ("4 pieces", "height")


def test_what_was_not_measured_or_cannot_be_meant_is_refused():
    with pytest.raises(NotMeasured):
        ruler(results(), made_on=DAY, stage="bisque")
    with pytest.raises(NotMeasured):
        ruler(results(), made_on=DAY, wanted=Wanted("Bone Grey"))
    with pytest.raises(UnusableRequest) as caught:
        ruler(results(), made_on=DAY, stage="fired")
    assert caught.value.finding.sentence == (
        "“fired” is no stage of a piece. Stages are: wet, leather-hard, dry and bisque."
    )


def test_the_svg_is_in_millimetres_and_has_the_same_lines():
    page = drawn()[0]
    root = ET.fromstring(to_svg(page))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("297mm", "210mm", "0 0 297 210")
    found = [float(line.get("x1")) for line in root.iter("{http://www.w3.org/2000/svg}line")]
    assert found == pytest.approx([line.x1 for line in page.lines], abs=1e-4)


def test_a_name_that_looks_like_markup_or_a_formula_stays_a_name():
    odd = results(group(body='<b>$x^2$ & "clay"', **STAGES))
    pages = ruler_pages(ruler(odd, made_on=DAY), length_mm=100.0, paper="A4")
    assert "<b>" not in to_svg(pages[0])
    ET.fromstring(to_svg(pages[0]))
    text = pymupdf.open(stream=to_pdf(pages))[0].get_text()
    assert re.search(r'<b>\$x\^2\$ & "clay"', text)


def test_a_long_name_stays_on_the_paper():
    pages = ruler_pages(ruler(results(group(body="long " * 60, **STAGES)), made_on=DAY), length_mm=100.0, paper="A4")
    page = pymupdf.open(stream=to_pdf(pages))[0]
    right = max(word[2] for word in page.get_text("words"))
    assert right <= page.rect.width


def test_the_same_ruler_gives_the_same_bytes():
    assert to_pdf(drawn()) == to_pdf(drawn())
    assert to_svg(drawn()[0]) == to_svg(drawn()[0])


def test_letters_that_the_font_lacks_and_line_breaks_in_names_do_no_harm():
    odd = results(group(body="白い\n土", **STAGES))
    pages = ruler_pages(ruler(odd, made_on=DAY), length_mm=100.0, paper="A4")
    assert "白い 土 · firing C6 (cone 6) · along · 10 bars · 2026-03-14" in words(pages)
    assert to_pdf(pages).startswith(b"%PDF-")
