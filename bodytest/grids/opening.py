"""A file becomes grids of raw cells, or a finding that says why it cannot."""

import re
import zipfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from itertools import chain, count
from pathlib import Path
from typing import Protocol
from xml.parsers import expat

from bodytest.files.inputs import STANDARD, TEXT_ENDINGS, WORKBOOK_ENDINGS, content_of
from bodytest.files.results_file import FORMAT
from bodytest.files.writing import sha256_of
from bodytest.grids.grid import Grid, Oddity
from bodytest.grids.notebook import Notebook
from bodytest.grids.xml_parts import HarmfulPart

LARGEST_FILE = 400 << 20
"""Bytes of a file above which it is no sheet of readings."""
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_DAMAGE = (zipfile.BadZipFile, EOFError, OSError, NotImplementedError, RuntimeError, ValueError)
"""What reading a damaged archive raises."""


@dataclass(frozen=True)
class Workbook:
    """What one file holds."""

    content: bytes = b""
    """Its bytes; blank when it could not be opened."""
    grids: list[Grid] = field(default_factory=list)
    """Its tables."""
    readable: bool = False
    """Could it be read?"""
    sha256: str = ""
    """Hash of its bytes."""
    notes: tuple[Oddity, ...] = ()
    """What was found out about it as a whole."""
    said: tuple[tuple[str, ...], tuple[str, ...]] = ((), ())
    """What was said of its headings and units when it was read before, as typed behind ``--as`` and ``--unit``."""

    def kept(self) -> "Workbook":
        """Return it as it was opened, without its bytes, whatever its reading does to it."""
        return replace(self, content=b"", grids=[replace(grid) for grid in self.grids])


class Source(Protocol):
    """A workbook that can be opened."""

    @property
    def path(self) -> Path:
        """Where it lies, or would lie; its name is told in every finding."""

    def open(self, notes: Notebook, is_heading: Callable[[str], bool]) -> Workbook:
        """Return its tables; ``is_heading`` says whether a text is a heading that is known."""


@dataclass(frozen=True)
class FileSource:
    """A file on the disk."""

    path: Path
    """Where it lies."""

    def open(self, notes: Notebook, is_heading: Callable[[str], bool]) -> Workbook:
        """Read its tables."""
        return open_workbook(self.path, notes, is_heading)


@dataclass(frozen=True)
class OpenedSource:
    """A workbook that was opened before, here or on another day."""

    path: Path
    """Where it would lie."""
    workbook: Workbook
    """It."""

    def open(self, notes: Notebook, is_heading: Callable[[str], bool]) -> Workbook:
        """Tell of it what was told when it was opened."""
        for note in self.workbook.notes:
            notes.add(note.code, value=note.value, **note.words)
        tell_oddities(self.workbook.grids, notes)
        return self.workbook


def open_workbook(path: Path, notes: Notebook, is_heading: Callable[[str], bool]) -> Workbook:
    """Read a file's tables; whatever stands in the way becomes one ``stop`` finding and no exception.

    ``is_heading`` says whether a text is a heading that is known, by which text tables are split.
    """
    content = _content(path, notes)
    if content is None:
        return Workbook(sha256=sha256_of(b""), notes=tuple(notes.of_file))
    grids = _read_grids(path, content, notes, is_heading)
    for grid, name in zip(grids or [], unique_names(grid.name for grid in grids or []), strict=True):
        grid.name = name
    tell_oddities(grids or [], notes)
    return Workbook(content, grids or [], grids is not None, sha256_of(content), tuple(notes.of_file))


def tell_oddities(grids: list[Grid], notes: Notebook) -> None:
    """Write down what the file holds and its tables cannot."""
    for grid in grids:
        for odd in grid.oddities:
            notes.add(odd.code, table=grid.name, row=odd.row, column=odd.column, value=odd.value, **odd.words)
            for row, column in odd.others:
                notes.mention(grid.name, row, column)


def unique_names(names: Iterable[str]) -> list[str]:
    """Give names that are there more than once a number.

    >>> unique_names(["Bars", "Lab", "Bars", "Bars (2)"])
    ['Bars', 'Lab', 'Bars (2)', 'Bars (2) (2)']
    """
    unique: dict[str, None] = {}
    for name in names:
        numbered = (f"{name} ({number})" for number in count(2))
        unique[next(one for one in chain([name], numbered) if one not in unique)] = None
    return list(unique)


