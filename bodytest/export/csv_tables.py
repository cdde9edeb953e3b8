"""Results → results.csv: one row for each group, batch (blank = all of them) and quantity.

The columns have the names of the results document. Numbers are unrounded, absent ones blank. A text that a spreadsheet
program would take for a formula (it begins with ``=``, ``+``, ``-``, ``@``, a tab or a carriage return) gets an
apostrophe in front, so that a name in a sheet can never run as a formula in somebody else's spreadsheet. A carriage
return within a text becomes a line feed.
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import fields
from math import isnan

from bodytest.files.own_files import IN_CSV, sealed_text
from bodytest.frames import FACTOR_COLUMNS, GROUP_COLUMNS, NOT_IN_TABLE, rows_of
from bodytest.results import QuantityResult, Results

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
QUANTITY_COLUMNS = tuple(field.name for field in fields(QuantityResult) if field.name not in NOT_IN_TABLE)
"""The figures of a quantity; what is itself a list stands in results.json only."""
COLUMNS = (*GROUP_COLUMNS, "batch", "bars", "quantity", *QUANTITY_COLUMNS, *FACTOR_COLUMNS, "seal")
"""All columns in their order; the seal stands in the last row and breaks when somebody changes the file."""


def to_csv(results: Results) -> str:
    """Return the table of results as CSV text (comma, full stop for decimals, UTF-8, line feed)."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")  # noqa: TID251 (the one door for CSV)
    writer.writeheader()
    for row in list(table_rows(results)) or [{}]:
        writer.writerow({name: _cell(value) for name, value in row.items()})
    return sealed_text(text.getvalue(), IN_CSV)


def table_rows(results: Results) -> Iterator[dict[str, object]]:
    """Yield the rows of the table: each group as a whole, then its batches."""
    for group in results.groups:
        yield from rows_of(group, GROUP_COLUMNS)


def guarded_text(text: str) -> str:
    """Return the text with an apostrophe in front where a spreadsheet program would take it for a formula.

    >>> guarded_text("=1+1"), guarded_text("Marl Red")
    ("'=1+1", 'Marl Red')
    """
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text


def _cell(value: object) -> object:
    if isinstance(value, str):
        return guarded_text(value).replace("\r", "\n")
    return None if isinstance(value, float) and isnan(value) else value
