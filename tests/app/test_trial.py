"""The page before a test: plans and kits that are the commands' own, their workbook, words and widths for people."""

import re
from urllib.parse import urlencode
from urllib.request import Request, urlopen

import pytest

from bodytest.app.folder import key_of
from bodytest.app.trial_page import FIRST, FURTHER

SHEET = "demo-complete.xlsx"
RANGE = [("body", "Drift Buff"), ("to-know", "range"), ("cone", "6, 5, 7"), ("limit", "2"), ("expect", "1,5")]
SIZE = [("body", "Drift Buff"), ("to-know", "size"), ("half-width", "1mm"), ("temperature", "1220"), ("marks", "2")]
SHAPE = [("bar", "12x40x150"), ("gauge", "120"), ("shelves", "2"), ("one-batch", "1"), ("control-body", "Marl Red")]
BOTH = [("body", "Drift Buff"), ("to-know", "same"), ("to-know", "match"), ("cone", "6"), ("within", "3mm")]


def as_options(typed):
    """Return the options of the command that say the same."""
    for name, text in typed:
        parts = [one.strip() for one in text.split(",")] if name in ("cone", "temperature") else [text]
        for part in parts:
            yield from [f"--{name}"] if name == "one-batch" else [f"--{name}", part]


@pytest.mark.parametrize("typed", [RANGE, SIZE, [*SIZE, *SHAPE], BOTH], ids=lambda typed: typed[1][1])
def test_a_plan_is_the_one_that_the_command_prints(running, run, typed):
    printed = run("plan", *as_options(typed), "--json")
    assert printed[0] == 0, printed
    assert running.read(f"/trial/plan.json?{urlencode(typed)}").text + "\n" == printed[1]


def test_a_plan_from_an_earlier_test_in_the_folder_is_the_command_s(running, run):
    printed = run("plan", *as_options(SIZE), "--known", running.folder / SHEET, "--json")
    query = urlencode([*SIZE, ("known", key_of(SHEET))])
    assert running.read(f"/trial/plan.json?{query}").text + "\n" == printed[1]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_its_workbook_is_the_one_that_the_command_writes_and_replaces_nothing(running, run, tmp_path, paper):
    out = tmp_path / "trial.xlsx"
    assert run("plan", *as_options(RANGE), "--paper", paper, "--out", out)[0] == 0
    sent = urlencode([*RANGE, ("name", "trial"), ("paper", paper)]).encode()
    for name in ("trial.xlsx", "trial (2).xlsx"):
        answer = running.send("/trial", sent)
        assert (answer.status, answer.headers["location"]) == (303, "/")
        assert (running.folder / name).read_bytes() == out.read_bytes()
    assert f'href="/sheet/{key_of("trial.xlsx")}/kit.pdf?paper=A4"' in running.read("/").text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_kit_is_the_one_that_the_command_draws(running, run, tmp_path, paper):
    request = Request(f"{running.origin}/sheet/{key_of(SHEET)}/kit.pdf?paper={paper}")
    request.add_header("Cookie", running.cookie())
    with urlopen(request, timeout=60) as answer:
        assert answer.headers["content-type"] == "application/pdf"
        drawn = answer.read()
    run("kit", running.folder / SHEET, "--paper", paper, "--out", tmp_path / "kit.pdf")
    assert drawn == (tmp_path / "kit.pdf").read_bytes()


def test_a_sheet_without_bars_has_no_forms(running):
    (running.folder / "none.csv").write_text("bar,wet length (mm)\n", encoding="utf-8")
    assert f"/sheet/{key_of('none.csv')}/kit.pdf" not in running.read("/").text
    answer = running.read(f"/sheet/{key_of('none.csv')}/kit.pdf")
    assert answer.status == 422
    assert "none.csv holds no bars, so there are no forms to print." in answer.text


