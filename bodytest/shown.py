"""Untrusted text → text in which every sign is seen.

Whatever was typed, read from a file or named by a system is untrusted, and its type is ``str``. `Shown` is the type of
what may stand before people on a terminal: escape sequences, backspaces, signs that turn the direction of writing or
have no width, and halves of signs are written out in it (``\\x1b``, ``\\u202e``), and what is too long is clipped.
Console and pages make it themselves from every text that they are handed, so no command can forget to.
"""

import os
import re
from collections.abc import Mapping

_STEERING = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff0-\ufffb"
    "\ud800-\udfff\U000e0000-\U000e0fff]"
    "|[\u200c\u200d](?![\u0600-\u0dff])|(?<![\u0600-\u0dff])[\u200c\u200d]"  # joiners belong to some scripts' spelling
)
"""Signs that steer a terminal, turn text round or cannot be seen; all but the line feed."""
_LONG_WORD = re.compile(r"\S{301,}")
_LONGEST_WORD, _LONGEST_BLANK, _LONGEST_LINE = 160, 400, 1200
"""Signs that are left of a word of more than 300, of a blank in a sentence, and of a line."""


class Shown(str):
    """One line for people in which every sign is seen; only `shown` and the console make it."""

    __slots__ = ()


def shown(line: str) -> Shown:
    r"""Return untrusted text as one line: line feeds are written out, too long words and lines clipped.

    >>> shown("Marl\x1b[31m Red\nNothing to mend")
    'Marl\\x1b[31m Red\\nNothing to mend'
    """
    if isinstance(line, Shown):
        return line
    return Shown(_abridged(visible(line).replace("\n", r"\n"), _LONGEST_LINE))


def visible(text: str) -> str:
    r"""Return untrusted text with everything written out that cannot be seen; line feeds stay.

    A byte of a file name that is no UTF-8 is written as that byte.

    >>> visible("safe\u202egpj.exe"), visible("caf\udce9")
    ('safe\\u202egpj.exe', 'caf\\xe9')
    """
    return text if text.isascii() and text.isprintable() else _STEERING.sub(_written_out, text)


def for_blanks(words: Mapping[str, object]) -> dict[str, object]:
    """Return what fills the blanks of a sentence: texts that are too long are clipped, numbers stay numbers."""
    return {name: _abridged(word, _LONGEST_BLANK) if isinstance(word, str) else word for name, word in words.items()}


def clipped(text: str, most: int) -> str:
    """Return the text, cut in the middle where it is longer than ``most`` signs.

    >>> clipped("a very long name", 9)
    'a ve…name'
    """
    half = most // 2
    return text if len(text) <= most else f"{text[: most - half - 1]}…{text[-half:]}"


def file_label(name: str) -> str:
    r"""Return the name of a file as text that any program can read: bytes that are no UTF-8 are written out.

    >>> file_label("caf\udce9.csv")
    'caf\\xe9.csv'
    """
    return os.fsencode(name).decode("utf-8", errors="backslashreplace")


def visible_json(text: str) -> str:
    r"""Return a JSON text with signs that cannot be seen as JSON escapes, which say the same.

    >>> visible_json('"\x9b\u202e"')
    '"\\u009b\\u202e"'
    """
    if text.isascii() and "\x7f" not in text:
        return text
    import json

    return _STEERING.sub(lambda sign: json.dumps(sign.group())[1:-1], text)


def _abridged(text: str, most: int) -> str:
    """Clip each word that is too long, then the whole, so that of several long names each is still told."""
    return clipped(_LONG_WORD.sub(lambda word: clipped(word.group(), _LONGEST_WORD), text), most)


def _written_out(sign: re.Match[str]) -> str:
    code = ord(sign.group())
    if 0xDC80 <= code <= 0xDCFF:  # how Python keeps a byte that is no UTF-8
        code -= 0xDC00
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
