"""Make README's pictures of the kept report again: ``python -m tests.report.pictures``."""

import io
import shutil

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.conftest import ARGUMENTS
from tests.report.test_demo_report import KEPT

PICTURES = {
    "report.png": ("drift-buff.html", 1280, 900),
    "bench.png": ("drift-buff-bench.html", 900, 960),
    "choosing.png": ("side-by-side.html", 1280, 1150),
}
"""Page, width and height of each, px."""
COLOURS = 32
"""Few, so that the files stay small."""

if __name__ == "__main__":
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        for name, (source, width, height) in PICTURES.items():
            page = browser.new_page(viewport={"width": width, "height": height})
            page.goto((KEPT / source).as_uri())
            Image.open(io.BytesIO(page.screenshot())).convert("RGB").quantize(COLOURS).save(KEPT / name, optimize=True)
        browser.close()
