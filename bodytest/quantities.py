"""All readings and quantities, gathered from the records beside the functions of `bodytest.lab`.

A *reading* is what stands in a cell of the Bars table; a *quantity* is what is computed from readings. A module of
``lab`` that has a tuple ``QUANTITIES`` is a method; nothing else needs to know of it.
"""

import pkgutil
from collections.abc import Iterator
from importlib import import_module

from bodytest import lab
from bodytest.lab.forming import FORMING
from bodytest.lab.record import STAGES, Choice, Order, Quantity, Reading
from bodytest.lab.soaking import SOAKINGS
from bodytest.units import DAY, DIMENSIONS

_KINDS = list(DIMENSIONS)


def _in_order_of_work(reading: Reading) -> tuple[int, int]:
    """Say where a reading stands among others: lengths, masses, and so on, each from the wet bar to the broken one."""
    return _KINDS.index(reading.dimension.name), STAGES.index(reading.stage)


def _methods() -> Iterator[tuple[Quantity, ...]]:
    """Yield the quantities of each method."""
    for found in pkgutil.iter_modules(lab.__path__, f"{lab.__name__}."):
        quantities: tuple[Quantity, ...] = getattr(import_module(found.name), "QUANTITIES", ())
        if quantities:
            yield quantities


def _place(method: tuple[Quantity, ...]) -> tuple[int, int]:
    """Put methods of lengths first, and those that need a later reading after the others."""
    places = [_in_order_of_work(r) for quantity in method for r in quantity.readings]
    return min(kind for kind, _ in places), max(stage for _, stage in places)


QUANTITIES: tuple[Quantity, ...] = tuple(q for method in sorted(_methods(), key=_place) for q in method)
QUANTITY_BY_KEY: dict[str, Quantity] = {q.key: q for q in QUANTITIES}
READINGS: tuple[Reading, ...] = tuple(
    sorted(dict.fromkeys(r for q in QUANTITIES for r in q.readings), key=_in_order_of_work)
)
STATED: dict[str, Reading] = {q.key: q.stated for q in QUANTITIES if q.unit == "%"}
"""Quantity key → the column in which a sheet may state it."""
DATES: tuple[Reading, ...] = tuple(
    Reading(f"{stage.replace('-', '_')}_date", f"{stage} date", DAY, stage, "", set_alike=True)
    for stage in STAGES
    if stage != "suspended"
)
"""When a bar was measured at each stage, in the order of work; it is weighed hanging in water with the boiled mass."""
READING_BY_KEY: dict[str, Reading] = {r.key: r for r in (*READINGS, *STATED.values(), *DATES)}
"""Everything that may stand as a number or a date in a cell of the Bars table."""
MARK_READINGS: tuple[Reading, ...] = tuple(r for r in READINGS if r.of_mark)
BAR_READINGS: tuple[Reading, ...] = tuple(r for r in READINGS if not r.of_mark)
CHOICES: tuple[Choice, ...] = tuple(dict.fromkeys((FORMING, *(q.when[0] for q in QUANTITIES if q.when))))
ORDERS: tuple[Order, ...] = tuple(order for q in QUANTITIES for order in q.orders)

NEVER_NEGATIVE = ("absorption", "cold_absorption", "saturation_coefficient", "apparent_porosity")
"""Quantities that cannot truly be negative: where bars scatter widely beside their mean, a long upper tail is usual."""


def possible(key: str, low: float | None, high: float | None) -> float | None:
    """Return the lower end of an interval as people are told it: 0 where it lies below and the quantity cannot.

    >>> possible("absorption", -0.2, 3.2), possible("absorption", -0.2, -0.1), possible("firing_shrinkage", -0.2, 0.4)
    (0.0, -0.2, -0.2)
    """
    return 0.0 if key in NEVER_NEGATIVE and low is not None and high is not None and low < 0.0 < high else low


ABSORPTION_METHODS: tuple[str, ...] = tuple(SOAKINGS)
