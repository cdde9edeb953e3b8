"""Codes to scratch into clay: letters that no digit is taken for, then a number whose 6 and 9 carry a stroke below."""

import re
import unicodedata
from collections.abc import Iterable

STROKED = "69"
"""Digits below which a stroke is scratched: turned round, each is the other."""
_LETTERS = "ACFHJKMNPRTUXY"
"""Letters that look like no digit and like none of each other, upright or turned round: no O Q D (0), I L (1, 7),
Z (2), E (3), S (5), G (6), B (8), V (U), W (M)."""
_ALIKE = str.maketrans("OQDILZSGBV", "000112568U")
_TURNED = dict(zip("0123578HNXMWE", "012E518HNXWM3", strict=True))
"""What a sign is read as upside down; others are seen to be turned, as a digit whose stroke then stands above."""


def bar_letters(body: str, taken: Iterable[str]) -> str:
    """Return letters for bar codes: of each of two words of the body the first safe one; none of those ``taken``.

    >>> bar_letters("Drift Buff", ()), bar_letters("", ()), bar_letters("Marl Red", {"MR"})
    ('RU', 'T', 'MRA')
    """
    plain = unicodedata.normalize("NFKD", body).encode("ascii", "ignore").decode("ascii").upper()
    safe = (re.sub(f"[^{_LETTERS}]", "", word)[:1] for word in re.findall("[A-Z]+", plain))
    initials = "".join(safe)[:2] or "T"
    letters, extra = initials, 0
    while letters in taken:
        letters = initials + _letters_of(extra)
        extra += 1
    return letters


def _letters_of(number: int) -> str:
    text = ""
    while number >= 0:
        text = _LETTERS[number % len(_LETTERS)] + text
        number = number // len(_LETTERS) - 1
    return text


def easily_confused(codes: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Return pairs of codes that look alike in clay, one of them upside down perhaps, though 6 and 9 have strokes.

    >>> easily_confused(["M81", "MB1", "108", "801", "66", "99", "86", "98"])
    (('M81', 'MB1'), ('108', '801'))
    """
    upright: dict[str, str] = {}
    turned: dict[str, str] = {}
    pairs: list[tuple[str, str]] = []
    for code in dict.fromkeys(codes):
        look = code.upper().translate(_ALIKE)
        signs = [_TURNED.get(sign, "") for sign in reversed(look)]
        look_turned = "".join(signs) if all(signs) else ""
        others = (upright.get(look), upright.get(look_turned), turned.get(look))
        pairs += [(other, code) for other in others if other][:1]
        upright.setdefault(look, code)
        turned.setdefault(look_turned, code)
    return tuple(pairs)
