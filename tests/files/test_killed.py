"""Writing killed in the middle leaves the old file whole."""

import errno
import os
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from bodytest.errors import UnwritableFile
from bodytest.files.lock import is_free
from bodytest.files.writing import write_whole

MARK = '{"format": "bodytest results", "version": 1, "software": "bodytest 1.0.0"}\n'
"""Makes a file one of ours."""
WRITER = """
import sys
from pathlib import Path
from bodytest.files.writing import write_whole
path = Path(sys.argv[1])
print("ready", flush=True)
for number in range(1, 1_000_000):
    write_whole(path, sys.argv[2] + f"{number:08d}\\n" * 2_000_000)
"""
"""Writes a file of 18 MB over and over, each time with another number on all its lines."""


def killed_while_writing(path: Path, after: float) -> None:
    with subprocess.Popen([sys.executable, "-c", WRITER, str(path), MARK], stdout=subprocess.PIPE) as writer:
        assert writer.stdout is not None
        assert select.select([writer.stdout], [], [], 30)[0]
        time.sleep(after)
        os.kill(writer.pid, signal.SIGKILL)


@pytest.mark.parametrize("after", [0.0, 0.013, 0.05, 0.11, 0.17, 0.29])
def test_a_file_whose_writer_is_killed_holds_the_old_or_the_new_content_whole(tmp_path: Path, after: float) -> None:
    path = tmp_path / "results.json"
    path.write_text(MARK + "00000000\n" * 2_000_000)
    killed_while_writing(path, after)
    content = path.read_text().removeprefix(MARK)
    assert len(content) == 9 * 2_000_000
    assert content == content[:9] * 2_000_000


def test_what_a_killed_writer_leaves_beside_the_file_is_hidden_and_named_as_a_part(tmp_path: Path) -> None:
    path = tmp_path / "results.json"
    path.write_text(f"{MARK}old")
    killed_while_writing(path, 0.06)
    others = [p.name for p in tmp_path.iterdir() if p != path]
    assert all(name.startswith(".results.json.") and name.endswith(".part") for name in others)


def test_the_next_run_removes_what_a_killed_writer_left_but_not_what_another_is_writing(tmp_path: Path) -> None:
    path, left, busy, foreign = (
        tmp_path / n for n in ("a.json", ".a.json.x1.part", ".a.json.x2.part", ".b.json.x.part")
    )
    for part in (left, busy, foreign):
        part.write_bytes(b"half")
    with busy.open("rb") as other:
        assert is_free(other.fileno())
        write_whole(path, MARK)
    assert sorted(p.name for p in tmp_path.iterdir()) == [".a.json.x2.part", ".b.json.x.part", "a.json"]


def test_a_full_disk_leaves_the_old_file_whole_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "results.json"
    path.write_text(f"{MARK}old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(UnwritableFile) as caught:
        write_whole(path, "new" * 1000)
    assert caught.value.finding.sentence == f"{path} could not be written: No space left on device."
    assert path.read_text() == f"{MARK}old"
    assert list(tmp_path.iterdir()) == [path]
