"""Takes the shrinkage of pieces that were really made in place of that of the bars."""

from dataclasses import replace

from bodytest.errors import NotMeasured
from bodytest.names import same_name
from bodytest.plan.measured import Bars, Basis, listed
from bodytest.plan.stages import usable
from bodytest.results import PieceComparison, Programme, Summary

_FROM_BARS = "The finished size rests on pieces, the stages between on how bars of the same body dried."
_UNTIL_DRY = ("leather_hard_shrinkage", "drying_shrinkage")


def pieces_of(measured: Summary, bars: Bars) -> list[PieceComparison]:
    """Return the pieces of the body of some bars that were fired as these were."""
    return [one for one in measured.pieces if one.body == bars.body and one.firing in bars.loads]


def piece_notes(measured: Summary, basis: Basis) -> tuple[str, ...]:
    """Return a note for each dimension in which pieces of that body and firing differed from the bars."""
    return tuple(
        f"{one.sentence} To plan by these pieces, say --as-pieces {one.dimension}."
        for one in pieces_of(measured, basis.group)
        if one.differs
    )


def with_pieces(measured: Summary, basis: Basis, dimension: str) -> Basis:
    """Return the basis with the total shrinkage of the pieces in that dimension.

    The way to fired has to lead over the pieces, so the bars' own steps from dry to bisque and fired are left out.

    Raises:
        NotMeasured: no pieces of that body, firing and dimension were measured wet and fired.
    """
    there = [one for one in pieces_of(measured, basis.group) if usable(one.shrinkage)]
    found = next((one for one in there if same_name(one.dimension, dimension)), None)
    if found is None or found.shrinkage is None:
        names = listed(one.dimension for one in there)
        known = f" There are: {names}." if names else ""
        raise NotMeasured("pieces-not-measured", value=dimension, of=basis.of, there=known)
    kept = {key: basis.quantities[key] for key in _UNTIL_DRY if key in basis.quantities}
    notes = (*basis.notes, _FROM_BARS) if kept else basis.notes
    of_pieces: Bars = replace(basis.group, direction=found.dimension, wet_length_mm=None)
    if isinstance(of_pieces, Programme):
        of_pieces = replace(of_pieces, loads=(found.firing,))
    return Basis(of_pieces, "", {**kept, "total_shrinkage": found.shrinkage}, notes)
