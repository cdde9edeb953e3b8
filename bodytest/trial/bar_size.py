"""The bar that is cut and marked: its size as it is typed, without anything that draws it."""

import re
from dataclasses import dataclass

from bodytest.errors import UnusableRequest
from bodytest.plan.measures import parse_size

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

    @property
    def words(self) -> str:
        """The size in words."""
        return f"{self.thickness:g} × {self.width:g} × {self.length:g} mm"


def parse_bar(size: str, gauge: str) -> BarSize:
    """Return a bar typed as thickness x width x length, in mm where no unit stands behind.

    >>> parse_bar("12x40x130", "100").words, parse_bar("1/2 x 1 1/2 x 5in", "4in").gauge
    ('12 × 40 × 130 mm', 101.6)

    Raises:
        UnusableRequest: it is no such size, or the marks do not lie on the bar.
    """
    parts = re.split("[x×*]", size.strip(), flags=re.IGNORECASE)
    unit = (re.findall(r"[^\W\d]+$", parts[-1]) or ["mm"])[0]
    try:
        sides = [parse_size(part if part.endswith(unit) else part + unit).value for part in parts]
        apart = parse_size(gauge if re.search(r"[^\W\d]\s*$", gauge) else f"{gauge}mm").value
    except UnusableRequest as error:
        raise UnusableRequest("kit-bar", value=f"{size}, {gauge}") from error
    if len(sides) != 3:
        raise UnusableRequest("kit-bar", value=f"{size}, {gauge}")
    thickness, width, length = sides
    if apart > (most := length - 2 * _END):
        raise UnusableRequest("kit-gauge", value=f"{apart:g}", length=f"{length:g}", most=f"{most:g}")
    return BarSize(thickness, width, length, apart)
