"""What a test is to answer, with what clay and kiln, as frozen dataclasses."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from bodytest.cones import nominal_celsius, parse_cone
from bodytest.errors import UnusableRequest
from bodytest.rounding import number_text
from bodytest.trial.bar_size import BarSize
from bodytest.trial.goals import Goal
from bodytest.units import LENGTH_DECIMALS, PIECE, on_piece

WET_DENSITY = 1.95
"""Of plastic clay, g/cm³; common practice, no source."""
USUAL_PM_C, USUAL_STEP_MM = 10.0, 0.1
"""How far a load's temperature may be off, ± °C (k = 2), and the step of a calliper, mm, where nobody states them; from
memory, no source."""
FIRED_SHARE = 0.735
"""Mass of a fired bar over that of the wet one; common practice, no source."""

USUAL_ABSORPTION_SD = 0.15
"""By which absorption of bars and of batches scatters, where nobody saw it [percentage points]."""


@dataclass(frozen=True)
class Heat:
    """A firing that the kiln can do."""

    cone: str = ""
    """Cone, as on the chart; empty where a temperature is aimed at."""
    celsius: float = 0.0
    """Temperature aimed at, or the nominal one of the cone, °C."""

    @property
    def called(self) -> str:
        """What it is called, which is its programme's name."""
        return f"cone {self.cone}" if self.cone else f"{self.celsius:g} °C"

    @classmethod
    def of_cone(cls, text: str) -> "Heat":
        """Return a cone as it is typed, at its nominal temperature.

        >>> Heat.of_cone("cone 6")
        Heat(cone='6', celsius=1222.0)
        """
        cone = parse_cone(text)
        if cone is None:
            raise UnusableRequest("no-such-cone", value=text, option="--cone", given=text, example="06 or 6")
        return cls(cone, nominal_celsius(cone) or 0.0)


def heats_of(cones: Iterable[str], celsius: Iterable[float]) -> tuple[Heat, ...]:
    """Return the firings typed as cones, then those typed as temperatures, none twice."""
    found = [*map(Heat.of_cone, cones), *(Heat(celsius=one) for one in celsius)]
    return tuple({heat.called: heat for heat in found}.values())


@dataclass(frozen=True)
class Kiln:
    """What can be fired, and how much at once."""

    heats: tuple[Heat, ...]
    """What it can be fired to; the first is what the ware gets."""
    shelf_mm: tuple[float, float] = (400.0, 450.0)
    """Width and depth of a shelf, mm."""
    shelves: int = 1
    """Shelves in one load."""
    temperature_pm_c: float | None = None
    """How far the temperature of a load may be off, °C (k = 2); None: nobody stated it, and the usual one is taken."""

    @property
    def off_c(self) -> float:
        """Return the standard uncertainty of a load's temperature, °C."""
        return (USUAL_PM_C if self.temperature_pm_c is None else self.temperature_pm_c) / 2.0


@dataclass(frozen=True)
class Scatter:
    """What bars, batches and loads scatter by (standard deviations), and where that is known from."""

    bar: float = 0.15
    """Total shrinkage of bars of one batch in one load [percentage points]."""
    batch: float = 0.15
    """Total shrinkage of batches [percentage points]."""
    load: float | None = None
    """Total shrinkage of loads of one programme [percentage points]; None: as their temperatures differ."""
    shrinkage: float = 12.0
    """Total shrinkage [%]."""
    absorption_bar: float | None = None
    """Absorption of bars of one batch in one load [percentage points]; None: as usual."""
    absorption_batch: float | None = None
    """Absorption of batches [percentage points]; None: as usual."""
    absorption_fall: float = 0.03
    """Share of the absorption by which it falls for each °C [1/°C]; 0.03 is 0.06 % at 2 %."""
    absorption: float | None = None
    """Absorption expected at the first heat [%]; None where nobody knows."""
    source: str = "the usual scatter, from memory, no source"
    """Where it is known from."""


SHRINKAGE_SLOPE = 0.03
"""How total shrinkage changes with temperature below the peak [% per °C]; from memory, no source."""


