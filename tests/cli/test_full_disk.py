"""A disk that is full, as a limit on the size of files that a real run may write."""

import resource
import signal
import subprocess
import sys

import pytest

DEMO = "sheets/demo-complete.xlsx"
BYTES = 8192


def full_disk():
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (BYTES, BYTES))


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["sheet", "{}"], "blank.xlsx"),
        (["results", DEMO, "--out", "{}"], "planner.xlsx"),
        (["results", DEMO, "--out", "{}"], "results.json"),
    ],
)
def test_a_full_disk_is_told_in_a_sentence_and_leaves_nothing_behind(tmp_path, words, name):
    command = "from bodytest.cli.app import main; main()"
    arguments = [word.format(tmp_path / name) for word in words]
    done = subprocess.run(
        [sys.executable, "-B", "-c", command, *arguments],
        capture_output=True, text=True, check=False, preexec_fn=full_disk, timeout=60,
    )  # fmt: skip
    assert done.returncode == 2
    assert "File too large" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []
