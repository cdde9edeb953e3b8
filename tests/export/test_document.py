import json
import math
import re
from dataclasses import fields, replace

import jsonschema
import numpy as np
import pandas as pd
import pytest

from bodytest.export.document import json_chunks, to_document, to_json
from bodytest.export.schema import build_schema, file_text, schema_text
from bodytest.quantities import BAR_READINGS, MARK_READINGS, QUANTITIES, QUANTITY_BY_KEY
from bodytest.results import BatchResult, Group, QuantityResult
from tests.export import example_results as example

SCHEMA = json.loads(schema_text())
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def test_the_schema_file_is_what_the_dataclasses_say():
    assert schema_text() == file_text(build_schema())


def test_the_schema_is_itself_valid():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_every_field_of_the_schema_is_described_and_every_number_has_a_unit():
    objects = [SCHEMA, *SCHEMA["$defs"].values()]
    without = [
        name
        for one in objects
        for name, field in one["properties"].items()
        if not field.get("description") or ("unit" not in field and {"number", "integer"} & set(kinds(field)))
    ]
    assert without == []


def test_no_description_sends_a_reader_of_the_document_into_our_code():
    described = [f["description"] for one in [SCHEMA, *SCHEMA["$defs"].values()] for f in one["properties"].values()]
    assert [text for text in described if re.search(r"`|bodytest\.\w|\bNone\b", text)] == []


TOLD_UNITS = {
    r", mm\b": "mm",
    r", °C\b": "°C", r", °C/h": "°C/h", r", g\b": "g", r", N\b": "N", r", min\b": "min", r", %|per cent": "%",
    "percentage points[.;,]": "percentage points", "as a fraction|0 to 1|^Chance|^Risk|^Its p": "fraction 0 to 1",
    "egrees of freedom": "number", r"× this|of the factor": "ratio",
    r"^(?:Row\b)": "row of the spreadsheet, from 1", "in the quantity's unit": "unit of the quantity",
}  # fmt: skip
"""What a description says → the unit that then has to stand beside it."""


def numeric_fields():
    return [
        (f"{name}.{key}", field)
        for name, one in [("Results", SCHEMA), *SCHEMA["$defs"].items()]
        for key, field in one["properties"].items()
        if "unit" in field
    ]


@pytest.mark.parametrize(("name", "field"), numeric_fields(), ids=[name for name, _ in numeric_fields()])
def test_a_unit_is_that_of_the_description_and_of_the_type(name, field):
    described = {unit for pattern, unit in TOLD_UNITS.items() if re.search(pattern, field["description"])}
    assert field["unit"] in described or not described
    counted = field["unit"] in {"count", "row of the spreadsheet, from 1", "position in groups, from 0"}
    if "number" in kinds(field):
        assert not counted or name in {"Marks.marks_each", "BarNeed.bars_each"}  # averages
    if "integer" in kinds(field):
        assert counted or name == "Results.version"


def test_the_values_and_readings_of_a_bar_have_the_units_of_their_records():
    of_bar = SCHEMA["$defs"]["Bar"]["properties"]
    assert {key: one["unit"] for key, one in of_bar["values"]["properties"].items()} == {
        q.key: q.unit or "ratio" for q in QUANTITIES
    }
    assert {key: one["unit"] for key, one in of_bar["readings"]["properties"].items()} == {
        r.column: r.dimension.unit for r in (*MARK_READINGS, *BAR_READINGS)
    }


def kinds(field):
    kind = field.get("type", [])
    return [kind] if isinstance(kind, str) else kind


@pytest.mark.parametrize("made", [example.results, example.full], ids=["plain", "every field"])
def test_a_document_fits_the_schema(made):
    VALIDATOR.validate(to_document(made()))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("version",), "1"),
        (("format",), "something else"),
        (("groups", 0, "body"), None),
        (("groups", 0, "quantities", "absorption", "decision"), 1),
        (("groups", 0, "wet_size_factor"), "1.1"),
        (("bars", 0, "values", "absorption"), "2.0"),
        (("findings", 0, "level"), None),
    ],
)
def test_the_schema_refuses_a_wrong_value(path, value):
    document = to_document(example.full())
    place = document
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    assert not VALIDATOR.is_valid(document)


def test_the_schema_has_a_name_and_leaves_lists_of_words_open():
    assert SCHEMA["$id"] == "urn:bodytest:results:1"
    document = to_document(example.full())
    document["groups"][0]["quantities"]["absorption"]["decision"] = "perhaps"
    document["findings"][0]["level"] = "hint"
    document["groups"][0]["quantities"]["absorption"]["certainty"]["shares"][0]["source"] = "weather"
    VALIDATOR.validate(document)


