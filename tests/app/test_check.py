"""The page Check: the sheet as it is, doubtful cells in place, copies with mends, and home-grown sheets."""

import random
import re
from urllib.parse import quote, urlencode

import openpyxl

from bodytest.app.folder import key_of
from bodytest.cleaning import clean, clean_workbook
from bodytest.intake.layouts.said import said_by
from bodytest.marked.copy import write_marked_copy
from bodytest.reading import read_sheets
from tests.intake.layouts.kept_sheets import in_doubt, one_table


def page(name, query=""):
    return f"/sheet/{key_of(name)}/check{query}"


def test_each_finding_leads_to_its_cell_and_back(opened):
    text = opened("demo-mistakes.xlsx").read(page("demo-mistakes.xlsx")).text
    findings = read_sheets(["sheets/demo-mistakes.xlsx"]).findings
    ids = set(re.findall(r' id="([^"]+)"', text))
    links = re.findall(r'href="#([^"]+)"', text)
    assert set(links) <= ids
    assert {f"found-{number}" for number in range(1, len(findings) + 1)} <= ids
    with_cell = [found for found in findings if found.cell]
    assert len([link for link in links if link.startswith("cell-")]) == len(with_cell)
    assert "92.8 mm instead of 9.28 mm (a slipped decimal point) would fit its neighbours." in text
    assert "#DIV/0!" in text
    assert "=100+0.3" in text
    assert not re.search(r"Uncalculated|CellError", text)


def test_a_mend_that_is_offered_is_saved_in_a_copy_and_the_original_stays(opened):
    running = opened("demo-mistakes.xlsx")
    sheet = running.folder / "demo-mistakes.xlsx"
    before = sheet.read_bytes()
    text = running.read(page(sheet.name)).text
    assert 'value="Bars!L5=92.8"' in text
    assert 'value="Bars!K23=62.47\nBars!I23=77.6"' in text  # two cells in each other's place
    form = urlencode({"offer": "Bars!K23=62.47\nBars!I23=77.6", "mend Bars!L5": "92,8", "mend Bars!M8": ""})
    answer = running.send(f"/sheet/{key_of(sheet.name)}/mend", form.encode())
    assert answer.headers["location"] == page("demo-mistakes-mended.xlsx", "?saved=mended")
    table = openpyxl.load_workbook(running.folder / "demo-mistakes-mended.xlsx")["Bars"]
    assert [table[cell].value for cell in ("K23", "I23", "L5", "M8")] == [62.47, 77.6, 92.8, -57.2]
    assert sheet.read_bytes() == before
    assert (
        "Saved as a copy with your mends; the original is as it was." in running.read(answer.headers["location"]).text
    )


def test_a_second_copy_replaces_nothing(opened):
    running = opened("demo-mistakes.xlsx")
    for _ in range(2):
        assert running.send(f"/sheet/{key_of('demo-mistakes.xlsx')}/mend", b"mend+Bars%21L5=92.8").status == 303
    names = {path.name for path in running.folder.iterdir()}
    assert names == {"demo-mistakes.xlsx", "demo-mistakes-mended.xlsx", "demo-mistakes-mended (2).xlsx"}


def test_what_cannot_be_mended_is_told_and_nothing_saved(opened):
    running = opened("demo-mistakes.xlsx")
    address = f"/sheet/{key_of('demo-mistakes.xlsx')}/mend"
    for form, told in (
        (b"", "No reading was chosen or typed"),
        (b"mend+Bars=1", "There is no cell Bars"),
        (b"mend+..%2Fx%21A1=1", "There is no cell ../x"),
        (b"mend+Bars%21H18=1", "Bars!H18 holds a formula"),
    ):
        answer = running.send(address, form)
        assert answer.status == 422
        assert told in answer.text
    assert [path.name for path in running.folder.iterdir()] == ["demo-mistakes.xlsx"]


def test_the_marked_copy_is_the_one_that_the_command_writes(opened, tmp_path):
    running = opened("demo-mistakes.xlsx")
    assert running.send(f"/sheet/{key_of('demo-mistakes.xlsx')}/mark", b"").status == 303
    sheet = running.folder / "demo-mistakes.xlsx"
    write_marked_copy(sheet, read_sheets([sheet]).findings, tmp_path / "by-command.xlsx")
    assert (running.folder / "demo-mistakes-marked.xlsx").read_bytes() == (tmp_path / "by-command.xlsx").read_bytes()


def test_a_sheet_of_ones_own_is_asked_about_and_laid_out_as_the_command_does(opened):
    running = opened()
    kept = in_doubt(random.Random(3))
    kept.save(running.folder / "mine.xlsx")
    asked = kept.asks
    text = running.read(page("mine.xlsx")).text
    answer = f"{asked}=wet length (mm)"
    assert f'value="{asked}=wet length"' in text
    text = running.read(page("mine.xlsx", f"?as={quote(answer)}&unit=")).text
    assert "not answered yet" not in text
    assert "What each column was taken for" in text
    sent = running.send(f"/sheet/{key_of('mine.xlsx')}/clean", urlencode({"as": answer}).encode())
    assert sent.headers["location"] == page("mine-clean.xlsx", "?saved=clean")
    by_command = clean_workbook(clean(running.folder / "mine.xlsx", said_by([answer], [])))
    assert (running.folder / "mine-clean.xlsx").read_bytes() == by_command


def test_what_a_clear_sheet_of_ones_own_was_taken_for_is_told(opened):
    running = opened()
    one_table(random.Random(1)).save(running.folder / "mine.xlsx")
    text = running.read(page("mine.xlsx")).text
    assert "How this sheet was understood" in text
    assert "Save it as a clean workbook" in text


def test_a_cell_of_a_sheet_is_shown_as_text(opened):
    running = opened()
    (running.folder / "x.csv").write_text('bar,body,wet length (mm)\n1,"<script>alert(1)</script>",100\n')
    text = running.read(page("x.csv")).text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    assert "<script>alert" not in text


def test_a_large_sheet_is_cut_but_its_doubts_are_shown(opened):
    running = opened()
    rows = [f"{n},Marl Red,F1,{100 + n % 7 / 10},{94 + n % 5 / 10}" for n in range(3000)]
    rows[2500] = "2500,Marl Red,F1,100.1,940.2"
    head = "bar,body,firing,wet length (mm),dry length (mm)"
    (running.folder / "large.csv").write_text("\n".join([head, *rows]))
    text = running.read(page("large.csv")).text
    assert "is larger than what is shown; all of it was read." in text
    assert re.search(r'id="cell-1-E2502" class="stop">940.2', text)
    assert len(text) < 400_000


def test_a_sheet_that_was_renamed_gets_a_sentence(opened):
    running = opened("demo-mistakes.xlsx")
    (running.folder / "demo-mistakes.xlsx").rename(running.folder / "other.xlsx")
    answer = running.read(page("demo-mistakes.xlsx"))
    assert answer.status == 404
    assert "This sheet is no longer in the folder: it was renamed, moved or removed." in answer.text


def test_a_sheet_that_was_saved_anew_is_checked_anew(opened):
    running = opened("demo-mistakes.xlsx")
    (running.folder / "x.csv").write_text("bar,body,wet length (mm)\n1,Marl Red,100\n")
    assert "1 bar," in running.read(page("x.csv")).text
    (running.folder / "x.csv").write_text("bar,body,wet length (mm)\n1,Marl Red,100\n2,Marl Red,100\n")
    assert "2 bars," in running.read(page("x.csv")).text
