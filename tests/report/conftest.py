"""A headless Chromium for the tests of the pages, and pages made once for all of them."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from bodytest.files.report_folder import replace_report
from bodytest.report.pages import report_pages
from tests.report import example_results

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ARGUMENTS = [
    "--no-sandbox", "--headless=new", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


@pytest.fixture(scope="session")
def chromium() -> "Iterator[Browser]":
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None and "CI" not in os.environ:
        pytest.skip("no Chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: "Browser") -> "Iterator[Callable[..., Page]]":
    """Open a file without a network; afterwards nothing may have left the page or gone wrong in it."""
    contexts, requests, troubles = [], [], []

    def opened(path: Path, *, width: int = 1280, dark: bool = False, fragment: str = "") -> "Page":
        scheme = "dark" if dark else "light"
        context = chromium.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True)
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: requests.append(request.url))
        page.on("console", lambda message: troubles.append(message.text))
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.goto(path.as_uri() + fragment)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert [url for url in requests if not url.startswith(("file:", "data:"))] == []
    assert troubles == []


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Write the pages of one of the examples, each once."""
    written: dict[str, Path] = {}

    def folder(example: str) -> Path:
        if example not in written:
            written[example] = tmp_path_factory.mktemp(example)
            results, _sheets = getattr(example_results, example)()
            replace_report(written[example], report_pages(results, example_results.TODAY))
        return written[example]

    return folder
