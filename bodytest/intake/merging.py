"""Rows that belong together: numbered by their keys, and their readings merged or found to contradict each other."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd


@dataclass(frozen=True)
class Grouping:
    """Entries numbered by what they belong to, in order of first appearance."""

    ids: np.ndarray
    """Group number of each entry."""
    first: np.ndarray
    """Position of the first entry of each group."""

    def __len__(self) -> int:
        return len(self.first)

    @property
    def all_single(self) -> bool:
        """Whether every group holds one entry."""
        return len(self.first) == len(self.ids)

    def first_of(self, given: np.ndarray) -> np.ndarray:
        """Return the first of some entries in each group, the group's own first one where none of them is in it.

        >>> Grouping(np.array([0, 0, 1]), np.array([0, 2])).first_of(np.array([1])).tolist()
        [1, 2]
        """
        groups, at = np.unique(self.ids[given], return_index=True)
        source = self.first.copy()
        source[groups] = given[at]
        return source


def group_by(keys: Sequence[Any]) -> Grouping:
    """Give entries numbers by the combination of several columns.

    >>> group_by([np.array(["a", "b", "a"], dtype=object), np.array([1, 1, 1])]).ids.tolist()
    [0, 1, 0]
    """
    ids, uniques = pd.factorize(keys[0])
    groups = len(uniques)
    for key in keys[1:]:
        if groups == len(ids):
            break  # every entry stands alone already
        codes, uniques = pd.factorize(key)
        if len(uniques) > 1:
            ids, combinations = pd.factorize(ids * len(uniques) + codes)
            groups = len(combinations)
    if groups == len(ids):
        return Grouping(np.arange(groups), np.arange(groups))
    _, first = np.unique(ids, return_index=True)
    return Grouping(ids, first)


def mean_by(ids: np.ndarray, values: np.ndarray, count: int) -> np.ndarray:
    """Return the mean of the values that each of ``count`` groups has, NaN where it has none.

    >>> mean_by(np.array([0, 0, 2]), np.array([88.0, 88.4, np.nan]), 3).tolist()
    [88.2, nan, nan]
    """
    given = ~np.isnan(values)
    number = np.bincount(ids[given], minlength=count)
    total = np.bincount(ids[given], weights=values[given], minlength=count)
    return np.asarray(np.divide(total, number, out=np.full(count, np.nan), where=number > 0))


@dataclass(frozen=True)
class Merged:
    """One value for each group."""

    values: np.ndarray
    """The first value given, NaN where none is or where they contradict each other."""
    source: np.ndarray
    """Position of the entry that gave it; the group's first entry where none did."""
    others: np.ndarray
    """Entries with a value in groups whose entries give different ones, without the first one of each …"""
    first: np.ndarray
    """… and for each of these the first one of its group."""


def merge_numbers(values: np.ndarray, grouping: Grouping) -> Merged:
    """Merge a column of numbers within groups.

    >>> merged = merge_numbers(np.array([1.0, np.nan, 2.0]), Grouping(np.array([0, 0, 1]), np.array([0, 2])))
    >>> merged.values.tolist(), merged.others.tolist()
    ([1.0, 2.0], [])
    """
    if grouping.all_single:
        none = np.array([], dtype=np.int64)
        return Merged(values.copy(), grouping.first.copy(), none, none)
    given = np.flatnonzero(~np.isnan(values))
    source = grouping.first_of(given)
    merged = values[source]
    differs = np.abs(values[given] - merged[grouping.ids[given]]) > 1e-9 * np.abs(values[given])
    contradicting = np.unique(grouping.ids[given[differs]])
    merged[contradicting] = np.nan
    others = given[np.isin(grouping.ids[given], contradicting) & (given != source[grouping.ids[given]])]
    return Merged(merged, source, others, source[grouping.ids[others]])


def first_texts(texts: np.ndarray, grouping: Grouping) -> np.ndarray:
    """Return the first text of each group that is not blank.

    >>> first_texts(np.array(["", "x"], dtype=object), Grouping(np.array([0, 0]), np.array([0]))).tolist()
    ['x']
    """
    chosen = np.asarray(texts[grouping.first])
    if grouping.all_single or not (chosen == "").any():
        return chosen
    return np.asarray(texts[grouping.first_of(np.flatnonzero(texts != ""))])


def fill_blanks(texts: np.ndarray, grouping: Grouping) -> np.ndarray:
    """Fill blank texts from the other entries of their group, where these agree.

    >>> fill_blanks(np.array(["", "x"], dtype=object), Grouping(np.array([0, 0]), np.array([0]))).tolist()
    ['x', 'x']
    """
    blank = texts == ""
    if grouping.all_single or not blank.any() or blank.all():
        return texts
    first = first_texts(texts, grouping)
    disagree = np.zeros(len(grouping), dtype=bool)
    disagree[grouping.ids[~blank & (texts != first[grouping.ids])]] = True
    return np.where(blank & ~disagree[grouping.ids], first[grouping.ids], texts)
