"""Options that several commands take in the same way."""

from pathlib import Path
from typing import Annotated

import typer

_SHEETS = typer.Argument(
    metavar="SHEET", help="Filled-in sheets (.xlsx, .ods, .csv) or results files (.json), read together."
)
Sheets = Annotated[list[Path], _SHEETS]
SomeSheets = Annotated[list[Path] | None, _SHEETS]
Sources = Annotated[
    list[Path] | None,
    typer.Option("--from", metavar="FILE", help="results.json or a filled-in sheet; several are analysed together."),
]
OfBody = Annotated[str | None, typer.Option(help="Body; needed where several were measured.")]
OneBody = Annotated[str | None, typer.Option(help="One body only.", show_default="all")]
OfProgramme = Annotated[
    str | None, typer.Option(help="Firing programme or its cone; left out: the one that answers for the body.")
]
OfFiring = Annotated[str | None, typer.Option(help="Code of a load: the answer is for it alone.")]
OfLoad = Annotated[
    str | None, typer.Option(help="new for a load not fired yet, or the code of one.", show_default="new")
]
OfBatch = Annotated[str | None, typer.Option(help="A tested batch, or new for one not tested yet.", show_default="new")]
OfDirection = Annotated[
    str | None, typer.Option(help="Direction of the bars; left out: the one in which the body is answered for.")
]
AsPieces = Annotated[
    str | None,
    typer.Option(metavar="DIMENSION", help="Take the shrinkage of the real pieces of the Pieces table instead."),
]
Quantities = Annotated[
    list[str] | None,
    typer.Option(
        "--quantity",
        "-q",
        help="Which figures, e.g. firing_shrinkage; several times for several.",
        show_default="total_shrinkage and absorption",
    ),
]
Confidence = Annotated[
    float | None,
    typer.Option(help="Confidence of the intervals in %, in place of the Lab sheet's.", show_default="95"),
]
Borrow = Annotated[
    bool,
    typer.Option(
        "--borrow", help="Where one load or batch was tested, add the scatter that other programmes of yours show."
    ),
]
WithoutOtherTabs = Annotated[
    bool,
    typer.Option(
        "--without-other-tabs",
        help="Keep no cells of tabs that are not read (a list of customers, say) in the results: a dash for each.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]


def known_quantity(name: str) -> str:
    """Return the key of a quantity however its words are joined; wrong usage when there is none."""
    from bodytest.quantities import QUANTITY_BY_KEY

    key = name.strip().lower().replace(" ", "_").replace("-", "_")
    if key not in QUANTITY_BY_KEY:
        raise typer.BadParameter(
            f"'{name}' is no quantity of ours. Choose one of: {', '.join(QUANTITY_BY_KEY)}.", param_hint="--quantity"
        )
    return key
