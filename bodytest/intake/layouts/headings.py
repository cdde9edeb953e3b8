"""Headings: their name and unit apart, the column that they mean, and what a misspelt one may mean.

Our own names are compared as wholes, without regard to case, spacing, ``_`` and ``-``; others are read by their words.
"""

import difflib
import re
import unicodedata
from collections.abc import Collection
from functools import cache, lru_cache

from bodytest.intake.layouts.meant import Meaning
from bodytest.intake.layouts.vocabulary import COLUMNS, LAB_NAMES, Column, Kind, TableName, computed_columns, word_list
from bodytest.intake.layouts.words import (
    known_words,
    phrases,
    read_words,
    says_nothing,
    tokens,
    unknown_words,
    without_drying_heat,
)
from bodytest.quantities import READING_BY_KEY
from bodytest.units import DIMENSIONS, RATE_UNITS, TEMPERATURE_UNITS, canonical_unit

DEFAULT_UNITS: dict[str, str] = {
    **{d.name: d.unit for d in DIMENSIONS.values()},
    **{"temperature": "°C", "degrees": "°C", "minutes": "min", "percent": "%", "rate": "°C/h"},
}
LONGEST_HEADING = 400
"""Characters above which a text is no heading; the patterns below would take long over a text without end."""
_BRACKETED = re.compile(r"^(.*?)[\s,]*[(\[{]([^()\[\]{}]*)[)\]}]\s*$", re.DOTALL)
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_LAST_WORD = re.compile(r"^(.+)\s(\S+)$", re.DOTALL)
_AFTER_SIGN = re.compile(r"^([^/:;,]+)[/:;,]([^/:;,]+)$", re.DOTALL)
_MARK = re.compile(r"[A-D]|\d")
"""What is no unit in brackets but the mark that a length was read at."""
_COMPUTED = Column("computed", "computed", "computed")


def plain(text: str) -> str:
    """Reduce a heading to what is compared: lower case, no spacing, ``_``, ``-``, ``.`` or ``:``.

    >>> plain("Wet_Length "), plain("leather-hard length")
    ('wetlength', 'leatherhardlength')
    """
    folded = unicodedata.normalize("NFKC", text).casefold()
    return re.sub(r"[\s_\-‐‑–.:*#]+", "", folded)


def split_unit(text: str) -> tuple[str, str | None]:
    """Split a heading into its name and the unit in brackets (or at its end or beginning).

    >>> split_unit("wet length (mm)"), split_unit("dry_mass_g"), split_unit("mm after firing"), split_unit("wet/mm")
    (('wet length', 'mm'), ('dry mass', 'g'), ('after firing', 'mm'), ('wet', 'mm'))
    """
    if len(text) > LONGEST_HEADING:
        return text.strip(), None
    text = without_drying_heat(text)
    bracketed = _BRACKETED.match(text.strip())
    is_mark = bracketed and _MARK.fullmatch(bracketed.group(2).strip()) and "temp" not in bracketed.group(1).casefold()
    if bracketed and bracketed.group(1).strip() and not is_mark:
        return bracketed.group(1).strip(), bracketed.group(2).strip()
    spaced = re.sub(r"[\s_]+", " ", text).strip()
    for last in filter(None, (_LAST_WORD.match(spaced), _AFTER_SIGN.match(spaced))):
        if canonical_unit(last.group(2).strip(" ,")) is not None:
            return last.group(1).strip(" ,/"), last.group(2).strip(" ,")
    first, _, rest = spaced.partition(" ")
    return (rest, first) if rest and first in ("mm", "cm", "g") else (text.strip(), None)


@cache
def _names(table: TableName) -> dict[str, Column]:
    """Return our own headings of a table in plain spelling."""
    accepted: dict[str, Column] = {}
    for column in (*COLUMNS[table], *(computed_columns() if table == "bars" else ())):
        for spelling in (column.heading, column.key, *column.spellings):
            for variant in (spelling, spelling.replace("mass", "weight")):
                accepted.setdefault(plain(variant), column)
    return accepted


@cache
def column_of(table: TableName, key: str) -> Column | None:
    """Return a table's column by its key."""
    return next((column for column in COLUMNS[table] if column.key == key), None)


def is_our_heading(text: str, table: TableName) -> bool:
    """Tell whether a heading is a name of ours, with a unit or without.

    >>> is_our_heading("Total shrinkage (%)", "bars"), is_our_heading("shrinkage, total %", "bars")
    (True, False)
    """
    return plain(split_unit(text)[0]) in _names(table)


def is_bars_heading(text: str) -> bool:
    """Say whether a text is a heading of the Bars table.

    >>> is_bars_heading("wet length (mm)"), is_bars_heading("A1")
    (True, False)
    """
    return match_heading(text, "bars")[0] is not None


