"""Files to read, by name or as standard input: what they hold, whether they are results, what they are called."""

import io
import sys
from functools import cache
from pathlib import Path
from typing import BinaryIO

from bodytest.shown import file_label

STANDARD = Path("-")
"""Stands for standard input where a file is read, for standard output where one is written."""
RESULTS_ENDING = ".json"
"""Ending by which a results file is told from a sheet."""
WORKBOOK_ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm", ".ods", ".ots")
TEXT_ENDINGS = (".csv", ".tsv", ".tab", ".txt")
SHEET_ENDINGS = (*WORKBOOK_ENDINGS, *TEXT_ENDINGS)
"""Endings of the sheets that are read."""


@cache
def standard_input() -> bytes:
    """Return all of standard input, which can be read once."""
    return sys.stdin.buffer.read()


def opened(path: Path) -> BinaryIO:
    """Open a file, or what standard input held, to read its bytes.

    Raises:
        OSError: the system does not hand it over.
    """
    return io.BytesIO(standard_input()) if path == STANDARD else path.open("rb")


def content_of(path: Path) -> bytes:
    """Return the bytes of a file, or of standard input.

    Raises:
        OSError: the system does not hand them over.
    """
    return standard_input() if path == STANDARD else path.read_bytes()


def is_results(path: Path) -> bool:
    """Say whether a file is named as a results file; standard input is one where it begins as JSON does."""
    if path == STANDARD:
        return standard_input().removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"{")
    return path.suffix.lower() == RESULTS_ENDING


def is_sheet(path: Path) -> bool:
    """Say whether a file is named as a sheet."""
    return path.suffix.lower() in SHEET_ENDINGS


def stands_as_sheet(path: Path) -> bool:
    """Say whether a file that stands in a folder is meant as a sheet: no note, nothing that programs keep there.

    >>> [stands_as_sheet(Path(name)) for name in ("trial.ods", "to buy.txt", "~$trial.xlsx", ".trial.csv")]
    [True, False, False, False]
    """
    return is_sheet(path) and path.suffix.lower() != ".txt" and not path.name.startswith((".", "~"))


def name_of(path: Path) -> str:
    """Return the name of a file without its folders, for findings."""
    return file_label(Path(called(path)).name or str(path))


def called(path: Path) -> str:
    """Return what people call a file.

    >>> called(Path("old/trial.xlsx")), called(STANDARD)
    ('old/trial.xlsx', 'standard input')
    """
    return "standard input" if path == STANDARD else str(path)
