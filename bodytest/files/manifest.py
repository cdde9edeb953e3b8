"""The list of a report's own files, kept in its folder with their hashes: what was edited or is foreign stands out."""

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path

from bodytest.files.own_files import is_ours, is_sealed

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


def is_unchanged(folder: Path, name: str, own: dict[str, str]) -> bool:
    """Say whether a file is ours and as we wrote it: as the list or the seal inside has it."""
    path = folder / name
    if not path.is_file() or path.is_symlink():
        return False
    return file_sha256(path) == own[name] or is_sealed(path) if name in own else is_ours(path)


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
