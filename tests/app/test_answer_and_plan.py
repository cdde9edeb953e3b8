"""The pages Answer and Plan: the report behind a way back, and plans that are the commands' own."""

import re
from base64 import b64encode
from datetime import date
from hashlib import sha256
from urllib.parse import urlencode
from urllib.request import Request, urlopen

import pytest

from bodytest.app.answer_page import _policy
from bodytest.app.folder import key_of
from bodytest.app.page import told as page_that_tells
from bodytest.findings import finding

SHEET = "demo-complete.xlsx"
AT = f"/sheet/{key_of(SHEET)}"
OF_DRIFT_BUFF = {"body": "Drift Buff", "size": "200mm", "within": "1mm", "set": "92mm", "clearance": "1.5mm"}


def test_the_answer_page_leads_to_every_page_of_the_report(running):
    text = running.read(f"{AT}/answer").text
    assert "Make it 1.139 times as large as it is to be when fired." in text
    assert "Planned with cone 6, marked as the final firing of Drift Buff. It speaks of any batch in any load." in text
    assert "the only firing of Chalk White so far. It speaks of this batch only, in this load only." in text
    assert "to be looked at" not in text
    for address in set(re.findall(rf'href="({AT}/answer/[^"]+)"', text)):
        assert running.read(address).status == 200, address


def test_the_answer_page_leads_to_what_a_sheet_leaves_open(running):
    head = "bar,body,cone,green length (mm),fired length (mm)"
    (running.folder / "open.csv").write_text(f"{head}\n1,Grey,6,100.0,88.0\n2,Grey,6,100.1,88.1\n", encoding="utf-8")
    at = f"/sheet/{key_of('open.csv')}"
    text = running.read(f"{at}/answer").text
    assert f'1 thing is to be looked at or answered first. <a href="{at}/check">See what</a>' in text
    assert "No bar of Grey has a length from before the firing and one from after it" in text


def test_a_page_of_the_report_is_the_report_s_own_with_a_way_back(running, run, tmp_path):
    run("report", running.folder / SHEET, "--out", tmp_path / "report")
    own = (tmp_path / "report" / "drift-buff.html").read_text(encoding="utf-8")
    shown = running.read(f"{AT}/answer/drift-buff.html")
    assert f'<a href="{AT}/answer">Back to {SHEET}</a>' in shown.text
    without_top = re.sub(
        r'<nav class="no-print" aria-label="Back"><a href="/sheet.*?</script>\n?',
        "",
        shown.text,
        count=1,
        flags=re.DOTALL,
    )
    assert without_top.split("</main>")[0] == own.split("</main>")[0]
    policy = shown.headers["content-security-policy"]
    assert "script-src 'self' 'sha256-" in policy
    assert "'unsafe-inline'" not in policy.split("script-src")[1].split(";")[0]


@pytest.mark.parametrize("name", ["index.html", "side-by-side.html", "drift-buff.html", "drift-buff-bench.html"])
def test_each_script_of_a_page_is_allowed_and_no_other(running, name):
    shown = running.read(f"{AT}/answer/{name}")
    scripts = re.findall(r"<script>(.*?)</script>", shown.text, re.DOTALL)
    hashes = {f"'sha256-{b64encode(sha256(one.encode()).digest()).decode()}'" for one in scripts}
    assert hashes
    assert hashes == set(re.findall(r"'sha256-[^']+'", shown.headers["content-security-policy"]))


def test_a_script_that_came_in_with_a_sheet_is_not_allowed():
    assert "sha256" not in _policy("<body><script>alert(1)</script>")


def test_results_are_those_that_the_command_prints(running, run):
    assert running.read(f"{AT}/answer/results.json").text == run("results", running.folder / SHEET)[1]
    csv = run("results", running.folder / SHEET, "--format", "csv")[1]
    assert running.read(f"{AT}/answer/results.csv").text == csv


def test_the_answer_is_made_again_when_the_sheet_was_saved(running, run):
    copy = running.folder / "later.csv"
    copy.write_text("bar,body,batch,firing,cone,wet length (mm),fired length (mm)\na,Marl,1,F,4,100.0,90.0\n"
                    "b,Marl,1,F,4,100.0,90.1\nc,Marl,1,F,4,100.0,89.9\n", encoding="utf-8")  # fmt: skip
    at = f"/sheet/{key_of(copy.name)}/answer"
    assert "Make it 1.111 times" in running.read(at).text
    copy.write_text(copy.read_text(encoding="utf-8").replace("F,4,100.0", "F,4,101.0"), encoding="utf-8")
    assert "Make it 1.122 times" in running.read(at).text


def test_bars_measured_after_today_are_told_on_the_pages(running):
    sheet = "bar,body,batch,firing,cone,fired date,wet length (mm),fired length (mm)\n"
    sheet += "".join(f"B{n},Invented Grey,1,K1,6,2099-01-31,100.0,88.{n}\n" for n in range(1, 4))
    (running.folder / "late.csv").write_text(sheet, encoding="utf-8")
    told = f"The report is dated {date.today()}, but bars were measured until 2099-01-31."
    assert told in running.read(f"/sheet/{key_of('late.csv')}/answer/index.html").text


