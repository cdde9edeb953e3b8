"""The pages in a real browser: offline, accessible, working, printable."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from bodytest.plan.measured import Wanted
from bodytest.plan.size_words import size_lines
from bodytest.plan.sizes import sizes
from tests.report import example_results
from tests.report.example_results import MARKUP

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
Open = Callable[..., "Page"]
Folder = Callable[[str], Path]
EXAMPLES = ("example", "unfired", "one_bar", "without_absorption", "markup_names")
WET_AND_DRY = r"wet +([\d.]+) \w+ +\(([\d.]+) to ([\d.]+) \w+\)[^\n]*\n +dry +([\d.]+)"
REFERENCES = """
["aria-labelledby", "aria-describedby", "for"].flatMap((name) => [...document.querySelectorAll(`[${name}]`)]
  .flatMap((element) => element.getAttribute(name).split(" ")))
  .concat([...document.querySelectorAll('[href^="#"]')].map((link) => link.getAttribute("href").slice(1)))
"""
EXAMPLE_PAGES = ("index", "side-by-side", "drift-buff", "marl-red", "drift-buff-certificate")


def bodies(folder: Path) -> list[Path]:
    return [
        path
        for path in sorted(folder.glob("*.html"))
        if not path.stem.endswith(("index", "side-by-side", "-bench", "-certificate"))
    ]


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_page_opens_offline_with_unique_ids_and_references_that_lead_somewhere(
    open_page: Open, pages: Folder, example: str
) -> None:
    for path in sorted(pages(example).glob("*.html")):
        page = open_page(path)
        assert page.locator("h1").count() == 1
        assert page.locator("main").is_visible()
        ids = page.evaluate("[...document.querySelectorAll('[id]')].map((element) => element.id)")
        assert len(ids) == len(set(ids))
        assert set(page.evaluate(REFERENCES)) <= set(ids)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("name", EXAMPLE_PAGES)
def test_axe_finds_nothing_to_mend(open_page: Open, pages: Folder, name: str, dark: bool) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = open_page(pages("few_bars") / f"{name}.html", dark=dark)
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "wcag2aaa", "best-practice"]}
    found = Axe().run(page, options=rules)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("width", [320, 390, 768, 1600])
@pytest.mark.parametrize("name", EXAMPLE_PAGES)
def test_nothing_sticks_out_sideways(open_page: Open, pages: Folder, name: str, width: int) -> None:
    page = open_page(pages("example") / f"{name}.html", width=width)
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    captions = "[...document.querySelectorAll('caption')].map((one) => one.getBoundingClientRect().right)"
    assert max(page.evaluate(captions), default=0) <= width


def test_charts_hold_real_text_with_title_and_description(open_page: Open, pages: Folder) -> None:
    page = open_page(pages("example") / "drift-buff.html")
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    charts = page.locator("svg.chart").locator("visible=true")
    assert charts.count() == 5
    for chart in charts.all():
        assert chart.locator("> title").text_content()
        assert chart.locator("> desc").text_content()
        assert chart.locator("text").count() > 3
    assert " K6 " in (charts.first.text_content() or "").replace("\n", " ")


@pytest.mark.parametrize(
    ("typed", "firing", "direction"),
    [("120mm", "K6", "along"), ("200mm", "K4", "across"), ("7.5in", "K7", "along"), ("0.75in", "K5", "across")],
)
def test_the_size_helper_says_what_the_command_size_says(
    open_page: Open, pages: Folder, typed: str, firing: str, direction: str
) -> None:
    results, _ = example_results.example()
    plan = sizes(results, [typed], wanted=Wanted("Drift Buff", firing, direction))[0]
    page = open_page(pages("example") / "drift-buff.html")
    number, unit = typed[:-2], typed[-2:]
    page.get_by_label("Unit").select_option(unit)
    page.get_by_label("Programme or load", exact=True).select_option(
        page.locator("#size-firing option", has_text=firing).get_attribute("value")
    )
    page.get_by_label("Direction or dimension").select_option(label=direction)
    page.get_by_label("Finished size").fill(number)
    lines = page.locator("#wet-size > *").all_text_contents()
    said = "\n".join(size_lines((plan,)))  # what the command prints
    wet, low, high, dry = re.search(WET_AND_DRY, said).groups()  # type: ignore[union-attr]
    start, end = re.search(r"will be ([\d.]+) to ([\d.]+)", said).groups()  # type: ignore[union-attr]
    about = re.findall(r"about (?:\d+ )?[\d/]+ in", said)[:1]
    assert lines == [
        f"{wet} {unit} wet",
        *about,
        f"When dry it measures {dry} {unit}.",
        f"Further pieces made this size will finish between {start} and {end} {unit} (95\N{NO-BREAK SPACE}% each).",
        f"The mean shrinkage is known well enough to put the wet size between {low} and {high} {unit}.",
    ]


def test_the_size_helper_works_by_keyboard_and_takes_what_people_type(open_page: Open, pages: Folder) -> None:
    page = open_page(pages("example") / "chalk-white.html")
    page.get_by_label("Finished size").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("100")
    first = page.locator("#wet-size strong").text_content() or ""
    assert first.endswith(" mm wet")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowDown")
    assert (page.locator("#wet-size strong").text_content() or "").endswith(" in wet")
    field = page.get_by_label("Finished size")
    for typed in ("100 mm", "100,0", " 100"):
        page.get_by_label("Unit").select_option("mm")
        field.fill(typed)
        assert page.locator("#wet-size strong").text_content() == first
    field.fill("big")
    assert page.locator("#wet-size").text_content() == "“big” is no size. Type a number such as 120 or 4.75."
    field.fill("900")
    far = page.locator("#wet-size > *").all_text_contents()
    assert any("nobody has tested that size, so make one trial piece first." in line for line in far)
    field.fill("")
    assert page.locator("#wet-size").text_content() == "Type a size above."


def test_a_name_full_of_markup_stays_text(open_page: Open, pages: Folder) -> None:
    folder = pages("markup_names")
    (body,) = bodies(folder)
    page = open_page(body)
    assert page.locator("h1").text_content() == MARKUP
    assert page.title() == f"{MARKUP} – test report"
    assert page.locator("b, i, u").count() == 0
    assert page.evaluate("document.scripts.length") == 4
    index = open_page(folder / "index.html")
    assert index.locator("#table-bodies tbody th").text_content() == MARKUP


def test_the_index_sorts_by_a_heading_and_back(open_page: Open, pages: Folder) -> None:
    page = open_page(pages("example") / "index.html")

    def order() -> list[str]:
        return [name.strip() for name in page.locator("#table-bodies tbody th").all_text_contents()]

    heading = page.get_by_role("columnheader", name="Absorption, %")
    heading.get_by_role("button").press("Enter")
    assert order() == ["Chalk White", "Drift Buff", "Marl Red"]
    assert heading.get_attribute("aria-sort") == "ascending"
    heading.get_by_role("button").press("Enter")
    assert order() == ["Marl Red", "Drift Buff", "Chalk White"]
    page.get_by_role("button", name="Safe window, °C").click()
    assert order()[0] == "Drift Buff"


def test_chosen_bodies_stand_side_by_side(open_page: Open, pages: Folder) -> None:
    page = open_page(pages("example") / "index.html")
    page.get_by_label("Choose Marl Red to see side by side").check()
    page.get_by_label("Choose Drift Buff to see side by side").check()
    page.get_by_role("button", name="Show the chosen bodies side by side").click()
    page.wait_for_url("**/side-by-side.html#*")
    shown = page.locator("#side-by-side thead th:visible").all_text_contents()
    assert shown == ["What", "Drift Buff", "Marl Red"]
    page.get_by_label("Marl Red").uncheck()
    assert page.locator("#side-by-side thead th:visible").all_text_contents() == ["What", "Drift Buff"]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_print_has_the_paper_asked_for_numbered_pages_and_a_first_page_that_answers(
    open_page: Open, pages: Folder, tmp_path: Path, paper: str, size: tuple[int, int]
) -> None:
    from pypdf import PdfReader

    page = open_page(pages("example") / "marl-red.html")
    page.pdf(path=str(tmp_path / "page.pdf"), format=paper)
    leaves = PdfReader(tmp_path / "page.pdf").pages
    assert 5 <= len(leaves) <= 8
    first, last = leaves[0].mediabox, leaves[-1].mediabox
    assert (float(first.width), float(first.height)) == pytest.approx(size, abs=1)
    assert (float(last.height), float(last.width)) == pytest.approx(size, abs=1)  # readings stand on a wide page
    texts = [" ".join(leaf.extract_text().split()) for leaf in leaves]
    assert all(f"Page {number} of {len(leaves)}" in text for number, text in enumerate(texts, start=1))
    assert "Make Marl Red 1.0" in texts[0]
    assert "Common sizes" in texts[0]
