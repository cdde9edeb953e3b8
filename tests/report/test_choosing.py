"""Choosing a body: picture, rows of dots, filters, differences, and all of it on paper."""

import re
import subprocess
from collections.abc import Callable
from datetime import date
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from bodytest.analysis.analysing import analyse
from bodytest.files.report_folder import replace_report
from bodytest.reading import read_sheets
from bodytest.report.charts.canvas import LINE, TEXT_SIZE, text_width
from bodytest.report.pages import report_pages
from bodytest.report.picture import Point, picture, places
from bodytest.report.wording import Voice, english

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
Open = Callable[..., "Page"]
Folder = Callable[[int], Path]
HEAD = "bar,body,batch,firing,peak temperature (°C),wet length (mm),fired length (mm),fired mass (g),boiled mass (g)\n"
NAMES = ("Grey {}", "Ton {}", "粘土 {}", "طين أحمر {}", "A long invented name of one clay body or another {}")
OVERLAPS = """
[...document.querySelectorAll(".picture text")].filter((one) => one.checkVisibility() && one.getBBox().width)
  .map((one) => [one.textContent, one.getBoundingClientRect()])
  .map(([words, box]) => [words, box.left, box.top + 3, box.right, box.bottom - 3])
"""  # letters stand within their line with 3 px above and below
SMALLEST = """
Math.min(...[...document.querySelectorAll(".picture text")].filter((one) => one.checkVisibility())
  .map((one) => parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a))
"""


def trial(count: int) -> str:
    """Return a sheet of so many bodies: one swells, one has a single bar, one was not boiled, one has a huge name."""
    rng = np.random.default_rng(11)
    rows = []
    for k in range(count):
        name = "N" * 200 if k == 5 else NAMES[k % len(NAMES)].format(k)
        shrinkage, absorbed = -0.4 if k == 7 else rng.normal(11, 1.2), abs(rng.normal(3, 2))
        for bar in range(1 if k == 9 else 5):
            fired = 100 - shrinkage + rng.normal(0, 0.15)
            boiled = "" if k == 11 else f"{100 + absorbed + abs(rng.normal(0, 0.1)):.2f}"
            rows.append(f"b{k}-{bar},{name},1,F{k % 12},{1000 + 20 * (k % 12)},100.0,{fired:.2f},100.00,{boiled}\n")
    return HEAD + "".join(rows)


@pytest.fixture(scope="session")
def many(tmp_path_factory: pytest.TempPathFactory) -> Folder:
    """Write the report on so many bodies, each once."""
    written: dict[int, Path] = {}

    def folder(count: int) -> Path:
        if count not in written:
            written[count] = tmp_path_factory.mktemp(f"bodies-{count}")
            sheet = written[count] / "trial.csv"
            sheet.write_text(trial(count), encoding="utf-8")
            checked = read_sheets([sheet])
            pages = report_pages(analyse(checked), date(2026, 3, 14))
            replace_report(written[count] / "report", pages)
        return written[count] / "report"

    return folder


def test_names_find_places_that_none_shares() -> None:
    rng = np.random.default_rng(2)
    points = [(float(x), float(y)) for x, y in rng.normal((200, 300), (50, 100), (40, 2)).clip(20, 320)]
    widths = [float(width) for width in rng.uniform(30, 110, 40)]
    found = places(points, widths, (0, 0, 340, 900))
    boxes = [(one.left, one.base, one.left + width, one.base + LINE) for one, width in zip(found, widths, strict=True)]
    assert not [pair for pair in combinations(boxes, 2) if overlap(*pair)]


