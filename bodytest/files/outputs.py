"""What an output may replace: nothing but what bodytest wrote, never an input; asked before anything is computed."""

import os
import stat
from collections.abc import Iterable
from pathlib import Path

from bodytest.errors import UnwritableFile
from bodytest.files.inputs import STANDARD, called
from bodytest.files.own_files import is_ours

_STDIN, _STDOUT = 0, 1


def refuse_output(path: Path, inputs: Iterable[Path] = (), *, overwrite: bool = True) -> None:
    """Return when ``path`` may be written; the inputs and whatever stands there stay untouched otherwise.

    ``overwrite`` says whether an earlier output of ours may be replaced.

    Raises:
        UnwritableFile: it is an input, a file that is not ours, no place for a file, or write-protected.
    """
    refuse_input(path, inputs)
    if is_standard_output(path):
        return
    try:
        target = target_of(path)
        status = _status(target)
        if status is None:
            refuse_folder(target.parent, path)
        elif not (stat.S_ISREG(status.st_mode) or is_special(target)):
            code = "cannot-write" if stat.S_ISDIR(status.st_mode) else "no-file"
            raise UnwritableFile(code, sheet=str(path), reason="Is a directory")
        elif stat.S_ISREG(status.st_mode):
            _refuse_file(target, path, overwrite)
        if status is not None and not os.access(target, os.W_OK):
            raise UnwritableFile("cannot-write", sheet=str(path), reason="Permission denied")
    except OSError as error:
        raise UnwritableFile("cannot-write", sheet=str(path), reason=error.strerror or str(error)) from error


def refuse_all(paths: Iterable[Path], inputs: Iterable[Path] = ()) -> None:
    """Return when all of the files may be written; see `refuse_output`."""
    inputs = list(inputs)
    for path in paths:
        refuse_output(path, inputs)


def refuse_input(path: Path, inputs: Iterable[Path]) -> None:
    """Return when ``path`` is none of the inputs, by whatever name.

    Raises:
        UnwritableFile: it is one.
    """
    for source in inputs:
        if _is_same(path, source):
            raise UnwritableFile("output-is-input", sheet=str(path), source=called(source))


def refuse_folder(folder: Path, path: Path) -> None:
    """Return when files can be made in a folder, or the folder itself.

    Raises:
        UnwritableFile: something else stands in its way, or it is write-protected.
    """
    there = next(place for place in (folder, *folder.parents) if place.exists() or place == place.parent)
    if not there.is_dir():
        raise UnwritableFile("cannot-write", sheet=str(path), reason=f"{there} is no folder")
    if not os.access(there, os.W_OK | os.X_OK):
        raise UnwritableFile("cannot-write", sheet=str(path), reason="Permission denied")


def refuse_stream(folder: Path) -> None:
    """Return when a folder is to be written, and not standard output, which takes one file.

    Raises:
        UnwritableFile: it is standard output.
    """
    if folder == STANDARD:
        raise UnwritableFile("folder-to-standard-output")


def is_standard_output(path: Path) -> bool:
    """Say whether a path is standard output: ``-``, or a name of the very file that standard output goes to."""
    if path == STANDARD:
        return True
    try:
        return os.path.samestat(path.stat(), os.fstat(_STDOUT))
    except (OSError, ValueError):
        return False


def target_of(path: Path) -> Path:
    """Return the file that links lead to in the end.

    Raises:
        OSError: they lead round in a circle.
    """
    try:
        return path.resolve()
    except RuntimeError as error:
        raise OSError(0, "its links lead round in a circle") from error


def is_special(target: Path) -> bool:
    """Say whether it is a pipe or a device that takes bytes one after the other."""
    status = _status(target)
    return status is not None and (stat.S_ISFIFO(status.st_mode) or stat.S_ISCHR(status.st_mode))


def _refuse_file(target: Path, path: Path, overwrite: bool) -> None:
    if not overwrite:
        raise UnwritableFile("file-exists", sheet=str(path))
    if not is_ours(target):
        raise UnwritableFile("not-our-file", sheet=str(path))
    refuse_folder(target.parent, path)


def _is_same(path: Path, source: Path) -> bool:
    """Say whether two names stand for one file; standard input and output only where they are files."""
    try:
        there = os.fstat(_STDOUT) if path == STANDARD else path.stat()
        given = os.fstat(_STDIN) if source == STANDARD else source.stat()
        return stat.S_ISREG(there.st_mode) and os.path.samestat(there, given)
    except (OSError, ValueError):
        return False


def _status(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except FileNotFoundError:
        return None
