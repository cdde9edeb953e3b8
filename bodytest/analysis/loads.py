"""Which loads were fired to one programme, and what that programme is called."""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from bodytest import cones
from bodytest.results import Group, Programme
from bodytest.units import degrees

_PURPOSE_TAKEN_FOR_GRANTED = "final"


@dataclass(frozen=True)
class FiringProgramme:
    """What is meant to be repeated when a kiln is fired; of a load that no Firings table knows, its code alone."""

    parts: tuple[str, ...]
    """What it is known by, most telling first: its name, or heat, atmosphere, kiln and purpose."""
    purpose: str = ""
    """bisque, final, test or ``""``."""
    kiln: str = ""
    """Name of the kiln, ``""`` where none was given."""
    cone: str = ""
    """Its cone, ``""`` where none was given."""
    atmosphere: str = ""
    """Its atmosphere, ``""`` where none was given."""

    @property
    def name(self) -> str:
        """All that it is known by."""
        return ", ".join(self.parts)


def programme_of(load: "pd.Series[Any]", unit: str) -> FiringProgramme:
    """Return the programme of a row of the Firings table.

    Loads of one kiln with the same cone (else the same set temperature and hold), atmosphere and purpose are one
    programme where none is named; a load that tells neither is a programme of its own. A set temperature is told in
    ``unit``.
    """
    kiln, atmosphere, purpose, cone = (str(load[name]) for name in ("kiln", "atmosphere", "purpose", "cone"))
    if load["programme"]:
        parts: tuple[str, ...] = (str(load["programme"]),)
    elif cone or pd.notna(load["set_temperature_c"]):
        said = "" if purpose == _PURPOSE_TAKEN_FOR_GRANTED else purpose
        parts = tuple(part for part in (_heat(load, unit), atmosphere, kiln, said) if part)
    else:
        parts = (str(load["firing"]),)
    return FiringProgramme(parts, purpose, kiln, cone, atmosphere)


def _heat(load: "pd.Series[Any]", unit: str) -> str:
    if load["cone"]:
        return f"cone {load['cone']}"
    hold = f" held {load['hold_min']:g} min" if pd.notna(load["hold_min"]) else ""
    return f"{degrees(load['set_temperature_c'], unit):.0f} {unit}{hold}"


def holds(programme: Programme, load: Group) -> bool:
    """Say whether the bars of one load are among those of a programme."""
    alike = (programme.body, programme.direction, programme.absorption_method)
    return load.firing in programme.loads and alike == (load.body, load.direction, load.absorption_method)


def temperatures(load: "pd.Series[Any] | None") -> tuple[float | None, float | None]:
    """Return the temperature of a load that was read, °C, and the nominal one of its cone where none was."""
    if load is None:
        return None, None
    peak = load["peak_temperature_c"] if pd.notna(load["peak_temperature_c"]) else load["set_temperature_c"]
    if pd.notna(peak):
        return float(peak), None
    return None, cones.nominal_celsius(load["cone"], _heating_rate(load))


def nominal_from(load: "pd.Series[Any] | None") -> str | None:
    """Return which column of the chart gives a load its nominal temperature, and whether it was assumed."""
    if load is None or temperatures(load)[1] is None:
        return None
    rate = _heating_rate(load)
    return f"{cones.chart_rate(rate)} °C per hour" + (" (assumed: no heating rate is stated)" if rate is None else "")


def _heating_rate(load: "pd.Series[Any]") -> float | None:
    return None if pd.isna(load["heating_rate_c_per_h"]) else float(load["heating_rate_c_per_h"])


def shortest_names(programmes: list[FiringProgramme]) -> dict[FiringProgramme, str]:
    """Return for each programme of a body as few of its parts as tell it from the others.

    >>> six, hot = (FiringProgramme((f"cone {n}", "oxidation")) for n in "67")
    >>> list(shortest_names([six, hot]).values())
    ['cone 6', 'cone 7']
    """
    names: dict[FiringProgramme, str] = {}
    for one in programmes:
        others = [other.parts for other in programmes if other != one]
        enough = next((n for n in range(1, len(one.parts)) if not any(o[:n] == one.parts[:n] for o in others)), None)
        names[one] = ", ".join(one.parts[:enough])
    return names
