"""The files to double-click, in a copy with spaces in its path: they find Python, make the environment, and start."""

import importlib.util
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
STARTERS = ("linux.sh", "mac.command")
WHERE = {
    "linux.sh": "On Debian or Ubuntu type in a terminal: sudo apt install python3 python3-venv\n"
    "On others install the package python3 of your distribution, or take one from https://www.python.org/downloads/\n",
    "mac.command": "Take it from https://www.python.org/downloads/macos/ and install it with a double-click.\n",
}
pytestmark = pytest.mark.skipif(os.name == "nt", reason="these starters are not for Windows")


def copied(folder):
    """Copy what a starter needs to a place with spaces and signs in its path."""
    root = folder / "My clay (2) & glazes" / "body test"
    root.mkdir(parents=True)
    for name in ("start", "bodytest"):
        shutil.copytree(ROOT / name, root / name, ignore=shutil.ignore_patterns("environment*", "__pycache__"))
    for name in ("lock.txt", "pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, root / name)
    return root


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    return copied(tmp_path_factory.mktemp("unpacked"))


def tools(folder, **scripts):
    """Make a folder of tools, the only one in which the starters look."""
    folder.mkdir(exist_ok=True)
    for name in ("bash", "dirname", "uname"):
        (folder / name).symlink_to(shutil.which(name))
    for name, script in scripts.items():
        (folder / name).write_text(f"#!{shutil.which('bash')}\n{script}\n")
        (folder / name).chmod(0o755)
    return folder


def start(project, starter, path, *arguments, **environment):
    real = Path.home()
    return subprocess.run(
        [project / "start" / starter, *arguments],
        env={
            "PATH": str(path), "HOME": str(path.parent), "XDG_CONFIG_HOME": str(real / ".config"),
            "XDG_CACHE_HOME": str(real / ".cache"), **{k: v for k, v in os.environ.items() if k.startswith("PIP_")},
            **environment,
        },
        stdin=subprocess.DEVNULL, capture_output=True, text=True, cwd=path.parent, check=False,
    )  # fmt: skip


def this_python():
    return f'exec "{sys._base_executable}" "$@"'


def starter_module(project):
    spec = importlib.util.spec_from_file_location("start", project / "start" / "start.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("starter", STARTERS)
def test_without_python_it_says_where_to_get_one(project, tmp_path, starter):
    ended = start(project, starter, tools(tmp_path / "tools"))
    assert (ended.returncode, ended.stdout) == (
        1,
        f"bodytest needs Python 3.11 or later; there is none on this computer.\n{WHERE[starter]}Then start again.\n",
    )


@pytest.mark.parametrize("starter", STARTERS)
def test_a_python_that_is_too_old_is_named(project, tmp_path, starter):
    old = 'case "$2" in *version_info\\ *) exit 1;; *) echo 3.9;; esac'
    ended = start(project, starter, tools(tmp_path / "tools", python3=old))
    assert (ended.returncode, ended.stdout) == (
        1,
        f"bodytest needs Python 3.11 or later; the one on this computer is 3.9.\n{WHERE[starter]}Then start again.\n",
    )


@pytest.mark.parametrize("starter", STARTERS)
def test_a_python_that_is_new_enough_is_found_behind_an_old_one(project, tmp_path, starter):
    found = tools(tmp_path / "tools", python3="exit 1", python='[ "$1" = -c ] && exit 0; echo "$@"; exit 7')
    ended = start(project, starter, found, "a folder")
    assert (ended.returncode, ended.stdout) == (7, f"{project}/start/start.py a folder\n")


def test_the_first_start_makes_the_environment_and_the_second_starts_at_once(project, tmp_path):
    found = tools(tmp_path / "tools", python3=this_python())
    began = time.monotonic()
    first = start(project, "linux.sh", found, "--help")
    took = time.monotonic() - began
    if "could not be fetched" in first.stdout and "CI" not in os.environ:
        pytest.skip("no network here")
    said = re.sub(r" \.+\n", " \n", first.stdout)
    assert said.startswith(
        "This is the first start here: the parts of bodytest are put in place. It happens once.\n"
        "Step 1 of 2: making room for them \n"
        "Step 2 of 2: fetching them from the internet, some minutes \n"
        "Opening bodytest in the browser. Leave this window open while you work; closing it ends bodytest.\n"
    ), first.stdout + first.stderr
    began = time.monotonic()
    second = start(project, "mac.command", found, "--help")
    assert second.stdout.startswith("Opening bodytest in the browser.")
    assert "bodytest open [OPTIONS]" in second.stdout
    assert time.monotonic() - began < took / 3
    starting = starter_module(project)
    assert starting.is_made()
    lock = project / "lock.txt"
    lock.write_text(lock.read_text() + "# another\n")
    assert not starting.is_made()
    shutil.copy(ROOT / "lock.txt", lock)
    moved = project.with_name("moved")
    project.rename(moved)
    assert not starter_module(moved).is_made()
    moved.rename(project)
    (project / "start" / "environment" / "bin" / "python").unlink()
    assert not starting.is_made()


def test_a_failure_ends_in_a_sentence_and_the_next_start_begins_anew(tmp_path):
    no_network = {"PIP_CONFIG_FILE": os.devnull, "PIP_FIND_LINKS": "", "PIP_EXTRA_INDEX_URL": "", "PIP_RETRIES": "0"}
    no_network["PIP_INDEX_URL"] = "http://127.0.0.1:9/simple"
    project = copied(tmp_path)
    ended = start(project, "linux.sh", tools(tmp_path / "tools", python3=this_python()), **no_network)
    assert (ended.returncode, ended.stdout.splitlines()[-1]) == (
        1, "bodytest could not be started. The parts could not be fetched. Look whether this computer has a connection"
        " to the internet and start again.",
    )  # fmt: skip
    assert "Traceback" not in ended.stdout + ended.stderr
    assert not starter_module(project).is_made()


def test_a_python_without_venv_says_how_to_get_it(project, tmp_path, monkeypatch, capsys):
    starting = starter_module(project)
    monkeypatch.setattr(starting, "is_made", lambda: False)
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    assert starting.main([]) == 1
    minor = sys.version_info.minor
    assert capsys.readouterr().out == (
        "\nbodytest could not be started. This Python comes without its module venv. On Debian or Ubuntu type in a"
        f" terminal: sudo apt install python3.{minor}-venv\nThen start again.\n"
    )


@pytest.mark.parametrize(
    ("log", "sentence"),
    [
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device",
         "The disk is full. Make room for about 1 GB and start again."),
        ("PermissionError: [WinError 5] Access is denied: 'C:\\\\Program Files\\\\bodytest'",
         "This folder may not be written to. Move the unpacked folder to a place of your own, such as Documents, and"
         " start again."),
        ("ERROR: something else\n\n", "The parts could not be put in place: ERROR: something else\n"
         "All that was said stands in {log}."),
    ],
)  # fmt: skip
def test_what_the_tools_said_becomes_a_sentence(project, log, sentence):
    starting = starter_module(project)
    assert starting.trouble_in(log) == sentence.format(log=starting.SAID)


def test_two_starts_at_once_do_not_mix(project):
    starting = starter_module(project)
    with starting.alone(), pytest.raises(starting.Trouble, match=r"^Another start is putting the parts in place\."):
        starting.alone().__enter__()


def test_the_own_folder_is_made_with_the_demo_sheet_and_then_left_alone(tmp_path, monkeypatch):
    starting = starter_module(ROOT)
    monkeypatch.setattr(starting, "SHEETS", tmp_path / "bodytest")
    assert [path.name for path in starting.own_folder().iterdir()] == ["demo-complete.xlsx"]
    (tmp_path / "bodytest" / "demo-complete.xlsx").unlink()
    assert list(starting.own_folder().iterdir()) == []


def test_the_file_for_windows_has_its_line_ends_quotes_and_calls():
    raw = (ROOT / "start" / "windows.bat").read_bytes()
    assert raw.count(b"\n") == raw.count(b"\r\n") > 10
    lines = raw.decode("ascii").split("\r\n")
    assert '%FOUND% "%~dp0start.py" %*' in lines
    assert [line for line in lines if line.count('"') % 2] == []
    labels = {line[1:] for line in lines if line.startswith(":")}
    assert set(re.findall(r"goto (\w+)", "\n".join(lines))) <= labels
    assert lines.index("pause") > lines.index(":stay")


@pytest.mark.parametrize("starter", STARTERS)
def test_the_files_can_be_run_and_bash_finds_nothing_to_mend(starter):
    path = ROOT / "start" / starter
    assert os.access(path, os.X_OK)
    assert subprocess.run(["bash", "-n", path], capture_output=True, check=False).returncode == 0
