"""How large the page of a body with very many bars is, and how long Chromium takes to load it.

Run: python -m tests.bench.page_load [BARS …] [--write tests/bench/page_load.md]

The bars are those of `tests.bench.bars`, all of one body; loading is timed up to the load event, the shortest of three.
"""

import argparse
import shutil
import subprocess
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from tests.bench.bars import invented_bars

GOAL_BYTES, GOAL_SECONDS = 1_500_000, 2.0
RUNS = 3


def page_of(count: int, folder: Path) -> Path:
    """Return the page of one body with so many bars."""
    sheet = folder / "many.csv"
    invented_bars(count).assign(body="Invented A").to_csv(sheet, index=False)
    command = [sys.executable, "-m", "bodytest", "report", str(sheet), "--out", str(folder / "report")]
    subprocess.run(command, check=False, capture_output=True)
    return folder / "report" / "invented-a.html"


def loading(page: Path) -> tuple[float, int]:
    """Return the seconds that Chromium takes to load a page, and how many elements it has then."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        arguments = ["--no-sandbox", "--headless=new", "--disable-gpu"]
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=arguments)
        seconds, elements = [], 0
        for _ in range(RUNS):
            tab = browser.new_page()
            tab.goto(page.as_uri())
            seconds.append(tab.evaluate("performance.getEntriesByType('navigation')[0].loadEventEnd / 1000"))
            elements = tab.evaluate("document.querySelectorAll('*').length")
            tab.close()
        browser.close()
    return min(seconds), elements


def measured(count: int) -> str:
    """Return one line of the table."""
    with tempfile.TemporaryDirectory() as folder:
        page = page_of(count, Path(folder))
        seconds, elements = loading(page)
        size = page.stat().st_size
    verdict = "reached" if size <= GOAL_BYTES and seconds <= GOAL_SECONDS else "MISSED"
    return f"{count:>9} {size / 1e6:>8.2f} {elements:>10} {seconds:>9.2f}   {verdict}"


def main() -> None:
    """Measure and print, or write, the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("bars", nargs="*", type=int, default=[1_000, 10_000, 100_000])
    parser.add_argument("--write", type=Path)
    given = parser.parse_args()
    lines = [measured(count) for count in given.bars]
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], check=True, capture_output=True, text=True).stdout
    today = datetime.now(UTC).date().isoformat()
    head = f"# The page of a body with very many bars\n\nMade on {today} at commit {commit.strip()} by "
    head += "`python -m tests.bench.page_load`; goals 1.5 MB and 2 s.\n\n```\n"
    text = head + "\n".join(["     bars       MB   elements   seconds", *lines]) + "\n```\n"
    print(text)
    if given.write:
        given.write.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
