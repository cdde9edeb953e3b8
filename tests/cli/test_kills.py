"""A few of the kills that ``tests/bench/kills.py`` counts by the hundred, at moments that a seed draws."""

import random
from pathlib import Path

from tests.bench.kills import kills_of_report, kills_of_watch

ALLOWED = {"old", "new", "old, tidied", "new, tidied"}


def test_a_killed_report_is_old_or_new_and_the_next_run_leaves_nothing(tmp_path: Path) -> None:
    assert set(kills_of_report(tmp_path, 4, random.Random(7), late=True)) <= ALLOWED


def test_a_killed_watch_leaves_an_old_or_a_new_report_and_the_next_run_nothing(tmp_path: Path) -> None:
    assert set(kills_of_watch(tmp_path, 2, random.Random(7))) <= ALLOWED
