"""Charts in a real browser: labels that can be read and never overlap, by number of firings and width; many bars."""

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from bodytest.files.report_folder import replace_report
from bodytest.report.charts.marks import MOST_IN_A_GROUP
from bodytest.report.pages import report_pages
from tests.report.example_results import TODAY, Trial, example

if TYPE_CHECKING:
    from playwright.sync_api import Page

Open = Callable[..., "Page"]
SMALLEST_PX = 11
OVERLAPS = """() => {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
  const found = [];
  for (const chart of document.querySelectorAll("svg.chart")) {
    if (!chart.checkVisibility()) continue;
    const texts = [...chart.querySelectorAll("text")].filter((text) => text.textContent.trim());
    const boxes = texts.map((text) => text.getBoundingClientRect());
    boxes.forEach((one, k) => boxes.slice(k + 1).forEach((other, j) => {
      const across = Math.min(one.right, other.right) - Math.max(one.left, other.left);
      const down = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
      if (across > 0.5 && down > 0.15 * Math.min(one.height, other.height))
        found.push([texts[k].textContent, texts[k + 1 + j].textContent, across, down]);
    }));
  }
  return found;
}"""
TEXT_SIZES = """() => [...document.querySelectorAll("svg.chart")].filter((chart) => chart.checkVisibility())
  .flatMap((chart) => [...chart.querySelectorAll("text")].map((text) =>
    parseFloat(getComputedStyle(text).fontSize) * chart.getBoundingClientRect().width / chart.viewBox.baseVal.width))"""
FIRINGS = (1, 2, 3, 7, 25)


def fired(count: int, direction: str) -> tuple[Trial, ...]:
    """Return firings 9 °C apart, of which the last two begin to swell."""
    batches = {"A": 4, "B": 4} if count < 8 else {"A": 5}
    return tuple(
        Trial("Many", f"Load {k + 1}", direction, str(k + 1), 1000.0 + 9 * k, batches,
              total=8 + 4 * min(k, count - 3) / count, absorbed=9 - 8 * k / count)
        for k in range(count)
    )  # fmt: skip


@cache
def page_of(count: int) -> str:
    results, _ = example((*fired(count, "along"), *fired(count, "across")))
    return report_pages(results, TODAY)["many.html"]


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("count", FIRINGS)
def test_no_label_of_a_chart_overlaps_another(open_page: Open, tmp_path: Path, count: int, width: int) -> None:
    (tmp_path / "many.html").write_text(page_of(count), encoding="utf-8")
    page = open_page(tmp_path / "many.html", width=width)
    assert page.evaluate(OVERLAPS) == []
    sizes = page.evaluate(TEXT_SIZES)
    assert len(sizes) > 20
    assert min(sizes) >= SMALLEST_PX
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_band_that_leaves_the_frame_ends_in_an_arrow_and_its_number() -> None:
    results, _ = example((Trial("Wide", "K", "", "6", 1222.0, {"": 3}),))
    total = results.groups[0].quantities["total_shrinkage"]
    assert total.next_low is not None
    object.__setattr__(total, "next_low", 2.5)
    assert "◂ 2.5" in report_pages(results, TODAY)["wide.html"]


@pytest.fixture(scope="module")
def crowded(tmp_path_factory: pytest.TempPathFactory) -> str:
    fired = (("K4", "4", 1164.0), ("K6", "6", 1222.0), ("K7", "7", 1240.0))
    results, _ = example(tuple(Trial("Crowd", *one[:1], "", *one[1:], {"A": 1000, "B": 1000}) for one in fired))
    folder = tmp_path_factory.mktemp("crowded")
    pages = report_pages(results, TODAY)
    replace_report(folder, pages)
    return pages["crowd.html"]


def marks_of(chart: str) -> int:
    """Return how many dots a drawing has; each is a line of no length."""
    return chart.count("h0")


def test_thousands_of_bars_are_drawn_in_bounds_with_all_that_are_odd(crowded: str) -> None:
    assert len(crowded.encode()) < 900_000
    assert crowded.count("<") < 30_000
    charts = re.findall(r'<svg class="chart wide".*?</svg>', crowded, re.DOTALL)
    bars = [chart for chart in charts if 'aria-labelledby="bars-' in chart]
    assert len(bars) == 2
    for chart in bars:
        assert 3 * 400 < marks_of(chart) <= 3 * MOST_IN_A_GROUP
    assert "The tables list 300 of 6000" in crowded.replace("\N{NO-BREAK SPACE}", " ")
    values = crowded[crowded.index('id="table-bar-values"') :]
    assert "left out: cracked in drying" in values
    assert "stands apart" in values
