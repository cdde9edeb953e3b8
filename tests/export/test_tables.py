import csv
import io
from dataclasses import replace

import pytest

from bodytest.export.csv_tables import COLUMNS, guarded_text, to_csv
from tests.export import example_results as example

pytestmark = pytest.mark.core


def rows(results):
    return list(csv.DictReader(io.StringIO(to_csv(results))))


def test_columns_have_the_names_of_the_document():
    assert COLUMNS[:8] == (
        "body", "firing", "direction", "absorption_method", "cone", "peak_temperature_c", "atmosphere", "batch"
    )  # fmt: skip
    assert COLUMNS[9:20] == (
        "quantity", "unit", "n", "mean", "sd", "standard_uncertainty", "degrees_of_freedom", "low", "high", "next_low",
        "next_high",
    )  # fmt: skip


def test_there_is_a_row_for_each_group_batch_and_quantity():
    found = [(row["batch"], row["quantity"]) for row in rows(example.full())]
    keys = [*example.STAGES, "absorption"]
    assert found == [(batch, key) for batch in ("", "A", "(unnamed)") for key in keys]


def test_a_single_batch_without_a_name_is_not_told_twice():
    assert len(rows(example.results(example.group(batches=("",), **example.STAGES)))) == 4


def test_numbers_are_unrounded_and_absent_ones_blank():
    row = rows(example.results(example.group(total_shrinkage=(100 / 3, 0.1, 10))))[0]
    assert float(row["mean"]) == 100 / 3
    assert float(row["wet_size_factor"]) == 100 / (100 - 100 / 3)
    assert (row["batch_sd"], row["decision"]) == ("", "")


def test_the_size_factor_stands_on_rows_of_total_shrinkage_only():
    filled = [row["quantity"] for row in rows(example.full()) if row["wet_size_factor"]]
    assert filled == ["total_shrinkage"] * 3


def test_a_name_cannot_run_as_a_formula_in_a_spreadsheet():
    for name in ("=1+1", "+1", "-1", "@SUM(1)", "\tx", "\rx"):
        assert guarded_text(name) == "'" + name
        row = rows(example.results(example.group(body=name, total_shrinkage=(12.0, 0.1, 10))))[0]
        assert row["body"] == ("'" + name).replace("\r", "\n")


def test_a_negative_number_is_left_a_number():
    assert rows(example.results(example.group(firing_shrinkage=(-0.2, 0.1, 10))))[0]["mean"] == "-0.2"


def test_commas_quotes_and_line_breaks_in_names_come_back_whole():
    name = 'a, "b"\nc'
    odd = example.results(example.group(body=name, total_shrinkage=(12.0, 0.1, 10)))
    assert rows(replace(odd))[0]["body"] == name
