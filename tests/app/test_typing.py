"""Readings typed in the browser: each is stored at once beside the sheet, judged by the program, and never mixed."""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from urllib.parse import urlencode

import pytest

from bodytest.app.folder import key_of
from tests.conftest import ARGUMENTS

DRY = ["94.1", "94.2", "94", "94.2", "94.1", "93.9", "94.1", "94.3", "94", "94.1"]
HEAD = "Readings typed for trial.csv\nbar,dry length (mm)\n"
KEY = key_of("trial.csv")
PAGE = f"/sheet/{KEY}/readings"


def lay(folder):
    """Write a sheet of ten bars with wet lengths."""
    rows = "".join(f"A{n},Marl,F1,{99.5 + n / 10:.1f},,\n" for n in range(1, 11))
    sheet = folder / "trial.csv"
    sheet.write_text(f"bar,body,firing,wet length (mm),dry length (mm),fired length (mm)\n{rows}")
    return sheet


def command(*arguments):
    asked = [sys.executable, "-m", "bodytest", *map(str, arguments)]
    return subprocess.run(asked, capture_output=True, text=True, check=False)


class Window:
    """A browser window in which the page is open."""

    def __init__(self, context, running):
        self.page = context.new_page()
        self.troubles = []
        self.page.on("pageerror", lambda error: self.troubles.append(str(error)))
        self.page.on("console", lambda message: self.troubles.append(message.text))
        self.page.goto(running.address)
        self.page.goto(running.origin + PAGE)

    def measure(self, heading):
        option = self.page.locator("#measured option", has_text=re.compile(rf"^{heading} \("))
        self.page.select_option("#measured", option.get_attribute("value"))

    def type(self, *numbers):
        for number in numbers:
            self.page.locator("#number").fill(number)
            self.next()

    def next(self):
        self.page.get_by_role("button", name="Next bar").click()
        self.page.locator("#entry[aria-busy=false]").wait_for()

    def said(self):
        return self.page.locator("#told p").all_text_contents()

    def warned(self):
        return self.page.locator("#not-kept").text_content()


@pytest.fixture
def windows(chromium, opened):
    """Open the page in as many windows as a test wants, each as of a person of their own."""
    contexts = []

    def window(running, **options):
        contexts.append(chromium.new_context(viewport={"width": 390, "height": 844}, **options))
        return Window(contexts[-1], running)

    yield window
    for context in contexts:
        context.close()


