"""A report is the old one or the new one, whole: when a call fails at any step, when it is killed, when two run."""

import errno
import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from bodytest.errors import UnwritableFile
from bodytest.files import report_folder
from bodytest.files.report_folder import MANIFEST, refuse_report, replace_report

PAGE = '<!doctype html>\n<meta name="generator" content="bodytest 1.0.0">\n'
OLD = {"index.html": f"{PAGE}old", "grey.html": f"{PAGE}old grey", "gone.html": f"{PAGE}old gone"}
NEW = {"index.html": f"{PAGE}new", "grey.html": f"{PAGE}new grey", "fresh.html": f"{PAGE}new fresh"}
NOTES = "notes of the bench\n"


def held(folder):
    """Return what stands in a folder and beside it, hidden files too, without the list."""
    here = {p.name: p.read_text() for p in folder.iterdir() if p.is_file() and p.name != MANIFEST}
    beside = sorted(p.name for p in folder.parent.iterdir() if p != folder)
    return here, beside


@pytest.fixture(params=["alone", "with a file of the user's"])
def report(request, tmp_path):
    """Return the folder of an old report, alone or with a file of the user's between."""
    folder = tmp_path / "report"
    replace_report(folder, OLD)
    if request.param != "alone":
        (folder / "notes.txt").write_text(NOTES)
    return folder


def foreign(folder):
    return {"notes.txt": NOTES} if (folder / "notes.txt").exists() else {}


def test_pages_of_bodies_that_are_gone_go_and_files_of_the_user_stay(report):
    assert replace_report(report, NEW) == ()
    assert held(report) == (NEW | foreign(report), [])
    assert replace_report(report, NEW) == ()
    assert held(report) == (NEW | foreign(report), [])


def test_a_page_that_was_written_into_stays_when_its_body_is_gone_and_is_told(report):
    (report / "gone.html").write_text(f"{PAGE}old gone, and a remark")
    assert replace_report(report, NEW) == ("gone.html",)
    assert held(report) == (NEW | foreign(report) | {"gone.html": f"{PAGE}old gone, and a remark"}, [])


def test_a_page_that_was_written_into_is_not_replaced_and_all_stays_as_it_was(report):
    (report / "grey.html").write_text(f"{PAGE}old grey, and a remark")
    before = held(report)
    for refuse in (lambda: refuse_report(report, NEW), lambda: replace_report(report, NEW)):
        with pytest.raises(UnwritableFile) as caught:
            refuse()
        assert caught.value.finding.sentence == (
            f"{report / 'grey.html'} was changed since bodytest wrote it; the report was left as it is."
        )
        assert held(report) == before


def test_a_report_of_version_1_0_without_a_list_is_known_by_the_marks_inside(report):
    (report / MANIFEST).unlink()
    replace_report(report, NEW)
    assert held(report)[0] == NEW | foreign(report) | {"gone.html": OLD["gone.html"]}


def test_a_list_that_was_tampered_with_removes_nothing_outside_the_folder(report):
    victim = report.parent / "victim.html"
    victim.write_text(PAGE)
    text = (report / MANIFEST).read_text().replace('"gone.html"', '"../victim.html"')
    (report / MANIFEST).write_text(text)
    replace_report(report, NEW)
    assert victim.read_text() == PAGE


def test_permissions_of_folder_and_files_are_kept(report):
    report.chmod(0o750)
    (report / "grey.html").chmod(0o600)
    replace_report(report, NEW)
    assert report.stat().st_mode & 0o777 == 0o750
    assert (report / "grey.html").stat().st_mode & 0o777 == 0o600


def test_a_link_to_the_folder_stays_a_link(report):
    link = report.parent / "link"
    link.symlink_to("report")
    replace_report(link, NEW)
    assert link.is_symlink()
    assert held(report) == (NEW | foreign(report), ["link"])


def test_a_report_goes_into_the_working_folder_and_where_folders_cannot_change_places(report, monkeypatch):
    inode = report.stat().st_ino
    monkeypatch.chdir(report)
    replace_report(Path(), NEW)
    assert held(report) == (NEW | foreign(report), [])
    assert report.stat().st_ino == inode
    monkeypatch.chdir("/")
    monkeypatch.setattr(report_folder, "exchange", lambda *_: False)
    replace_report(report, OLD)
    assert held(report) == (OLD | foreign(report), [])


class Failing:
    """Lets the n-th call into the system fail, whichever it is, and counts the calls."""

    def __init__(self, patch, fail_at, code):
        self.calls, self.fail_at, self.code = 0, fail_at, code
        for owner, name in (
            (os, "open"), (os, "fsync"), (os, "link"), (os, "mkdir"), (os, "rename"), (os, "replace"), (os, "unlink"),
            (os, "dup"), (os, "chmod"), (shutil, "copystat"), (shutil, "copy2"), (report_folder, "exchange"),
        ):  # fmt: skip
            patch.setattr(owner, name, self._counted(getattr(owner, name), name))

    def _counted(self, call, name):
        def counted(*arguments, **options):
            self.calls += 1
            if self.calls == self.fail_at:
                if name == "exchange":
                    return False
                raise OSError(self.code, os.strerror(self.code))
            return call(*arguments, **options)

        return counted


