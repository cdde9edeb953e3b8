"""Files written whole or not at all, names that stay inside their folder, and hashes."""

import hashlib
import os
import re
import tempfile
import unicodedata
from collections.abc import Iterable
from pathlib import Path

from bodytest.errors import UnwritableFile


def write_whole(path: Path, content: bytes | str | Iterable[bytes], *, overwrite: bool = True) -> None:
    """Write ``content``, whole or in pieces, so that ``path`` holds either all of it or what it held before.

    Raises:
        UnwritableFile: the file exists and ``overwrite`` is false, or the system refuses (no permission, disk full).

    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    pieces = [data] if isinstance(data, bytes) else data
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name[:60]}.", suffix=".part", dir=path.parent)
        with os.fdopen(handle, "wb") as part:
            part.writelines(pieces)
            part.flush()
            os.fsync(part.fileno())
        _put_in_place(Path(temporary), path, overwrite)
    except OSError as error:
        raise UnwritableFile("cannot-write", sheet=str(path), reason=error.strerror or str(error)) from error
    finally:
        if temporary:
            Path(temporary).unlink(missing_ok=True)


def _put_in_place(part: Path, path: Path, overwrite: bool) -> None:
    part.chmod(0o666 & ~_umask())
    if overwrite:
        part.replace(path)
        return
    try:
        os.link(part, path)
    except FileExistsError as error:
        raise UnwritableFile("file-exists", sheet=str(path)) from error
    except OSError:  # a file system without links, as on most memory sticks
        _claim_and_replace(part, path)


def _claim_and_replace(part: Path, path: Path) -> None:
    """Put a file in place where no link can: an empty file of that name is made first, which only one can do."""
    try:
        path.touch(exist_ok=False)
    except FileExistsError as error:
        raise UnwritableFile("file-exists", sheet=str(path)) from error
    try:
        part.replace(path)
    except OSError:
        path.unlink()
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


_DEVICE = re.compile(r"con|prn|aux|nul|com\d|lpt\d")
"""Names that some systems keep for devices, whatever ending follows."""


def safe_file_name(text: str, taken: frozenset[str] | set[str] = frozenset()) -> str:
    """Turn any text into a file name of letters, digits and hyphens that is not in ``taken``.

    >>> safe_file_name("Marl Red"), safe_file_name("../../etc/passwd"), safe_file_name("Ü <b>", {"u-b"})
    ('marl-red', 'etc-passwd', 'u-b-2')
    """
    plain = unicodedata.normalize("NFKD", text.casefold()).encode("ascii", "ignore").decode("ascii").lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "body"
    if _DEVICE.fullmatch(stem):
        stem = f"body-{stem}"
    name, number = stem, 2
    while name in taken:
        name, number = f"{stem}-{number}", number + 1
    return name


def sha256_of(data: bytes) -> str:
    """Return the SHA-256 of the bytes as 64 hexadecimal digits.

    >>> sha256_of(b"")[:12]
    'e3b0c44298fc'
    """
    return hashlib.sha256(data).hexdigest()
