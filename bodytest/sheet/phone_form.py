"""The phone form: one offline page in which readings are typed bar by bar, made from a sheet."""

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from functools import cache
from pathlib import PurePath
from typing import Any

import pandas as pd

from bodytest import __version__
from bodytest.errors import UnusableRequest
from bodytest.files.writing import sha256_of
from bodytest.findings import catalogue
from bodytest.intake.cells import converted_back
from bodytest.lab.expression import Expression, Number, Operation, Symbol
from bodytest.lab.forming import FORMING
from bodytest.lab.record import BEFORE_FIRING, STAGES, Order, Quantity, Reading
from bodytest.quantities import CHOICES, ORDERS, QUANTITIES, READING_BY_KEY, READINGS
from bodytest.report.render import render
from bodytest.report.wording import Voice, english
from bodytest.rules import bounds, plausible, slips
from bodytest.sheet.chosen_columns import KindsOfTest, Units, wanted_readings
from bodytest.tables import TYPED_FOR, CheckedSheets
from bodytest.units import INSTRUMENTS

_NAMES = ("bar", "body", "batch", "firing", "direction")
"""Texts of a bar that are shown; those that tell bars of one code apart stand in the table of typed readings too."""
_APART = ("sheet", "body", "batch", "direction", FORMING.key)
"""What bars have in common that are neighbours before the firing."""


def form_page(sheets: CheckedSheets) -> str:
    """Return the page for one sheet; see `typing_data`."""
    voice = Voice(english())
    return render("form.html", voice, typing=typing_data(sheets), software=f"bodytest {__version__}", footer_css="")


def typing_data(sheets: CheckedSheets) -> dict[str, Any]:
    """Return what the typing page needs to know of a sheet: its bars, its columns, what is known, and the checks.

    Raises:
        UnusableRequest: there are no bars, or they are those of several sheets.
    """
    numbers = sheets.bars["sheet"].unique().tolist()
    if not numbers:
        raise UnusableRequest("nothing-to-type", value=", ".join(one.name for one in sheets.sheets))
    if len(numbers) > 1:
        raise UnusableRequest("form-of-several", value=", ".join(sheets.sheets[n].name for n in numbers))
    source = sheets.sheets[numbers[0]]
    readings = [_typed(reading, unit) for reading, unit in columns_to_type(sheets.units)]
    words = {key.removeprefix("typing."): text for key, text in english().items() if key.startswith("typing.")}
    identity = "\n".join(f"{one.name} {one.sha256}" for one in sheets.sheets)
    return {
        "key": f"bodytest-form-{sha256_of(identity.encode())[:24]}",
        "sheet": source.name,
        "file": f"{PurePath(source.name).stem}-readings.csv",
        "title": f"{TYPED_FOR}{source.name}",
        "headings": [*_NAMES, "mark"],
        "readings": readings,
        "rows": _rows(sheets, readings),
        "steps": {name: source.lab.step(name) or 0.0 for name in INSTRUMENTS},
        "checks": typed_checks(),
        "words": words,
    }


def columns_to_type(units: Mapping[str, str]) -> list[tuple[Reading, str]]:
    """Return the readings that the sheet has columns for, else those of a blank sheet, in the order of work."""
    known = [(reading, units[reading.key]) for reading in READINGS if reading.key in units]
    usual = Units()
    known = known or [(one, getattr(usual, one.dimension.name)) for one in wanted_readings(KindsOfTest())]
    return sorted(known, key=lambda one: STAGES.index(one[0].stage))


def _typed(reading: Reading, unit: str) -> dict[str, Any]:
    """Return one column of the sheet, typed one bar after the other.

    ``factor`` makes a number in its unit one in the unit held; before firing all bars of a batch are neighbours.
    """
    dimension = reading.dimension
    return {
        "key": reading.key,
        "heading": reading.heading,
        "unit": unit,
        "factor": dimension.units[unit],
        "instrument": dimension.instrument.name,
        "dimension": dimension.name,
        "of_mark": reading.of_mark,
        "before_firing": reading.stage in BEFORE_FIRING,
        "bars_have": [f"{converted_back(limit, unit):.6g} {unit}" for limit in dimension.bars_have],
        "limits": dimension.bars_have,
    }


