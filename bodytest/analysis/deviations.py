"""What departs from the standards: fewer bars, another soak, water that is not taken as 1 g/cm³."""

from collections.abc import Iterator, Sequence

import numpy as np

from bodytest.lab.soaking import NOT_STATED, soaking
from bodytest.quantities import QUANTITIES, READING_BY_KEY
from bodytest.results import Programme, Results
from bodytest.rounding import counted
from bodytest.rules.completeness import SHRINKAGE_BARS


def deviations(results: Results, programmes: Sequence[Programme]) -> tuple[str, ...]:
    """Return in sentences what departs from the standards in these programmes of one body, without repeats."""
    several = len({one.direction for one in programmes}) > 1
    found: dict[str, list[str]] = {}
    for one in programmes:
        called = f"{one.called} {one.direction}".rstrip() if several else one.called
        for sentence in (*_of_bars(results, one), *_of_water(results, one)):
            found.setdefault(sentence, []).append(called)
    told = (sentence.replace("{at}", ", ".join(where)) for sentence, where in found.items())
    return tuple(dict.fromkeys((*told, *_not_computed(results, programmes))))


def _of_bars(results: Results, one: Programme) -> Iterator[str]:
    """Yield what departs in number, mass and drying of the bars; ``{at}`` stands for the programmes where it does."""
    method = soaking(one.absorption_method)
    shrunk, soaked = (one.quantities.get(key) for key in ("total_shrinkage", "absorption"))
    if shrunk is not None and shrunk.n < SHRINKAGE_BARS:
        yield f"Shrinkage at {{at}} rests on {counted(shrunk.n, 'bar')}; ASTM C326 asks for {SHRINKAGE_BARS}."
    if soaked is None:
        return
    if method is NOT_STATED:
        yield "The absorption method is not stated, so no standard can be named for absorption."
    if method.fewest is not None and soaked.n < method.fewest:
        yield f"Absorption at {{at}} rests on {counted(soaked.n, 'bar')}; {method.source} asks for {method.fewest}."
    if method.lightest_g and (lightest := _lightest(results, one)) < method.lightest_g:
        asked = f"{method.source} asks for {method.lightest_g:g} g at least"
        yield f"The lightest bar at {{at}} weighs {lightest:.1f} g; {asked}."
    oven = results.lab.oven_temperature_c
    if oven is not None and method.oven_c is not None and not method.oven_c[0] <= oven <= method.oven_c[1]:
        low, high = method.oven_c
        yield f"Bars were dried at {oven:g} °C; {method.source} asks for {low:g} to {high:g} °C."


def _of_water(results: Results, one: Programme) -> Iterator[str]:
    """Yield what departs in the water and in the way it gets in."""
    method = soaking(one.absorption_method)
    if "bulk_density" in one.quantities:
        if not method.porosity:
            yield f"For porosity and density {method.source} fills bars under vacuum; these were boiled."
        if results.lab.water_temperature_c is None:
            yield "The water temperature is not stated; its density is taken at 20 °C."
        elif method.water_is_one:
            yield f"Water has its density at the stated temperature; {method.source} takes it as 1 g/cm³."
    if "saturation_coefficient" in one.quantities and method.name == "boil 5 h and soak 24 h":
        yield "For the saturation coefficient bars were soaked 24 h after the boil; ASTM C67 weighs them after 5 h."


def _lightest(results: Results, one: Programme) -> float:
    """Return the smallest fired mass of the programme's bars that were soaked, g; infinite where there is none."""
    bars = results.bars
    mine = (bars["body"] == one.body) & bars["firing"].isin(one.loads) & bars["absorption"].notna()
    masses = bars.loc[mine, "fired_mass_g"].dropna()
    return float(masses.min()) if len(masses) else np.inf


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