@dataclass(frozen=True)
class Question:
    """What is asked of a test."""

    body: str
    """Name of the body."""
    goals: tuple[Goal, ...]
    """What is to be known."""
    kiln: Kiln
    """What can be fired."""
    half_width: float = 0.5
    """How closely the size is to be known: ± of total shrinkage [percentage points]."""
    limit: float | None = None
    """Highest absorption that is tight [%]."""
    half_width_c: float | None = None
    """How closely the temperature at the limit is to be known: ± [°C]; None: as well as the firings tell."""
    tolerance: float = 0.5
    """Largest difference of two deliveries that does not matter [percentage points]."""
    pair_mm: float = 1.0
    """Largest difference of two pieces of 200 mm [mm]."""
    scatter: Scatter = field(default_factory=Scatter)
    """What is known already."""
    bar: BarSize = field(default_factory=BarSize)
    """The bar."""
    marks: int = 1
    """Pairs of marks on each bar."""
    stated_step_mm: float | None = None
    """Step to which lengths are read, mm; None: nobody stated it, and the usual one is taken."""
    spare: float = 0.1
    """Share of bars made besides."""
    one_batch: bool = False
    """Only one batch of clay is at hand, so the answer speaks of it alone."""
    most_loads: int = 12
    """Loads of one programme that can be fired."""
    control_body: str = ""
    """Body of which bars stand in every load; empty for none."""
    direction: str = "along"
    """Direction in which is measured."""
    method: str = "boil 5 h and soak 24 h"
    """Absorption method, as on the Lab table."""
    seed: int = 1
    """Number that the places in the kiln are drawn by."""

    @property
    def absorption_sds(self) -> tuple[float, float]:
        """Return what absorption of bars and of batches scatters by (standard deviations) [percentage points].

        Where nobody saw it that is as usual, but half of an absorption at most that is held against a limit: it cannot
        be negative. Both from memory, no source.
        """
        scatter = self.scatter
        usual = USUAL_ABSORPTION_SD
        if "tight" in self.goals and scatter.absorption is not None:
            usual = min(usual, scatter.absorption / 2.0)
        bar, batch = (usual if one is None else one for one in (scatter.absorption_bar, scatter.absorption_batch))
        return bar, batch

    @property
    def length_unit(self) -> str:
        """Return the unit in which lengths are told: that of the bar where it is ``in``, else ``mm``."""
        return "in" if self.bar.unit == "in" else "mm"

    @property
    def weighs(self) -> bool:
        """Say whether absorption is measured."""
        return bool({"tight", "range"} & {*self.goals})

    @property
    def measures(self) -> bool:
        """Say whether lengths are measured."""
        return {*self.goals} != {"tight"}

    @property
    def wet_g(self) -> float:
        """Return the mass of a wet bar, g."""
        return self.bar.thickness * self.bar.width * self.bar.length / 1000.0 * WET_DENSITY

    @property
    def reading_step_mm(self) -> float:
        """Return the step to which lengths are read, mm."""
        return USUAL_STEP_MM if self.stated_step_mm is None else self.stated_step_mm

    @property
    def step_points(self) -> float:
        """Return the step of lengths as a share of the distance of the marks [percentage points]."""
        return 100.0 * self.reading_step_mm / self.bar.gauge

    @property
    def reading(self) -> float:
        """Return the standard uncertainty of one bar's shrinkage by the step of its two lengths [percentage points]."""
        both = math.hypot(1.0, 1.0 - self.scatter.shrinkage / 100.0)
        return self.step_points * both / math.sqrt(12 * self.marks)


def parse_shelf(text: str) -> tuple[float, float]:
    """Return width and depth of a shelf in mm, typed with a cross between them.

    >>> parse_shelf("400 × 450mm")
    (400.0, 450.0)

    Raises:
        UnusableRequest: they are not two sizes.
    """
    parts = re.split(r"\s*[x×*]\s*", text.strip().lower().removesuffix("mm").strip())
    try:
        width, depth = (float(part.replace(",", ".")) for part in parts)
    except ValueError:
        width = depth = 0.0
    if not (1.0 <= width <= 5000.0 and 1.0 <= depth <= 5000.0):
        raise UnusableRequest("plan-bad-shelf", value=text)
    return width, depth


def parse_points(text: str) -> float:
    """Return a half-width of shrinkage in percentage points; what is given in mm is of a piece of 200 mm, in of 8 in.

    >>> parse_points("0.4"), parse_points("1 mm"), parse_points("0.04in")
    (0.4, 0.5, 0.5)

    Raises:
        UnusableRequest: it is no number above zero.
    """
    plain = text.strip().lower()
    unit = next((unit for unit in PIECE if plain.endswith(unit)), "")
    try:
        points = float(plain.removesuffix(unit).replace(",", ".")) / (on_piece(1.0, unit) if unit else 1.0)
    except ValueError:
        points = 0.0
    if not 0.0 < points <= 20.0:
        raise UnusableRequest("plan-bad-points", value=text)
    return points


def points(value: float, unit: str) -> str:
    """Return a half-width in percentage points and on a piece, e.g. ``± 0.44 percentage points (0.9 mm on 200 mm)``."""
    length = number_text(on_piece(value, unit), LENGTH_DECIMALS[unit])
    return f"± {number_text(value, 2)} percentage points ({length} {unit} on {PIECE[unit]:g} {unit})"
