"""Results files that were changed by hand or on the way: planning answers or tells, it never breaks."""

import json

import numpy as np
import pytest

from bodytest.errors import BodytestError
from bodytest.export.document import to_document
from bodytest.export.reader import read_results, read_summary
from bodytest.export.workbook import to_workbook
from bodytest.plan.amounts import clay_masses, wet_capacities
from bodytest.plan.matching import Match, match
from bodytest.plan.sizes import sizes
from tests.export.example_results import STAGES, full, group, results

ODD = (
    None,
    0,
    -1,
    0.0,
    1e-300,
    99.999,
    100.0,
    250.0,
    -1e6,
    1e14,
    10**400,
    1e300,
    "",
    "12",
    True,
    [],
    {},
    "=1+1",
    "\u0000",
)
COUNT = 120
WEIGHED = results(group(**STAGES, water_of_plasticity=(25.0, 0.5, 10), loss_on_ignition=(8.0, 0.1, 10)))


def leaves(value, path=()):
    """Yield the path of every value in a document."""
    children = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, child in children:
        yield (*path, key)
        yield from leaves(child, (*path, key))


def changed(document, path, value):
    copy = json.loads(json.dumps(document))
    place = copy
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return copy


def told(ask):
    """Say whether asking ended in a sentence; anything else than an answer or a sentence fails the test."""
    try:
        ask()
    except BodytestError as error:
        return bool(error.finding.sentence)
    return False


def plan_everything(path):
    summary = read_summary(path)
    told(lambda: sizes(summary, ["200mm"], within="1mm"))
    told(lambda: sizes(summary, ["200mm"], now="leather-hard", within="1mm"))
    told(lambda: sizes(summary, ["200mm"], as_pieces="height"))
    told(lambda: match(summary, Match("200mm", within="1mm", made_within="0.5mm")))
    told(lambda: clay_masses(summary, ["800g"]))
    told(lambda: wet_capacities(summary, ["350ml"]))


@pytest.mark.parametrize("made", [full(), WEIGHED], ids=["every field", "weighed"])
def test_a_changed_value_is_used_or_told_never_a_crash(made, tmp_path):
    document, rng = to_document(made), np.random.default_rng(42)
    paths = [path for path in leaves(document) if path[0] in {"groups", "pieces", "confidence", "version"}]
    target = tmp_path / "changed.json"
    for turn in range(COUNT):
        value = ODD[rng.integers(len(ODD))]
        target.write_text(json.dumps(changed(document, paths[rng.integers(len(paths))], value)), encoding="utf-8")
        told(lambda: plan_everything(target))
        if turn % 20 == 0:
            told(lambda: to_workbook(read_results(target)))


def test_a_damaged_file_is_told_never_a_crash(tmp_path):
    whole, rng = bytearray(json.dumps(to_document(full())).encode()), np.random.default_rng(7)
    target = tmp_path / "damaged.json"
    refused = 0
    for _ in range(COUNT):
        damaged = bytearray(whole)
        for place in rng.integers(len(damaged), size=3):
            damaged[place] = rng.integers(256)
        target.write_bytes(bytes(damaged[: rng.integers(len(damaged))] if rng.random() < 0.3 else damaged))
        refused += told(lambda: read_results(target))
    assert refused > COUNT / 2


def test_bars_that_differ_wildly_give_no_impossible_sizes():
    wild = results(group(total_shrinkage=(12.0, 40.0, 2)))
    (found,) = sizes(wild, ["200mm"], within="1mm")
    assert found.next_low_mm == 0.0
    assert (found.at("wet").low_mm, found.at("wet").high_mm) == (None, None)
    assert found.why_no_range == "The bars differ so much that no range can be given."
