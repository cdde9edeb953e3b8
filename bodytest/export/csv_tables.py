"""Results → results.csv: one row for each group, batch (blank = all of them) and quantity.

The columns have the names of the results document. Numbers are unrounded, absent ones blank. A text that a spreadsheet
program would take for a formula (it begins with ``=``, ``+``, ``-``, ``@``, a tab or a carriage return) gets an
apostrophe in front, so that a name in a sheet can never run as a formula in somebody else's spreadsheet. A carriage
return within a text becomes a line feed.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
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
DELIMITERS = {".": ",", ",": ";"}
"""Sign between cells by the sign of decimals."""


def to_csv(results: Results, decimal_sign: str = ".") -> str:
    """Return the table of results as CSV text (UTF-8, line feed): comma and decimal point, or semicolon and comma."""
    text = io.StringIO()
    writer = csv.DictWriter(  # noqa: TID251 (the one door for CSV)
        text, COLUMNS, delimiter=DELIMITERS[decimal_sign], lineterminator="\n"
    )
    writer.writeheader()
    for row in list(table_rows(results)) or [{}]:
        cone = {"cone": f"cone {row['cone']}"} if row.get("cone") else {}
        writer.writerow({name: _cell(value, decimal_sign) for name, value in (row | cone).items()})
    return sealed_text(text.getvalue(), IN_CSV)


def table_rows(results: Results) -> Iterator[dict[str, object]]:
    """Yield the rows of the table: each group as a whole, then its batches."""
    for group in results.groups:
        yield from rows_of(group, GROUP_COLUMNS)


def rows_as_csv(rows: Iterable[Sequence[str]]) -> str:
    r"""Return rows of texts with commas between their cells, those of formulas guarded.

    >>> rows_as_csv([["bar", "wet length (mm)"], ["=A1", "100.5"]])
    "bar,wet length (mm)\n'=A1,100.5\n"
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")  # noqa: TID251 (the one door for CSV)
    writer.writerows([[guarded_text(cell) for cell in row] for row in rows])
    return text.getvalue()


def guarded_text(text: str) -> str:
    """Return the text with an apostrophe in front where a spreadsheet program would take it for a formula.

    >>> guarded_text("=1+1"), guarded_text("Marl Red")
    ("'=1+1", 'Marl Red')
    """
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text


def _cell(value: object, decimal_sign: str) -> object:
    if isinstance(value, str):
        return guarded_text(value).replace("\r", "\n")
    if isinstance(value, float):
        return None if isnan(value) else repr(float(value)).replace(".", decimal_sign)
    return value
