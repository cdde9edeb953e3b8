"""A folder of files that belong together: built beside it, then swapped in whole.

Where the folder holds nothing but our own unchanged files, the new folder takes its place in one step. Where other
files stand between ours, the new ones are moved in one by one: `READY` then holds what is still to be moved, so that
the next run can finish what a killed one began, and `OLD` what was there, so that a failure can be taken back.
"""

import ctypes
import hashlib
import json
import os
import shutil
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from bodytest.errors import UnwritableFile
from bodytest.files.lock import held
from bodytest.files.outputs import refuse_folder, refuse_input, refuse_stream, target_of
from bodytest.files.own_files import is_ours, is_sealed
from bodytest.files.writing import Content, fill, like, refusals_told

NEW, READY, OLD, LOCK = "new", "ready", "old", "lock"
"""What stands in the work folder: files being written, files to be moved in, files moved out, the lock."""

PATIENCE_S = 20.0
"""How long another run is waited for [s]."""


def refuse_report(folder: Path, names: Iterable[str], inputs: Iterable[Path] = ()) -> None:
    """Return when files of these names may be written into ``folder``; finish first what a killed run left.

    Raises:
        UnwritableFile: one of them is an input or not ours, or the folder cannot be written.
    """
    names, inputs = [*names, MANIFEST], list(inputs)
    refuse_stream(folder)
    for name in names:
        refuse_input(folder / name, inputs)
    with refusals_told(folder):
        place = target_of(folder)
        refuse_folder(place, folder)
        if _work_folder(place).exists():
            with _working(place, folder):
                pass
        _refuse_foreign(place, folder, names)


def replace_report(folder: Path, contents: Mapping[str, Content]) -> tuple[str, ...]:
    """Put the files into ``folder`` in place of the last report's, all of them or none.

    Returns:
        Names of files of an earlier report that would have gone, but stay because they were changed since.

    Raises:
        UnwritableFile: a file that is not ours stands in the way, or the system refuses; all is then as before.
    """
    with refusals_told(folder):
        place = target_of(folder)
        refuse_folder(place, folder)
        with _working(place, folder) as work:
            _refuse_foreign(place, folder, [*contents, MANIFEST])
            own = own_files(place)
            changed = [name for name in own.keys() - contents.keys() if (place / name).exists()]
            changed = sorted(name for name in changed if not is_unchanged(place, name, own))
            _build(work / NEW, place, contents)
            _swap(work, place, own)
    return tuple(changed)


def _work_folder(place: Path) -> Path:
    """Return the hidden folder beside the report; inside it where beside is another file system or not ours."""
    beside = place.parent
    fits = os.access(beside, os.W_OK | os.X_OK) and not os.path.ismount(place)
    return beside / f".{place.name[:60]}.bodytest" if fits or not place.exists() else place / ".bodytest"


@contextmanager
def _working(place: Path, folder: Path) -> Iterator[Path]:
    """Hold the work folder alone, with what a killed run left finished or cleared away, and remove it afterwards."""
    work = _work_folder(place)
    try:
        with held(work / LOCK, folder, patience_s=PATIENCE_S):
            try:
                if (work / READY / MANIFEST).exists():
                    _refuse_foreign(place, folder, os.listdir(work / READY))
                    _move_in(work, place)
                _clear(work)
                yield work
            finally:
                if not (work / READY / MANIFEST).exists():
                    _clear(work)
    finally:
        with suppress(OSError):  # not empty: another run waits, or a killed one is still to be finished
            work.rmdir()


def _clear(work: Path) -> None:
    for name in (NEW, OLD, READY):
        shutil.rmtree(work / name, ignore_errors=True)


def _refuse_foreign(place: Path, folder: Path, names: Iterable[str]) -> None:
    own = own_files(place)
    for name in names:
        if os.path.lexists(place / name) and not is_unchanged(place, name, own):
            code = "changed-since-written" if name in own else "not-our-file"
            raise UnwritableFile(code, sheet=str(folder / name))


def _build(new: Path, place: Path, contents: Mapping[str, Content]) -> None:
    new.mkdir()
    for name, content in contents.items():
        _write(new / name, place / name, content)
    _write(new / MANIFEST, place / MANIFEST, manifest_text(new, contents))
    like(place, new)


def _write(path: Path, old: Path, content: Content) -> None:
    with path.open("xb") as file:
        fill(file.fileno(), content)
    like(old, path)


