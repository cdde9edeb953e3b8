"""Two layers of a body's page in a real browser: a short first one, and topics that open where they are wanted."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from bodytest import analyse, read_sheets
from bodytest.files.report_folder import replace_report
from bodytest.report.pages import report_pages
from tests.report.example_results import TODAY

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser
Open = Callable[..., "Page"]
DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"
BODIES = ("drift-buff", "marl-red", "chalk-white", "check-grey")
WORDS_SEEN = """() => {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const words = [];
  while (walker.nextNode()) {
    const holder = walker.currentNode.parentElement;
    const told = !holder.closest(".topics, script, style, title, desc, option") && holder.checkVisibility();
    if (told) words.push(...(walker.currentNode.textContent.match(/[^\\s·–±×]+/g) ?? []));
  }
  return words;
}"""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    sheets = read_sheets([DEMO])
    folder = tmp_path_factory.mktemp("demo")
    replace_report(folder, report_pages(analyse(sheets), TODAY))
    return folder


@pytest.mark.parametrize("body", BODIES)
def test_the_first_layer_is_at_most_600_words_and_five_screens(open_page: Open, demo: Path, body: str) -> None:
    page = open_page(demo / f"{body}.html")
    words = page.evaluate(WORDS_SEEN)
    assert 150 < len(words) <= 600
    assert page.evaluate("document.querySelector('.topics').getBoundingClientRect().top") <= 5 * 900
    for heading in ("How big to make it wet", "What to do next"):
        assert page.get_by_role("heading", name=heading).is_visible()


@pytest.mark.parametrize("body", BODIES)
def test_each_topic_is_folded_and_its_line_gives_a_finding(open_page: Open, demo: Path, body: str) -> None:
    page = open_page(demo / f"{body}.html")
    topics = page.locator("details.topic").all()
    assert len(topics) >= 5
    for topic in topics:
        assert topic.get_attribute("open") is None
        finding = topic.locator("summary .finding").text_content() or ""
        assert finding.endswith("."), finding
        assert 3 <= len(finding.split()) <= 35, finding


def test_a_link_to_a_part_opens_the_topic_that_holds_it(open_page: Open, demo: Path) -> None:
    page = open_page(demo / "drift-buff.html", fragment="#table-pieces")
    assert page.locator("#table-pieces").is_visible()
    assert not page.locator("#table-bar-values").is_visible()
    page.get_by_role("link", name="Low absorption is no proof that ware is safe for food or stands frost.").click()
    assert page.locator("#cautions").is_visible()
    assert page.locator("#cautions").bounding_box()["y"] < 900  # type: ignore[index]


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
def test_print_opens_every_topic(chromium: "Browser", demo: Path, tmp_path: Path, scripts: bool) -> None:
    from pypdf import PdfReader

    context = chromium.new_context(java_script_enabled=scripts, offline=True)
    page = context.new_page()
    page.goto((demo / "drift-buff.html").as_uri())
    page.pdf(path=str(tmp_path / "page.pdf"), format="A4")
    text = " ".join(" ".join(leaf.extract_text().split()) for leaf in PdfReader(tmp_path / "page.pdf").pages)
    for caption in ("Values of each of 100 bars", "Readings of each bar", "Decision rule", "Real pieces and the bars"):
        assert caption in text
    context.close()


def test_without_scripts_every_figure_is_still_there(chromium: "Browser", demo: Path) -> None:
    context = chromium.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto((demo / "drift-buff.html").as_uri())
    assert page.locator("#table-ready-sizes").is_visible()
    assert not page.locator("#size-helper").is_visible()
    for topic in page.locator("details.topic > summary").all():
        topic.click()
    for table in ("firings", "loads", "batches", "pieces", "bar-values", "quantities", "readings"):
        assert page.locator(f"#table-{table}").is_visible()
    context.close()


def test_height_has_its_own_factor_in_the_headline_and_in_the_helper(open_page: Open, demo: Path) -> None:
    page = open_page(demo / "drift-buff.html")
    told = page.locator("#answer").text_content() or ""
    assert "For height use 1.151: 6 real pieces shrank 13.1\N{NO-BREAK SPACE}% in height" in told
    page.get_by_label("Direction or dimension").select_option(label="height (6 real pieces)")
    assert page.locator("#wet-size strong").text_content() == "230.3 mm wet"
    assert not page.locator("#size-batch").is_visible()


def test_the_helper_takes_a_batch_and_shows_a_choice_of_one_as_text(open_page: Open, demo: Path) -> None:
    page = open_page(demo / "drift-buff.html")
    any_batch = page.locator("#wet-size strong").text_content()
    page.get_by_label("Batch", exact=True).select_option(label="D3")
    assert page.locator("#wet-size strong").text_content() != any_batch
    page.get_by_label("Direction or dimension").select_option(label="across")
    assert not page.locator("#size-batch").is_visible()
    assert page.locator("#size-batch + span").text_content() == "D1"
    assert open_page(demo / "chalk-white.html").locator("#size-firing + span").is_visible()


def test_only_tables_that_scroll_are_tab_stops(open_page: Open, demo: Path) -> None:
    page = open_page(demo / "drift-buff.html", fragment="#table-bar-values")
    stops = page.locator(".scroll[tabindex]").locator("visible=true")
    assert stops.locator("> table").evaluate_all("(tables) => tables.map((table) => table.id)") == ["table-bar-values"]
    narrow = open_page(demo / "drift-buff.html", width=390, fragment="#table-firings")
    assert narrow.locator("#table-firings").locator("..").get_attribute("tabindex") == "0"