@lru_cache(maxsize=8192)
def meaning(text: str, table: TableName) -> Meaning:
    """Return what a heading means.

    >>> meaning("Weight wet [g]", "bars").key, meaning("wet (mm)", "bars").key, meaning("wet", "bars").may_be
    ('wet_mass', 'wet_length', ('wet_length', 'wet_mass'))
    """
    if len(text) > LONGEST_HEADING or _NUMBER.fullmatch(text):
        return Meaning()
    names, text = _names(table), without_drying_heat(text)
    name, unit = split_unit(text)
    for whole, beside in ((name, unit), (text, None)):
        measured = beside is not None and canonical_unit(beside) is not None
        if (column := names.get(plain(whole))) is not None and not (measured and column.kind == "text"):
            if column.kind == "computed":
                return Meaning(unit=beside, quantities=(column.key.partition("_")[2],), passed_over=True)
            return Meaning(column.key, beside)
    if canonical_unit(text.strip()) is not None:
        return read_words("", text.strip(), table)
    bare = text.endswith(" in") and not read_words(name, None, table).known  # what was in
    if unit is not None and (bare or canonical_unit(unit) is None):
        if says_nothing(unit) and (of_name := meaning(name, table)).known:
            return of_name  # clay (where dug)
        name, unit = text, None
    found = read_words(name, unit, table)
    found = found if found.known or unit is None else read_words(text, None, table)
    return found if found.known or table != "bars" else _in_doubt(name, unit)


def _in_doubt(name: str, unit: str | None) -> Meaning:
    """Return the reading that a heading may mean whose other words are not known: nearly dry mm."""
    unknown, found = set(unknown_words(name)), read_words(known_words(name), unit, "bars")
    doubtful = found.key in READING_BY_KEY and not (found.mark or found.bar or unknown & word_list("other_measure"))
    return Meaning(unit=unit, may_be=(found.key,)) if unknown and doubtful else Meaning()


@lru_cache(maxsize=8192)
def match_heading(text: str, table: TableName) -> tuple[Column | None, str | None]:
    """Return the column that a heading clearly means, and the unit written in it.

    >>> match_heading("Weight wet [g]", "bars")[0].key, match_heading("green length", "bars")
    ('wet_mass', (None, None))
    """
    found = meaning(text, table)
    if found.quantities:
        return (_COMPUTED, found.unit) if table == "bars" else (None, None)
    column = column_of(table, found.key) if found.key and not found.mark and not found.bar else None
    return column, found.unit if column else None


def nearest_heading(text: str, table: TableName) -> str | None:
    """Return what a heading with misspelt words may mean; None for notes, known words and what is like no known one.

    >>> nearest_heading("wet lenght (mm)", "bars"), nearest_heading("soaked wt", "bars")
    ('wet length', None)
    """
    if len(text) > LONGEST_HEADING:
        return None
    name, unit = split_unit(text)
    known = [phrase[0] for phrase in phrases() if len(phrase) == 1 and len(phrase[0]) > 3]
    mended = {}
    for word in unknown_words(name):
        near = difflib.get_close_matches(word, known, n=1, cutoff=0.75) if len(word) > 3 else []
        if not near:
            return None
        mended[word] = near[0]
    found = read_words(" ".join(mended.get(word, word) for word in tokens(name)), unit, table) if mended else Meaning()
    column = column_of(table, found.key)
    return column.heading if column and column.key != "notes" else None


def heading_words(key: str) -> str:
    """Return how a column is called, with the unit that it is held in, to say what a heading may mean.

    >>> heading_words("wet_length"), heading_words("peak_temperature")
    ('wet length', 'peak temperature')
    """
    return READING_BY_KEY[key].heading if key in READING_BY_KEY else key.replace("_", " ")


def unit_fits(unit: str, kind: Kind) -> bool:
    """Tell whether a canonical unit measures what the column holds.

    >>> unit_fits("mm", "length"), unit_fits("mm", "mass")
    (True, False)
    """
    families: dict[str, Collection[str]] = {
        **{d.name: d.units for d in DIMENSIONS.values()},
        "temperature": TEMPERATURE_UNITS,
        "degrees": TEMPERATURE_UNITS,
        "minutes": ("min",),
        "percent": ("%",),
        "rate": RATE_UNITS,
    }
    return unit in families.get(kind, ())


def lab_key(text: str) -> tuple[str | None, str | None]:
    """Return the key of a name on the Lab table and the unit written with it.

    >>> lab_key("Water temperature (°C)")
    ('water_temperature', '°C')
    """
    name, unit = split_unit(text)
    for key, names in LAB_NAMES.items():
        if plain(name) in {plain(n) for n in names} or plain(name) == plain(key):
            return key, unit
    return None, unit