def _content(path: Path, notes: Notebook) -> bytes | None:
    if path.name.startswith(("~$", ".~lock.")):
        notes.add("file-is-lock")
        return None
    try:
        content = content_of(path) if path == STANDARD or _is_readable(path, notes) else None
    except FileNotFoundError:
        notes.add("file-not-found")
    except PermissionError:
        notes.add("file-not-allowed")
    except (OSError, ValueError) as error:
        notes.add("file-unreadable", reason=getattr(error, "strerror", None) or "the system does not hand it over")
    else:
        if content is None or content.strip(b"\0 \r\n\t"):
            return content
        notes.add("file-empty")
    return None


def _is_readable(path: Path, notes: Notebook) -> bool:
    """Say whether a path is an ordinary file of a size that sheets have."""
    size = path.stat().st_size
    if path.is_dir():
        notes.add("file-is-folder")
    elif not path.is_file():
        notes.add("not-a-spreadsheet", reason="it is no ordinary file")
    elif size > LARGEST_FILE:
        notes.add("file-harmful", reason=f"it is {size / 1e6:.0f} MB large")
    else:
        return True
    return False


def _read_grids(path: Path, content: bytes, notes: Notebook, is_heading: Callable[[str], bool]) -> list[Grid] | None:
    reader = _reader(path, content, notes, is_heading)
    if reader is None:
        return None
    try:
        return reader(content)
    except HarmfulPart as harm:
        notes.add("file-harmful", reason=str(harm))
    except MemoryError:
        notes.add("file-harmful", reason="it asks for more memory than there is")
    except (*_DAMAGE, expat.ExpatError, LookupError):
        notes.add("file-damaged")
    except Exception as error:
        if type(error).__module__.partition(".")[0] not in ("zlib", "_csv"):
            raise
        notes.add("file-damaged")
    return None


def _reader(
    path: Path, content: bytes, notes: Notebook, is_heading: Callable[[str], bool]
) -> "Callable[[bytes], list[Grid] | None] | None":
    """Return what reads the file, told from its first bytes; a finding and None when nothing does."""
    if content.startswith(_OLE):
        old = path.suffix.lower() == ".xls"
        notes.add("old-excel-file" if old else "file-protected")
        return None
    if content.startswith(b"PK"):
        return _zip_reader(content, notes)
    if content.startswith(b"{") and f'"{FORMAT}"'.encode() in content[:100]:
        notes.add("results-misnamed")
        return None
    if path == STANDARD or path.suffix.lower() in TEXT_ENDINGS:
        return lambda text: _read_text(path, text, notes, is_heading)
    damaged = path.suffix.lower() in WORKBOOK_ENDINGS
    notes.add("file-damaged" if damaged else "not-a-spreadsheet", reason="it is no .xlsx, .ods or .csv file")
    return None


def _zip_reader(content: bytes, notes: Notebook) -> "Callable[[bytes], list[Grid] | None] | None":
    import io

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = {name.lower() for name in archive.namelist()}
            encrypted = any(info.flag_bits & 1 for info in archive.infolist())
            manifest = _manifest(archive)
    except (*_DAMAGE, KeyError):
        notes.add("file-damaged")
        return None
    if encrypted or b"encryption-data" in manifest:
        notes.add("file-protected")
        return None
    if "xl/vbaproject.bin" in names or any(name.startswith("basic/") for name in names):
        notes.add("macros-not-run")
    if any(name.startswith("xl/externallinks/") for name in names):
        notes.add("links-not-followed")
    if any(re.fullmatch(r"(?:xl/)?workbook[^/]*\.xml", name) for name in names):
        from bodytest.grids.xlsx import read_xlsx

        return read_xlsx
    if "content.xml" in names:
        from bodytest.grids.ods import read_ods

        return read_ods
    notes.add("not-a-spreadsheet", reason="it is a zip archive without a table in it")
    return None


def _manifest(archive: zipfile.ZipFile) -> bytes:
    try:
        with archive.open("META-INF/manifest.xml") as part:
            return part.read(100_000)
    except KeyError:
        return b""


def _read_text(path: Path, content: bytes, notes: Notebook, is_heading: Callable[[str], bool]) -> list[Grid] | None:
    from bodytest.grids.delimited import NotText, read_delimited

    try:
        grid, encoding = read_delimited(content, is_heading)
    except (NotText, UnicodeDecodeError):
        named = f"is named {path.suffix} but " if path.suffix else ""
        notes.add("not-a-spreadsheet", reason=f"it {named}holds no text")
        return None
    if encoding == "Latin-1":
        notes.add("encoding-guessed")
    return [grid]
