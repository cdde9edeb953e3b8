"""What titles, notes and the names of tabs say of all bars below them: body, cone, temperature, atmosphere, units."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

from bodytest.cones import CLUE_WORDS, is_cone_clue, parse_cone
from bodytest.grids.grid import Place
from bodytest.intake.cells import read_number, read_text
from bodytest.intake.layouts.headings import meaning
from bodytest.intake.layouts.meant import Meaning
from bodytest.intake.layouts.vocabulary import word_list
from bodytest.intake.layouts.words import unknown_words
from bodytest.units import canonical_unit, dimension_of

_CONE = re.compile(
    r"(?<![\w.])(?<!seger )(?<!sk )(?<!table )(?:cones?|c|△|Δ|∆|\^)\s*[.:=]?\s*(0?\d{1,2}(?:\s*½|[\s-]1/2|\.5)?)"
    r"(?![\w/]|[.,:]\d|\s*%)"
    rf"(?!\s*(?:and|to|or|&|\+|[-–])\s*0?\d{{1,2}}\b|\s*{CLUE_WORDS}\b)",
    re.IGNORECASE,
)
_TEMPERATURE = re.compile(r"(?<![\w.,])(\d{3,4})\s*(?:°|º|deg(?:rees)?\.?)?\s*([CF])\b", re.IGNORECASE)
_OF_BISQUE = re.compile(
    r"\b(?:bisqued?|biscuit|bisc)\b[^,;.\n]*?\d+\s*(?:°?\s*[CF]\b)?(?=\s*(?:[,;.\n]|\b(?:and|then)\b|$))", re.IGNORECASE
)
"""The heat of a first firing, which counts where no other is told: bisque cone 04, glaze cone 6."""
_FIRING = re.compile(
    r"\b(?:(?:kiln\s+)?load|firing(?=\s*(?:no|nr|number|#)))\s*(?:no\b|nr\b|number|#)?[.:]?\s*"
    r"([a-z]{0,3}-?\d{1,4}[a-z]?)(?=\s*(?:$|[;:)\n]|[.,](?!\d)|[–-]\s))",
    re.IGNORECASE,
)
_ATMOSPHERE = re.compile(r"\b(oxidation|ox(?!\s+(?-i:[A-Z]))|reduction|redux|neutral)\b", re.IGNORECASE)
_SHORT = {"ox": "oxidation", "redux": "reduction"}
_DATE = re.compile(r"(?<!\d)(?:\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./]\d{1,2}[./]\d{2,4}|(?:19|20)\d\d)(?!\d)")
LENGTH_TOLD = re.compile(r"(\d+(?:[.,]\d+)?)\s*(mm|cm|inch(?:es)?|″|\")(?!\w)", re.IGNORECASE)
"""A number and its unit of length: lines 100 mm apart."""
OF_WET = re.compile(r"\b(?:wet|plastic|(?:when|as|freshly)\s+made)\b(?![^.;]*\b(?:dry|dried|fired)\b)", re.IGNORECASE)
"""What says that a length told is that of the wet bars."""
_OF_PEOPLE = re.compile(
    r"^[\w ]+\b(?i:by)\s*:?$|\b(?i:by)(?:\s+|:\s*)\S+(?:\s+(?:and|&)\s+\S+)?"
    r"|(?:\b[A-Z][\w'’]*\s+){1,3}(?i:pottery|potteries|potters|ceramics|studios?|workshop|school|college)\b"
)
"""Who made or fired something, and where."""
_LABELLED = re.compile(
    r"^\s*(?:clay\s*body|body|clay)\s*(?:name)?\s*[:=]\s*(.+)$|\bbody\s+((?-i:[A-Z])[\w'’]+(?:\s+(?-i:[A-Z])[\w'’]+)*)\s*$",
    re.IGNORECASE,
)
_PHRASES = re.compile(r"\s*[,;/|()\[\]\n]\s*|(?<=[a-z]{3})\.\s+|\s+[–—-]\s+|\s*:\s+")
_PROGRAM = re.compile(
    r"^(?:copy of |kopie von |copie de )|(?: ?[-–] ?(?:table|tabelle) ?\d+)$|^(?:sheet|blatt) ?\d* ?[-–] |\s*\(\d+\)$"
    r"| copy(?: \d+)?$",
    re.IGNORECASE,
)
_UNNAMED = re.compile(
    r"^(?:sheet|table|tabelle|feuil|feuille|blad|hoja|foglio|planilha|blatt|page)? ?\d*$", re.IGNORECASE
)
_PLAIN_HEAT = re.compile(r"cone|[△Δ∆^]|\d\s*(?:(?:°|º|deg(?:rees?)?\.?)\s*[CF]?|[CF])$", re.IGNORECASE)
_OF_SEVERAL = re.compile(r"\b(?:clays|bodies)\b", re.IGNORECASE)
LOWEST_HEAT_C = 400.0
"""Temperature from which a number is none of a cone."""
LONGEST_NAME = 4
"""Words that the name of a body has at most."""


@dataclass(frozen=True)
class Title:
    """What one text says."""

    body: str = ""
    """Name of the body."""
    sure: bool = False
    """Is the name labelled as one?"""
    cone: str = ""
    """Cone as on the chart."""
    peak_temperature: str = ""
    """Temperature with its unit."""
    atmosphere: str = ""
    """Oxidation, reduction or neutral."""
    units: tuple[str, ...] = ()
    """Units of all lengths or masses."""
    firing: str = ""
    """Code of the firing: load S4."""

    @property
    def heated(self) -> bool:
        """Whether it tells a cone or a temperature."""
        return bool(self.cone or self.peak_temperature)

    def told(self) -> dict[str, str]:
        """Return what it tells of bars, by the keys of our columns."""
        keys = ("body", "cone", "peak_temperature", "atmosphere")
        return {key: text for key in keys if (text := getattr(self, key))}


Titles = Sequence[tuple[Place | None, Title]]
"""Titles of a block, the nearest first, and where they stand; nowhere for the name of a tab."""


def tab_title(name: str) -> str:
    """Return the name of a tab without what programs add to it; nothing for the name of a new tab.

    >>> tab_title("Copy of Bars"), tab_title("Bars - Table 1"), tab_title("Sheet 1 - Bars"), tab_title("Tabelle1")
    ('Bars', 'Bars', 'Bars', '')
    """
    bare = name.strip()
    while (shorter := _PROGRAM.sub("", bare).strip()) != bare:
        bare = shorter
    return "" if _UNNAMED.match(bare) else bare


def read_title(text: str, *, of_tab: bool = False) -> Title:
    """Read a title, a note above the headings or the name of a tab, where a body may be called Torvan white.

    >>> found = read_title("Velmor test tiles, fired to cone 06")
    >>> found.body, found.cone
    ('Velmor', '06')
    >>> read_title("all in mm and grams").units, read_title("Shrinkage bars, line 100 mm").body
    (('mm', 'g'), '')
    """
    labelled = _LABELLED.search(text)
    later = _OF_BISQUE.sub(" , ", text)
    rest, cone = _cut(_CONE, later if _CONE.search(later) or _TEMPERATURE.search(later) else text)
    rest, temperature = _cut(_TEMPERATURE, rest)
    rest, atmosphere = _cut(_ATMOSPHERE, rest)
    rest, firing = _cut(_FIRING, rest)
    rest, _ = _cut(_DATE, _OF_PEOPLE.sub(" ", rest))
    loose = of_tab or bool(cone or temperature)
    body = (
        _PHRASES.split(labelled[1] or labelled[2])[0]
        if labelled
        else next((name for one in _PHRASES.split(rest)[:3] if (name := _name_in(one, loose=loose))), "")
    )
    unit = temperature[-1:].upper()
    return Title(
        body.strip(),
        bool(labelled),
        parse_cone(cone) or "" if cone else "",
        f"{temperature[:-1]} °{unit}" if temperature else "",
        _SHORT.get(atmosphere.lower(), atmosphere.lower()),
        _units(text),
        firing,
    )


def labelled(label: Any, value: Any) -> str:
    """Return what a cell says with the one before it that names it: Body, Torvan; Cone, 6; nothing where none does.

    >>> labelled("Cone", 6.0), labelled("Clay:", "Torvan"), labelled("wet", "dry")
    ('cone 6', 'body: Torvan', '')
    """
    text = read_text(value)
    means = meaning(label.rstrip(": "), "bars") if text and isinstance(label, str) and label else Meaning()
    if means.key == "peak_temperature" and text[:1].isdigit():
        return f"{text} {means.unit or '°C'}"
    if means.key == "firing" and not text.isdigit():
        return f"load {text}"
    if "cone" in means.may_be:
        return text if read_title(text).heated else ""
    if isinstance(label, str) and label.casefold().rstrip(": ") in word_list("unit_label"):
        return f"units: {text}"
    if means.key not in ("body", "cone") or (meaning(text, "bars").known and not unknown_words(text)):
        return ""
    return f"cone {text}" if means.key == "cone" and text[:1].isdigit() else f"{means.key}: {text}"


def labelled_values(row: Sequence[Any]) -> dict[int, str]:
    """Return what the cells of a row say that have their label before them, by their place in it.

    >>> labelled_values(["Body", "", "Torvan", "Cone", 6])
    {2: 'body: Torvan', 4: 'cone 6'}
    """
    filled = [(place, cell) for place, cell in enumerate(row) if read_text(cell)]
    return {place: text for (_, label), (place, value) in pairwise(filled) if (text := labelled(label, value))}


def names_cones(text: str) -> bool:
    """Tell whether a title names several cones, so that it says of no bar which one it saw.

    >>> names_cones("fired to cone 6 and cone 10"), names_cones("cones 6 and 10"), names_cones("cone 6, 12 bars")
    (True, True, False)
    """
    several = {parse_cone(found[1]) for found in _CONE.finditer(text)} - {None}
    return len(several) > 1 or ("cone" in text.casefold() and any(map(is_cone_clue, text.split(","))))


@lru_cache(maxsize=8192)
def heat_beside(text: str) -> tuple[str, str]:
    """Return a heading without the one cone or temperature that it names, and that.

    >>> heat_beside("fired length after 1060 °C (mm)"), heat_beside("fired (mm)")
    (('fired length after  ,  (mm)', '1060 °C'), ('fired (mm)', ''))
    """
    rest, cone = _cut(_CONE, text)
    rest, temperature = _cut(_TEMPERATURE, rest)
    if bool(cone) == bool(temperature):
        return text, ""
    return rest, f"cone {parse_cone(cone)}" if cone else f"{temperature[:-1]} °{temperature[-1].upper()}"


def cone_told(text: str) -> tuple[str, str]:
    """Return the cone that a cell names and the atmosphere beside it; no cone where it says anything else.

    >>> cone_told("Cone 6 ox"), cone_told("^10"), cone_told("cone 6 slow cooled")
    (('6', 'oxidation'), ('10', ''), ('', ''))
    """
    rest, atmosphere = _cut(_ATMOSPHERE, text)
    cone = parse_cone(rest.strip(" ,/-()")) or ""
    return cone, _SHORT.get(atmosphere.lower(), atmosphere.lower()) if cone else ""


def heat_in(cells: Sequence[Any], *, plainly: bool = False) -> str:
    """Return which column cells belong to that hold cones or temperatures; nothing where they may be either.

    Where they have to say it ``plainly``, each has its word, sign or unit.

    >>> heat_in(["cone 6", "04"]), heat_in([1222.0, "2232 F"]), heat_in(["1240 degree"]), heat_in(["6", "slow"])
    ('cone', 'peak_temperature', 'peak_temperature', '')
    >>> heat_in(["cone 6", "^04"], plainly=True), heat_in(["3", "4"], plainly=True), heat_in(["C3"], plainly=True)
    ('cone', '', '')
    """
    texts = [text for cell in cells if (text := read_text(cell))]
    if not texts or (plainly and not all(map(_PLAIN_HEAT.search, texts))):
        return ""
    if all(read_number(text, "°C", "temperature").value >= LOWEST_HEAT_C for text in texts):
        return "peak_temperature"
    clear = all(cone_told(text)[0] for text in texts) and not any(text.isdigit() and int(text) > 14 for text in texts)
    return "cone" if clear else ""


def _cut(pattern: re.Pattern[str], text: str) -> tuple[str, str]:
    """Return a text without the one thing of a kind that it names, and that; several different ones say nothing."""
    found = ["".join(match.groups() or (match[0],)) for match in pattern.finditer(text)]
    return pattern.sub(" , ", text), found[0] if len({one.casefold() for one in found}) == 1 else ""


def _name_in(phrase: str, *, loose: bool = False) -> str:
    """Return the run of words in a phrase that the vocabulary does not explain, where it looks like a name.

    In a ``loose`` one only the first word needs a capital. What speaks of several clays, or explains
    a sign, names none.

    >>> _name_in("Fesk test tiles"), _name_in("Shrinkage of Chalk White"), _name_in("ruler from the hardware shop")
    ('Fesk', 'Chalk White', '')
    """
    if _OF_SEVERAL.search(phrase) or "=" in phrase:
        return ""
    known = word_list("title")
    runs: list[list[str]] = [[]]
    for word in phrase.replace("_", " ").split():
        plain = word.strip(".,;:!?'’#*").casefold()
        means = meaning(word, "bars")
        explained = not plain or plain in known or plain.isdigit() or (means.known and means.key != "body")
        if explained and not (runs[-1] and not plain.isalpha()):
            runs.append([])
        else:
            runs[-1].append(word)
    filled = [run for run in runs if run]
    if len(filled) != 1 or len(filled[0]) > LONGEST_NAME:
        return ""
    name = filled[0]
    bare = [word.strip(".,;:!?#\"'“”‘’") for word in name]
    likely = [word[:1].isupper() or any(map(str.isdigit, word)) for word in bare[: 1 if loose else None]]
    looks = all(likely) and any(any(map(str.isalpha, word)) for word in bare)
    return " ".join(name).rstrip(".") if looks else ""


_DEGREES = re.compile(r"(?<!\d)(?<!\d\s)[°º]\s*([CF])\b|\b([cf])(?:elsius|ahrenheit)\b", re.IGNORECASE)


def _units(text: str) -> tuple[str, ...]:
    """Return units that a note names for everything; a number before a unit is a measure and no note."""
    words = re.findall(r"[^\W_]+(?:[.,]\d+)?|[,;()/]|\"|″", text)
    found = []
    for before, word in zip(["", *words], words, strict=False):
        unit = canonical_unit(word) if word.casefold() not in ("in", "c", "f", "n") else None
        if unit and dimension_of(unit) and not before[:1].isdigit():
            found.append(unit)
    found += [f"°{''.join(filter(None, one.groups())).upper()}" for one in _DEGREES.finditer(text)]
    return tuple(dict.fromkeys(found))
