"""Real pieces compared with what the bars predicted."""

from bodytest.report.table import Cell, Column, Table, table, without_empty_columns
from bodytest.report.wording import Voice
from bodytest.results import PieceComparison


def piece_table(voice: Voice, pieces: tuple[PieceComparison, ...]) -> Table | None:
    """Return one row for each firing and dimension; None without pieces."""
    if not pieces:
        return None
    columns = [
        Column(voice.say("firings.firing")),
        Column(voice.say("pieces.dimension")),
        Column(voice.say("pieces.pieces"), numeric=True),
        Column(voice.say("pieces.predicted"), numeric=True),
        Column(voice.say("pieces.seen"), numeric=True),
        Column(voice.say("pieces.difference"), numeric=True),
        Column(voice.say("pieces.factor"), numeric=True),
    ]
    rows = [_row(voice, piece) for piece in pieces]
    return without_empty_columns(table(voice.say("pieces.caption"), columns, rows, key="pieces"))


def _row(voice: Voice, piece: PieceComparison) -> list[Cell | str]:
    between = voice.interval(piece.low, piece.high) if piece.low is not None else ""
    factors = voice.interval(piece.corrected_factor_low, piece.corrected_factor_high)
    return [
        piece.firing or voice.say("name.no_firing"),
        piece.dimension,
        str(piece.pieces),
        voice.number(piece.predicted_shrinkage, 1),
        voice.number(piece.piece_shrinkage, 1),
        Cell(voice.number(piece.difference, 1), small=between),
        Cell(voice.number(piece.corrected_factor, 3), small=factors if piece.corrected_factor_low is not None else ""),
    ]
