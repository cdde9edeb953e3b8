"""The phone form in a real browser, offline: typed bar by bar, kept, doubted, saved, read together with the sheet."""

import json
import re
from pathlib import Path

import pytest

import bodytest
from bodytest.findings import catalogue
from bodytest.report.wording import english
from bodytest.sheet.phone_form import typed_checks

TEMPLATES = Path(bodytest.__file__).parent / "report" / "templates"
WET = ["100", "100.2", "99.9", "100.1", "100", "99.8", "100.1", "100.2", "99.9", "100"]
DRY = ["94.1", "94.2", "94", "94.2", "94.1", "93.9", "94.1", "94.3", "94", "94.1"]
FIRED = ["88", "88.2", "87.9", "88.1", "88", "87.8", "88.1", "88.2", "87.9", "88"]


class Phone:
    """A phone on which the form was opened; nothing may leave it or go wrong in it."""

    def __init__(self, context, path):
        self.context, self.path, self.troubles, self.requests = context, path, [], []
        self.open()

    def open(self):
        self.page = self.context.new_page()
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("console", lambda message: self.troubles.append(message.text))
        self.page.on("pageerror", lambda error: self.troubles.append(str(error)))
        self.page.goto(self.path.resolve().as_uri())

    def measure(self, heading):
        option = self.page.locator("#measured option", has_text=re.compile(rf"^{heading} \("))
        self.page.select_option("#measured", option.get_attribute("value"))

    def type(self, *numbers):
        for number in numbers:
            for key in number:
                self.page.locator(f'#keys button[data-key="{key}"]').tap()
            self.page.get_by_role("button", name="Next bar").tap()

    def said(self):
        return self.page.locator("#told p").all_text_contents()

    def bar(self):
        return self.page.locator("#code").text_content()

    def save(self, folder):
        with self.page.expect_download() as download:
            self.page.get_by_role("button", name="Save the readings").tap()
        target = folder / download.value.suggested_filename
        download.value.save_as(target)
        return target


@pytest.fixture
def phone(chromium, run):
    """Open a page as a phone does: 390 pixels wide, touched, offline, from a file."""
    contexts, phones = [], []

    def opened(path, *, width=390, dark=False, context=None, **options):
        if context is None:
            context = chromium.new_context(
                viewport={"width": width, "height": 844}, has_touch=True, offline=True, accept_downloads=True,
                color_scheme="dark" if dark else "light", locale="en-GB", **options,
            )  # fmt: skip
            contexts.append(context)
        phones.append(Phone(context, Path(path)))
        return phones[-1]

    yield opened
    for context in contexts:
        context.close()
    for one in phones:
        assert [url for url in one.requests if not url.startswith(("file:", "data:", "blob:"))] == []
        assert one.troubles == []


@pytest.fixture
def blank(run):
    """A sheet of ten bars, and its form."""
    run("sheet", "trial.xlsx", "--body", "Drift Buff", "--firing", "C6:6")
    assert run("form", "trial.xlsx", "--out", "form.html")[0] == 0
    return Path("form.html")


@pytest.mark.browser
def test_ten_bars_typed_reloaded_doubted_saved_and_read_together_with_the_sheet(phone, blank, run, tmp_path):
    typing = phone(blank)
    assert typing.bar() == "RU1"
    typing.type(*WET[:4])
    for key in "10":
        typing.page.locator(f'#keys button[data-key="{key}"]').tap()
    typing.page.reload()
    assert (typing.bar(), typing.page.input_value("#number")) == ("RU5", "10")
    typing.type("0", *WET[5:])
    assert typing.said() == ["All bars have their wet length."]
    assert typing.page.get_by_text("On to wet mass").is_visible()
    typing.measure("dry length")
    typing.type(*DRY[:6])
    typing.type("904")
    assert typing.said() == [
        "Look again. The bar RU7 is 904 mm long dry and 100.1 mm wet; clay does not grow in drying."
        " 90.4 mm instead of 904 mm (a slipped decimal point) would fit its neighbours.",
        "Look up both readings and correct the one that is wrong, or put them back in their places.",
    ]
    typing.page.get_by_role("button", name="Type it again").tap()
    typing.type(*DRY[6:])
    typing.measure("fired length")
    typing.type(*FIRED)
    typing.page.close()
    typing.open()
    assert typing.page.locator("#unsaved").text_content() == (
        "30 readings are kept on this phone only. Save the file when you are done."
    )
    saved = typing.save(tmp_path)
    assert saved.name == "trial-readings.csv"
    assert typing.page.locator("#unsaved").text_content() == (
        "All readings typed here are in the file that was saved last."
    )
    assert saved.read_text().splitlines()[:3] == [
        "Readings typed for trial.xlsx",
        "bar,wet length (mm),dry length (mm),fired length (mm)",
        "RU1,100,94.1,88",
    ]
    code, said, _ = run("check", "trial.xlsx", saved.name)
    assert (code, "STOP" in said) == (0, False)
    code, said, _ = run("results", "trial.xlsx", saved.name)
    bars = json.loads(said)["bars"]
    for key, typed in (("wet_length", WET), ("dry_length", DRY), ("fired_length", FIRED)):
        assert [bar["readings"][f"{key}_mm"] for bar in bars] == [float(number) for number in typed]
    assert typing.save(tmp_path).read_bytes() == saved.read_bytes()


