"""Whom an answer speaks of: the batches and loads that were tested, or any of which they are a sample."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from bodytest.results import QuantityResult

Which = Literal["this", "any"]


@dataclass(frozen=True)
class SpeaksOf:
    """Which batches and loads an answer holds for."""

    batch: Which
    """``this``: the batches tested; ``any``: any batch of which they are a sample."""
    load: Which
    """``this``: the loads tested; ``any``: any load of which they are a sample."""

    def words(self, batch: str | None = None) -> str:
        """Say it in words, the same on every page and in every command; ``batch`` names the one batch that there is.

        >>> SpeaksOf("this", "any").words("D1"), SpeaksOf("any", "any").words()
        ('batch D1 only, in any load', 'any batch in any load')
        """
        if self.batch == "any":
            return "any batch in any load" if self.load == "any" else "any batch, in this load only"
        this = f"batch {batch} only" if batch else "this batch only"
        return f"{this}, in any load" if self.load == "any" else f"{this}, in this load only"


def speaks_of(batches: int, loads: int) -> SpeaksOf:
    """Return whom bars of so many batches and loads speak of: any where there are several.

    >>> speaks_of(1, 3).words()
    'this batch only, in any load'
    """
    return SpeaksOf("any" if batches > 1 else "this", "any" if loads > 1 else "this")


def loads_seen(quantities: "dict[str, QuantityResult]") -> int:
    """Return 2 where some figure rests on several loads, else 1."""
    return 1 + any(one.load_sd is not None for one in quantities.values())
