"""Files written whole or not at all, names that stay inside their folder, and hashes."""

import errno
import hashlib
import os
import re
import shutil
import sys
import tempfile
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from bodytest.errors import UnwritableFile
from bodytest.files.lock import is_free
from bodytest.files.outputs import is_special, is_standard_output, refuse_output, target_of
from bodytest.shown import visible

Content = bytes | str | Iterable[bytes]
"""What a file is to hold, whole or in pieces; text is written as UTF-8."""
_PART = ".part"
"""Ending of a file that is being written."""


def write_whole(path: Path, content: Content, *, overwrite: bool = True) -> None:
    """Write ``content``, whole or in pieces, so that ``path`` holds either all of it or what it held before.

    ``-`` is standard output. A link stays a link, a file keeps its permissions, a pipe or device is written to.

    Raises:
        UnwritableFile: a file is there that is not ours (any, where ``overwrite`` is false), or the system refuses.
    """
    if is_standard_output(path):
        stream = sys.stdout  # noqa: TID251 (a document of ours, not a sentence)
        stream.flush()
        stream.buffer.writelines(map(_seen, _pieces(content)) if stream.isatty() else _pieces(content))
        stream.buffer.flush()
        return
    refuse_output(path, overwrite=overwrite)
    with refusals_told(path):
        target = target_of(path)
        if is_special(target):
            with os.fdopen(os.open(target, os.O_WRONLY), "wb") as special:
                special.writelines(_pieces(content))
            return
        target.parent.mkdir(parents=True, exist_ok=True)
        _remove_leftovers(target)
        _write_beside(target, path, content, overwrite)


def rewrite(path: Path, known: bytes, content: Content) -> None:
    """Put ``content`` in the place of a file that holds what the caller knows to be ours, whole or not at all.

    Raises:
        UnwritableFile: the file holds something else by now, or the system refuses.
    """
    with refusals_told(path):
        if path.read_bytes() != known:
            raise UnwritableFile("not-our-file", sheet=str(path))
        _write_beside(target_of(path), path, content, overwrite=True)


def make_folder(folder: Path) -> None:
    """Make the folder that an output goes into, with those above it."""
    with refusals_told(folder):
        folder.mkdir(parents=True, exist_ok=True)


def _seen(piece: bytes) -> bytes:
    """Return part of a document for a terminal, which must not take names in it for commands."""
    return visible(piece.decode("utf-8", errors="backslashreplace")).encode("utf-8")


def _write_beside(target: Path, path: Path, content: Content, overwrite: bool) -> None:
    handle, name = tempfile.mkstemp(prefix=_part_prefix(target), suffix=_PART, dir=target.parent)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as open_part:
            is_free(open_part.fileno())  # held from here on, so that another run leaves the part alone
            fill(open_part.fileno(), content)
            like(target, part)
            if os.name != "nt":
                _put_in_place(part, target, path, overwrite)
        if os.name == "nt":  # a file that is open cannot be moved there
            _put_in_place(part, target, path, overwrite)
    finally:
        with suppress(OSError):  # it became the file, or the next run removes it
            part.unlink()


@contextmanager
def refusals_told(path: Path) -> Iterator[None]:
    """Turn what the system refuses into a sentence with the file's name; a pipe that nobody reads stays as it is.

    Raises:
        UnwritableFile: the system refused.
    """
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        raise UnwritableFile("cannot-write", sheet=str(path), reason=error.strerror or str(error)) from error


def fill(handle: int, content: Content) -> None:
    """Write the content to an open file and see to it that the disk has it."""
    with os.fdopen(os.dup(handle), "wb") as file:
        file.writelines(_pieces(content))
    os.fsync(handle)


def like(old: Path, new: Path) -> None:
    """Give a new file or folder the permissions, owner and marks of the one it replaces, or else the usual ones."""
    try:
        shutil.copystat(old, new)
        status = old.stat()
    except FileNotFoundError:
        new.chmod((0o777 if new.is_dir() else 0o666) & ~_umask())
        return
    os.utime(new)
    if hasattr(os, "chown"):
        with suppress(PermissionError):
            os.chown(new, status.st_uid, status.st_gid)
            new.chmod(status.st_mode & 0o7777)


def _pieces(content: Content) -> Iterable[bytes]:
    data = content.encode("utf-8") if isinstance(content, str) else content
    return [data] if isinstance(data, bytes) else data


def _part_prefix(target: Path) -> str:
    return f".{target.name[:60]}."


def _remove_leftovers(target: Path) -> None:
    """Remove what a run that was killed left beside the file; what another run is writing is locked and stays."""
    with os.scandir(target.parent) as entries:
        names = [e.name for e in entries if e.name.startswith(_part_prefix(target)) and e.name.endswith(_PART)]
    for name in names:
        with suppress(OSError):
            handle = os.open(target.parent / name, os.O_RDWR)
            try:
                abandoned = is_free(handle)
            finally:
                os.close(handle)
            if abandoned:
                (target.parent / name).unlink()


def _put_in_place(part: Path, target: Path, path: Path, overwrite: bool) -> None:
    if overwrite:
        part.replace(target)
        return
    try:
        os.link(part, target)
    except FileExistsError as error:
        raise UnwritableFile("file-exists", sheet=str(path)) from error
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EIO):
            raise
        _claim_and_replace(part, target, path)  # a file system without links, as on most memory sticks


def _claim_and_replace(part: Path, target: Path, path: Path) -> None:
    """Put a file in place where no link can: an empty file of that name is made first, which only one can do."""
    try:
        target.touch(exist_ok=False)
    except FileExistsError as error:
        raise UnwritableFile("file-exists", sheet=str(path)) from error
    try:
        part.replace(target)
    except OSError:
        target.unlink()
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


_DEVICE = re.compile(r"con|prn|aux|nul|com\d|lpt\d")
"""Names that some systems keep for devices, whatever ending follows."""


def safe_file_name(text: str, taken: frozenset[str] | set[str] = frozenset()) -> str:
    """Turn any text into a file name of letters, digits and hyphens that is not in ``taken``.

    Letters of other scripts stand by their numbers in Unicode; a long text ends in the beginning of its SHA-256.

    >>> safe_file_name("Marl Red"), safe_file_name("../../etc/passwd"), safe_file_name("Ü <b>", {"u-b"})
    ('marl-red', 'etc-passwd', 'u-b-2')
    >>> safe_file_name("粘土"), safe_file_name("Ton 粘土 2")
    ('7c98-571f', 'ton-7c98-571f-2')
    """
    plain = "".join(_plain_letter(letter) for letter in unicodedata.normalize("NFC", text.casefold())).lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "body"
    if len(stem) > _LONGEST_STEM:
        stem = f"{stem[: _LONGEST_STEM - 9].strip('-')}-{sha256_of(text.encode('utf-8'))[:8]}"
    if _DEVICE.fullmatch(stem):
        stem = f"body-{stem}"
    name, number = stem, 2
    while name in taken:
        name, number = f"{stem}-{number}", number + 1
    return name


_LONGEST_STEM = 60


def _plain_letter(letter: str) -> str:
    """Return the plain letters of one letter, its number in Unicode where it has none, "" for what is no letter."""
    plain = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode("ascii")
    if plain:
        return plain
    return f"-{ord(letter):x}-" if unicodedata.category(letter)[0] in "LMNS" else "-"


def sha256_of(data: bytes) -> str:
    """Return the SHA-256 of the bytes as 64 hexadecimal digits.

    >>> sha256_of(b"")[:12]
    'e3b0c44298fc'
    """
    return hashlib.sha256(data).hexdigest()
