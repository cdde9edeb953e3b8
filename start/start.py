"""Makes the environment of this copy of bodytest once, then opens the program in the browser.

The starters beside it only look for a Python that is new enough and run this with it; nothing but the standard library
is used. Arguments are handed on to ``bodytest open``.
"""

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

ROOT = Path(__file__).resolve().parents[1]
ENVIRONMENT = ROOT / "start" / "environment"
MADE_OF = ENVIRONMENT / "made-of.json"
"""Written last: what the environment was made of. Without it the environment is not whole."""
SAID = ROOT / "start" / "environment.log"
"""What the tools said that made it."""
SHEETS = Path.home() / "bodytest"
"""The folder that is opened where none is named."""
TROUBLES = (
    (("No space left", "Errno 28", "not enough space"), "The disk is full. Make room for about 1 GB and start again."),
    (("Read-only file system", "Permission denied", "Access is denied", "WinError 5"),
     "This folder may not be written to. Move the unpacked folder to a place of your own, such as Documents, and start"
     " again."),
    (("Could not find a version", "No matching distribution", "Connection", "Temporary failure", "getaddrinfo",
      "timed out", "Max retries", "SSLError", "ProxyError"),
     "The parts could not be fetched. Look whether this computer has a connection to the internet and start again."),
)  # fmt: skip
"""Signs in what the tools said, and what to do then."""


class Trouble(Exception):
    """What went wrong and what to do, in a sentence."""


def wanted() -> dict[str, str]:
    """Return what the environment has to be made of: the lock and what it is for, and the place."""
    files = b"".join((ROOT / name).read_bytes() for name in ("lock.txt", "pyproject.toml"))
    return {"lock": hashlib.sha256(files).hexdigest(), "place": str(ROOT)}


def is_made() -> bool:
    """Tell whether the environment is there, whole, and made of what it has to be made of."""
    try:
        return json.loads(MADE_OF.read_text(encoding="utf-8")) == wanted() and own_python().exists()
    except (OSError, ValueError):
        return False


def own_python() -> Path:
    """Return the Python of the environment."""
    return ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def make() -> None:
    """Make the environment anew.

    Raises:
        Trouble: it could not be made.
    """
    if any(importlib.util.find_spec(name) is None for name in ("venv", "ensurepip")):
        minor = f"3.{sys.version_info.minor}"
        raise Trouble(
            "This Python comes without its module venv. On Debian or Ubuntu type in a terminal:"
            f" sudo apt install python{minor}-venv\nThen start again."
        )
    with alone():
        print("This is the first start here: the parts of bodytest are put in place. It happens once.", flush=True)
        shutil.rmtree(ENVIRONMENT, ignore_errors=True)
        print("Step 1 of 2: making room for them ", end="", flush=True)
        run([sys.executable, "-m", "venv", str(ENVIRONMENT)], "w")
        print("Step 2 of 2: fetching them from the internet, some minutes ", end="", flush=True)
        pip = [str(own_python()), "-m", "pip", "--disable-pip-version-check", "install"]
        run([*pip, "-c", str(ROOT / "lock.txt"), "-e", str(ROOT)], "a")
        MADE_OF.write_text(json.dumps(wanted()), encoding="utf-8")


@contextmanager
def alone() -> Iterator[None]:
    """Hold a file that only one start at a time can hold.

    Raises:
        Trouble: another start holds it.
    """
    with (ROOT / "start" / "environment.lock").open("w", encoding="utf-8") as lock:
        try:
            if sys.platform == "win32":
                msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
            else:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            raise Trouble("Another start is putting the parts in place. Wait until its window says so.") from error
        yield


def run(command: list[str], mode: str) -> None:
    """Run a tool with a dot every second; what it says goes into the log.

    Raises:
        Trouble: it failed.
    """
    with SAID.open(mode, encoding="utf-8") as log:
        tool = subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, cwd=ROOT)
        while tool.poll() is None:
            time.sleep(1)
            print(".", end="", flush=True)
    print()
    if tool.returncode:
        raise Trouble(trouble_in(SAID.read_text(encoding="utf-8", errors="replace")))


def trouble_in(log: str) -> str:
    """Return what went wrong, in a sentence, from what the tools said."""
    for signs, sentence in TROUBLES:
        if any(sign in log for sign in signs):
            return sentence
    last = next((line.strip() for line in reversed(log.splitlines()) if line.strip()), "nothing was said")
    return f"The parts could not be put in place: {last}\nAll that was said stands in {SAID}."


def own_folder(demo: Path = ROOT / "sheets" / "demo-complete.xlsx") -> Path:
    """Return the folder for sheets; made with the invented demo sheet in it where there is none yet."""
    if not SHEETS.exists():
        SHEETS.mkdir(parents=True)
        shutil.copy(demo, SHEETS)
    return SHEETS


def main(arguments: list[str]) -> int:
    """Make the environment where that is needed, open the program, and return its exit code."""
    try:
        if not is_made():
            make()
        if not arguments:
            arguments = [str(own_folder())]
    except Trouble as trouble:
        print(f"\nbodytest could not be started. {trouble}")
        return 1
    except OSError as error:
        print(f"\nbodytest could not be started. {trouble_in(str(error))}")
        return 1
    print(
        "Opening bodytest in the browser. Leave this window open while you work; closing it ends bodytest.",
        flush=True,
    )
    return subprocess.call([str(own_python()), "-m", "bodytest", "open", *arguments])


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
