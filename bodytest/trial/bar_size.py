"""The bar that is cut and marked: its size as it is typed, without anything that draws it."""

import re
from dataclasses import dataclass, field

from bodytest.documented import KEPT_OUT
from bodytest.errors import UnusableRequest
from bodytest.plan.measures import parse_size
from bodytest.units import LENGTH_IN_MM

_END = 5.0
"""Clay that is to be left outside of a mark, mm."""


@dataclass(frozen=True)
class BarSize:
    """A bar as it is cut wet, and where it is marked [mm]."""

    thickness: float = 12.0
    """Thickness of the slab."""
    width: float = 40.0
    """Across."""
    length: float = 130.0
    """Along."""
    gauge: float = 100.0
    """Between its two marks."""
    unit: str = field(default="mm", metadata=KEPT_OUT)
    """Unit in which it is told."""

    @property
    def words(self) -> str:
        """The size in words."""
        return self.told(self.thickness, self.width, self.length)

    def told(self, *sides: float) -> str:
        """Return lengths on the bar, in mm, in its own unit."""
        return f"{' × '.join(f'{side / LENGTH_IN_MM[self.unit]:.4g}' for side in sides)} {self.unit}"

    def usual_in(self, unit: str) -> "BarSize":
        """Return the usual bar in inches where this is the usual one in mm, which nobody chose, and ``unit`` is in."""
        return BarSize(12.7, 38.1, 127.0, 101.6, "in") if unit == "in" and self == BarSize() else self


def parse_bar(size: str, gauge: str) -> BarSize:
    """Return a bar typed as thickness x width x length, in mm where no unit stands behind.

    >>> parse_bar("12x40x130", "100").words, parse_bar("1/2 x 1 1/2 x 5in", "4in").words
    ('12 × 40 × 130 mm', '0.5 × 1.5 × 5 in')

    Raises:
        UnusableRequest: it is no such size, or the marks do not lie on the bar.
    """
    parts = re.split("[x×*]", size.strip(), flags=re.IGNORECASE)
    unit = (re.findall(r"[^\W\d]+$", parts[-1]) or ["mm"])[0]
    try:
        sides = [parse_size(part if part.endswith(unit) else part + unit) for part in parts]
        apart = parse_size(gauge if re.search(r"[^\W\d]\s*$", gauge) else f"{gauge}mm").value
    except UnusableRequest as error:
        raise UnusableRequest("kit-bar", value=f"{size}, {gauge}") from error
    if len(sides) != 3 or (most := sides[-1].value - 2 * _END) <= 0.0:
        raise UnusableRequest("kit-bar", value=f"{size}, {gauge}")
    thickness, width, length = (side.value for side in sides)
    bar = BarSize(thickness, width, length, apart, sides[-1].unit)
    if apart > most:
        raise UnusableRequest("kit-gauge", value=bar.told(apart), length=bar.told(length), most=bar.told(most))
    return bar
