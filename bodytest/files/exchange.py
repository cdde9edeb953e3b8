"""Two folders that change places in one step, where the system can do that."""

import ctypes
import os
import sys
from pathlib import Path

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
