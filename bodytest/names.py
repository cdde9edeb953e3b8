"""Names as people type them: two spellings are one name where they differ in capitals and spaces only."""

from collections.abc import Iterable


def folded(name: str) -> str:
    """Return a name without what two spellings of it may differ in: capitals and spaces.

    >>> folded(" Cone  6")
    'cone6'
    """
    return "".join(name.casefold().split())


def same_name(one: str, other: str) -> bool:
    """Say whether two spellings are one name."""
    return folded(one) == folded(other)


def as_named(wanted: str, names: Iterable[str]) -> str:
    """Return the name that is meant, whatever its capitals and spaces; what was asked for where none is.

    >>> as_named("drift  buff", ["Drift Buff", "Marl Red"]), as_named("Buff", ["Drift Buff"])
    ('Drift Buff', 'Buff')
    """
    return next((name for name in names if same_name(name, wanted)), wanted)