def run_failing(report, fail_at, code):
    with pytest.MonkeyPatch.context() as patch:
        failing = Failing(patch, fail_at, code)
        try:
            replace_report(report, NEW)
        except UnwritableFile as error:
            return failing, error
    return failing, None


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO, errno.EACCES])
@pytest.mark.parametrize("whole", [True, False], ids=["in one step", "file by file"])
def test_a_call_that_fails_at_any_step_leaves_the_old_report_or_the_new_one(report, code, whole, monkeypatch):
    if not whole:
        monkeypatch.setattr(report_folder, "exchange", lambda *_: False)
    fail_at = 0
    while True:
        fail_at += 1
        failing, error = run_failing(report, fail_at, code)
        here, _ = held(report)
        mine = foreign(report)
        assert here in (OLD | mine, NEW | mine), f"call {fail_at}"
        if error is not None:
            assert here == OLD | mine, f"call {fail_at}"
            assert error.finding.sentence.startswith(f"{report} could not be written: ")
        replace_report(report, OLD)
        assert held(report) == (OLD | mine, []), f"call {fail_at}"
        if failing.calls < fail_at:
            break
    assert fail_at > 20


def killed_at(report, step):
    """Replace the report in a child that dies at the given call; say whether it came to its end."""
    child = os.fork()
    if child == 0:
        calls = 0

        def mortal(call):
            def counted(*arguments, **options):
                nonlocal calls
                calls += 1
                if calls == step:
                    os._exit(9)
                return call(*arguments, **options)

            return counted

        for name in ("open", "fsync", "link", "mkdir", "rename", "replace", "unlink", "dup", "chmod", "rmdir"):
            setattr(os, name, mortal(getattr(os, name)))
        report_folder.exchange = mortal(report_folder.exchange)
        replace_report(report, NEW)
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def test_a_run_that_is_killed_at_any_step_leaves_old_or_new_and_the_next_run_leaves_nothing(report):
    step, mixed = 0, 0
    while True:
        step += 1
        finished = killed_at(report, step)
        here, _ = held(report)
        mine = foreign(report)
        mixed += here not in (OLD | mine, NEW | mine)
        refuse_report(report, OLD)
        assert held(report)[0] in (OLD | mine, NEW | mine), f"step {step}"
        replace_report(report, OLD)
        assert held(report) == (OLD | mine, []), f"step {step}"
        if finished:
            break
    assert step > 20
    # With files of the user's between, pages are moved one by one; the next command finishes what was begun.
    assert mixed == 0 or (report / "notes.txt").exists()


def test_two_runs_at_once_leave_the_report_of_one(report):
    sets = [dict.fromkeys(("index.html", "grey.html", f"b{number}.html"), f"{PAGE}{number}") for number in range(4)]

    def repeat(contents):
        for _ in range(10):
            replace_report(report, contents)

    runs = [threading.Thread(target=repeat, args=(contents,)) for contents in sets]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    here, beside = held(report)
    assert beside == []
    assert here in [contents | foreign(report) for contents in sets]


def test_a_run_that_does_not_end_is_told_and_a_dead_one_is_not_waited_for(report, monkeypatch):
    work = report.parent / ".report.bodytest"
    code = (
        "import sys, time; from pathlib import Path; from bodytest.files.lock import held\n"
        "with held(Path(sys.argv[1]), Path('x'), patience_s=5): print('held', flush=True); time.sleep(60)"
    )
    monkeypatch.setattr(report_folder, "PATIENCE_S", 0.2)
    with subprocess.Popen([sys.executable, "-c", code, work / "lock"], stdout=subprocess.PIPE) as other:
        assert other.stdout.readline() == b"held\n"
        with pytest.raises(UnwritableFile) as caught:
            replace_report(report, NEW)
        other.kill()
    assert caught.value.finding.sentence == (
        f"Another run of bodytest is writing into {report} and has not come to an end."
    )
    assert replace_report(report, NEW) == ()
    assert held(report) == (NEW | foreign(report), [])


def test_folders_change_places_in_one_step_or_not_at_all(tmp_path):
    for name in "ab":
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    if report_folder.exchange(tmp_path / "a", tmp_path / "b"):
        assert (tmp_path / "a" / "b").exists()
        assert (tmp_path / "b" / "a").exists()
    assert not report_folder.exchange(tmp_path / "a", tmp_path / "nowhere")
    assert (tmp_path / "a").exists()
