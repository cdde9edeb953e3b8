"""The pages in a real browser: as a person goes through them, accessible, and without JavaScript too."""

import random
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import openpyxl
import pytest

from bodytest.app.folder import key_of
from bodytest.reading import read_sheets
from tests.intake.layouts.kept_sheets import in_doubt

if TYPE_CHECKING:
    from playwright.sync_api import Browser, ConsoleMessage, Page

pytestmark = pytest.mark.browser


@pytest.fixture
def visit(chromium: "Browser") -> "Iterator[Callable[..., Page]]":
    """Open the program's address as it was printed; nothing may go to another machine or wrong in the page."""
    contexts, requests, troubles = [], [], []

    def visited(
        address: str, *, width: int = 1280, dark: bool = False, script: bool = True, fails: str = "nothing"
    ) -> "Page":
        size, scheme = {"width": width, "height": 900}, "dark" if dark else "light"
        context = chromium.new_context(viewport=size, color_scheme=scheme, java_script_enabled=script)
        contexts.append(context)

        def trouble(message: "ConsoleMessage") -> None:
            if fails not in message.location["url"]:  # an answer that is meant to be a refusal
                troubles.append(message.text)

        page = context.new_page()
        page.on("request", lambda request: requests.append(request.url))
        page.on("console", trouble)
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.goto(address)
        return page

    yield visited
    for context in contexts:
        context.close()
    assert [url for url in requests if not url.startswith(("http://127.0.0.1:", "data:"))] == []
    assert troubles == []


def axe_troubles(page: "Page") -> list[str]:
    from axe_playwright_python.sync_playwright import Axe

    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
    found = Axe().run(page, options=rules)
    return [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in found.response["violations"]]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
def test_axe_finds_nothing_to_mend(opened, visit, dark, width):
    running = opened("demo-complete.xlsx", "demo-mistakes.xlsx")
    in_doubt(random.Random(3)).save(running.folder / "mine.xlsx")
    page = visit(running.address, width=width, dark=dark, fails="/sheet/none/")
    assert "secret" not in page.url
    assert axe_troubles(page) == []
    for name in ("demo-mistakes.xlsx", "demo-complete.xlsx", "mine.xlsx"):
        page.goto(f"{running.origin}/sheet/{key_of(name)}/check")
        assert axe_troubles(page) == []
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.goto(f"{running.origin}/sheet/none/check")
    assert axe_troubles(page) == []


@pytest.mark.parametrize("script", [True, False], ids=["with JavaScript", "without"])
def test_a_person_finds_a_doubtful_cell_and_saves_a_mended_copy(opened, visit, script):
    running = opened("demo-mistakes.xlsx")
    page = visit(running.address, script=script)
    page.get_by_role("link", name="demo-mistakes.xlsx").click()
    page.get_by_label("In the copy, write 92.8 in Bars!L5").check()
    page.get_by_role("button", name="Save a copy with these mends").click()
    page.get_by_text("Saved as a copy with your mends; the original is as it was.").wait_for()
    table = openpyxl.load_workbook(running.folder / "demo-mistakes-mended.xlsx")["Bars"]
    assert table["L5"].value == 92.8


def test_a_person_copies_a_sheet_of_their_own_in_answers_and_saves_it_clean(opened, visit, tmp_path):
    running = opened()
    kept = in_doubt(random.Random(3))
    page = visit(running.address)
    page.get_by_label("choose it or drop it here").set_input_files(kept.save(tmp_path / "my tests.xlsx"))
    page.get_by_role("button", name="Copy it in").click()
    page.get_by_label(f"“{kept.asks}” is").select_option("wet length")
    page.get_by_role("button", name="Read it with these answers").click()
    page.get_by_role("button", name="Save it as a clean workbook").click()
    page.get_by_text("Saved as a clean workbook").wait_for()
    bars = read_sheets([running.folder / "my tests-clean.xlsx"])
    assert bars.marks["wet_length_mm"].notna().all()
    assert len(bars.bars) > 0
    page.get_by_role("link", name="Answer").click()
    assert "times as large as it is to be when fired." in page.get_by_role("main").inner_text()
    page.get_by_role("link", name="How sure this is, and why").first.click()
    assert page.get_by_role("heading", level=1).is_visible()


def test_a_person_makes_a_blank_sheet(opened, visit):
    running = opened()
    page = visit(running.address)
    page.get_by_label("Name of the file").fill("spring")
    page.get_by_label("Clay bodies").fill("Drift Buff")
    page.get_by_role("button", name="Make the sheet").click()
    page.get_by_role("heading", name="spring.xlsx").wait_for()
    assert (running.folder / "spring.xlsx").exists()


def test_a_file_that_is_too_large_is_told_before_it_is_sent(opened, visit, tmp_path):
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(200 << 20)
    page = visit(opened().address)
    page.get_by_label("choose it or drop it here").set_input_files(large)
    page.get_by_text("That file is more than 64 MB.").wait_for()
    assert page.get_by_role("button", name="Copy it in").is_disabled()


def test_a_page_that_outlives_the_program_says_so(opened, visit):
    running = opened()
    page = visit(running.address, fails="/presence")
    assert page.get_by_text("bodytest is not running any more.").is_hidden()
    running.stop()
    page.evaluate("tell()")
    page.get_by_text("bodytest is not running any more.").wait_for()


def test_a_page_that_is_left_tells_the_program(opened, visit):
    page = visit(opened("demo-mistakes.xlsx").address)
    page.evaluate("navigator.sendBeacon = (address) => { sessionStorage.told = address; }")
    page.get_by_role("link", name="demo-mistakes.xlsx").click()
    page.get_by_role("heading", name="What was found").wait_for()
    assert "closed=1" in page.evaluate("sessionStorage.told")
