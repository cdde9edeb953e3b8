"""What README tells people to type works, and what it promises is there."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
TABLE_COMMANDS = re.findall(r"\| `(bodytest [^`]+)` \|", README)


def run(arguments, folder):
    return subprocess.run(
        [sys.executable, "-m", "bodytest", *arguments], cwd=folder, capture_output=True, text=True, check=False
    )


STAYING = ("watch", "open")
"""Commands that run until somebody ends them; their own tests run them."""


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A folder in which the commands of the table were run in their order, with what each said."""
    folder = tmp_path_factory.mktemp("bench")
    said = {}
    for command in TABLE_COMMANDS:
        arguments = shlex.split(command)[1:]
        if arguments[0] in STAYING:
            continue
        said[command] = run(arguments, folder)
        if arguments[0] == "sheet":
            (folder / "trial.xlsx").write_bytes((ROOT / "sheets" / "demo-complete.xlsx").read_bytes())
    return folder, said


def test_the_table_of_commands_is_there():
    assert len(TABLE_COMMANDS) >= 8


@pytest.mark.parametrize("command", [c for c in TABLE_COMMANDS if c.split()[1] not in STAYING])
def test_each_command_of_the_table_runs(bench, command):
    _, said = bench
    assert "Traceback" not in said[command].stderr
    assert said[command].returncode == 0, said[command].stderr


def test_the_commands_leave_what_the_table_promises(bench):
    folder, _ = bench
    for promised in ("report/index.html", "report/results.json", "report/results.csv", "look-here.xlsx"):
        assert (folder / promised).stat().st_size > 0


def test_each_command_of_the_program_has_help_with_an_example():
    listed = run(["--help"], ROOT).stdout
    commands = re.findall(r"^  ([a-z]+)  ", listed.split("Commands:")[1], flags=re.MULTILINE)
    assert set(commands) >= {
        "sheet", "check", "report", "results", "compare", "size", "ruler", "watch", "verify", "demo",
    }  # fmt: skip
    for command in commands:
        helped = run([command, "--help"], ROOT).stdout
        assert f"Example: bodytest {command}" in " ".join(helped.split()), command


def test_the_two_marked_commands_are_single_lines_after_their_fence():
    for name in ("install-and-report", "install-and-test"):
        assert re.search(rf"<!-- command: {name} -->\n```sh\n[^\n]+\n```\n", README)


def test_files_named_in_readme_exist():
    for path in re.findall(r"\((reports/[^)]+)\)", README):
        assert (ROOT / path).is_file(), path


def test_python_examples_run(tmp_path):
    blocks = re.findall(r"```python\n(.*?)```", README, flags=re.DOTALL)
    assert blocks
    (tmp_path / "sheets").symlink_to(ROOT / "sheets")
    for block in blocks:
        ran = subprocess.run([sys.executable, "-c", block], cwd=tmp_path, capture_output=True, text=True, check=False)
        assert ran.returncode == 0, ran.stderr
