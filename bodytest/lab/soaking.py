"""How bars are filled with water: which standard each way is, what it asks for, and what it lets one say."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Soaking:
    """One absorption method."""

    name: str
    """As on the Lab table."""
    source: str
    """The standard that asks for it."""
    fewest: int | None = None
    """Specimens that it asks for, where known."""
    water_is_one: bool = False
    """Whether the standard takes the density of water as 1 g/cm³."""
    classifies: bool = True
    """Whether classes of tiles by absorption may be told."""
    oven_c: tuple[float, float] | None = None
    """Temperatures at which it dries specimens before they are weighed, °C, where known."""
    lightest_g: float = 0.0
    """Mass that each specimen has at least, g; 0 where none is known."""
    porosity: bool = True
    """Whether it measures porosity and density in this way too."""
    done: str = ""
    """What is done at the bench; its name says it where this is empty."""
    days: int = 1
    """Days until the bars are weighed."""


SOAKINGS: dict[str, Soaking] = {
    one.name: one
    for one in (
        Soaking(
            "boil 5 h and soak 24 h",
            "ASTM C373, boiling",
            5,
            True,
            oven_c=(145.0, 155.0),
            lightest_g=50.0,
            done="boil 5 h, let stand 24 h in the same water",
        ),
        Soaking("boil 5 h", "ASTM C67", 5, done="boil 5 h, cool in the water", days=0),
        Soaking(
            "boil 2 h and soak 12 h",
            "ASTM C20 (soak from memory)",
            water_is_one=True,
            oven_c=(105.0, 110.0),
            done="boil 2 h, let stand 12 h in the same water",
        ),
        Soaking("boil 2 h and soak 4 h", "ISO 10545-3:1995", porosity=False, done="boil 2 h, let stand 4 h", days=0),
        Soaking(
            "vacuum",
            "ISO 10545-3:2018",
            oven_c=(105.0, 115.0),
            done="30 min of vacuum, let in the water, 15 min under water",
            days=0,
        ),
        Soaking(
            "cold soak 24 h",
            "24 h cold soak, as in ASTM C67 (from memory)",
            5,
            classifies=False,
            done="24 h in cold water",
        ),
        Soaking("other", "no standard named", classifies=False),
    )
}
"""By name. Facts from the standards' texts or catalogues as far as seen; “from memory” where not."""
NOT_STATED = Soaking("", "method not stated")
"""What holds where the Lab table names no method: nothing is claimed, nothing refused."""


def soaking(method: str | None) -> Soaking:
    """Return the absorption method of a name.

    Parameters:
        method: name as on the Lab table, None where none is stated [text].

    Reference: the standards named in `SOAKINGS`. Worked value: ISO 10545-3:2018 fills bars by vacuum only.

    >>> soaking("vacuum").source
    'ISO 10545-3:2018'
    """
    return SOAKINGS.get(method or "", NOT_STATED)