@pytest.mark.browser
def test_a_doubt_that_is_answered_stays_and_the_reading_is_taken(phone, blank, tmp_path):
    typing = phone(blank)
    typing.type(*WET)
    typing.measure("dry length")
    typing.type(*DRY[:4], "49.1")
    assert typing.said()[0] == (
        "Look again. 49.1 mm (dry length of the bar RU5) stands far from the 4 bars around it."
        " 94.1 mm instead of 49.1 mm (two digits in each other’s place) would fit its neighbours."
    )
    assert typing.bar() == "RU5"
    typing.page.get_by_role("button", name="It is right: next bar").tap()
    assert (typing.bar(), typing.said()) == ("RU6", [])
    typing.page.get_by_text("All bars", exact=True).tap()
    doubted = typing.page.locator("#bars li", has=typing.page.get_by_text("Look again."))
    assert doubted.locator("button").all_text_contents() == ["RU549.1 mm"]
    assert "\nRU5,100,49.1\n" in typing.save(tmp_path).read_text()


@pytest.mark.browser
@pytest.mark.parametrize(
    ("number", "told"),
    [
        ("12a", "Look again. “12a” (wet length) is not a number."),
        ("1,2,5", "Look again. “1,2,5” (wet length) is not a number."),
        ("-94", "Look again. “-94” (wet length) is negative; a length or mass is always above zero."),
        ("0", "Look again. “0” (wet length) is zero; a length or mass is always above zero."),
    ],
)
def test_what_is_no_reading_is_told_and_not_left_behind(phone, blank, number, told):
    typing = phone(blank)
    typing.page.locator("#number").fill(number)
    typing.page.keyboard.press("Enter")
    assert typing.said()[0] == told
    typing.measure("dry length")
    assert (typing.bar(), typing.page.locator("label[for=number]").text_content()) == ("RU1", "wet length (mm)")
    typing.page.reload()
    assert typing.page.input_value("#number") == number
    typing.page.locator("#number").fill("100,5")
    typing.page.keyboard.press("Enter")
    assert typing.bar() == "RU2"


@pytest.mark.browser
def test_the_same_is_told_at_the_bench_as_check_tells_afterwards(phone, blank, run, tmp_path):
    typing = phone(blank)
    typing.type(*WET)
    typing.measure("fired length")
    typing.type(*FIRED[:9], "60")
    on_the_page = {}
    typing.page.get_by_text("All bars", exact=True).tap()
    for key, numbers in (("wet mass", ["80"] * 10), ("dry mass", ["70"] * 10), ("fired mass", ["64"] * 9 + ["74"])):
        typing.page.reload()
        typing.measure(key)
        typing.type(*numbers)
        on_the_page[key] = typing.said()
    saved = typing.save(tmp_path)
    _, said, _ = run("check", "trial.xlsx", saved.name)
    assert on_the_page["fired mass"] == [
        "Look again. The bar RU10 weighs 74 g fired and 70 g dry; firing only drives off water and gases."
        " 64 g instead of 74 g (one wrong digit) would fit its neighbours.",
        catalogue()["fired-heavier-than-dry"].remedy,
    ]
    assert "The bar RU10 weighs 74 g fired and 70 g dry" in said
    assert "64 g instead of 74 g (one wrong digit) would fit its neighbours." in said


@pytest.mark.browser
def test_soft_limits_are_those_of_the_records(phone, run):
    run("sheet", "one.xlsx", "--body", "Drift Buff", "--firing", "C6", "--bars", "1")
    run("form", "one.xlsx")
    typing = phone("form.html")
    typing.type("100")
    typing.measure("fired length")
    typing.type("70")
    assert typing.said()[0] == (
        "Look again. The total linear shrinkage comes to 30.0 % (wet length 100 mm, fired length 70 mm), outside what"
        " clay usually does (0 to 25 %)."
    )


