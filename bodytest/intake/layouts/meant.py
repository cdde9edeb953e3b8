"""What a heading means: a column of ours, those that it may be, or quantities that it states."""

from collections.abc import Sequence
from dataclasses import dataclass

from bodytest.lab.record import BEFORE_FIRING
from bodytest.quantities import READING_BY_KEY


@dataclass(frozen=True)
class Meaning:
    """What a heading means."""

    key: str = ""
    """Key of the column, where it is clear."""
    unit: str | None = None
    """Unit written in it."""
    may_be: tuple[str, ...] = ()
    """Keys of the columns that it may mean, where it is not clear."""
    mark: str = ""
    """The mark, where a reading is told for several: wet 1, wet 2, or wet A-B, wet B-C."""
    bar: str = ""
    """The bar, where a reading is told for several in one row: bar 1 wet, bar 2 wet."""
    quantities: tuple[str, ...] = ()
    """Quantities that it may state or compute."""
    passed_over: bool = False
    """Is it known to say nothing that is read?"""

    @property
    def known(self) -> bool:
        """Whether the words say anything at all."""
        return bool(self.key or self.may_be or self.quantities or self.passed_over)

    @property
    def is_length(self) -> bool:
        """Whether a length of a bar is meant, or may be."""
        return "length" in self.kinds

    @property
    def kinds(self) -> set[str]:
        """What the readings are that are meant, or may be: ``length``, ``mass``."""
        return {kind_of(key) for key in (self.key, *self.may_be) if is_reading(key)}

    @property
    def measured(self) -> bool:
        """Whether a reading or a percentage is meant, also one that is in doubt."""
        return bool(self.quantities or self.kinds)


def is_reading(key: str) -> bool:
    """Tell whether a column holds a length or a mass of a bar, or a percentage that is stated of it.

    >>> is_reading("wet_length"), is_reading("bar")
    (True, False)
    """
    return key.endswith(("_length", "_mass")) or key.startswith("stated_")


def is_fired(key: str) -> bool:
    """Tell whether a column holds a length or a mass of bars that left the kiln for good.

    >>> is_fired("fired_length"), is_fired("boiled_mass"), is_fired("bisque_length"), is_fired("dry_length")
    (True, True, False, False)
    """
    return key in READING_BY_KEY and READING_BY_KEY[key].stage not in (*BEFORE_FIRING, "bisque")


def kind_of(key: str) -> str:
    """Return what a reading is.

    >>> kind_of("wet_length"), kind_of("cold_soaked_mass")
    ('length', 'mass')
    """
    return key.rpartition("_")[2]


def unnamed_kind(headings: Sequence[Meaning]) -> str:
    """Return whether stages alone are lengths or masses, where one of them stands beside the other at the same stage.

    Beside “fired” and “fired weight”, “wet” and “fired” are lengths.
    """
    clear = {one.key for one in headings}
    pairs = [one.may_be for one in headings if len(one.may_be) == 2]
    beside = {key for pair in pairs if clear & {*pair} for key in pair if key not in clear}
    kinds = {kind_of(key) for key in beside if is_reading(key)}
    return kinds.pop() if len(kinds) == 1 else ""
