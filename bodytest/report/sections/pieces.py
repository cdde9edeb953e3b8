"""Real pieces compared with what the bars predicted."""

from dataclasses import dataclass

from bodytest.report.table import Cell, Table, columns_of, table, without_empty_columns
from bodytest.report.wording import Voice, short_verdict_mark
from bodytest.results import PieceComparison, QuantityResult
from bodytest.units import PIECE_MM

_ON_PIECE = PIECE_MM / 100.0
"""Millimetres on a piece of 200 mm for each percentage point."""

_FEW = 2.0
"""Degrees of freedom below which a range is wide because of them, not of the scatter."""


@dataclass(frozen=True)
class PieceSection:
    """The real pieces of one body."""

    message: str
    """Whether they shrank as the bars did."""
    sentences: tuple[str, ...]
    """What each dimension says."""
    pieces: Table
    """One row for each firing and dimension."""


def piece_section(voice: Voice, pieces: tuple[PieceComparison, ...]) -> PieceSection | None:
    """Return the pieces of a body; None without any."""
    if not pieces:
        return None
    otherwise = list(dict.fromkeys(piece.dimension for piece in pieces if piece.differs))
    key = "pieces.message_differ" if otherwise else "pieces.message_alike"
    message = voice.say(key, dimensions=voice.joined(otherwise))
    return PieceSection(message, tuple(piece.sentence for piece in pieces), _piece_table(voice, pieces))


def _piece_table(voice: Voice, pieces: tuple[PieceComparison, ...]) -> Table:
    numeric = ("pieces", "predicted", "seen", "difference", "comparisons.on_piece")
    names = ("loads.firing", "dimension", *numeric, "comparisons.verdict", "factor")
    columns = columns_of(voice, "pieces", names, (*numeric, "factor"), length=voice.plain(PIECE_MM, "mm"))
    rows = [_row(voice, piece) for piece in pieces]
    made = table(voice.say("pieces.caption"), columns, rows, note=_why_wide(voice, pieces), key="pieces")
    return without_empty_columns(made)


def _why_wide(voice: Voice, pieces: tuple[PieceComparison, ...]) -> str:
    """Return which factors have a wide range because of few batches that differ; ``""`` without any."""
    few = [one.dimension for one in pieces if one.shrinkage and one.shrinkage.batch_sd and _knows_little(one.shrinkage)]
    return voice.say("pieces.wide", dimensions=voice.joined(list(dict.fromkeys(few)))) if few else ""


def _knows_little(shrinkage: QuantityResult) -> bool:
    return shrinkage.degrees_of_freedom is not None and shrinkage.degrees_of_freedom < _FEW


def _row(voice: Voice, piece: PieceComparison) -> list[Cell | str]:
    between, on_piece = "", ""
    if piece.low is not None and piece.high is not None:
        between = voice.between(piece.low, piece.high, 2)
        on_piece = voice.between(piece.low * _ON_PIECE, piece.high * _ON_PIECE, 1)
    factors = voice.between(piece.corrected_factor_low, piece.corrected_factor_high, 3)
    return [
        piece.firing or voice.say("name.no_firing"),
        piece.dimension,
        str(piece.pieces),
        voice.number(piece.predicted_shrinkage, 2),
        voice.number(piece.piece_shrinkage, 2),
        Cell(voice.number(piece.difference, 2), small=between),
        on_piece,
        Cell("", mark=short_verdict_mark(voice, piece.verdict)),
        Cell(voice.number(piece.corrected_factor, 3), small=factors if piece.corrected_factor_low is not None else ""),
    ]
