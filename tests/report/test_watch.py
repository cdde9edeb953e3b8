"""``bodytest watch`` with real files, real saves and a real Ctrl-C."""

import os
import queue
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from bodytest.cli.watch import Snapshot, describe
from bodytest.findings import Finding

HEADINGS = "bar,body,batch,firing,peak temperature (°C),wet length (mm),dry length (mm),fired length (mm)\n"
ROWS = tuple(f"B{n},Invented Grey,1,K1,1200,100.{n},94.{n},88.{n}\n" for n in range(1, 7))
PATIENCE_S = 30.0


class Watcher:
    """A running ``bodytest watch`` and the lines that it prints."""

    def __init__(self, folder: Path) -> None:
        command = [sys.executable, "-m", "bodytest", "watch", str(folder)]
        environment = os.environ | {"PYTHONUNBUFFERED": "1"}
        signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job would hand on its deaf ear
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment, encoding="utf-8")
        self.lines: queue.Queue[str] = queue.Queue()
        self.reader = threading.Thread(target=self._read, daemon=True)
        self.reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        with self.process.stdout as lines:
            for line in lines:
                self.lines.put(line.rstrip("\n"))

    def line_with(self, text: str) -> str:
        """Return the next line that holds the text."""
        end = time.monotonic() + PATIENCE_S
        while True:
            line = self.lines.get(timeout=max(end - time.monotonic(), 0.01))
            if text in line:
                return line

    def stop(self) -> int:
        self.process.send_signal(signal.SIGINT)
        code = self.process.wait(timeout=PATIENCE_S)
        self.reader.join(PATIENCE_S)
        return code


@pytest.fixture
def watcher(tmp_path: Path) -> Iterator[Watcher]:
    write_sheet(tmp_path / "trial.csv", 3)
    running = Watcher(tmp_path)
    yield running
    if running.process.poll() is None:
        running.process.kill()
        running.process.wait()
    running.reader.join(PATIENCE_S)


def write_sheet(path: Path, bars: int) -> None:
    path.write_text(HEADINGS + "".join(ROWS[:bars]), encoding="utf-8")


def test_a_save_remakes_the_report_and_says_what_changed(watcher: Watcher, tmp_path: Path) -> None:
    first = watcher.line_with("trial.csv new")
    assert "3 bars" in first
    page = tmp_path / "report" / "invented-grey.html"
    before = page.read_text(encoding="utf-8")
    write_sheet(tmp_path / "trial.csv", 5)
    line = watcher.line_with("trial.csv saved")
    assert "5 bars (2 more), 20 values (8 more)" in line
    assert line.endswith(str(tmp_path / "report" / "index.html"))
    assert page.read_text(encoding="utf-8") != before


def test_editors_leavings_half_written_deleted_and_renamed_sheets_do_no_harm(watcher: Watcher, tmp_path: Path) -> None:
    watcher.line_with("trial.csv new")
    for name in ("~$trial.xlsx", ".~lock.trial.csv#", ".trial.csv.swp", "trial.csv.tmp"):
        (tmp_path / name).write_bytes(b"\x00lock")
    shutil.copy(tmp_path / "trial.csv", tmp_path / "second.csv")
    (tmp_path / "damaged.xlsx").write_bytes(b"PK\x03\x04 half a workbook")
    line = watcher.line_with("damaged.xlsx new")
    assert "second.csv new" in line
    assert "1 to mend" in line
    (tmp_path / "damaged.xlsx").unlink()
    assert "0 to mend" in watcher.line_with("damaged.xlsx gone")
    (tmp_path / "second.csv").write_text(HEADINGS + ROWS[0].replace("Grey", "Brown"), encoding="utf-8")
    watcher.line_with("second.csv saved")
    assert (tmp_path / "report" / "invented-brown.html").exists()
    (tmp_path / "second.csv").rename(tmp_path / "third.csv")
    watcher.line_with("second.csv renamed third.csv")
    (tmp_path / "third.csv").unlink()
    assert "4 fewer" in watcher.line_with("third.csv gone")
    assert not (tmp_path / "report" / "invented-brown.html").exists()


def test_ctrl_c_stops_cleanly_and_the_report_did_not_trigger_itself(watcher: Watcher, tmp_path: Path) -> None:
    watcher.line_with("trial.csv new")
    (tmp_path / "report" / "results.csv").touch()
    time.sleep(1.5)
    assert watcher.stop() == 0
    assert list(watcher.lines.queue) == ["Stopped watching."]


def test_a_folder_that_vanishes_for_a_moment_is_waited_for(watcher: Watcher, tmp_path: Path) -> None:
    watcher.line_with("trial.csv new")
    pages = tmp_path.with_name(f"{tmp_path.name}-away")
    tmp_path.rename(pages)
    watcher.line_with(f"{tmp_path} cannot be reached; the report is left as it is. Waiting for it to come back.")
    write_sheet(pages / "trial.csv", 5)
    pages.rename(tmp_path)
    watcher.line_with(f"{tmp_path} is there again.")
    assert "5 bars (2 more)" in watcher.line_with("trial.csv saved")
    write_sheet(tmp_path / "trial.csv", 6)
    assert "6 bars (1 more)" in watcher.line_with("trial.csv saved")
    assert watcher.stop() == 0


def test_a_sheet_saved_half_way_is_read_again_when_it_is_whole(watcher: Watcher, tmp_path: Path) -> None:
    watcher.line_with("trial.csv new")
    (tmp_path / "trial.csv").write_bytes(b"")
    time.sleep(0.7)
    write_sheet(tmp_path / "trial.csv", 5)
    line = watcher.line_with("trial.csv saved")
    assert "5 bars (2 more)" in line
    assert "0 to mend" in line


def test_watching_a_folder_that_is_not_there_is_told_in_a_sentence(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "bodytest", "watch", str(tmp_path / "nowhere")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    assert done.returncode == 2
    assert f"There is no folder named {tmp_path / 'nowhere'} here." in done.stderr


def test_the_line_names_files_numbers_and_the_first_new_finding() -> None:
    odd = Finding("x", "ask", "b.csv", "Bars!F3", "12", "Bars!F3 is odd.", "Look.")
    before = Snapshot({"a.csv": "1", "gone.csv": "2"}, 6, 30)
    after = Snapshot({"b.csv": "1", "c.csv": "3"}, 5, 29, (odd,))
    assert describe(before, after) == (
        "a.csv renamed b.csv, c.csv new, gone.csv gone; 5 bars (1 fewer), 29 values (1 fewer);"
        " 0 to mend, 1 to look at, 0 notes (1 new, the first in Bars!F3: Bars!F3 is odd.)"
    )


def test_a_name_that_steers_the_terminal_is_written_out(watcher: Watcher, tmp_path: Path) -> None:
    watcher.line_with("Watching")
    watcher.line_with("trial.csv new")
    write_sheet(tmp_path / "\x1b]0;t\x07\u202ecsv.csv", 4)
    line = watcher.line_with("csv.csv new")
    assert r"\x1b]0;t\x07\u202ecsv.csv new;" in line
    assert watcher.stop() == 0
