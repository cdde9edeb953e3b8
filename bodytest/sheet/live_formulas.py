"""Formulas of the live columns and the rules that colour impossible values."""

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass

from bodytest.lab.expression import spreadsheet
from bodytest.lab.record import Order, Quantity, Way
from bodytest.quantities import ORDERS, QUANTITY_BY_KEY, READING_BY_KEY

LAST_FIRING_ROW = 33
FIRINGS_RANGE = f"Firings!$A$4:$A${LAST_FIRING_ROW}"
"""The codes on the Firings sheet, for drop-down lists and for the question about an unknown one."""
LARGEST_SHRINKAGE = QUANTITY_BY_KEY["total_shrinkage"].plausible[1]
"""Soft limit in per cent above which “look again” speaks."""


@dataclass(frozen=True)
class BarRows:
    """The rows of one bar: one, or one for each mark."""

    first: int
    """Spreadsheet row of its first mark; masses and live results stand there."""
    last: int
    """Spreadsheet row of its last mark."""


def live_formula(quantity: Quantity, letters: Mapping[str, str], rows: BarRows) -> str | None:
    """Return the formula of one live column for one bar, None when the sheet lacks a column that it needs."""
    ways = [way for way in quantity.ways if can_be_live(way, letters)]
    if not ways:
        return None
    formula = '""'
    for way in reversed(ways):
        formula = _guarded(way, letters, rows, formula)
    if quantity.when is not None:
        choice, option = quantity.when
        formula = f'IF({letters[choice.heading]}{rows.first}<>"{option}","",{formula})'
    return f"={formula}"


def can_be_live(way: Way, headings: Container[str]) -> bool:
    """Tell whether a sheet with these columns has all that a formula needs."""
    return all(READING_BY_KEY[key].heading in headings for key in way.needs)


def _guarded(way: Way, letters: Mapping[str, str], rows: BarRows, otherwise: str) -> str:
    """Return the formula of one way: ``otherwise`` where a reading is blank, nothing where it cannot be divided."""
    readings = [READING_BY_KEY[key] for key in way.needs]
    marks = [r for r in readings if r.of_mark and rows.last > rows.first]
    cells = {r.key: f"{letters[r.heading]}{rows.first}" for r in readings}
    spans = {r.key: f"{cells[r.key]}:{letters[r.heading]}{rows.last}" for r in marks}
    both = "*".join(f"ISNUMBER({span})" for span in spans.values())
    lone = [cell for key, cell in cells.items() if key not in spans]
    blank = [f"COUNT({','.join(lone)})<{len(lone)}"] if lone else []
    if spans:
        blank.append(f"SUMPRODUCT({both})=0")
        cells |= {key: f"(SUMPRODUCT({both},{span})/SUMPRODUCT({both}))" for key, span in spans.items()}
    style = spreadsheet(cells)
    formula = way.expression.text(style)
    for divisor in reversed(way.expression.denominators()):
        formula = f'IF({divisor.text(style)}<=0,"",{formula})'
    for condition in reversed(blank):
        formula = f"IF({condition},{otherwise},{formula})"
    return formula


def look_again_formula(letters: Mapping[str, str], readings: tuple[str, ...], row: int) -> str:
    """Return the formula that says in words what is impossible or odd in one row."""
    span = f"{letters[readings[0]]}{row}:{letters[readings[-1]]}{row}"
    parts = [
        f'IF(SUMPRODUCT(ISERROR({span})*1)>0,"A cell holds an error. ","")',
        f'IF(SUMPRODUCT(ISTEXT({span})*1)>0,"A reading is not a number. ","")',
        f'IF(COUNTIF({span},"<=0")>0,"A reading is zero or negative. ","")',
    ]
    for order in _orders(letters):
        smaller, larger = f"{letters[order.smaller.heading]}{row}", f"{letters[order.larger.heading]}{row}"
        broken = f'IF({_broken(order, smaller, larger)},"{order.phrase} ","")'
        parts.append(f'IF(COUNT({larger},{smaller})<2,"",{broken})')
    if "wet length" in letters and "fired length" in letters:
        wet, fired = f"{letters['wet length']}{row}", f"{letters['fired length']}{row}"
        left, words = f"{1 - LARGEST_SHRINKAGE / 100:g}", f"Shrinks more than {LARGEST_SHRINKAGE:g} %. "
        parts.append(f'IF(COUNT({wet},{fired})<2,"",IF({fired}<{wet}*{left},"{words}",""))')
    firing = f"{letters['firing']}{row}"
    unknown = f'IF(SUMPRODUCT(({FIRINGS_RANGE}={firing})*1)=0,"This firing is not on the Firings sheet. ","")'
    parts.append(f'IF({firing}="","",{unknown})')
    return "=" + "&".join(parts)


def _orders(headings: Container[str]) -> list[Order]:
    """Return the orders that a sheet with these columns can speak of; those that allow for something come last."""
    spoken = [o for o in ORDERS if o.phrase and o.smaller.heading in headings and o.larger.heading in headings]
    return sorted(spoken, key=lambda order: order.slack)


def _broken(order: Order, smaller: str, larger: str) -> str:
    """Return the condition that is true when the order is broken."""
    slack = f"*{1 + order.slack:g}" if order.slack else ""
    broken = f"{smaller}{'>=' if order.strict else '>'}{larger}{slack}"
    return f"AND({broken},NOT({formed(order.not_when)}))" if order.not_when else broken


def formed(forming: str) -> str:
    """Return the condition that the Lab sheet says how bars were formed."""
    return f'SUMPRODUCT((Lab!$A$4:$A$40="forming")*(Lab!$B$4:$B$40="{forming}"))>0'


def odd_value(quantity: Quantity, cell: str) -> str:
    """Return the condition that a live result is outside the soft limits of its quantity."""
    low, high = (f"{limit:g}" for limit in quantity.plausible)
    for forming, limits in quantity.plausible_by.items():
        low, high = (f"IF({formed(forming)},{own:g},{usual})" for own, usual in zip(limits, (low, high), strict=True))
    return f"AND(ISNUMBER({cell}),OR({cell}<{low},{cell}>{high}))"


def broken_orders(letters: Mapping[str, str], row: int) -> Iterator[tuple[str, str]]:
    """Yield the heading to colour and the condition for it in one row, for every pair that has an order."""
    for order in _orders(letters):
        smaller, larger = f"${letters[order.smaller.heading]}{row}", f"${letters[order.larger.heading]}{row}"
        yield order.at.heading, f"AND(COUNT({smaller},{larger})=2,{_broken(order, smaller, larger)})"


def no_reading(cell: str) -> str:
    """Return the condition that a cell holds a text, zero or a negative number.

    >>> no_reading("H4")
    'OR(ISTEXT(H4),AND(ISNUMBER(H4),H4<=0))'
    """
    return f"OR(ISTEXT({cell}),AND(ISNUMBER({cell}),{cell}<=0))"
