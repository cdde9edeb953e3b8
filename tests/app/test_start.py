"""The page Start: the folder as it is, a sheet copied in, a blank one made."""

import os
import time

import pytest
from starlette.datastructures import FormData, QueryParams

from bodytest.app.folder import Folder, key_of
from bodytest.app.page import Asked
from bodytest.app.remembered import Remembered
from bodytest.app.server import AFTER_LAST_PAGE_S, AFTER_SILENCE_S, Presence
from bodytest.app.start_page import start
from bodytest.reading import read_sheets
from bodytest.sheet.blank import BlankSheetOptions, FiringPlan, planned_content, sheet_bytes
from bodytest.sheet.chosen_columns import KindsOfTest


def test_the_folder_is_shown_with_the_state_of_each_sheet(opened):
    text = opened("demo-complete.xlsx", "demo-half-filled.xlsx").read("/").text
    assert "demo-complete.xlsx" in text
    assert "<dd>150 bars</dd>" in text
    assert "<dd>wet, dry, fired, boiled, suspended</dd>" in text
    assert "<dd>wet, dry, fired</dd>" in text


def test_an_empty_folder_says_what_to_do(opened):
    assert (
        "There is no sheet in this folder yet. Copy one in, or make a blank one to fill in." in opened().read("/").text
    )


def test_a_sheet_that_is_open_in_a_spreadsheet_program_is_told(opened):
    running = opened("demo-complete.xlsx")
    told = "Open in a spreadsheet program: save it there first, then reload this page."
    for lock in ("~$demo-complete.xlsx", "~$mo-complete.xlsx", ".~lock.demo-complete.xlsx#"):
        assert told not in running.read("/").text
        (running.folder / lock).write_text("x")
        assert told in running.read("/").text
        (running.folder / lock).unlink()


def test_a_half_saved_sheet_gets_a_sentence_and_is_read_again_when_it_is_whole(opened):
    running = opened("demo-complete.xlsx")
    sheet = running.folder / "demo-complete.xlsx"
    whole = sheet.read_bytes()
    sheet.write_bytes(whole[:2000])
    assert "damaged" in running.read("/").text
    sheet.write_bytes(whole)
    assert "<dd>150 bars</dd>" in running.read("/").text


def test_a_sheet_of_200_mb_is_listed_with_a_sentence_and_not_read(opened):
    running = opened()
    with (running.folder / "large.csv").open("wb") as file:
        file.truncate(200 << 20)
    told = "large.csv is larger than 64 MB, so the pages do not read it."
    assert told in running.read("/").text
    assert told in running.read(f"/sheet/{key_of('large.csv')}/check").text


def test_a_removed_folder_gets_a_sentence(opened):
    running = opened("demo-complete.xlsx")
    running.folder.rename(running.folder.with_name("elsewhere"))
    assert f"The folder {running.folder} cannot be reached." in running.read("/").text


def test_a_folder_that_cannot_be_written_is_shown_and_says_so(monkeypatch, tmp_path):
    monkeypatch.setattr(os, "access", lambda *_: False)
    (tmp_path / "trial.csv").write_text("bar,body,wet length (mm)\n1,Marl Red,100\n")
    asked = Asked(Folder(tmp_path), Remembered(), {}, QueryParams(), FormData())
    text = bytes(start(asked).body).decode()
    assert "This folder cannot be written to, so nothing can be saved in it." in text
    assert "trial.csv" in text
    assert "<form" not in text


def test_a_blank_sheet_is_the_one_that_the_command_makes(opened):
    running = opened()
    form = b"name=new&bodies=Drift+Buff%2C+Marl+Red&firings=F1%3A6&bars=3&kind=lengths&kind=suspended"
    assert running.send("/blank", form).status == 303
    kinds = KindsOfTest(lengths=True, masses=True, suspended=True)
    options = BlankSheetOptions(("Drift Buff", "Marl Red"), firings=(FiringPlan("F1", "6"),), bars=3, kinds=kinds)
    assert (running.folder / "new.xlsx").read_bytes() == sheet_bytes(planned_content(options))
    assert len(read_sheets([running.folder / "new.xlsx"]).bars) == 6


def test_a_cone_that_is_none_is_told_and_no_sheet_made(opened):
    running = opened()
    assert "is no cone" in running.send("/blank", b"name=new&firings=F1%3A99&bars=3&kind=lengths").text
    assert list(running.folder.iterdir()) == []


def test_a_number_of_bars_that_is_none_is_told(opened):
    assert "many is no number of bars." in opened().send("/blank", b"name=new&bars=many").text


@pytest.mark.core
def test_sending_no_file_is_told(opened):
    assert "No file was chosen." in opened().upload("", b"").text


def test_a_port_that_is_taken_gets_a_sentence(opened, run):
    taken = opened().port
    code, _, err = run("open", "--port", taken, "--no-browser")
    assert code == 2
    assert f"Port {taken} cannot be listened to: Address already in use." in " ".join(err.split())


def test_a_folder_that_is_not_there_gets_a_sentence(run):
    code, _, err = run("open", "nowhere", "--no-browser")
    assert code == 2
    assert "There is no folder named nowhere here." in err


def test_the_program_ends_a_while_after_its_last_page_was_closed_and_never_before():
    there = Presence()
    start = there.last_heard
    assert not there.is_over(start + AFTER_SILENCE_S - 60)  # no JavaScript: nothing is told
    assert there.is_over(start + AFTER_SILENCE_S + 60)
    there.heard("one")
    there.heard("two")
    there.heard("one", closed=True)
    assert not there.is_over(time.monotonic() + AFTER_SILENCE_S - 60)
    there.heard("two", closed=True)
    assert not there.is_over(time.monotonic() + AFTER_LAST_PAGE_S - 5)
    assert there.is_over(time.monotonic() + AFTER_LAST_PAGE_S + 5)


def test_pages_tell_when_they_are_closed(opened):
    running = opened()
    assert running.send("/presence?page=a", b"").status == 204
    assert running.send("/presence?page=a&closed=1", b"").status == 204
