"""How headings are matched: units in brackets, trade spellings, and the nearest known one for the others.

The matching disregards case, spacing, ``_`` and ``-``.
"""

import difflib
import re
import unicodedata
from collections.abc import Collection
from functools import cache

from bodytest.intake.vocabulary import COLUMNS, LAB_NAMES, STAGE_WORDS, Column, Kind, TableName, computed_columns
from bodytest.quantities import READINGS
from bodytest.units import DIMENSIONS, TEMPERATURE_UNITS, canonical_unit, dimension_of

DEFAULT_UNITS: dict[str, str] = {
    **{d.name: d.unit for d in DIMENSIONS.values()},
    **{"temperature": "°C", "degrees": "°C", "minutes": "min"},
}
LONGEST_HEADING = 400
"""Characters above which a text is no heading; the patterns below would take long over a text without end."""
_UNIT_AT_END = re.compile(r"^(.*?)[\s,]*[(\[{]([^()\[\]{}]*)[)\]}]\s*$", re.DOTALL)
_LAST_WORD = re.compile(r"^(.+)\s(\S+)$", re.DOTALL)


def plain(text: str) -> str:
    """Reduce a heading to what is compared: lower case, no spacing, ``_``, ``-``, ``.`` or ``:``.

    >>> plain("Wet_Length "), plain("leather-hard length")
    ('wetlength', 'leatherhardlength')
    """
    folded = unicodedata.normalize("NFKC", text).casefold()
    return re.sub(r"[\s_\-‐‑–.:*#]+", "", folded)


def split_unit(text: str) -> tuple[str, str | None]:
    """Split a heading into its name and the unit in brackets (or at its end).

    >>> split_unit("wet length (mm)"), split_unit("dry_mass_g"), split_unit("bar")
    (('wet length', 'mm'), ('dry mass', 'g'), ('bar', None))
    """
    if len(text) > LONGEST_HEADING:
        return text.strip(), None
    bracketed = _UNIT_AT_END.match(text.strip())
    if bracketed and bracketed.group(1).strip():
        return bracketed.group(1).strip(), bracketed.group(2).strip()
    spaced = re.sub(r"[\s_]+", " ", text).strip()
    last = _LAST_WORD.match(spaced)
    if last and canonical_unit(last.group(2).strip(",")) is not None:
        return last.group(1).strip(" ,"), last.group(2).strip(",")
    return text.strip(), None


@cache
def spellings(table: TableName) -> dict[str, Column]:
    """Return every accepted plain spelling of a table's headings."""
    accepted: dict[str, Column] = {}
    for column in COLUMNS[table]:
        for spelling in (column.heading, column.key, *column.spellings):
            for variant in (spelling, spelling.replace("mass", "weight")):
                accepted.setdefault(plain(variant), column)
    if table == "bars":
        for column in computed_columns():
            for spelling in (column.heading, column.key, *column.spellings):
                accepted.setdefault(plain(spelling), column)
    return accepted


@cache
def stage_words() -> dict[str, str]:
    """Return the plain words for a stage, each with the stage."""
    return {plain(word): stage for stage, words in STAGE_WORDS.items() for word in words}


def is_bars_heading(text: str) -> bool:
    """Say whether a text is a heading of the Bars table.

    >>> is_bars_heading("wet length (mm)"), is_bars_heading("A1")
    (True, False)
    """
    return match_heading(text, "bars")[0] is not None


def match_heading(text: str, table: TableName) -> tuple[Column | None, str | None]:
    """Return the column that a heading means and the unit written in it.

    A stage alone will do where its unit says whether it is a length or a mass.

    >>> match_heading("Weight wet [g]", "bars")[0].key, match_heading("wet (mm)", "bars")[0].key
    ('wet_mass', 'wet_length')
    """
    if len(text) > LONGEST_HEADING:
        return None, None
    name, unit = split_unit(text)
    found = spellings(table).get(plain(name))
    if found is None and unit is not None:
        found = _stage_with_unit(name, unit) if table == "bars" else None
        if found is None:
            found, unit = spellings(table).get(plain(text)), None
    return found, unit


def _stage_with_unit(name: str, unit: str) -> Column | None:
    stage, dimension = stage_words().get(plain(name)), dimension_of(canonical_unit(unit))
    key = next((r.key for r in READINGS if r.stage == stage and r.dimension is dimension), None)
    return spellings("bars")[plain(key)] if key else None


def nearest_heading(text: str, table: TableName) -> str | None:
    """Return the known heading that is spelled most like ``text``, None when nothing is near.

    >>> nearest_heading("wet lenght (mm)", "bars"), nearest_heading("Dry", "bars")
    ('wet length', 'dry length (mm)” or “dry mass (g)')
    """
    if len(text) > LONGEST_HEADING:
        return None
    name, _ = split_unit(text)
    stage = stage_words().get(plain(name)) if table == "bars" else None
    if stage is not None:
        return "” or “".join(f"{r.heading} ({r.dimension.unit})" for r in READINGS if r.stage == stage)
    known = {spelling: column for spelling, column in spellings(table).items() if column.kind != "computed"}
    near = difflib.get_close_matches(plain(name), list(known), n=1, cutoff=0.75)
    return known[near[0]].heading if near else None


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