@pytest.mark.browser
def test_marks_and_earlier_readings_and_a_reading_that_the_sheet_has_already(phone, run, tmp_path):
    Path("kept.csv").write_text(
        "bar,body,firing,mark,wet length (mm),dry length (mm),wet mass (g)\n"
        "A1,Marl,F1,1,100,94.5,\nA1,Marl,F1,2,100.5,,\nA2,Marl,F1,1,99.5,,\nA2,Marl,F1,2,101,,\n"
    )
    assert run("form", "kept.csv")[0] == 0
    typing = phone("form.html")
    assert typing.page.locator("#measured option").all_text_contents() == [
        "wet length (mm) – 4 of 4", "wet mass (g) – 0 of 2", "dry length (mm) – 1 of 4",
    ]  # fmt: skip
    typing.measure("dry length")
    assert (typing.bar(), typing.page.locator("#about").text_content()) == ("A1", "Marl · F1 · mark 2")
    assert typing.page.locator("#earlier").inner_text().split("\n") == ["wet length", "100.5 mm"]
    typing.type("95", "94.0", "95.4")
    typing.page.get_by_role("button", name="Back").tap()
    typing.page.get_by_role("button", name="Back").tap()
    typing.page.get_by_role("button", name="Back").tap()
    assert typing.page.locator("#in-sheet").text_content() == "The sheet has 94.5 mm here."
    typing.type("94.9")
    assert typing.said()[0] == (
        "Look again. The sheet has 94.5 mm here. If the new reading is right, correct the sheet too: two different"
        " readings of one bar cannot both be used."
    )
    typing.page.get_by_role("button", name="It is right: next bar").tap()
    saved = typing.save(tmp_path)
    assert saved.read_text() == (
        "Readings typed for kept.csv\nbar,mark,dry length (mm)\nA1,1,94.9\nA1,2,95\nA2,1,94\nA2,2,95.4\n"
    )
    code, said, _ = run("check", "kept.csv", saved.name)
    assert (code, "94.5" in said, "94.9" in said) == (1, True, True)


@pytest.mark.browser
def test_two_forms_do_not_mix_and_a_form_with_what_was_saved_goes_on(phone, blank, run, tmp_path):
    run("sheet", "other.xlsx", "--body", "Chalk White", "--firing", "C6")
    run("form", "other.xlsx", "--out", "other.html")
    first = phone(blank)
    first.type(*WET)
    other = phone("other.html", context=first.context)
    assert other.page.locator("#unsaved").text_content() == "No readings typed yet."
    other.type("50")
    first.page.reload()
    assert first.page.locator("#unsaved").text_content().startswith("10 readings")
    saved = first.save(tmp_path)
    assert run("form", "trial.xlsx", saved.name, "--out", "next.html")[0] == 0
    following = phone("next.html", context=first.context)
    assert following.page.locator("#measured option").first.text_content() == "wet length (mm) – 10 of 10"


@pytest.mark.browser
def test_names_that_would_be_formulas_or_markup_stay_names(phone, run, tmp_path):
    Path("odd.csv").write_text('bar,body,firing,wet length (mm)\n"=1+1",<b>Marl</b>,F1,\n"a, ""b""",</script>,F1,\n')
    run("form", "odd.csv")
    typing = phone("form.html")
    assert (typing.bar(), typing.page.locator("#about").text_content()) == ("=1+1", "<b>Marl</b> · F1")
    typing.type("100", "101")
    saved = typing.save(tmp_path)
    assert saved.read_text().splitlines()[2:] == ["'=1+1,100", '"a, ""b""",101']
    _, said, _ = run("results", "odd.csv", saved.name)
    assert [bar["bar"] for bar in json.loads(said)["bars"]] == ["=1+1", 'a, "b"']


@pytest.mark.browser
def test_a_browser_that_keeps_nothing_is_told(phone, blank):
    typing = phone(blank)
    typing.page.add_init_script("Object.defineProperty(window, 'localStorage', {get() { throw new Error('no'); }});")
    typing.page.reload()
    assert typing.page.locator("#not-kept").text_content() == (
        "This browser keeps nothing when the page is closed. Save the file often."
    )
    typing.type("100")
    assert typing.bar() == "RU2"