@pytest.fixture
def own_browser(chromium, tmp_path):
    """A browser in a process of its own, which can be killed: the process and the browser."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    command = [found, *ARGUMENTS, "--remote-debugging-port=0", f"--user-data-dir={tmp_path / 'profile'}", "about:blank"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, start_new_session=True)
    line = next(line for line in process.stderr if "DevTools listening on" in line)
    yield process, chromium.browser_type.connect_over_cdp(line.split()[-1])
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.communicate()


@pytest.mark.browser
def test_ten_bars_typed_and_the_browser_killed_and_nothing_is_lost(opened, windows, own_browser):
    running = opened()
    sheet = lay(running.folder)
    before = sheet.read_bytes()
    process, browser = own_browser
    window = Window(browser.new_context(viewport={"width": 390, "height": 844}), running)
    assert window.page.locator("label[for=number]").text_content() == "dry length (mm)"
    window.type(*DRY)
    window.measure("fired length")
    window.type("88", "88.2")
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    typed = running.folder / "trial-readings.csv"
    fired = ["88", "88.2", *[""] * 8]
    rows = "".join(f"A{n},{d},{f}\n" for n, (d, f) in enumerate(zip(DRY, fired, strict=True), 1))
    assert typed.read_text() == HEAD.rstrip("\n") + ",fired length (mm)\n" + rows
    assert sheet.read_bytes() == before
    again = windows(running)
    again.measure("dry length")
    assert again.page.locator("#measured option:checked").text_content() == "dry length (mm) – 10 of 10"
    again.page.get_by_text("All bars", exact=True).click()
    assert again.page.locator("#bars button").first.text_content() == "A194.1 mm"
    assert again.troubles == []
    code = command("check", sheet, typed)
    assert (code.returncode, "STOP" in code.stdout) == (0, False)
    bars = json.loads(command("results", sheet, typed).stdout)["bars"]
    assert [bar["readings"]["dry_length_mm"] for bar in bars] == [float(text) for text in DRY]


@pytest.mark.browser
def test_a_doubt_is_that_of_the_program_with_all_that_was_typed(opened, windows):
    running = opened()
    sheet = lay(running.folder)
    window = windows(running)
    window.type(*DRY[:9], "904")
    found = json.loads(command("check", sheet, running.folder / "trial-readings.csv", "--json").stdout)["findings"]
    told = [one for one in found if one["cell"] == "Bars!B12"]
    assert window.said() == [part for one in told for part in (f"Look again. {one['sentence']}", one["remedy"])]
    assert "90.4 mm instead of 904 mm (a slipped decimal point)" in window.said()[0]
    window.page.get_by_role("button", name="Type it again").click()
    window.type(DRY[9])
    assert window.said()[0] == "All bars have their dry length."
    assert "A10,94.1\n" in (running.folder / "trial-readings.csv").read_text()


@pytest.mark.browser
def test_two_windows_at_one_sheet_the_second_is_told_and_nothing_is_lost(opened, windows):
    running = opened()
    lay(running.folder)
    first, second = windows(running), windows(running)
    first.type("94.1", "94.2")
    second.type("93.9")
    assert second.warned() == (
        "Another window typed 94.1 here. It was kept, and your 93.9 was not stored."
        " Measure again and type what is right."
    )
    second.type("94.1")
    assert second.page.locator("#code").text_content() == "A3"
    first.type("94.3")
    second.type("94.4")
    assert "Another window typed 94.3 here." in second.warned()
    second.page.reload()
    assert second.page.input_value("#number") == "94.4"
    second.type("94.5")  # now it knows of the other reading
    first.type("94.6")
    assert first.warned() == (
        "Another window typed readings for this sheet too. They are shown here now; what you typed was stored as well."
    )
    assert (running.folder / "trial-readings.csv").read_text() == HEAD + "A1,94.1\nA2,94.2\nA3,94.5\nA4,94.6\n"


@pytest.mark.browser
def test_a_program_that_has_ended_is_told_and_the_reading_stays_in_the_field(opened, windows):
    running = opened()
    lay(running.folder)
    window = windows(running)
    running.stop()
    window.type("94.1")
    assert window.warned() == (
        "This reading could not be stored: bodytest does not answer. It stays in the field; start bodytest again, then"
        " press Next bar here."
    )
    assert (window.page.input_value("#number"), window.page.locator("#code").text_content()) == ("94.1", "A1")


def sent(running, **typed):
    page = running.read(PAGE).text
    server = json.loads(re.search(r'id="typing-data">(.*?)</script>', page)[1])["server"]
    asked = {"row": "0", "key": "dry_length", "text": "94.1", "before": "", **server, **typed}
    return running.send(f"/sheet/{KEY}/typed", urlencode(asked).encode())


def test_a_sheet_that_was_saved_anew_takes_no_reading_of_an_older_page(opened):
    running = opened()
    lay(running.folder)
    answer = json.loads(sent(running, sheet="(1, 2)").text)
    assert (answer["taken"], answer["told"]) == (
        False,
        "trial.csv was saved anew since this page was opened, so this reading was not stored yet."
        " Reload this page; what stands in the field stays there.",
    )
    assert not (running.folder / "trial-readings.csv").exists()


@pytest.mark.parametrize(
    "typed", [{"text": "94,1"}, {"text": "-3"}, {"text": "nan"}, {"row": "77"}, {"row": "x"}, {"key": "bar"}]
)
def test_what_the_page_would_never_send_is_refused(opened, typed):
    running = opened()
    lay(running.folder)
    answer = sent(running, **typed)
    assert (answer.status, "it is no reading of a bar of this sheet." in answer.text) == (422, True)
    assert not (running.folder / "trial-readings.csv").exists()


def test_a_table_that_somebody_changed_is_left_alone_and_read_with_the_sheet(opened):
    running = opened()
    lay(running.folder)
    theirs = running.folder / "trial-readings.csv"
    theirs.write_text(f"{HEAD.rstrip()},notes\nA1,94.1,\nA2,94.2,my remark\n")
    before = theirs.read_bytes()
    assert json.loads(sent(running, row="2", text="94.3").text)["taken"]
    assert theirs.read_bytes() == before
    assert (running.folder / "trial-readings (2).csv").read_text() == HEAD + "A3,94.3\n"
    page = running.read(PAGE).text
    rows = json.loads(re.search(r'id="typing-data">(.*?)</script>', page)[1])["rows"]
    assert rows[0]["known"] == {"wet_length": 99.6, "dry_length": 94.1}
    assert "trial-readings" not in running.read("/").text
    theirs.write_text(f"{HEAD}B7,94.1\n")
    assert running.read(PAGE).status == 200


def test_what_is_found_in_typed_readings_marks_no_cell_of_the_sheet(opened):
    running = opened()
    lay(running.folder)
    (running.folder / "trial-readings.csv").write_text(
        HEAD + "".join(f"A{n},94.{n}\n" for n in range(1, 9)) + "A9,941\n"
    )
    page = running.read(f"/sheet/{KEY}/check").text
    assert "<strong>To mend · trial-readings.csv</strong>" in page
    assert "Bars!B11</a>" not in page


def test_a_sheet_without_bars_is_told_in_a_sentence(opened):
    running = opened()
    (running.folder / "trial.csv").write_text("bar,wet length (mm)\n")
    answer = running.read(PAGE)
    assert answer.status == 422
    assert "No bars could be read in trial.csv, so there are none to type readings for." in answer.text


@pytest.mark.browser
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing_to_mend_and_nothing_sticks_out(opened, windows, dark):
    from axe_playwright_python.sync_playwright import Axe

    running = opened()
    lay(running.folder)
    window = windows(running, color_scheme="dark" if dark else "light")
    window.page.set_viewport_size({"width": 320, "height": 700})
    window.type("94.1", "120")
    assert window.said()
    found = Axe().run(window.page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]})
    assert found.violations_count == 0, found.generate_report()
    assert window.page.evaluate("document.documentElement.scrollWidth") <= 320
    assert window.troubles == []


def test_what_the_phone_saved_is_gone_on_with(opened):
    running = opened()
    lay(running.folder)
    table = running.folder / "trial-readings.csv"
    table.write_text(HEAD + "A1,94.1\nA2,94.2\n")
    assert json.loads(sent(running, row="2", text="94.3").text)["taken"]
    assert table.read_text() == HEAD + "A1,94.1\nA2,94.2\nA3,94.3\n"
