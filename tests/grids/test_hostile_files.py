"""Files that are broken, locked or made to do harm: a clear sentence, in bounded time and memory."""

import os
import subprocess
import sys
import time
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from bodytest.findings import Finding
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.grids.crafted import (
    bar_row,
    crafted_ods,
    crafted_xlsx,
    heading_row,
    ods_bar,
    ods_bars,
    ods_number,
    ods_row,
    ods_text,
    text_cell,
)

GOOD = heading_row() + "".join(bar_row(i) for i in range(2, 12))


def read_one(folder: Path, name: str, content: bytes) -> CheckedSheets:
    (folder / name).write_bytes(content)
    return read_sheets([folder / name])


def the_finding(sheets: CheckedSheets, code: str) -> Finding:
    found = [f for f in sheets.findings if f.code == code]
    assert len(found) == 1, [f.code for f in sheets.findings]
    return found[0]


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Hold the processor's time: the wall's grows with whatever else the machine does."""
    start = time.process_time()
    yield
    assert time.process_time() - start < seconds


def test_the_crafted_workbooks_are_read_when_nothing_is_wrong(tmp_path: Path) -> None:
    sheets = read_one(tmp_path, "good.xlsx", crafted_xlsx(GOOD))
    assert len(sheets.bars) == 10
    assert sheets.findings == ()
    assert len(read_one(tmp_path, "good.ods", crafted_ods(ods_bars(ods_bar("A1"), ods_bar("A2")))).bars) == 2


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    found = the_finding(read_sheets([tmp_path / "none.xlsx"]), "file-not-found")
    assert found.sentence == "There is no file named none.xlsx here."


def test_a_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "spring.xlsx").mkdir()
    found = the_finding(read_sheets([tmp_path / "spring.xlsx"]), "file-is-folder")
    assert found.sentence == "spring.xlsx is a folder, not a file."


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    with at_most(5):
        found = the_finding(read_sheets([tmp_path / "pipe.csv"]), "not-a-spreadsheet")
    assert found.sentence == "pipe.csv is not a spreadsheet: it is no ordinary file."


def test_a_file_without_permission_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "locked.xlsx"
    path.write_bytes(crafted_xlsx(GOOD))

    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "read_bytes", refuse)  # whoever runs the tests may be allowed to read everything
    found = the_finding(read_sheets([path]), "file-not-allowed")
    assert found.sentence == "locked.xlsx may not be read by this user."


def test_a_file_that_the_system_does_not_hand_over_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "far.xlsx"
    path.write_bytes(crafted_xlsx(GOOD))

    def fail(self: Path) -> bytes:
        raise OSError(5, "Input/output error", str(self))

    monkeypatch.setattr(Path, "read_bytes", fail)
    found = the_finding(read_sheets([path]), "file-unreadable")
    assert found.sentence == "far.xlsx could not be read: Input/output error."


@pytest.mark.parametrize("name", ["../x\0y.xlsx", "a" * 5000 + ".csv"])
def test_an_impossible_file_name_is_told(name: str) -> None:
    sheets = read_sheets([name])
    assert [f.code for f in sheets.findings] == ["file-unreadable"]


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.99])
def test_a_half_written_workbook_is_told(tmp_path: Path, share: float) -> None:
    for name, whole in (("part.xlsx", crafted_xlsx(GOOD)), ("part.ods", crafted_ods(ods_bars(ods_bar("A1"))))):
        sheets = read_one(tmp_path, name, whole[: int(len(whole) * share)])
        assert the_finding(sheets, "file-damaged").level == "stop"
        assert sheets.bars.empty


def test_a_workbook_with_a_wrong_byte_in_its_packed_data_is_told(tmp_path: Path) -> None:
    whole = bytearray(crafted_xlsx(GOOD))
    at = whole.find(b"xl/worksheets/sheet1.xml") + 60
    whole[at : at + 8] = b"\xff" * 8
    the_finding(read_one(tmp_path, "bad.xlsx", bytes(whole)), "file-damaged")


def test_a_file_that_unpacks_without_end_is_left_closed(tmp_path: Path) -> None:
    bomb = crafted_xlsx(GOOD, extra={"xl/sharedStrings.xml": b" " * (300 << 20)})
    assert len(bomb) < 1 << 20
    with at_most(15):
        found = the_finding(read_one(tmp_path, "bomb.xlsx", bomb), "file-harmful")
    assert found.sentence == (
        "bomb.xlsx was not opened, because it unpacks to far more than a sheet of readings can hold."
    )


def test_a_table_that_unpacks_without_end_is_left_closed(tmp_path: Path) -> None:
    bomb = crafted_xlsx(GOOD + " " * (200 << 20))
    with at_most(15):
        the_finding(read_one(tmp_path, "bomb.xlsx", bomb), "file-harmful")
    with at_most(15):
        the_finding(read_one(tmp_path, "bomb.ods", crafted_ods(ods_bars(" " * (200 << 20)))), "file-harmful")


ENTITIES = (
    '<!DOCTYPE worksheet [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefgh", "bcdefghi", strict=True))
    + "]>"
)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("entities.xlsx", crafted_xlsx(heading_row() + bar_row(2, text_cell("F2", "&i;")), before=ENTITIES)),
        ("entities.ods", crafted_ods(ods_bars(ods_bar("&i;")), before=ENTITIES)),
        (
            "outside.xlsx",
            crafted_xlsx(GOOD, before='<!DOCTYPE w [<!ENTITY e SYSTEM "file:///etc/passwd">]>'),
        ),
    ],
)
def test_a_file_that_declares_entities_is_left_closed(tmp_path: Path, name: str, content: bytes) -> None:
    with at_most(5):
        found = the_finding(read_one(tmp_path, name, content), "file-harmful")
    assert found.sentence == f"{name} was not opened, because it declares entities, which no spreadsheet program does."


def test_a_cell_far_out_does_not_fill_the_memory(tmp_path: Path) -> None:
    far = GOOD + '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
    with at_most(5):
        sheets = read_one(tmp_path, "far.xlsx", crafted_xlsx(far))
    assert the_finding(sheets, "column-without-heading").cell == "Bars!XFD1048576"
    assert len(sheets.bars) == 10


def test_a_cell_at_the_last_row_is_read_like_any_other(tmp_path: Path) -> None:
    sheets = read_one(tmp_path, "long.xlsx", crafted_xlsx(GOOD + bar_row(1048576)))
    assert sheets.bars["row"].iloc[-1] == 1048576


def test_repeated_cells_and_rows_do_not_fill_the_memory(tmp_path: Path) -> None:
    wide = ods_bars(
        ods_row(ods_number(1, ' table:number-columns-repeated="16384"'), more=' table:number-rows-repeated="1048576"')
    )
    deep = ods_bars(ods_bar("A1"), ods_row(ods_text("x"), more=' table:number-rows-repeated="99999999"'))
    endless = ods_bars(ods_row(ods_text("x", ' table:number-columns-repeated="999999999"')))
    for content, times in ((wide, 16384 * 1048576), (deep, 99999999), (endless, 999999999)):
        with at_most(5):
            found = the_finding(read_one(tmp_path, "wide.ods", crafted_ods(content)), "cell-repeated")
        assert f" is repeated {times} times over rows or columns; it was read once." in found.sentence


def test_blank_repeated_rows_cost_nothing(tmp_path: Path) -> None:
    cells = '<table:table-cell table:number-columns-repeated="16384"/>'
    blank = ods_row(cells, more=' table:number-rows-repeated="1048570"')
    sheets = read_one(tmp_path, "blank.ods", crafted_ods(ods_bars(ods_bar("A1"), blank)))
    assert len(sheets.bars) == 1


def test_a_million_empty_formatted_rows_are_passed_over(tmp_path: Path) -> None:
    empty = "".join(f'<row r="{r}" s="1"><c r="A{r}" s="1"/><c r="B{r}" s="1"/></row>' for r in range(12, 1048577))
    with at_most(20):
        sheets = read_one(tmp_path, "empty.xlsx", crafted_xlsx(GOOD + empty))
    assert len(sheets.bars) == 10
    assert sheets.findings == ()


def test_two_hundred_columns_are_named_and_passed_over(tmp_path: Path) -> None:
    heads = "bar,body,firing,wet length (mm)," + ",".join(f"my own {i}" for i in range(196))
    lines = [heads, *(f"A{i},Marl Red,F1,100.{i}," + "7," * 195 + "7" for i in range(9))]
    with at_most(5):
        sheets = read_one(tmp_path, "wide.csv", "\n".join(lines).encode())
    assert [f.code for f in sheets.findings].count("heading-unknown") == 196
    assert len(sheets.bars) == 9


def test_macros_are_not_run_and_told(tmp_path: Path) -> None:
    sheets = read_one(tmp_path, "macros.xlsm", crafted_xlsx(GOOD, extra={"xl/vbaProject.bin": b"\xd0\xcf\x11\xe0"}))
    assert the_finding(sheets, "macros-not-run").level == "note"
    assert len(sheets.bars) == 10


def test_links_to_other_files_are_not_followed_and_told(tmp_path: Path) -> None:
    link = b'<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"/>'
    sheets = read_one(tmp_path, "links.xlsx", crafted_xlsx(GOOD, extra={"xl/externalLinks/externalLink1.xml": link}))
    assert the_finding(sheets, "links-not-followed").level == "note"
    assert len(sheets.bars) == 10


def test_encrypted_files_are_told(tmp_path: Path) -> None:
    secret = '<manifest:encryption-data xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>'
    the_finding(read_one(tmp_path, "secret.ods", crafted_ods("", manifest=secret)), "file-protected")
    locked = bytearray(crafted_xlsx(GOOD))
    for mark, flag in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = locked.find(mark)
        while at >= 0:
            locked[at + flag] |= 1
            at = locked.find(mark, at + 4)
    the_finding(read_one(tmp_path, "locked.xlsx", bytes(locked)), "file-protected")


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.xlsx", b"PK\x05\x06" + b"\0" * 18),
        ("b.xlsx", b"bar,body\n1,2\n"),
        ("c.csv", bytes(range(256)) * 40),
        ("d.csv", b"\xff\xfe\x00"),
        ("e.csv", b'bar,"wet length (mm)\n1,2'),
        ("f.csv", b"a" * 300_000),
        ("g.ods", b"PK\x03\x04" + b"\0" * 400),
        ("h.txt", b"\0" * 5000),
        ("i.csv", b'"' + b"x,\n" * 100_000),
    ],
)
def test_files_of_rubbish_are_told_and_hold_no_bars(tmp_path: Path, name: str, content: bytes) -> None:
    with at_most(10):
        sheets = read_one(tmp_path, name, content)
    assert any(f.level == "stop" for f in sheets.findings)
    assert sheets.bars.empty


def test_a_bad_file_among_several_does_not_keep_the_others_from_being_read(tmp_path: Path) -> None:
    (tmp_path / "bad.xlsx").write_bytes(b"PK")
    (tmp_path / "good.xlsx").write_bytes(crafted_xlsx(GOOD))
    sheets = read_sheets([tmp_path / "bad.xlsx", tmp_path / "good.xlsx"])
    assert [s.name for s in sheets.sheets] == ["bad.xlsx", "good.xlsx"]
    assert len(sheets.bars) == 10
    assert set(sheets.bars["sheet"]) == {1}
    assert the_finding(sheets, "file-damaged").sheet == "bad.xlsx"


def test_reading_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    content = crafted_xlsx(GOOD)
    read_one(tmp_path, "same.xlsx", content)
    assert (tmp_path / "same.xlsx").read_bytes() == content


MEMORY = """
import resource, sys
from bodytest.reading import read_sheets
limit = 1000 << 20
resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
print([f.code for f in read_sheets([sys.argv[1]]).findings])
"""


def test_hostile_files_stay_within_a_gigabyte_of_memory(tmp_path: Path) -> None:
    far = crafted_xlsx(GOOD + '<row r="1048576"><c r="AZ1048576"><v>1</v></c></row>')
    (tmp_path / "far.xlsx").write_bytes(far)
    (tmp_path / "bomb.xlsx").write_bytes(crafted_xlsx(GOOD, extra={"xl/sharedStrings.xml": b" " * (200 << 20)}))
    for name, codes in (("far.xlsx", "['column-without-heading']"), ("bomb.xlsx", "['file-harmful']")):
        ran = subprocess.run(
            [sys.executable, "-c", MEMORY, str(tmp_path / name)], capture_output=True, text=True, check=True, timeout=60
        )
        assert ran.stdout.strip() == codes


def test_a_workbook_that_names_a_part_outside_itself_reads_nothing_there(tmp_path: Path) -> None:
    content = crafted_xlsx(GOOD).replace(b"worksheets/sheet1.xml", b"../../etc/hostname.xm")
    (tmp_path / "outside.xlsx").write_bytes(content)
    sheets = read_sheets([tmp_path / "outside.xlsx"])
    assert sheets.bars.empty
    assert zipfile.is_zipfile(tmp_path / "outside.xlsx") or sheets.findings


def test_signs_that_steer_a_terminal_are_not_passed_on(tmp_path: Path) -> None:
    text = "bar,body,firing,wet length (mm)\nA1,Marl\x1b[31m Red,F1,\x1b]0;gone\x07100\nA1,Marl\x1b[31m Red,F1,100\n"
    sheets = read_one(tmp_path, "steer.csv", text.encode())
    told = "".join(f"{f.sentence}{f.remedy}{f.value}{f.cell}{f.sheet}" for f in sheets.findings)
    assert "not-a-number" in [f.code for f in sheets.findings]
    assert "\x1b" not in told
    assert "\x07" not in told


@pytest.mark.parametrize("name", ["~$trial.xlsx", ".~lock.trial.ods#"])
def test_the_lock_of_an_open_workbook_is_passed_over(tmp_path: Path, name: str) -> None:
    assert the_finding(read_one(tmp_path, name, b"\x03Jo" + b" " * 162), "file-is-lock").level == "note"


@pytest.mark.parametrize("quote", ['"', "'"])
def test_a_far_cell_is_seen_in_either_kind_of_quotes(tmp_path: Path, quote: str) -> None:
    far = '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'.replace('"', quote)
    found = the_finding(read_one(tmp_path, "far.xlsx", crafted_xlsx(GOOD + far)), "column-without-heading")
    assert found.cell == "Bars!XFD1048576"


def test_millions_of_blank_cells_in_a_small_file_are_not_counted_one_by_one(tmp_path: Path) -> None:
    blanks = GOOD + f'<row r="12">{"<c/>" * 4_000_000}</row>'
    with at_most(10):
        the_finding(read_one(tmp_path, "blanks.xlsx", crafted_xlsx(blanks)), "file-harmful")