REFUSED = [
    (
        {"body": ""},
        "“Clay body” was left blank, and the plan needs it. Fill it in and plan again.",
    ),
    (
        {"to-know": ""},
        "“What do you want to know” was left blank, and the plan needs it. Fill it in and plan again.",
    ),
    (
        {"cone": ""},
        "“Cones that can be fired, the ware's first” was left blank, and the plan needs it. Fill it in and plan again.",
    ),
    (
        {"limit": "two"},
        "“two” is no number that fits “Absorption at most, %”. Type a number, with a point or a comma, from"
        " 0.01 to 100.",
    ),
    (
        {"limit": "1,000"},
        "“1,000” is no number that fits “Absorption at most, %”. Type a number, with a point or a comma, from"
        " 0.01 to 100.",
    ),
    (
        {"marks": "1.5"},
        "“1.5” is no number that fits “Pairs of marks on each bar”. Type a whole number from 1 to 20.",
    ),
    (
        {"shelves": "nan"},
        "“nan” is no number that fits “Shelves in one load”. Type a whole number from 1 to 20.",
    ),
    (
        {"cone": "6, 7"},
        "A firing range takes three firings at least, and only cone 6 and cone 7 can be fired. Name three or more with"
        " “Cones that can be fired, the ware's first” or “Or temperatures, °C”, on both sides of where the body should"
        " be tight.",
    ),
    (
        {"shelf": "big"},
        "'big' is not width and depth of a shelf. Give both in mm with an x between them, e.g. “Width and depth of a"
        " shelf, mm”: 400x450.",
    ),
]


@pytest.mark.parametrize(("changed", "told"), REFUSED, ids=lambda one: str(one)[:30])
def test_what_keeps_from_a_plan_is_told_in_the_words_of_the_page(running, changed, told):
    query = urlencode([(name, changed.get(name, text)) for name, text in RANGE] + list(changed.items()))
    answer = running.read(f"/trial?{query}")
    assert answer.status == 200
    said = re.search(r'<p class="warning" role="alert">([^<]*)</p>', answer.text.split("<main")[1])
    assert said[1].replace("&#39;", "'") == told


def test_no_option_of_the_command_line_is_named_on_the_page(running):
    for typed in (RANGE, [*SIZE, *SHAPE], [("body", "x"), ("to-know", "tight"), ("cone", "6"), ("limit", "2")]):
        text = running.read(f"/trial?{urlencode(typed)}").text
        assert "--" not in re.sub(r"<!--.*?-->", "", text)
        assert "bodytest check" not in text
    planned = running.read(f"/trial?{urlencode(RANGE)}").text
    assert "Day 18: check the sheet, make the report\n" in planned
    assert "Places in the kiln were drawn by the number 1." in planned


def test_every_field_is_an_option_of_the_command_with_the_same_usual_value(run):
    import inspect

    from bodytest.cli.plan import plan

    usual = {name.replace("_", "-"): one.default for name, one in inspect.signature(plan).parameters.items()}
    for field in (*FIRST, *FURTHER):
        said = usual[field.name]
        expected = "" if said in (None, "") else f"{said:g}" if isinstance(said, float) else f"{said}"
        assert field.usual == expected, field.name


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 320])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_from_the_question_to_the_kit_in_the_browser_and_read_by_everybody(running, chromium, scheme, width):
    from axe_playwright_python.sync_playwright import Axe

    context = chromium.new_context(color_scheme=scheme, viewport={"width": width, "height": 844})
    page = context.new_page()
    complaints = []
    page.on("console", lambda message: complaints.append(message.text))
    page.goto(running.address)
    _accessible(Axe(), page, width)
    page.get_by_role("link", name="Plan a test").click()
    _accessible(Axe(), page, width)
    page.get_by_label("how big to make it wet").check()
    page.get_by_label("Clay body").fill("Drift Buff")
    page.get_by_label("Cones that can be fired").fill("6")
    page.get_by_role("button", name="Plan it").click()
    page.get_by_role("heading", name="The plan").wait_for()
    assert "Drift Buff: " in page.get_by_role("main").inner_text()
    assert page.get_by_label("Clay body").input_value() == "Drift Buff"
    page.get_by_text("More about kiln, bars and tolerance").click()
    _accessible(Axe(), page, width)
    page.get_by_label("Name of the workbook").fill("heron")
    page.get_by_role("button", name="Write the workbook").click()
    page.get_by_role("link", name="heron.xlsx", exact=True).wait_for()
    assert page.get_by_role("link", name="heron.xlsx", exact=True).is_visible()
    row = page.get_by_role("listitem").filter(has_text="heron.xlsx")
    assert row.get_by_role("link", name="Letter").get_attribute("href").endswith("/kit.pdf?paper=Letter")
    assert (running.folder / "heron.xlsx").exists()
    _accessible(Axe(), page, width)
    assert complaints == []
    context.close()


def _accessible(axe, page, width):
    page.wait_for_load_state()  # the stylesheet too, on which contrast depends
    found = axe.run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
