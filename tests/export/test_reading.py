import json
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from bodytest.errors import UnreadableResults
from bodytest.export.document import to_document, to_json
from bodytest.export.reader import read_results, read_summary
from tests.export import example_results as example

pytestmark = pytest.mark.core

RELEASED = sorted((Path(__file__).parent / "released").glob("results-version-*.json"))


@pytest.fixture
def written(tmp_path):
    path = tmp_path / "results.json"

    def write(document):
        path.write_text(document if isinstance(document, str) else json.dumps(document), encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize("made", [example.results, example.full], ids=["plain", "every field"])
def test_what_was_written_comes_back_the_same(made, written):
    before = made()
    after = read_results(written(to_json(before)))
    assert replace(after, bars=before.bars) == before
    pd.testing.assert_frame_equal(after.bars[before.bars.columns], before.bars)
    assert to_json(after) == to_json(before)


def test_a_summary_has_all_but_the_bars(written):
    whole = example.full()
    summary = read_summary(written(to_json(whole)))
    assert (summary.groups, summary.pieces, summary.lab) == (whole.groups, whole.pieces, whole.lab)
    assert (summary.responses, summary.findings, summary.sheets) == (whole.responses, whole.findings, whole.sheets)


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: path.stem)
def test_a_file_of_each_released_format_still_loads(path):
    results = read_results(path)
    assert results.groups[0].quantities["total_shrinkage"].mean == 12.0
    assert list(results.bars["bar"]) == ["0-1", "0-2"]


def test_there_is_a_file_of_each_released_format():
    assert [path.name for path in RELEASED] == ["results-version-1.json"]


def test_a_file_of_version_1_with_the_contract_fields_alone_loads(written):
    document = to_document(example.full())
    for name in ("responses", "pieces"):
        del document[name]
    del document["sheets"][0]["lab"]
    for one in document["groups"]:
        del one["date"], one["nominal_temperature_c"], one["wet_length_mm"]
        for part in (one, *one["by_batch"]):
            part["quantities"] = {key: dict(list(q.items())[:16]) for key, q in part["quantities"].items()}
    document["bars"] = [dict(list(bar.items())[:9]) for bar in document["bars"]]
    results = read_results(written(document))
    assert results.groups[0].quantities["absorption"].decision == "meets"
    assert results.pieces == ()
    assert list(results.bars["position"]) == ["", ""]


def test_a_later_version_that_only_adds_is_read_and_said_so(written):
    document = to_document(example.full()) | {"version": 3, "colour": {"a": 1}}
    document["groups"][0]["colour"] = "buff"
    results = read_results(written(document))
    assert results.groups == example.full().groups
    assert results.findings[-1].sentence == (
        "The results file is of version 3 of the format; what this version does not know was passed over."
    )


def test_words_of_a_later_version_are_passed_over(written):
    document = to_document(example.full())
    absorbed = document["groups"][0]["quantities"]["absorption"]
    absorbed["decision"], absorbed["certainty"]["shares"][0]["source"] = "perhaps", "weather"
    document["findings"][0]["level"] = "hint"
    results = read_results(written(document))
    read = results.groups[0].quantities["absorption"]
    assert (read.decision, read.certainty.shares[0].source, results.findings[0].level) == ("perhaps", "weather", "hint")
    assert to_document(results) | {"seal": document["seal"]} == document


def refusal(path):
    with pytest.raises(UnreadableResults) as caught:
        read_results(path)
    return caught.value.finding.sentence.replace(str(path), "results.json")


def test_a_later_version_that_lacks_something_is_refused(written):
    document = to_document(example.full()) | {"version": 2}
    del document["groups"][0]["quantities"]
    assert refusal(written(document)) == (
        "results.json is of version 2 of the format and cannot be read as version 1: groups[0].quantities is missing."
    )


@pytest.mark.parametrize("version", [0, -1, "1", None, 1.5, True])
def test_a_version_that_never_was_is_refused(version, written):
    assert refusal(written(to_document(example.results()) | {"version": version})) == (
        f"results.json gives {json.dumps(version)} as the version of its format; there are versions from 1 on."
    )


@pytest.mark.parametrize("foreign", [{}, [], 3, "text", {"format": "other"}, {"groups": []}])
def test_a_foreign_file_is_refused(foreign, written):
    assert refusal(written(json.dumps(foreign))) == (
        'results.json is JSON, but no results file of bodytest: it does not say "format": "bodytest results".'
    )


def test_a_cut_off_file_is_refused_with_the_place(written):
    sentence = refusal(written(to_json(example.results())[:500]))
    assert sentence.startswith("results.json is no results file: it breaks off or goes wrong at line ")


@pytest.mark.parametrize("text", ["", "not json", "{", '{"format": NaN}', "[" * 100_000])
def test_text_that_is_no_json_is_refused(text, written):
    assert refusal(written(text)).startswith("results.json is no results file: it ")


def test_a_binary_file_is_refused(tmp_path):
    path = tmp_path / "results.json"
    path.write_bytes(b"PK\x03\x04\xff\xfe\x00")
    assert refusal(path) == "results.json is no results file: it is not made of JSON text."


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    assert refusal(tmp_path / "none.json") == "There is no results file named results.json here."
    assert refusal(tmp_path) == "results.json could not be opened: Is a directory."


@pytest.mark.parametrize(
    ("path", "value", "what"),
    [
        (("groups", 0, "body"), 5, "groups[0].body is not a text"),
        (("groups", 0, "bars"), 5.5, "groups[0].bars is not a whole number"),
        (("groups", 0, "bars"), True, "groups[0].bars is not a whole number"),
        (("groups", 0, "quantities", "total_shrinkage", "mean"), "12",
         "groups[0].quantities.total_shrinkage.mean is not a number"),
        (("groups", 0, "quantities", "total_shrinkage", "decision"), 3,
         "groups[0].quantities.total_shrinkage.decision is not a text"),
        (("groups", 0, "quantities"), [], "groups[0].quantities is not an object"),
        (("groups", 0), None, "groups[0] is not an object"),
        (("groups",), {}, "groups is not a list"),
        (("bars",), None, "bars is not a list"),
        (("bars", 1), 7, "bars[1] is not an object"),
        (("bars", 1, "row"), "2", "bars[1].row is not a whole number"),
        (("bars", 0, "values", "total_shrinkage"), [], "bars[0].values.total_shrinkage is not a number"),
        (("responses", 0, "firing_range"), [1.0], "responses[0].firing_range is not a list of 2"),
        (("confidence",), 95, "confidence is 95, not between 0 and 1"),
        (("lab",), None, "lab is not an object"),
    ],
)  # fmt: skip
def test_a_damaged_place_is_named(path, value, what, written):
    document = to_document(example.full())
    place = document
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    assert refusal(written(document)) == f"results.json is damaged: {what}."


@pytest.mark.parametrize("name", ["software", "sheets", "confidence", "lab", "groups", "bars", "findings"])
def test_a_missing_part_is_named(name, written):
    document = to_document(example.full())
    del document[name]
    assert refusal(written(document)) == f"results.json is damaged: {name} is missing."


def test_a_missing_field_of_a_bar_is_named(written):
    document = to_document(example.full())
    del document["bars"][1]["values"]
    assert refusal(written(document)) == "results.json is damaged: bars[1].values is missing."
