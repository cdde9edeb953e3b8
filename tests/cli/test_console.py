"""What the command line does when the system or the program itself fails."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from bodytest.cli.console import say
from bodytest.cli.ending import guarded

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sheets" / "demo-complete.xlsx"
MISTAKES = ROOT / "sheets" / "demo-mistakes.xlsx"


def test_a_sign_that_the_terminal_lacks_is_replaced():
    environment = {**os.environ, "PYTHONIOENCODING": "cp1252", "PYTHONUTF8": "0"}
    said = subprocess.run(
        [sys.executable, "-m", "bodytest", "check", str(MISTAKES)], capture_output=True, env=environment, check=False
    )
    assert said.returncode == 1
    assert said.stderr == b""
    assert b"     ? Look up the readings. [beyond-clay]" in said.stdout


@pytest.mark.parametrize("command", [["check", MISTAKES], ["results", DEMO, "--format", "csv"], ["results", DEMO]])
def test_output_that_the_system_refuses_is_told_in_a_sentence(command):
    if not Path("/dev/full").exists():
        pytest.skip("this system has no device that is always full")
    with Path("/dev/full").open("wb") as full:
        said = subprocess.run(
            [sys.executable, "-m", "bodytest", *map(str, command)], stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert said.returncode == 2
    assert said.stderr.decode().splitlines()[-2:] == [
        "STOP The operating system refused to read or write: No space left on device.",
        "     → Check the free space, the permissions, and where the output goes, then try again. [system-refused]",
    ]


def test_an_unforeseen_error_is_told_in_a_sentence_that_names_its_place(capsys, monkeypatch):
    monkeypatch.delenv("BODYTEST_TRACE", raising=False)

    def broken():
        raise ValueError("two lines\nof trouble")

    line = broken.__code__.co_firstlineno + 1
    with pytest.raises(SystemExit) as left:
        guarded(broken)
    assert left.value.code == 3
    assert capsys.readouterr().err == (
        "STOP bodytest met something that it was not made for: ValueError: two lines of trouble"
        f" (test_console.py, line {line}).\n"
        "     → This is a fault of the program, not yours: please report this line with the command and, if you may,"
        " the sheet. With BODYTEST_TRACE=1 set it shows where it arose. [unexpected-fault]\n"
    )


def test_an_unforeseen_error_shows_its_trace_on_demand(monkeypatch):
    monkeypatch.setenv("BODYTEST_TRACE", "1")
    with pytest.raises(ZeroDivisionError):
        guarded(lambda: divmod(1, 0))


def test_closed_streams_take_nothing(monkeypatch):
    monkeypatch.setattr(sys, "stdout", None)
    monkeypatch.setattr(sys, "stderr", None)
    guarded(lambda: say("unheard"))
    assert isinstance(sys.stdout, io.TextIOWrapper)
    sys.stdout.close()
    sys.stderr.close()
