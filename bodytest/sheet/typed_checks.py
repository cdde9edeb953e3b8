"""What a page needs to judge a reading while it is typed: orders, limits and neighbours, as data from the records."""

import itertools
import re
from dataclasses import asdict
from functools import cache
from typing import Any

from bodytest.findings import catalogue
from bodytest.lab.expression import Expression, Number, Operation, Symbol
from bodytest.lab.record import BEFORE_FIRING, Order, Quantity
from bodytest.quantities import ORDERS, QUANTITIES, READING_BY_KEY
from bodytest.rules import bounds, plausible, slips

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


def is_before_firing(key: str) -> bool:
    """Tell whether a reading is taken before the kiln, so that all bars of a batch are its neighbours."""
    return READING_BY_KEY[key].stage in BEFORE_FIRING


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
