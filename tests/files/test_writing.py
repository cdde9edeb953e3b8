import os
import stat

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodytest.errors import UnwritableFile
from bodytest.files.writing import safe_file_name, sha256_of, write_whole

OURS = '{"format": "bodytest results", "version": 1, "software": "bodytest 1.0.0"}'


def test_a_file_is_written_with_its_folder_and_the_usual_permissions(tmp_path):
    target = tmp_path / "new" / "page.html"
    write_whole(target, "ä")
    assert target.read_bytes() == "ä".encode()
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(target.stat().st_mode) == 0o666 & ~mask


def test_nothing_is_left_behind_beside_the_file(tmp_path):
    write_whole(tmp_path / "a.json", f"{OURS}one")
    write_whole(tmp_path / "a.json", f"{OURS}two")
    assert [p.name for p in tmp_path.iterdir()] == ["a.json"]
    assert (tmp_path / "a.json").read_text() == f"{OURS}two"


def test_an_existing_file_is_kept_when_overwriting_is_not_allowed(tmp_path):
    target = tmp_path / "sheet.xlsx"
    target.write_text("weeks of work")
    with pytest.raises(UnwritableFile) as caught:
        write_whole(target, b"blank", overwrite=False)
    assert target.read_text() == "weeks of work"
    assert caught.value.finding.sentence == f"{target} exists already and was left as it is."
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.xlsx"]


def test_a_folder_in_the_way_is_told_in_a_sentence(tmp_path):
    (tmp_path / "report").mkdir()
    with pytest.raises(UnwritableFile) as caught:
        write_whole(tmp_path / "report", "text")
    assert caught.value.finding.sentence == f"{tmp_path / 'report'} could not be written: Is a directory."


@given(st.text(max_size=200))
def test_any_body_name_gives_a_file_name_without_folders(name):
    made = safe_file_name(name)
    assert made
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert len(made) <= 60


def test_two_bodies_never_share_a_file_name():
    assert safe_file_name("A/B", {"a-b", "a-b-2"}) == "a-b-3"


def test_hash_of_abc_is_the_published_one():
    # FIPS 180-2, appendix B.1
    assert sha256_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_where_the_file_system_has_no_links_a_new_file_is_written_and_an_old_one_kept(tmp_path, monkeypatch):
    def no_links(*_):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    write_whole(tmp_path / "new.txt", "new", overwrite=False)
    with pytest.raises(UnwritableFile) as caught:
        write_whole(tmp_path / "new.txt", "newer", overwrite=False)
    assert caught.value.finding.code == "file-exists"
    assert {p.name: p.read_text() for p in tmp_path.iterdir()} == {"new.txt": "new"}


def test_a_body_named_like_a_device_gets_a_name_that_every_system_takes():
    assert safe_file_name("CON") == "body-con"
    assert safe_file_name("Console") == "console"
    assert safe_file_name("Weißer Ton") == "weisser-ton"
