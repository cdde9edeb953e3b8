"""What departs from the standards: fewer bars, another soak, water that is not taken as 1 g/cm³."""

from collections.abc import Iterator, Sequence

import numpy as np

from bodytest.lab.soaking import NOT_STATED, soaking
from bodytest.quantities import QUANTITIES, READING_BY_KEY
from bodytest.results import Programme, Results
from bodytest.rules.completeness import SHRINKAGE_BARS

_OF_WATER = ("bulk_density",)


def deviations(results: Results, programmes: Sequence[Programme]) -> tuple[str, ...]:
    """Return in sentences what departs from the standards in these programmes of one body, without repeats."""
    found = [sentence for one in programmes for sentence in _of_programme(results, one)]
    return tuple(dict.fromkeys((*found, *_not_computed(results, programmes))))


def _of_programme(results: Results, one: Programme) -> Iterator[str]:
    method = soaking(one.absorption_method)
    shrunk, soaked = (one.quantities.get(key) for key in ("total_shrinkage", "absorption"))
    if shrunk is not None and shrunk.n < SHRINKAGE_BARS:
        yield f"Shrinkage at {one.called} rests on {_bars(shrunk.n)}; ASTM C326 asks for {SHRINKAGE_BARS}."
    if soaked is None:
        return
    if method is NOT_STATED:
        yield "The absorption method is not stated, so no standard can be named for absorption."
    if method.fewest is not None and soaked.n < method.fewest:
        yield f"Absorption at {one.called} rests on {_bars(soaked.n)}; {method.source} asks for {method.fewest}."
    if any(key in one.quantities for key in _OF_WATER):
        if results.lab.water_temperature_c is None:
            yield "The water temperature is not stated; its density is taken at 20 °C."
        elif method.water_is_one:
            yield f"Water has its density at the stated temperature; {method.source} takes it as 1 g/cm³."
    if "saturation_coefficient" in one.quantities and method.name == "boil 5 h and soak 24 h":
        yield "For the saturation coefficient bars were soaked 24 h after the boil; ASTM C67 weighs them after 5 h."


def _not_computed(results: Results, programmes: Sequence[Programme]) -> Iterator[str]:
    """Yield which quantities have their readings but another absorption method than they need."""
    bodies = {one.body for one in programmes}
    mine = results.bars[results.bars["body"].isin(bodies)]
    for quantity in QUANTITIES:
        columns = (READING_BY_KEY[key].column for key in quantity.needs)
        read = [column for column in columns if column in mine.columns]
        if not quantity.methods or len(read) < len(quantity.needs) or quantity.key not in mine.columns:
            continue
        there = np.logical_and.reduce([mine[column].notna().to_numpy() for column in read])
        if there.any() and mine.loc[there, quantity.key].isna().all():
            yield (
                f"{quantity.name} is not computed: {quantity.source} needs a boil of 5 h, and the"
                " bars were filled with water in another way."
            )


def _bars(n: int) -> str:
    return "1 bar" if n == 1 else f"{n} bars"
