"""One file is the old one or the new one, whole, whichever call into the system fails while it is written."""

import errno
import os
import shutil
import tempfile

import pytest

from bodytest.errors import UnwritableFile
from bodytest.files.writing import write_whole

MARK = '{"format": "bodytest results", "version": 1, "software": "bodytest 1.0.0"}\n'
OLD, NEW = f"{MARK}old", f"{MARK}new" * 10_000
CALLS = (
    (os, "open"), (os, "fdopen"), (os, "dup"), (os, "fsync"), (os, "chmod"), (os, "utime"), (os, "replace"),
    (os, "rename"), (os, "link"), (os, "unlink"), (os, "mkdir"), (os, "scandir"), (shutil, "copystat"),
    (tempfile, "mkstemp"),
)  # fmt: skip


def written(path, fail_at, code, overwrite):
    """Write with the given call failing; return how many calls there were and the error."""
    calls = 0

    def counted(call):
        def one(*arguments, **options):
            nonlocal calls
            calls += 1
            if calls == fail_at:
                raise OSError(code, os.strerror(code))
            return call(*arguments, **options)

        return one

    with pytest.MonkeyPatch.context() as patch:
        for owner, name in CALLS:
            patch.setattr(owner, name, counted(getattr(owner, name)))
        try:
            write_whole(path, NEW, overwrite=overwrite)
        except UnwritableFile as error:
            return calls, error
    return calls, None


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO, errno.EACCES])
@pytest.mark.parametrize("there", [True, False], ids=["over an old one", "where none was"])
def test_a_call_that_fails_at_any_step_leaves_the_old_file_or_the_new_one(tmp_path, code, there):
    path, fail_at = tmp_path / "results.json", 0
    before = OLD if there else None
    while True:
        fail_at += 1
        path.unlink(missing_ok=True)
        if there:
            path.write_text(OLD)
        calls, error = written(path, fail_at, code, overwrite=there)
        now = path.read_text() if path.exists() else None
        assert now == (NEW if error is None else before), f"call {fail_at}"
        if error is not None:
            assert error.finding.sentence == f"{path} could not be written: {os.strerror(code)}."
        write_whole(tmp_path / "results.json", NEW)
        assert [p.name for p in tmp_path.iterdir()] == ["results.json"], f"call {fail_at}"
        if calls < fail_at:
            break
    assert fail_at > 8
