"""Names made to harm, on pages and in workbooks: everything is seen, nothing sticks out, nothing is lost."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from openpyxl import load_workbook

from bodytest.cli.app import main
from tests.cli.nasty_names import write_csv, write_workbook
from tests.cli.test_untrusted_text import NASTY, SHOWN, XML_NASTY, harmful

if TYPE_CHECKING:
    from playwright.sync_api import Page

LONG = "Clay" * 2500


def run(monkeypatch: pytest.MonkeyPatch, *arguments: object) -> int:
    monkeypatch.setattr(sys, "argv", ["bodytest", *map(str, arguments)])
    try:
        main()
    except SystemExit as ended:
        return int(ended.code or 0)
    return 0


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_pages_show_what_names_hide(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    nasty, write = (NASTY, write_csv) if kind == "csv" else (XML_NASTY, write_workbook)
    sheet = write(tmp_path / f"s{nasty}.{kind}", (nasty,) * 6)
    assert run(monkeypatch, "report", sheet, "--out", tmp_path / "report") in {0, 1}
    pages = sorted((tmp_path / "report").glob("*.html"))
    assert len(pages) == 6
    for page in pages:
        text = page.read_text(encoding="utf-8")
        assert harmful(text) == []
        assert SHOWN[SHOWN.index(r"\x9b") :] in text


def test_workbooks_take_names_that_xml_does_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = write_csv(tmp_path / "s.csv", (NASTY,) * 6)
    assert run(monkeypatch, "results", sheet, "--out", tmp_path / "planner.xlsx") in {0, 1}
    assert run(monkeypatch, "check", sheet, "--marked", tmp_path / "marked.xlsx") in {0, 1}
    assert run(monkeypatch, "sheet", tmp_path / "blank.xlsx", "--body", NASTY, "--workshop", NASTY) in {0, 2}
    for name in ("planner.xlsx", "marked.xlsx"):
        load_workbook(tmp_path / name)


@pytest.mark.parametrize("ending", ["pdf", "svg"])
def test_a_ruler_takes_any_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str) -> None:
    sheet = write_csv(tmp_path / "s.csv", (NASTY,) * 6)
    names = ("--body", f"Body0 {NASTY}", "--firing", f"F0{NASTY}")
    assert run(monkeypatch, "ruler", "--from", sheet, *names, "--out", tmp_path / f"r.{ending}") == 0
    if ending == "svg":
        text = (tmp_path / "r.svg").read_text(encoding="utf-8")
        assert harmful(text) == []
        assert f"Body0 {SHOWN}" in text


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_long_names_do_not_stick_out_and_can_be_read_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, open_page: "Callable[..., Page]", width: int
) -> None:
    sheet = write_csv(tmp_path / "s.csv", (LONG, *(letter * 10_000 for letter in "bfdp"), "n" * 10_000))
    assert run(monkeypatch, "report", sheet, "--out", tmp_path / "report") in {0, 1}
    for path in sorted((tmp_path / "report").glob("*.html")):
        page = open_page(path, width=width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.locator("main").evaluate("main => main.getBoundingClientRect().height") < 60_000
        assert LONG in page.content()
        wide = page.evaluate("[...document.querySelectorAll('td, th')].filter(c => c.offsetWidth > 1500).length")
        assert wide == 0
