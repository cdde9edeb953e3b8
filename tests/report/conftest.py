"""Pages made once for all tests of pages, and opened in Chromium without a network."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from bodytest.files.report_folder import replace_report
from bodytest.report.pages import report_pages
from tests.report import example_results

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


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