@pytest.mark.browser
def test_readings_are_forgotten_only_when_asked_twice(phone, blank):
    typing = phone(blank)
    typing.type("100", "101")
    typing.page.get_by_text("The same as text, to copy").tap()
    typing.page.get_by_role("button", name="Forget the readings typed here").tap()
    assert typing.page.locator("#unsaved").text_content().startswith("2 readings")
    typing.page.get_by_role("button", name="Forget them: 2 readings, for good").tap()
    assert typing.page.locator("#unsaved").text_content() == "No readings typed yet."


@pytest.mark.browser
def test_it_works_by_keyboard_alone(phone, blank):
    typing = phone(blank)
    typing.page.locator("#number").focus()
    for number in ("100.2", "100.4"):
        typing.page.keyboard.type(number)
        typing.page.keyboard.press("Enter")
    assert typing.bar() == "RU3"
    for _ in range(13):
        typing.page.keyboard.press("Tab")
    assert typing.page.evaluate("document.activeElement.id") == "back"
    typing.page.keyboard.press("Enter")
    assert (typing.bar(), typing.page.input_value("#number")) == ("RU2", "100.4")


@pytest.mark.browser
def test_inches_are_typed_as_the_rule_has_them(phone, run, tmp_path):
    run("sheet", "inch.xlsx", "--firing", "C6", "--length-unit", "in", "--bars", "1", "--body", "Marl")
    run("form", "inch.xlsx")
    typing = phone("form.html")
    typing.type("4 11/16")
    assert typing.save(tmp_path).read_text().endswith("\nM1,4.6875\n")


@pytest.mark.browser
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing_to_mend_and_nothing_sticks_out(phone, blank, dark):
    from axe_playwright_python.sync_playwright import Axe

    typing = phone(blank, width=320, dark=dark)
    typing.type("100", "5000000")
    assert typing.said()
    typing.page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    for asking in (True, False):
        found = Axe().run(
            typing.page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
        )
        assert found.violations_count == 0, (asking, found.generate_report())
        assert typing.page.evaluate("document.documentElement.scrollWidth") <= 320
        if asking:
            typing.page.get_by_role("button", name="Type it again").tap()


def test_bad_input_ends_in_a_sentence_and_changes_nothing(run, tmp_path):
    Path("empty.csv").write_text("bar,wet length (mm)\n")
    Path("mine.html").write_text("my own page")
    run("sheet", "a.xlsx", "--body", "Marl", "--firing", "C6", "--bars", "2")
    run("sheet", "b.xlsx", "--body", "Chalk", "--firing", "C6", "--bars", "2")
    for arguments, sentence in (
        (["empty.csv"], "The table Bars of empty.csv holds headings but no bars."),
        (["a.xlsx", "--out", "mine.html"], "mine.html"),
        (["a.xlsx", "--out", "a.xlsx"], "a.xlsx"),
        (
            ["a.xlsx", "b.xlsx"],
            "The bars are those of several sheets (a.xlsx, b.xlsx); one form is for the bars of one.",
        ),
        (["nowhere.xlsx"], "nowhere.xlsx"),
    ):
        code, _, told = run("form", *arguments)
        assert (code, sentence in told, "Traceback" in told) == (2, True, False), arguments
    assert Path("mine.html").read_text() == "my own page"
    assert not Path("form.html").exists()
    assert run("form", "a.xlsx")[0] == run("form", "a.xlsx")[0] == 0  # its own earlier page is replaced


def test_a_form_from_a_results_file_is_that_of_its_sheet(run):
    run("sheet", "a.xlsx", "--body", "Marl", "--firing", "C6", "--bars", "2")
    Path("kept.csv").write_text("bar,body,firing,wet length (mm),fired length (mm)\nA1,Marl,F1,100,88\n")
    run("results", "kept.csv", "--out", "results.json")
    assert run("form", "results.json", "--out", "form.html")[0] == 0
    assert '"sheet":"kept.csv"' in Path("form.html").read_text()


def test_every_check_is_made_of_the_records_and_no_sentence_speaks_of_cells():
    checks = typed_checks()
    codes = {order["code"] for order in checks["orders"]}
    assert {"dry-longer-than-wet", "fired-heavier-than-dry", "boiled-below-fired"} <= codes <= set(checks["sentences"])
    assert [code for code, told in checks["sentences"].items() if "cell" in told["sentence"] + told["remedy"]] == []


def test_every_word_of_the_page_is_used():
    page = "".join((TEMPLATES / name).read_text() for name in ("form.html", "typing.html", "typing.js"))
    names = [key.removeprefix("typing.") for key in english() if key.startswith("typing.")]
    assert len(names) > 20
    assert [name for name in names if f"words.{name}" not in page and f"typing.{name}'" not in page] == []
