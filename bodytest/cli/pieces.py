"""``bodytest pieces``: did pieces that were really made shrink as the bars predicted."""

from dataclasses import asdict
from typing import TYPE_CHECKING

from bodytest.cli import console
from bodytest.cli.choices import Confidence, Sheets

if TYPE_CHECKING:
    from bodytest.results import PieceComparison


def pieces(sheets: Sheets, confidence: Confidence = None) -> None:
    """Compare pieces that were really made with what the bars predicted, by body, firing and dimension.

    Example: bodytest pieces trial.xlsx

    Where they differ, size and ruler can take the shrinkage of the pieces: --as-pieces height.

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when no pieces were measured wet and
    fired.
    """
    from bodytest.cli.sources import read_measured
    from bodytest.errors import NotMeasured

    measured = read_measured(sheets, confidence)
    if not (found := measured.pieces):
        raise NotMeasured("no-pieces")
    console.answer(
        "pieces", lambda: {"pieces": [asdict(one) for one in found]}, lambda: map(_line, found), measured.findings
    )


def _line(one: "PieceComparison") -> str:
    firing = f", firing {one.firing}" if one.firing else ""
    whom = f"; {one.speaks_of.words()}" if one.speaks_of else ""
    return f"{one.body}{firing}{whom}: {one.sentence}"
