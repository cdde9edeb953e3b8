"""Build the stand-alone bundle on this system, try it without any Python beside it, and tell its size and start times.

    python -m tests.bench.bundle --write tests/bench/bundle.md

Everything is made in a temporary folder: an environment with the lock and the bundler, the bundle, and what it writes.
With ``--environment`` an environment is kept there and taken again the next time.
"""

import argparse
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
import venv
from datetime import date
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
BUNDLER = "pyinstaller==6.16.0"
LEFT_OUT = ("tkinter", "pytest", "IPython", "PIL.ImageQt")
"""Modules that libraries would bring for uses that bodytest does not have."""
DEMO = ROOT / "sheets" / "demo-complete.xlsx"
TRIES = 5


def build(folder: Path, environment: Path) -> Path:
    """Return the folder of the bundle, built from an environment of its own."""
    scripts = environment / ("Scripts" if os.name == "nt" else "bin")
    if not scripts.exists():
        venv.create(environment, with_pip=True)
    pip = [scripts / "python", "-m", "pip", "install", "-q", "--disable-pip-version-check", "-c", ROOT / "lock.txt"]
    subprocess.run([*pip, ROOT, BUNDLER], check=True)
    subprocess.run([*pip, "--force-reinstall", "--no-deps", ROOT], check=True)
    options = [
        "--noconfirm", "--log-level", "ERROR", "--onedir", "--name", "bodytest", "--distpath", folder / "built",
        "--workpath", folder / "work", "--specpath", folder, "--paths", ROOT / "start", "--collect-all", "bodytest",
        "--collect-submodules", "uvicorn", "--add-data", f"{DEMO}{os.pathsep}sheets",
        *(part for name in LEFT_OUT for part in ("--exclude-module", name)),
    ]  # fmt: skip
    subprocess.run([scripts / "python", "-m", "PyInstaller", *options, ROOT / "start" / "bundle.py"], check=True)
    return folder / "built" / "bodytest"


def tried(bundle: Path, folder: Path, *arguments: object) -> tuple[float, str]:
    """Return how long one command of the bundle takes [s] and what it says, with no Python in reach."""
    program = bundle / ("bodytest.exe" if os.name == "nt" else "bodytest")
    bare = {"HOME": str(folder), "PATH": "/nowhere"} if os.name != "nt" else None
    began = time.monotonic()
    said = subprocess.run(
        [program, *map(str, arguments)], cwd=folder, env=bare, capture_output=True, text=True, check=True
    )
    return time.monotonic() - began, said.stdout


def measured(bundle: Path, folder: Path) -> list[tuple[str, str]]:
    """Return what was tried, and how long it takes or how large it is."""
    size = sum(path.stat().st_size for path in bundle.rglob("*") if path.is_file() and not path.is_symlink())
    packed = Path(shutil.make_archive(str(folder / "packed"), "zip", bundle)).stat().st_size
    rows = [("size unpacked", f"{size / 1e6:.0f} MB"), ("size as .zip", f"{packed / 1e6:.0f} MB")]
    commands: list[tuple[object, ...]] = [
        ("--version",), ("check", DEMO), ("report", DEMO, "--out", "report", "--date", "2026-03-14"),
        ("size", "200mm", "--from", "report/results.json", "--body", "Marl Red"), ("open", "--help"),
    ]  # fmt: skip
    for command in commands:
        first, said = tried(bundle, folder, *command)
        assert said, command
        again = median(tried(bundle, folder, *command)[0] for _ in range(TRIES))
        words = " ".join(Path(str(part)).name if part == DEMO else str(part) for part in command)
        rows.append((f"`bodytest {words}`", f"{again:.1f} s (first time {first:.1f} s)"))
    same(folder)
    return rows


def same(folder: Path) -> None:
    """Ask that the report of the bundle is that of the program."""
    own = folder / "own"
    command = ["report", DEMO, "--out", own, "--date", "2026-03-14"]
    subprocess.run([sys.executable, "-m", "bodytest", *command], cwd=ROOT, capture_output=True, check=True)
    names = sorted(path.name for path in own.iterdir())
    assert names == sorted(path.name for path in (folder / "report").iterdir())
    differ = [name for name in names if (own / name).read_bytes() != (folder / "report" / name).read_bytes()]
    assert differ == [], differ


def main() -> None:
    """Build, try, tell, and keep the table where that is asked for."""
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--write", type=Path, help="keep the table in this file")
    asked.add_argument("--environment", type=Path, help="keep the environment here")
    path, environment = (given := asked.parse_args()).write, given.environment
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        began = time.monotonic()
        bundle = build(folder, environment or folder / "environment")
        rows = [("building it", f"{time.monotonic() - began:.0f} s"), *measured(bundle, folder)]
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    system = f"{platform.system()} {platform.machine()}, Python {platform.python_version()}, {BUNDLER}"
    table = "\n".join(f"| {what} | {figure} |" for what, figure in rows)
    text = (
        f"# The stand-alone bundle\n\nMade by `python -m tests.bench.bundle`, {date.today()}, commit"
        f" {commit.stdout.strip()}, {system}. The report that the bundle makes of the demo sheet has the same bytes"
        f" as the program's. Each time is the median of {TRIES}.\n\n| what | figure |\n|---|---|\n{table}\n"
    )
    print(text)
    if path:
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