def test_a_sheet_without_bars_says_where_to_look(running):
    (running.folder / "none.csv").write_text("bar,wet length (mm)\n", encoding="utf-8")
    at = f"/sheet/{key_of('none.csv')}"
    for page in ("answer", "plan"):
        answer = running.read(f"{at}/{page}")
        assert answer.status == 422
        assert "The table Bars of none.csv holds headings but no bars." in answer.text


def test_plans_are_those_that_the_commands_print(running, run):
    query = urlencode(OF_DRIFT_BUFF)
    sheet = running.folder / SHEET
    sizes = run("size", "200mm", "--from", sheet, "--body", "Drift Buff", "--within", "1mm", "--json")[1]
    assert running.read(f"{AT}/plan/sizes.json?{query}").text + "\n" == sizes
    match = run("match", "92mm", "--from", sheet, "--body", "Drift Buff", "--clearance", "1.5mm", "--json")[1]
    assert running.read(f"{AT}/plan/match.json?{query}").text + "\n" == match
    compared = run("compare", sheet, "--by", "batch", "--json")[1]
    assert running.read(f"{AT}/plan/deliveries.json").text + "\n" == compared


def test_what_is_told_on_a_page_of_its_own_names_no_command_and_no_option(running):
    told = running.read(f"{AT}/plan/ruler.pdf?body=Drift+Buff&direction=up")
    assert (told.status, "Choose one of these with “Direction”, or" in told.text) == (422, True)
    fault = finding("unexpected-fault", value="ValueError", variable="BODYTEST_TRACE")
    page = bytes(page_that_tells(fault).body).decode()
    assert "please report this line with what you did and, if you may, the sheet.</p>" in page


def test_a_new_delivery_is_compared_with_those_before(running):
    text = running.read(f"{AT}/plan?body=Drift+Buff").text
    assert (
        "Total linear shrinkage, F4, along: Different: D1 and D3; D2 and D3. Same within tolerance: D1 and D2." in text
    )
    assert "Does each delivery" not in running.read(f"{AT}/plan?body=Chalk+White").text


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"size": "abc"}, "“abc” cannot be read as a size."),
        ({"size": "200mm", "within": "3"}, "“3” has no unit."),
        ({"set": "92mm", "lost": "many"}, "“many”"),
        ({"mass": "9 apples"}, "“9 apples”"),
        ({"set": "92mm", "lost": "10"}, "how far two of them may differ, for example “They may differ by”: 1mm."),
        ({"size": "200mm", "batch": "D9"}, "Choose one of these with “Batch”, or leave “Batch” out to plan"),
        ({"size": "500g"}, "Give it with “Finished weight”, or give"),
    ],
    ids=str,
)
def test_what_cannot_be_meant_is_told_beside_its_form(running, typed, told):
    answer = running.read(f"{AT}/plan?{urlencode({'body': 'Drift Buff'} | typed)}")
    assert answer.status == 200
    assert told in re.search(r'role="alert">([^<]*)<', answer.text.split("<main")[1]).group(1)


def test_no_option_of_the_command_line_is_named_on_the_page(running):
    text = running.read(f"{AT}/plan?{urlencode(OF_DRIFT_BUFF | {'mass': '850g'})}").text
    assert "choose “across” under Direction" in text
    assert "--" not in re.sub(r"<!--.*?-->", "", text)


def test_the_ruler_is_the_one_that_the_command_draws(running, run, tmp_path):
    request = Request(f"{running.origin}{AT}/plan/ruler.pdf?body=Drift+Buff&paper=Letter")
    request.add_header("Cookie", running.cookie())
    with urlopen(request, timeout=30) as answer:
        drawn = answer.read()
    run("ruler", running.folder / SHEET, "--body", "Drift Buff", "--paper", "Letter", "--out", tmp_path / "ruler.pdf")
    assert drawn == (tmp_path / "ruler.pdf").read_bytes()


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_from_the_command_to_a_wet_size_in_a_few_clicks_and_read_by_everybody(running, chromium, scheme):
    from axe_playwright_python.sync_playwright import Axe

    context = chromium.new_context(color_scheme=scheme, viewport={"width": 390, "height": 844})
    page = context.new_page()
    complaints = []
    page.on("console", lambda message: complaints.append(message.text))
    page.goto(running.address)
    clicks = [page.get_by_role("link", name=SHEET), page.get_by_role("link", name="Answer")]
    for one in clicks:
        one.click()
    _accessible(Axe(), page)
    page.get_by_role("link", name="Drift Buff").first.click()
    assert page.get_by_role("heading", level=1).is_visible()
    page.get_by_role("link", name=f"Back to {SHEET}").click()
    page.get_by_role("link", name="Plan").click()
    page.get_by_label("Clay body").select_option("Drift Buff")
    page.get_by_label("Finished size", exact=True).fill("200mm")
    page.get_by_label("Finished size of each").fill("92mm")
    page.get_by_label("Or the lid is smaller by").fill("1.5mm")
    page.get_by_role("button", name="Work it out").click()
    assert "227.8 mm" in page.get_by_role("main").inner_text()
    assert "Chance that one made 1.5 mm smaller (finished) fits into the other: over 99&nbsp;%." in page.content()
    _accessible(Axe(), page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert complaints == []
    context.close()


def _accessible(axe, page):
    found = axe.run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []
