"""``bodytest pieces``: did pieces that were really made shrink as the bars predicted."""

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from bodytest.cli import console


def pieces(
    sources: Annotated[
        list[Path], typer.Argument(metavar="FILE...", help="results.json, or filled-in sheets with a table Pieces.")
    ],
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON: percentages, unrounded.")] = False,
) -> None:
    """Compare pieces that were really made with what the bars predicted, by body, firing and dimension.

    Example: bodytest pieces trial.xlsx

    Where they differ, size and ruler can take the shrinkage of the pieces: --as-pieces height.

    Exit code: 0, or 2 when no pieces were measured wet and fired.
    """
    from bodytest.cli.sources import read_measured
    from bodytest.errors import NotMeasured

    found = read_measured(sources).pieces
    if not found:
        raise NotMeasured("no-pieces")
    if as_json:
        console.say_json([asdict(one) for one in found])
        return
    for one in found:
        firing = f", firing {one.firing}" if one.firing else ""
        whom = f"; {one.speaks_of.words()}" if one.speaks_of else ""
        console.say(f"{one.body}{firing}{whom}: {one.sentence}")
