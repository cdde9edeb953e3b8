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


SOAKINGS: dict[str, Soaking] = {
    one.name: one
    for one in (
        Soaking("boil 5 h and soak 24 h", "ASTM C373, boiling", 5, water_is_one=True),
        Soaking("boil 5 h", "ASTM C67", 5),
        Soaking("boil 2 h and soak 12 h", "ASTM C20 (soak from memory)", water_is_one=True),
        Soaking("boil 2 h and soak 4 h", "ISO 10545-3:1995"),
        Soaking("vacuum", "ISO 10545-3:2018"),
        Soaking("cold soak 24 h", "24 h cold soak, as in ASTM C67 (from memory)", 5, classifies=False),
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
