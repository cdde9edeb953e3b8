"""Findings: what is wrong or odd in a sheet, as values that are collected, never as exceptions.

The sentences stand in one catalogue, ``finding_catalogue.toml``; code only fills their blanks.
"""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

from bodytest.shown import for_blanks

Level = Literal["stop", "ask", "note"]
"""``stop``: the value cannot be used; ``ask``: plausible but odd, used and shown; ``note``: worth knowing."""
LEVELS: tuple[Level, ...] = ("stop", "ask", "note")
"""From the gravest on."""
OF_COLUMNS = ("heading-in-doubt", "column-splits-bars", "column-may-split-bars", "heading-twice")
"""Findings that end when it is said what a column is."""


@dataclass(frozen=True)
class Finding:
    """One thing to tell about one place of one sheet."""

    code: str
    """Key in the catalogue."""
    level: Level
    """How serious it is."""
    sheet: str | None
    """Name of the workbook file; None when it is about no single file."""
    cell: str | None
    """Table and cell as ``Bars!F12``; None when it is about the whole file."""
    value: str | None
    """What stands there, as typed."""
    sentence: str
    """What is wrong, whole sentence."""
    remedy: str
    """What to do, whole sentence."""

    @property
    def place(self) -> str:
        """File and cell for people: ``trial.xlsx, Bars!F12``."""
        return ", ".join(part for part in (self.sheet, self.cell) if part)


@dataclass(frozen=True)
class CatalogueEntry:
    """What the catalogue knows of one code."""

    code: str
    """The key."""
    level: Level
    """Level of every finding with this code."""
    title: str
    """The fault in a few words."""
    sentence: str
    """Template of the sentence, with ``{blanks}``."""
    remedy: str
    """Template of what to do."""
    why: str
    """Why it matters."""


@cache
def catalogue() -> dict[str, CatalogueEntry]:
    """Return every code with its texts, in the order of the catalogue file."""
    text = files("bodytest").joinpath("finding_catalogue.toml").read_text(encoding="utf-8")
    return {code: CatalogueEntry(code=code, **entry) for code, entry in tomllib.loads(text).items()}


def finding(
    code: str, *, sheet: str | None = None, cell: str | None = None, value: object = None, **words: object
) -> Finding:
    """Fill the catalogue's sentence for ``code``.

    ``sheet``, ``cell`` and ``value`` can be used as blanks too. What fills a blank is clipped; ``value`` stays whole.

    Raises:
        KeyError: the code is not in the catalogue or a blank is left unfilled (a fault of the program).
    """
    entry = catalogue()[code]
    shown = None if value is None else str(value)
    blanks = for_blanks({"sheet": sheet, "cell": cell, "value": shown, **words})
    return Finding(
        code, entry.level, sheet, cell, shown, entry.sentence.format(**blanks), entry.remedy.format(**blanks)
    )


def worst_level(findings: Iterable[Finding]) -> Level | None:
    """Return the most serious level among the findings, None when there are none."""
    levels = {f.level for f in findings}
    return next((level for level in LEVELS if level in levels), None)