def _rows(sheets: CheckedSheets, readings: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return a row for each mark of each bar, in the order of the sheet.

    ``first`` is the position of the first row of its bar, where masses are typed; ``batch`` and ``load`` are numbers of
    the batch, and of batch and firing, that it stands in; ``known`` is what the sheet holds [unit of the column].
    """
    bars = sheets.bars.reset_index(drop=True)
    marks = sheets.marks.sort_values("bar_row", kind="stable", ignore_index=True)
    batches = bars.groupby(list(_APART), sort=False).ngroup().tolist()
    loads = bars.groupby([*_APART, "firing"], sort=False).ngroup().tolist()
    records: list[dict[Any, Any]] = bars.to_dict("records")
    rows: list[dict[str, Any]] = []
    first: dict[int, int] = {}
    for mark in marks.to_dict("records"):
        at = int(mark["bar_row"])
        bar = records[at]
        is_first = first.setdefault(at, len(rows)) == len(rows)
        known = _known(mark, readings, of_mark=True) | (_known(bar, readings, of_mark=False) if is_first else {})
        names = (*(str(bar[name]) for name in _NAMES), str(mark["mark"]))
        choices = {choice.key: str(bar[choice.key]) for choice in CHOICES}
        places = {"first": first[at], "batch": batches[at], "load": loads[at]}
        rows.append({"names": names, **places, "choices": choices, "known": known})
    return rows


def _known(record: dict[Any, Any], readings: Sequence[Mapping[str, Any]], *, of_mark: bool) -> dict[str, float]:
    """Return what the sheet holds of one bar or mark [unit of the column]."""
    held = ((one, record[READING_BY_KEY[one["key"]].column]) for one in readings if one["of_mark"] == of_mark)
    return {one["key"]: float(f"{value / one['factor']:.10g}") for one, value in held if not pd.isna(value)}


_CODES = ("not-a-number", "zero-or-negative", "not-the-size-of-a-bar", "within-reading-uncertainty", "beyond-clay",
          "impossible-value", "far-from-neighbours")  # fmt: skip
_CELLS = ((re.compile(r" \(\{cell\} and \{other\}\)| in \{cell\}|; (?:it was|both were) used"), ""),
          (re.compile(r"^In \{cell\} the"), "The"), (re.compile("leave the cell blank"), "leave it blank"))  # fmt: skip
"""What a sentence says of the cells of a sheet, and what stands in its place beside the bar itself."""


@cache
def typed_checks() -> dict[str, Any]:
    """Return every check of one reading against others, for readings of all kinds."""
    orders = [order for order in ORDERS if order.code]
    return {
        "orders": [_order(order) for order in orders],
        "quantities": [_quantity(quantity) for quantity in QUANTITIES],
        "pairs": [[*pair, READING_BY_KEY[pair[0]].dimension.smallest_share] for pair in plausible.PAIRS],
        "sentences": {code: _sentence(code) for code in (*_CODES, *dict.fromkeys(order.code for order in orders))},
        "sure": bounds.SURE,
        "far": plausible.FAR,
        "alone": plausible.ALONE,
        "fewest": plausible.SMALLEST_GROUP,
        "shifted": slips.SHIFTED,
        "slips": {"shift": slips.SHIFT, "turn": slips.TURN, "digit": slips.DIGIT},
        "would_fit": slips.WOULD_FIT,
        "should_be": slips.SHOULD_BE,
    }


def formula(expression: Expression) -> Any:
    """Return a formula as a number, the key of a reading, or a sign with its two parts.

    >>> from bodytest.lab.shrinkage import TOTAL_SHRINKAGE
    >>> formula(TOTAL_SHRINKAGE.ways[0].expression)
    ['*', 100.0, ['/', ['-', 'wet_length', 'fired_length'], 'wet_length']]
    """
    match expression:
        case Number():
            return expression.value
        case Symbol():
            return expression.key if expression.usual is None else expression.usual
        case Operation():
            return [expression.sign, formula(expression.left), formula(expression.right)]
    raise TypeError(expression)


def _sentence(code: str) -> dict[str, str]:
    entry = asdict(catalogue()[code])
    for (pattern, instead), name in itertools.product(_CELLS, ("sentence", "remedy")):
        entry[name] = pattern.sub(instead, entry[name])
    return {name: entry[name] for name in ("level", "sentence", "remedy")}


def _order(order: Order) -> dict[str, Any]:
    return {
        "code": order.code,
        "larger": order.larger.key,
        "smaller": order.smaller.key,
        "instrument": order.at.dimension.instrument.name,
        "strict": order.strict,
        "not_when": order.not_when,
    }


def _quantity(quantity: Quantity) -> dict[str, Any]:
    when = None if quantity.when is None else [quantity.when[0].key, quantity.when[1]]
    limits = {forming: _limits(quantity, pair) for forming, pair in quantity.plausible_by.items()}
    return {
        "name": quantity.words,
        "unit": quantity.unit,
        "digits": quantity.digits,
        "ways": [{"needs": way.needs, "formula": formula(way.expression)} for way in quantity.ways],
        "base": quantity.base,
        "when": when,
        "plausible": _limits(quantity, quantity.plausible),
        "plausible_by": limits,
        "possible": _limits(quantity, quantity.possible) | {"reason": quantity.possible_source},
    }


def _limits(quantity: Quantity, limits: tuple[float, float]) -> dict[str, Any]:
    low, high = (None if abs(limit) == float("inf") else limit for limit in limits)
    return {"low": low, "high": high, "words": bounds.range_of(quantity, limits)}