def test_the_order_of_the_contract_comes_first_and_additions_stand_at_the_end():
    document = to_document(example.full())
    assert list(document) == [
        "format", "version", "software", "sheets", "confidence", "lab", "groups", "bars", "findings",
        "programmes", "answers", "before_firing", "responses", "pieces", "specifications",
        "comparisons", "timelines", "bar_needs", "cells", "firings", "workbooks", "seal",
    ]  # fmt: skip
    assert list(document["groups"][0]) == [
        "body", "firing", "direction", "absorption_method", "cone", "peak_temperature_c", "atmosphere", "bars",
        "left_out", "batches", "wet_size_factor", "wet_size_factor_low", "wet_size_factor_high", "quantities",
        "by_batch", "date", "nominal_temperature_c", "wet_length_mm", "temperature_expanded_c", "id",
        "nominal_from",
    ]  # fmt: skip
    assert list(document["groups"][0]["quantities"]["absorption"])[:16] == [
        "unit", "n", "mean", "sd", "standard_uncertainty", "degrees_of_freedom", "low", "high", "next_low",
        "next_high", "tolerance_low", "tolerance_high", "batch_sd", "bar_sd", "limit", "decision",
    ]  # fmt: skip
    assert list(document["bars"][0])[:9] == [
        "bar", "body", "batch", "firing", "direction", "sheet", "row", "left_out", "values"
    ]  # fmt: skip
    assert list(document["findings"][0]) == ["code", "level", "sheet", "cell", "value", "sentence", "remedy"]
    assert list(document["sheets"][0])[:2] == ["name", "sha256"]


@pytest.mark.parametrize(
    ("cls", "name"), [(Group, "Group"), (QuantityResult, "QuantityResult"), (BatchResult, "BatchResult")]
)
def test_each_field_of_a_dataclass_stands_in_the_schema(cls, name):
    assert list(SCHEMA["$defs"][name]["properties"]) == [field.name for field in fields(cls)]


def test_numbers_are_unrounded_and_absent_ones_null():
    third = example.quantity("total_shrinkage", 100 / 3, 0.1)
    text = to_json(example.results(example.group(total_shrinkage=third)))
    document = json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} in the document"))
    assert document["groups"][0]["quantities"]["total_shrinkage"]["mean"] == 100 / 3
    assert document["groups"][0]["quantities"]["total_shrinkage"]["batch_sd"] is None
    assert document["bars"][1]["values"] == {"total_shrinkage": None}
    assert [bar["left_out"] for bar in document["bars"]] == [None, "cracked"]


def test_not_a_number_and_infinity_become_null_and_numpy_numbers_become_plain():
    odd = replace(
        example.quantity("absorption", np.float64(2.5), 0.1),
        sd=math.nan,
        high=math.inf,
        n=np.int64(10),
        low=np.float32(1),
    )
    found = to_document(example.results(example.group(absorption=odd)))["groups"][0]["quantities"]["absorption"]
    assert (found["mean"], found["sd"], found["high"], found["n"], found["low"]) == (2.5, None, None, 10, 1.0)


def test_a_text_that_looks_like_the_seam_between_bars_stays_a_text():
    odd = example.results()
    odd.bars["notes"] = ['},{"bar":', "plain"]
    assert [bar["notes"] for bar in to_document(odd)["bars"]] == ['},{"bar":', "plain"]


def test_results_without_bars_or_groups_are_a_document_too():
    empty = replace(example.results(), groups=(), bars=example.results().bars.iloc[:0])
    VALIDATOR.validate(to_document(empty))
    assert to_document(empty)["bars"] == []


def test_many_bars_come_in_pieces_and_all_of_them():
    few = example.results()
    many = replace(few, bars=pd.concat([few.bars] * 25_000, ignore_index=True))
    assert len(list(json_chunks(many))) == 5 + 5
    assert len(to_document(many)["bars"]) == 50_000


def test_values_hold_the_keys_of_quantities_that_some_bar_has():
    assert list(to_document(example.results())["bars"][0]["values"]) == [
        key for key in QUANTITY_BY_KEY if key in example.STAGES
    ]


def test_results_hold_the_comparisons_timelines_and_needs_that_the_commands_print():
    from bodytest import analyse, read_results, read_sheets
    from bodytest.analysis.bar_needs import Wish, needs_of_sheets

    results = analyse(read_sheets(["sheets/demo-complete.xlsx"]))
    document = to_document(results)
    assert {one["by"] for one in document["comparisons"]} == {"batch", "direction", "position"}
    assert {one["quantity"] for one in document["timelines"]} == {"total_shrinkage", "absorption"}
    again = read_results("reports/results.json")
    assert again.comparisons == results.comparisons
    assert again.timelines == results.timelines
    assert again.bar_needs == results.bar_needs == needs_of_sheets(results, "total_shrinkage", Wish(0.4))
    assert {need.wanted_half_width for need in results.bar_needs} == {0.4}
