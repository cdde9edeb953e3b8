"""States of one sheet put together: each bar once, with what any of them holds; what they contradict is not used."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np

from bodytest.grids.grid import Grid
from bodytest.intake.all_bars import AllBars
from bodytest.intake.bars import SheetBars
from bodytest.intake.cells import read_text
from bodytest.intake.merging import Grouping, fill_blanks, first_texts, group_by
from bodytest.intake.same_bars import (
    FEWEST,
    Part,
    agrees,
    can_be_one,
    column_decimals,
    compared_parts,
    parts_of,
    plain_codes,
)
from bodytest.lab.record import Reading
from bodytest.quantities import CHOICES
from bodytest.tables import BAR_TEXTS, TYPED_FOR

ONE_TEXT = ("direction", "position", *(choice.key for choice in CHOICES), "left_out")
"""Texts of a bar that say one thing; notes are put together."""
_HEADINGS = {"left_out": "leave out", **{choice.key: choice.heading for choice in CHOICES}}
NAMED = 6
"""Bars that are named in a list."""


def typed_for(grids: Sequence[Grid]) -> str:
    """Return the name of the sheet that a table of typed readings belongs to; ``""`` for any other workbook."""
    top = read_text(grids[0].rows[0][0]) if grids and grids[0].rows and grids[0].rows[0] else ""
    return top.removeprefix(TYPED_FOR) if top.startswith(TYPED_FOR) else ""


def join_states(every: AllBars) -> list[frozenset[int]]:
    """Put states of one sheet together, and return which workbooks hold such states, by their positions."""
    part, parts = parts_of(every)
    _tell_lone(every)
    if len({one.table for one in parts}) < 2:
        return []
    state = _stated(every, parts)
    for pair in compared_parts(every, part, parts):
        if _root(state, pair.earlier) == _root(state, pair.later):
            continue
        earlier, later = every.tables[parts[pair.earlier].table], every.tables[parts[pair.later].table]
        if pair.is_same:
            _unite(state, pair.earlier, pair.later)
            if not pair.shared and pair.measured:
                later.notes.add("joined-by-name", table=later.table, value=None, other=_name(earlier, later))
        elif len(pair.alike) >= FEWEST:
            first = int(pair.alike[0])
            words: dict[str, Any] = {"value": len(pair.alike), "other": _name(earlier, later)}
            every.tell("bars-in-two-sheets", "bar", first, **words)
    states = np.array([_root(state, number) for number in range(len(parts))])
    joined = np.bincount(states, minlength=len(parts))[states] > 1
    if not joined.any():
        return []
    _put_together(every, _identities(every, states[part], joined[part]), joined[part])
    sheets: dict[int, set[int]] = {}
    for one, root in zip(np.flatnonzero(joined).tolist(), states[joined].tolist(), strict=True):
        sheets.setdefault(root, set()).add(int(every.tables[parts[one].table].bars["sheet"].iloc[0]))
    for joined_sheets in sheets.values():
        every.books[list(joined_sheets)] = min(joined_sheets)
    return list(map(frozenset, sheets.values()))


def _root(state: list[int], part: int) -> int:
    while state[part] != part:
        state[part] = part = state[state[part]]
    return part


def _unite(state: list[int], *parts: int) -> None:
    earlier, later = sorted(_root(state, part) for part in parts)
    state[later] = earlier


def _tell_lone(every: AllBars) -> None:
    """Write down which typed readings were read without the sheet that they belong to."""
    names = {table.notes.sheet for table in every.tables}
    for table in every.tables:
        if table.notes.typed_for and table.notes.typed_for not in names:
            table.notes.add("typed-for-another", table=table.table, value=table.notes.typed_for)


def _stated(every: AllBars, parts: list[Part]) -> list[int]:
    """Return the state of each part by what typed readings say of themselves: which sheet they belong to."""
    state = list(range(len(parts)))
    notes = [every.tables[part.table].notes for part in parts]
    for number in (one for one in state.copy() if notes[one].typed_for):
        for other, beside in enumerate(parts):
            if notes[other].sheet == notes[number].typed_for and can_be_one(parts[number], beside):
                _unite(state, number, other)
    return state


def _name(table: SheetBars, beside: SheetBars) -> str:
    """Return the name of a table's workbook, or of the table where it is the same workbook."""
    return f"its table “{table.table}”" if table.notes is beside.notes else table.notes.sheet


def _identities(every: AllBars, state: np.ndarray, joined: np.ndarray) -> Grouping:
    """Return which bars are one: of one state and code, with the same body, batch and firing or none named."""
    codes = plain_codes(every)
    alone = -1 - np.arange(len(every))
    keys: list[np.ndarray] = [np.where(joined, state, alone), np.where(joined, codes, every.codes)]
    by_table = group_by([every.table_of["bar"], codes])
    only_one = np.bincount(by_table.ids)[by_table.ids] == 1
    for key in ("body", "batch"):
        every.bars[key] = fill_blanks(every.texts(key), group_by(keys))
        keys.append(every.texts(key))
    grouping = group_by(keys)
    firing = every.texts("firing")
    firing = np.where((firing == "") & only_one, first_texts(firing, grouping)[grouping.ids], firing)
    every.bars["firing"] = firing
    every.codes = group_by([np.where(joined, state, -1), keys[1]]).ids
    return group_by([*keys, firing])