def _swap(work: Path, place: Path, own: Mapping[str, str]) -> None:
    there = set(os.listdir(place)) - {".bodytest"} if place.exists() else set()
    if not there and not _is_in_use(place):
        place.parent.mkdir(parents=True, exist_ok=True)
        with suppress(OSError):
            (work / NEW).rename(place)
            return
    ours = own.keys() | {MANIFEST}
    whole = there <= ours and all(is_unchanged(place, name, own) for name in there)
    if whole and not _is_in_use(place) and exchange(work / NEW, place):
        return
    place.mkdir(parents=True, exist_ok=True)
    (work / NEW).rename(work / READY)
    _move_in(work, place)


def _is_in_use(place: Path) -> bool:
    """Say whether this run works in the folder, which then must not become another one."""
    try:
        here = Path.cwd()
    except FileNotFoundError:
        return False
    return place == here or place in here.parents or _work_folder(place).parent == place


def _move_in(work: Path, place: Path) -> None:
    """Move what is ready into the folder, the list last, and unchanged files of the last report out of it."""
    ready, old, own = work / READY, work / OLD, own_files(place)
    coming = own_files(ready)
    old.mkdir(exist_ok=True)
    names = [name for name in sorted(os.listdir(ready)) if name != MANIFEST]
    going = [name for name in sorted(own.keys() - coming.keys()) if is_unchanged(place, name, own)]
    moved: list[str] = []
    try:
        for name in (*names, *going, MANIFEST):
            moved.append(name)
            if (place / name).exists():
                _keep(place / name, old / name)
            if name in going:
                (place / name).unlink()
            else:
                (ready / name).replace(place / name)
    except BaseException:
        if (ready / MANIFEST).exists():  # else all was moved before the interruption
            for name in reversed(moved):
                _take_back(name, work, place, moved=name in coming)
            shutil.rmtree(ready, ignore_errors=True)
        raise


def _keep(there: Path, copy: Path) -> None:
    """Keep what is there under a second name, or as a copy where there are no links."""
    copy.unlink(missing_ok=True)
    try:
        os.link(there, copy)
    except OSError:
        shutil.copy2(there, copy)


def _take_back(name: str, work: Path, place: Path, *, moved: bool) -> None:
    if moved and not (work / READY / name).exists():
        (place / name).replace(work / READY / name)
    if (work / OLD / name).exists():
        (work / OLD / name).replace(place / name)


_HERE = -100
"""Paths are taken from the working folder (AT_FDCWD)."""
_SWAP = 2
"""RENAME_EXCHANGE of Linux, and RENAME_SWAP of macOS."""


def exchange(one: Path, other: Path) -> bool:
    """Let two folders change places in one step and say whether that went; nothing has changed when it did not."""
    if sys.platform == "win32":
        return False
    library = ctypes.CDLL(None)
    paths = os.fsencode(one), os.fsencode(other)
    if hasattr(library, "renameat2"):
        return bool(library.renameat2(_HERE, paths[0], _HERE, paths[1], _SWAP) == 0)
    if hasattr(library, "renamex_np"):
        return bool(library.renamex_np(paths[0], paths[1], _SWAP) == 0)
    return False


MANIFEST = "bodytest-files.json"
"""Its name in the folder of a report."""
_FORMAT = {"format": "bodytest files", "version": 1}


def manifest_text(folder: Path, names: Iterable[str]) -> str:
    """Return the list for the files as they stand in ``folder``."""
    files = {name: file_sha256(folder / name) for name in sorted(names)}
    return json.dumps(_FORMAT | {"files": files}, indent=1) + "\n"


def own_files(folder: Path) -> dict[str, str]:
    """Return name → SHA-256 of the files that the last report put into ``folder``; none where that is not known."""
    try:
        document = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        files = dict(document["files"]) if document["format"] == _FORMAT["format"] else {}
    except (OSError, ValueError, KeyError, TypeError):
        return {}
    return {name: digest for name, digest in files.items() if Path(name).name == name and isinstance(digest, str)}


def is_unchanged(folder: Path, name: str, own: Mapping[str, str]) -> bool:
    """Say whether a file is ours and as we wrote it: as the list or the seal inside has it."""
    path = folder / name
    if not path.is_file() or path.is_symlink():
        return False
    return file_sha256(path) == own[name] or is_sealed(path) if name in own else is_ours(path)


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
