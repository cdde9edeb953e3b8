"""Locks on open files, which the system releases when a process dies, so that none is ever stale."""

import errno
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from bodytest.errors import UnwritableFile

_PAUSE_S = 0.05
_NOT_HERE = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL}
"""What a file system says that knows no locks."""

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def is_free(handle: int) -> bool:
    """Lock an open file and say whether that went; it did not when another holds it or there are no locks here."""
    try:
        _lock(handle)
    except OSError:
        return False
    return True


@contextmanager
def held(lock: Path, about: Path, *, patience_s: float) -> Iterator[None]:
    """Hold the lock file, whose folder is made when missing, while something happens to ``about``, and remove it then.

    Raises:
        UnwritableFile: another run holds it for longer than ``patience_s`` [s]; ``about`` is told to be busy.
    """
    handle = _taken(lock, about, time.monotonic() + patience_s)
    try:
        yield
    finally:
        if os.name == "nt":  # a file that is open cannot be removed there
            os.close(handle)
        with suppress(OSError):  # left behind, it locks nobody out
            lock.unlink()
        if os.name != "nt":
            os.close(handle)


def _taken(lock: Path, about: Path, until: float) -> int:
    while True:
        try:
            lock.parent.mkdir(parents=True, exist_ok=True)
            handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o666)
        except (FileNotFoundError, FileExistsError):  # the run before has just tidied up
            if time.monotonic() > until:
                raise
            continue
        try:
            _lock(handle)
        except OSError as error:
            if error.errno in _NOT_HERE:
                return handle
            os.close(handle)
            if time.monotonic() > until:
                raise UnwritableFile("report-busy", sheet=str(about)) from error
            time.sleep(_PAUSE_S)
            continue
        if _is_still(lock, handle):
            return handle
        os.close(handle)


def _is_still(lock: Path, handle: int) -> bool:
    """Say whether the open file is the one that has the name now; the run before may have removed it."""
    try:
        return os.path.samestat(lock.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False
