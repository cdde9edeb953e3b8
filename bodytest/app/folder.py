"""All of the disk that pages see: the sheets of one folder, each under a key; nothing is named by a path."""

import hashlib
import os
import re
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain, count
from pathlib import Path

from bodytest.app.typed_readings import typed_for
from bodytest.errors import UnreadableSheet, UnusableRequest
from bodytest.files.inputs import SHEET_ENDINGS, stands_as_sheet
from bodytest.files.writing import write_whole
from bodytest.shown import file_label

_LONGEST_NAME = 120
_UNFIT = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]+')
"""Signs that some system does not take in the name of a file."""


@dataclass(frozen=True)
class Sheet:
    """A sheet of the folder."""

    key: str
    """Its name in addresses; the same as long as the file keeps its name."""
    path: Path
    """Where it lies."""
    saved: datetime
    """When it was last saved."""
    stamp: tuple[int, int]
    """Time of the last change and size, by which a later state is told from this."""
    open_elsewhere: bool
    """Whether a spreadsheet program has laid its lock beside it."""
    typed: "tuple[Sheet, ...]" = ()
    """Tables of readings typed for it, which are read together with it."""

    @property
    def name(self) -> str:
        """Name of the file, for people."""
        return file_label(self.path.name)


@dataclass(frozen=True)
class Folder:
    """The folder that was opened."""

    path: Path
    """Where it is."""

    @property
    def name(self) -> str:
        """Its path, for people."""
        return file_label(str(self.path))

    @property
    def writable(self) -> bool:
        """Whether files can be made in it."""
        return os.access(self.path, os.W_OK | os.X_OK)

    def sheets(self) -> list[Sheet]:
        """Return the sheets by name, without hidden files and what other programs leave beside them.

        Raises:
            UnreadableSheet: the folder is gone.
        """
        try:
            with os.scandir(self.path) as entries:
                files = {entry.name: entry for entry in entries if entry.is_file()}
                found = [_sheet(Path(entry), files) for entry in files.values() if stands_as_sheet(Path(entry.name))]
        except OSError as error:
            raise UnreadableSheet("folder-gone", value=self.name) from error
        sheets = sorted((one for one in found if one), key=lambda sheet: (sheet.name.casefold(), sheet.name))
        return _with_typed(sheets)

    def sheet(self, key: str) -> Sheet:
        """Return the sheet with this key.

        Raises:
            UnreadableSheet: none has it, now.
        """
        found = next((sheet for sheet in self.sheets() if sheet.key == key), None)
        if found is None:
            raise UnreadableSheet("sheet-gone")
        return found

    def free_path(self, name: str, ending: str | None = None) -> Path:
        """Return a path in the folder for a file of this name, with a number where the name is taken.

        Raises:
            UnusableRequest: the name has an ending that no sheet has.
        """
        plain = _UNFIT.sub("-", re.split(r"[/\\]", name)[-1]).strip().lstrip(".~ ")
        given = Path(plain).suffix.lower()
        stem = plain[: -len(given)] if given in SHEET_ENDINGS else plain
        if ending is None and not stands_as_sheet(Path(f"sheet{given}")):
            raise UnusableRequest("not-a-sheet-name", value=file_label(name))
        stem = stem.strip(" .")[:_LONGEST_NAME] or "sheet"
        taken = {one.casefold() for one in os.listdir(self.path)}
        names = (f"{one}{ending or given}" for one in chain([stem], (f"{stem} ({n})" for n in count(2))))
        return self.path / next(one for one in names if one.casefold() not in taken)

    def put(self, name: str, content: bytes) -> Sheet:
        """Copy a sheet into the folder under a free name; nothing is replaced.

        Raises:
            UnusableRequest: it is not named as a sheet.
            UnwritableFile: the system refuses.
        """
        path = self.free_path(name)
        write_whole(path, content, overwrite=False)
        return self.sheet(key_of(path.name))


def key_of(name: str) -> str:
    """Return the key of a file of this name.

    >>> key_of("trial.xlsx")
    '85b38d5bba080c13'
    """
    return hashlib.sha256(os.fsencode(name)).hexdigest()[:16]


def _with_typed(sheets: list[Sheet]) -> list[Sheet]:
    """Put tables of typed readings to their sheets; those whose sheet is not here stay as they are."""
    names = {sheet.name for sheet in sheets}
    of = {one.key: name for one in sheets if (name := typed_for(one.path)) in names - {one.name}}
    own = [replace(one, typed=tuple(t for t in sheets if of.get(t.key) == one.name)) for one in sheets]
    return [one for one in own if one.key not in of]


def _sheet(path: Path, files: "dict[str, os.DirEntry[str]]") -> Sheet | None:
    try:
        status = path.stat()
    except OSError:  # removed since it was listed
        return None
    locked = f"~${path.name}" in files or f"~${path.name[2:]}" in files or f".~lock.{path.name}#" in files
    saved = datetime.fromtimestamp(status.st_mtime)
    return Sheet(key_of(path.name), path, saved, (status.st_mtime_ns, status.st_size), locked)