def _put_together(every: AllBars, by_bar: Grouping, joined: np.ndarray) -> None:
    """Keep each bar once, with every text and reading that any state holds."""
    bar_of_mark, labels = every.bar_of_mark(), every.marks["mark"].to_numpy(dtype=object)
    alone = np.bincount(bar_of_mark, minlength=len(every))[bar_of_mark] == 1
    by_mark = group_by([by_bar.ids[bar_of_mark], np.where(alone & (labels == ""), "1", labels)])
    first_table = every.table_of["bar"][by_bar.first]
    added: dict[int, list[str]] = {}
    values: dict[str, np.ndarray] = {}
    for reading in every.typed:
        grouping, bar = (by_mark, by_bar.ids[bar_of_mark]) if reading.of_mark else (by_bar, by_bar.ids)
        values[reading.key], source = _merged(every, reading, grouping)
        late = every.table_of[reading.key][source] != first_table[bar[source]]
        late &= ~np.isnan(values[reading.key])
        for table, count in Counter(every.table_of[reading.key][source[late]].tolist()).items():
            added.setdefault(table, []).append(f"{reading.heading} ({count})")
        for way_back in (every.rows, every.table_of):
            way_back[reading.key] = way_back[reading.key][source]
    _tell_states(every, by_bar, joined, added)
    texts = {key: _merged_texts(every, key, by_bar) for key in BAR_TEXTS}
    every.bars = every.bars.iloc[by_bar.first].reset_index(drop=True).assign(**texts)
    every.marks = every.marks.iloc[by_mark.first].reset_index(drop=True)
    every.marks["bar_row"] = by_bar.ids[bar_of_mark[by_mark.first]]
    for reading in every.typed:
        every.frame_of(reading)[reading.column] = values[reading.key]
    every.codes = every.codes[by_bar.first]


def _merged(every: AllBars, reading: Reading, grouping: Grouping) -> tuple[np.ndarray, np.ndarray]:
    """Return one value of each group, NaN where its entries contradict each other, and the entry that gives it."""
    key, values, tables = reading.key, every.values(reading.key), every.table_of[reading.key]
    decimals = column_decimals(values, tables, len(every.tables))[tables]
    given = np.flatnonzero(~np.isnan(values))
    given = given[np.lexsort((given, -decimals[given], grouping.ids[given]))]
    source = grouping.first_of(given)
    merged = values[source]
    chosen = source[grouping.ids[given]]
    agree = agrees(values[given], values[chosen], decimals[given], decimals[chosen])
    contradicting = np.unique(grouping.ids[given[~agree]])
    merged[contradicting] = np.nan
    doubles = given[(given != chosen) & ~np.isin(grouping.ids[given], contradicting)]
    for number in np.unique(tables[doubles]).tolist():
        table, rows = every.tables[number], np.sort(every.rows[key][doubles[tables[doubles] == number]])
        table.account.reopen(table.places.get(key), rows)
        table.account.set_aside("the same reading in another copy", columns=[table.places[key]], rows=rows)
    for group in contradicting.tolist():
        _tell_contradiction(every, reading, np.sort(given[grouping.ids[given] == group]))
    return merged, source


def _tell_contradiction(every: AllBars, reading: Reading, entries: np.ndarray) -> None:
    """Write down, at the cell of each state, that they hold different values."""
    key, values = reading.key, every.values(reading.key)
    bars = every.bar_of_mark()[entries] if reading.of_mark else entries
    first, *others = entries.tolist()
    differing = next(e for e in others if values[e] != values[first])
    for entry, bar in zip(entries.tolist(), bars.tolist(), strict=True):
        other = first if values[entry] != values[first] else differing
        here = {"value": every.shown(key, entry, values[entry]), "here": every.cell(key, entry)}
        there = {"other": every.shown(key, other, values[other]), "there": every.cell(key, other)}
        what = f"bar {every.bars['bar'].iloc[bar]}"
        every.tell("copies-contradict", key, entry, what=what, heading=reading.heading, **here, **there)


def _merged_texts(every: AllBars, key: str, by_bar: Grouping) -> np.ndarray:
    """Return one text of each bar; what only one state says is taken, notes are put together."""
    texts = every.texts(key)
    given = np.flatnonzero(texts != "")
    source = by_bar.first_of(given)
    merged = np.asarray(texts[source])
    for entry in given[texts[given] != merged[by_bar.ids[given]]].tolist() if key in (*ONE_TEXT, "notes") else ():
        bar, text = by_bar.ids[entry], texts[entry]
        if key == "notes":
            merged[bar] += "" if text in merged[bar].split("; ") else f"; {text}"
        elif text.casefold() != merged[bar].casefold():
            table = every.table(key, entry)
            words = {"heading": _HEADINGS.get(key, key), "there": every.cell(key, int(source[bar]), table)}
            every.tell("copies-told-differently", key, entry, value=text, first=merged[bar], **words)
    for way_back in (every.rows, every.table_of):
        way_back[key] = way_back[key][source]
    return merged


def _tell_states(every: AllBars, by_bar: Grouping, joined: np.ndarray, added: dict[int, list[str]]) -> None:
    """Note for each table that is a later state of another one what it holds that the other does not."""
    tables, codes = every.table_of["bar"], every.texts("bar")
    first = tables[by_bar.first][by_bar.ids]
    for number in np.unique(tables[joined]).tolist():
        mine = joined & (tables == number)
        both = mine & (first != number)
        if not both.any():
            continue
        table = every.tables[number]
        other = every.tables[int(np.bincount(first[both]).argmax())]
        new = codes[mine & ~both].tolist()
        names = ", ".join(new[:NAMED]) + (f" and {len(new) - NAMED} more" if len(new) > NAMED else "")
        adds = [*([f"bars of its own ({names})"] if new else []), *added.get(number, [])]
        words: dict[str, Any] = {"other": _name(other, table), "adds": ", ".join(adds) or "nothing"}
        table.notes.add("state-of-a-sheet", table=table.table, value=int(both.sum()), **words)
