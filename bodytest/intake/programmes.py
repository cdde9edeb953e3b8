"""Programmes over all workbooks: one spelling for each, and loads that do not seem to belong to theirs."""

import math
from typing import Any

import pandas as pd

from bodytest.cones import parse_cone
from bodytest.grids.notebook import Notebook
from bodytest.intake.columns import ReadTable
from bodytest.intake.firings import first_difference, place_of
from bodytest.names import folded

_ALIKE = ("cone", "atmosphere", "purpose")
"""Columns of the Firings table in which all loads of one programme agree."""


def settle_programmes(firings: pd.DataFrame, notebooks: list[Notebook], tables: list[list[ReadTable]]) -> None:
    """Give one spelling to programme names, and ask about loads of one programme that were fired in different ways."""
    first: dict[str, Any] = {}
    records: list[Any] = list(firings.itertuples())
    _note_loads_alone(records, notebooks, tables)
    for load in records:
        if not load.programme:
            continue
        place = place_of(load, "programme", tables)
        usual = first.setdefault(parse_cone(load.programme) or folded(load.programme), load)
        if usual.programme != load.programme:
            spelled = {"value": load.programme, "usual": usual.programme}
            notebooks[load.sheet].add("programme-spelled-twice", **place, **spelled)
            firings.loc[load.Index, "programme"] = usual.programme
        _compare(usual, load, tables, notebooks[load.sheet])


def is_told_by_heat(load: Any) -> bool:
    """Say whether a load's cone or set temperature tells what is meant to be repeated."""
    return bool(load.cone) or not math.isnan(load.set_temperature_c)


def _note_loads_alone(loads: list[Any], notebooks: list[Notebook], tables: list[list[ReadTable]]) -> None:
    """Note once a workbook how loads that say nothing of what is repeated can be joined."""
    alone = [load for load in loads if not load.programme and not is_told_by_heat(load)]
    if len(loads) < 2:
        return
    for sheet in dict.fromkeys(load.sheet for load in alone):
        mine = [load for load in alone if load.sheet == sheet]
        codes = ", ".join(load.firing for load in mine[:6]) + (" …" if len(mine) > 6 else "")
        notebooks[sheet].add("programme-unknown", **place_of(mine[0], "firing", tables), value=codes)


def _compare(usual: Any, load: Any, tables: list[list[ReadTable]], notes: Notebook) -> None:
    """Ask about the first thing in which a load differs from the first one of its programme."""
    if (differing := first_difference(load, usual, _ALIKE)) is not None:
        what, mine, theirs = differing
        words = {"what": what, "mine": mine, "theirs": theirs, "other": usual.firing, "programme": usual.programme}
        notes.add("programme-loads-differ", **place_of(load, what, tables), value=load.firing, **words)