def test_names_stand_clear_of_limits_and_intervals() -> None:
    shown = (("Chalk White", 13.40, 0.13, 1.88, 0.21), ("Drift Buff", 12.20, 0.90, 1.34, 0.58))
    points = [
        Point(name, name, (s, s - near, s + near), (a, a - up, a + up), ((2.0, "limit"),), "meets")
        for name, s, near, a, up in (*shown, ("Check Grey", 10.89, 0.27, 1.24, 0.10), ("Red", 7.26, 0.15, 11.7, 0.15))
    ]
    for one in picture(Voice(english()), points):
        lines = [line for body in one["bodies"] for line in body["lines"]]
        lines += [(one["frame"][0], y, one["frame"][2], y) for y, _, _ in one["limits"]]
        for body in one["bodies"]:
            width = text_width(body["label"], TEXT_SIZE)
            place = body["place"]
            letters = (place.left, place.base - 0.75 * TEXT_SIZE, place.left + width, place.base)
            for x1, y1, x2, y2 in lines:
                drawn = (min(x1, x2), min(y1, y2) - 2, max(x1, x2) + 0.1, max(y1, y2) + 2)
                assert not overlap(letters, drawn), (one["room"], body["name"])


def overlap(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize(("page", "count"), [("side-by-side", 2), ("side-by-side", 12), ("index", 40)])
def test_no_name_covers_another_and_none_is_small(
    open_page: Open, many: Folder, page: str, count: int, width: int
) -> None:
    shown = open_page(many(count) / f"{page}.html", width=width)
    boxes = shown.evaluate(OVERLAPS)
    assert len(boxes) > count
    assert [(a[0], b[0]) for a, b in combinations(boxes, 2) if overlap(tuple(a[1:]), tuple(b[1:]))] == []
    assert shown.evaluate(SMALLEST) >= 11
    assert shown.evaluate("document.documentElement.scrollWidth") <= width


def test_of_one_body_there_is_no_picture_and_of_none_no_page_fails(open_page: Open, many: Folder) -> None:
    shown = open_page(many(1) / "side-by-side.html")
    assert shown.locator(".picture").count() == 0
    assert shown.locator("table.dots tbody tr").count() == 1
    assert shown.locator("#table-differences").count() == 0


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("page", ["side-by-side", "index"])
def test_axe_finds_nothing_and_contrast_is_enhanced(open_page: Open, many: Folder, page: str, dark: bool) -> None:
    from axe_playwright_python.sync_playwright import Axe

    shown = open_page(many(12) / f"{page}.html", dark=dark)
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice", "wcag2aaa"]}
    found = Axe().run(shown, options=rules)
    assert found.violations_count == 0, found.generate_report()


def visible_names(shown: "Page", where: str) -> list[str]:
    return [name.split("\n")[0] for name in shown.locator(where).all_inner_texts()]


def test_filters_leave_the_same_bodies_in_picture_rows_and_columns(open_page: Open, many: Folder) -> None:
    shown = open_page(many(12) / "side-by-side.html")
    assert shown.locator("#how-many").text_content() == "12 of 12 bodies shown."
    shown.get_by_label("Words").fill("grey F10")
    assert visible_names(shown, "table.dots tbody tr:visible a") == ["Grey 10"]
    assert shown.locator(".picture .wide text.body:visible").all_text_contents() == ["Grey 10"]
    assert shown.locator("#how-many").text_content() == "1 of 12 bodies shown."
    shown.get_by_label("Words").fill("")
    shown.get_by_label("Fired from, °C").fill("1180")
    assert shown.locator("table.dots tbody tr:visible").count() == 3
    shown.get_by_label("to, °C", exact=True).fill("1190")
    assert shown.locator("table.dots tbody tr:visible").count() == 1
    shown.get_by_label("to, °C", exact=True).fill("hot")
    assert shown.locator("table.dots tbody tr:visible").count() == 3


def test_a_verdict_is_asked_for_on_the_index(open_page: Open, pages: Callable[[str], Path]) -> None:
    shown = open_page(pages("example") / "index.html")
    shown.get_by_label("Limit on absorption").select_option("meets")
    assert visible_names(shown, "#table-bodies tbody tr:visible th") == ["Chalk White"]
    shown.get_by_label("Limit on absorption").select_option("does not meet")
    assert visible_names(shown, "#table-bodies tbody tr:visible th") == ["Drift Buff", "Marl Red"]


def test_six_are_ticked_at_first_and_two_can_be_compared(open_page: Open, many: Folder) -> None:
    shown = open_page(many(40) / "side-by-side.html")
    assert shown.locator("#chooser input:checked").count() == 6
    assert shown.locator("#side-by-side thead th:visible").count() == 7
    shown.get_by_role("button", name="All").click()
    assert shown.locator("#side-by-side table:visible").count() == 7
    shown.get_by_role("button", name="None").click()
    assert shown.get_by_text("Tick two bodies or more to see how they differ.").is_visible()
    shown.get_by_label("Grey 10").check()
    shown.get_by_label("Grey 15").check()
    assert shown.locator("#side-by-side thead th:visible").all_text_contents() == ["What", "Grey 10", "Grey 15"]
    (row,) = shown.locator("#table-differences tbody tr:visible").all_inner_texts()
    assert row.startswith("Grey 15, beside Grey 10\tshrinks ")
    assert shown.url.count("body-") == 2


def test_paper_holds_every_body_with_and_without_the_script(
    open_page: Open, many: Folder, chromium: "object", tmp_path: Path
) -> None:
    whole = chromium.new_context(java_script_enabled=False).new_page()  # type: ignore[attr-defined]
    whole.goto((many(40) / "side-by-side.html").as_uri())
    scripted = open_page(many(40) / "side-by-side.html")
    for page, times in ((whole, 3), (scripted, 1)):
        page.emulate_media(media="print")
        page.pdf(path=str(tmp_path / "page.pdf"), format="A4")
        text = subprocess.run(["pdftotext", "-layout", tmp_path / "page.pdf", "-"], capture_output=True, check=True)
        assert "Total shrinkage, %" in text.stdout.decode().split("\f")[0]  # the picture stands on the first page
        words = " ".join(text.stdout.decode().split())
        for k in range(40):
            if k % len(NAMES) in (0, 1) and k != 5:
                assert words.count(NAMES[k % len(NAMES)].format(k) + " ") >= times, k
    whole.context.close()


def bars(name: str, lengths: list[float], boiled: str) -> str:
    return "".join(f"{name}{n},{name},1,F1,1200,100.0,{fired},100.0,{boiled}\n" for n, fired in enumerate(lengths))


def test_differences_are_told_in_points_and_millimetres_with_the_reason_where_none_is_known(tmp_path: Path) -> None:
    rows = bars("A", [88.0, 88.1, 87.9, 88.05], "102.0") + bars("B", [86.8, 86.9, 86.7, 86.85], "")
    rows += bars("C", [88.0], "103.0") + bars("D", [88.0, 88.3, 87.9], "102.1")
    (tmp_path / "four.csv").write_text(HEAD + rows, encoding="utf-8")
    checked = read_sheets([tmp_path / "four.csv"])
    page = report_pages(analyse(checked), date(2026, 3, 14))["side-by-side.html"]
    table = page.split('id="table-differences"')[1].split("<tbody>")[1].split("</tbody>")[0]
    told = [" ".join(re.sub("<[^>]*>", " ", row).split()) for row in table.split("</tr>")]
    unknown = "not known Too few bars to see the scatter: C."
    assert told[:3] == [
        "B, beside A shrinks 1.20 points more (0.98 to 1.42): 2.4 mm on 200 mm wet ✕ different"
        " not known Not measured: B.",
        f"C, beside A {unknown} {unknown}",
        "D, beside A shrinks 0.1 points less (−0.8 to 0.9): 0.1 mm on 200 mm wet ? cannot tell yet"
        " They may be alike, or up to 0.9 points apart. Write on"
        " the Lab sheet which difference in shrinkage matters. takes up 0.10 points more"
        " (−0.03 to 0.23) ? cannot tell yet They may be alike, or up to 0.23 points apart.",
    ]
