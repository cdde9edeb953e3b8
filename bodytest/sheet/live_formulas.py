"""Formulas of the live columns and the rules that colour impossible values."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

FIRINGS_RANGE = "Firings!$A$4:$A$33"
"""The codes on the Firings sheet, for drop-down lists and for the question about an unknown one."""
_SHRINKAGES = {
    "drying shrinkage": ("wet length", "dry length"),
    "firing shrinkage": ("dry length", "fired length"),
    "total shrinkage": ("wet length", "fired length"),
}
LARGEST_SHRINKAGE = {"drying shrinkage": 15, "firing shrinkage": 18, "total shrinkage": 25}
"""Soft limits in per cent, those of the table of quantities."""
LARGEST_ABSORPTION = 30
"""Soft limit in per cent, that of the table of quantities."""


@dataclass(frozen=True)
class BarRows:
    """The rows of one bar: one, or one for each mark."""

    first: int
    """Spreadsheet row of its first mark; masses and live results stand there."""
    last: int
    """Spreadsheet row of its last mark."""


def live_formula(name: str, letters: Mapping[str, str], rows: BarRows) -> str | None:
    """Return the formula of one live column for one bar, None when the sheet lacks a column that it needs."""
    if name == "absorption":
        return _percent_gain(letters, "fired mass", "boiled mass", rows)
    initial, final = _SHRINKAGES[name]
    return _shrinkage(letters, initial, final, rows)


def look_again_formula(letters: Mapping[str, str], readings: tuple[str, ...], row: int) -> str:
    """Return the formula that says in words what is impossible or odd in one row."""
    span = f"{letters[readings[0]]}{row}:{letters[readings[-1]]}{row}"
    parts = [
        f'IF(SUMPRODUCT(ISERROR({span})*1)>0,"A cell holds an error. ","")',
        f'IF(SUMPRODUCT(ISTEXT({span})*1)>0,"A reading is not a number. ","")',
        f'IF(COUNTIF({span},"<=0")>0,"A reading is zero or negative. ","")',
    ]
    parts += [_phrase(o, letters, row) for o in _ORDERS if o.smaller in letters and o.larger in letters]
    if "wet length" in letters and "fired length" in letters:
        wet, fired = f"{letters['wet length']}{row}", f"{letters['fired length']}{row}"
        limit = LARGEST_SHRINKAGE["total shrinkage"]
        parts.append(
            f'IF(COUNT({wet},{fired})<2,"",IF({fired}<{wet}*{1 - limit / 100},"Shrinks more than {limit} %. ",""))'
        )
    firing = f"{letters['firing']}{row}"
    unknown = f'IF(SUMPRODUCT(({FIRINGS_RANGE}={firing})*1)=0,"This firing is not on the Firings sheet. ","")'
    parts.append(f'IF({firing}="","",{unknown})')
    return "=" + "&".join(parts)


@dataclass(frozen=True)
class _Order:
    """Two readings of which the first cannot exceed the second."""

    smaller: str
    larger: str
    words: str
    coloured: str
    sign: str = ">"
    slack: str = ""

    def broken(self, smaller: str, larger: str) -> str:
        """Return the condition that is true when the order is broken."""
        return f"{smaller}{self.sign}{larger}{self.slack}"


_ORDERS = (
    _Order("dry length", "wet length", "Dry is longer than wet. ", "dry length"),
    _Order("leather-hard length", "wet length", "Leather-hard is longer than wet. ", "leather-hard length"),
    _Order("fired length", "dry length", "Fired is longer than dry. ", "fired length"),
    _Order("dry mass", "wet mass", "Dry is heavier than wet. ", "dry mass"),
    _Order("fired mass", "dry mass", "Fired is heavier than dry. ", "fired mass"),
    _Order("suspended mass", "fired mass", "Suspended is not lighter than fired. ", "suspended mass", sign=">="),
    _Order("fired mass", "boiled mass", "Boiled is lighter than fired. ", "boiled mass", slack="*1.001"),
    _Order("fired mass", "cold-soaked mass", "Cold-soaked is lighter than fired. ", "cold-soaked mass", slack="*1.001"),
)
"""A dense body may gain nothing, so a thousandth is allowed where water is weighed."""


def broken_orders(letters: Mapping[str, str], row: int) -> Iterator[tuple[str, str]]:
    """Yield the heading to colour and the condition for it in one row, for every pair that has an order."""
    for order in _ORDERS:
        if order.smaller in letters and order.larger in letters:
            smaller, larger = f"${letters[order.smaller]}{row}", f"${letters[order.larger]}{row}"
            yield order.coloured, f"AND(COUNT({smaller},{larger})=2,{order.broken(smaller, larger)})"


def no_reading(cell: str) -> str:
    """Return the condition that a cell holds a text, zero or a negative number.

    >>> no_reading("H4")
    'OR(ISTEXT(H4),AND(ISNUMBER(H4),H4<=0))'
    """
    return f"OR(ISTEXT({cell}),AND(ISNUMBER({cell}),{cell}<=0))"


def _phrase(order: _Order, letters: Mapping[str, str], row: int) -> str:
    smaller, larger = f"{letters[order.smaller]}{row}", f"{letters[order.larger]}{row}"
    return f'IF(COUNT({larger},{smaller})<2,"",IF({order.broken(smaller, larger)},"{order.words}",""))'


def _percent_gain(letters: Mapping[str, str], initial: str, final: str, rows: BarRows) -> str | None:
    if initial not in letters or final not in letters:
        return None
    before, after = f"{letters[initial]}{rows.first}", f"{letters[final]}{rows.first}"
    return f'=IF(COUNT({before},{after})<2,"",IF({before}<=0,"",100*({after}-{before})/{before}))'


def _shrinkage(letters: Mapping[str, str], initial: str, final: str, rows: BarRows) -> str | None:
    if initial not in letters or final not in letters:
        return None
    if rows.first == rows.last:
        before, after = f"{letters[initial]}{rows.first}", f"{letters[final]}{rows.first}"
        return f'=IF(COUNT({before},{after})<2,"",IF({before}<=0,"",100*({before}-{after})/{before}))'
    before = f"{letters[initial]}{rows.first}:{letters[initial]}{rows.last}"
    after = f"{letters[final]}{rows.first}:{letters[final]}{rows.last}"
    both = f"ISNUMBER({before})*ISNUMBER({after})"
    sums = f"100*(1-SUMPRODUCT({both},{after})/SUMPRODUCT({both},{before}))"
    return f'=IF(SUMPRODUCT({both})=0,"",IF(SUMPRODUCT({both},{before})<=0,"",{sums}))'
