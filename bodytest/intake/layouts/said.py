"""What the user said of a sheet on the command line: which heading means which column, and units told nowhere."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from bodytest.errors import UnusableRequest
from bodytest.grids.grid import Place
from bodytest.intake.layouts.headings import meaning, plain, split_unit
from bodytest.intake.layouts.legends import Legend, explained
from bodytest.units import canonical_unit, dimension_of

NOT_READ = "not read"
"""Heading that stands for a column that does not matter."""
NAMES = ("body", "batch", "cone", "firing")
"""Columns that a text in a title or in the name of a tab may give for all bars."""


@dataclass(frozen=True)
class Said:
    """Everything that was said, and what of it was found in a sheet."""

    columns: Mapping[str, str] = field(default_factory=dict)
    """Plain heading → what stands in its place."""
    typed: Mapping[str, str] = field(default_factory=dict)
    """Plain heading → heading as typed."""
    units: Mapping[str, str] = field(default_factory=dict)
    """Name of a dimension → unit of it where a sheet tells none."""
    found: set[str] = field(default_factory=set)
    """Plain headings that were there."""
    legend: Legend = ()
    """What a table itself says of the words of its headings."""
    explained: dict[str, Place] = field(default_factory=dict)
    """Headings in the words of the legend → where it stands."""

    def __bool__(self) -> bool:
        return bool(self.columns or self.units)

    def heading(self, text: str) -> str:
        """Return what a heading says, as far as it was told."""
        ours = self.columns.get(plain(text)) if self.columns and text else None
        if ours is None:
            clearer, place = explained(text, self.legend)
            if place is not None:
                self.explained[clearer] = place
            return clearer
        self.found.add(plain(text))
        unit = split_unit(text)[1]
        return f"{ours} ({unit})" if unit and split_unit(ours)[1] is None and canonical_unit(unit) else ours

    def names_in(self, text: str) -> dict[str, str]:
        """Return column → name for the names in a title that were told to be one."""
        names = {}
        for heading, ours in self.columns.items():
            if ours in NAMES and heading and heading in plain(text):
                self.found.add(heading)
                names[ours] = self.typed[heading]
        return names

    def with_earlier(self, options: tuple[Iterable[str], Iterable[str]]) -> "Said":
        """Return what holds of one sheet of which options said something before; what is said now goes first."""
        earlier = said_by(*options)
        columns, typed = {**earlier.columns, **self.columns}, {**earlier.typed, **self.typed}
        return Said(columns, typed, {**earlier.units, **self.units})

    def options(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return what was typed behind ``--as`` and behind ``--unit``."""
        pairs = ((self.typed[heading], ours) for heading, ours in self.columns.items())
        return tuple(f"{heading}={'-' if ours == NOT_READ else ours}" for heading, ours in pairs), (
            *self.units.values(),
        )

    def not_there(self) -> list[str]:
        """Return the headings that were told and stood nowhere."""
        return [typed for heading, typed in self.typed.items() if heading not in self.found]


def said_by(columns: Iterable[str], units: Iterable[str]) -> Said:
    """Return what options say: ``Fired to=cone``, ``mm``.

    Raises:
        UnusableRequest: an option is no such pair, names no column of ours, or is no unit of a length or a mass.

    >>> said_by(["Fired to=cone"], ["mm"]).heading("fired to")
    'cone'
    """
    pairs, typed, chosen = {}, {}, {}
    for option in columns:
        heading, sign, ours = option.rpartition("=")
        if not sign or not heading.strip():
            raise UnusableRequest("as-unclear", value=option)
        if ours.strip() != "-" and not (meaning(ours.strip(), "bars").key or meaning(ours.strip(), "bars").quantities):
            raise UnusableRequest("as-unknown-column", value=ours.strip(), option=option)
        pairs[plain(heading)] = NOT_READ if ours.strip() == "-" else ours.strip()
        typed[plain(heading)] = heading.strip()
    for unit in units:
        dimension = dimension_of(canonical_unit(unit))
        if dimension is None or dimension.name not in ("length", "mass"):
            raise UnusableRequest("unit-option-unknown", value=unit)
        chosen[dimension.name] = canonical_unit(unit) or unit
    return Said(pairs, typed, chosen)
