"""The options that several commands take: each has one name, one way of writing it and one meaning."""

from collections.abc import Collection
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, NamedTuple

import typer

from bodytest.names import as_named


class _Words(NamedTuple):
    """How an option is written and what it means."""

    metavar: str | None
    help: str
    short: tuple[str, ...] = ()


_WORDS = {
    "--all": _Words(None, "Show all, also what is left out or only counted otherwise."),
    "--as-pieces": _Words("DIMENSION", "Take the shrinkage of the real pieces of the Pieces table instead."),
    "--bar": _Words("SIZE", "Wet bar: thickness x width x length."),
    "--batch": _Words("BATCH", "Name of a batch."),
    "--body": _Words("BODY", "Name of a clay body."),
    "--borrow": _Words(
        None, "Where one load or batch was tested, add the scatter that other programmes of yours show."
    ),
    "--confidence": _Words("PERCENT", "Confidence of the intervals, in place of the Lab sheet's."),
    "--date": _Words("DATE", "Date that is printed, as 2026-03-09."),
    "--decimal-comma": _Words(None, "Write numbers with a decimal comma; in CSV, semicolons between the cells."),
    "--details": _Words(None, "Show each in full, with its tables and statistics."),
    "--direction": _Words("DIRECTION", "Direction of the bars, e.g. along."),
    "--firing": _Words("CODE", "Code of one firing (a load), which alone counts."),
    "--gauge": _Words("SIZE", "Distance between its two marks."),
    "--load": _Words("CODE", "Code of a load."),
    "--now": _Words("STAGE", "Stage of the clay that is measured: wet, leather-hard, dry or bisque."),
    "--out": _Words("PATH", "File or folder to write; for one file, - is standard output.", ("-o",)),
    "--paper": _Words("A4|Letter", "Paper to print on."),
    "--programme": _Words("PROGRAMME", "Firing programme: its name or its cone."),
    "--quantity": _Words("FIGURE", "Figure that is meant, e.g. firing_shrinkage.", ("-q",)),
    "--without-other-tabs": _Words(
        None, "Keep no cells of tabs that are not read (a list of customers, say) in the results: a dash for each."
    ),
    "--within": _Words("SIZE", "Tolerance with its unit, e.g. 1mm; tells the chance to keep it."),
}


def option(name: str, default: str | bool = True, *, repeatable: bool = False, **more: Any) -> Any:
    """Return an option that several commands take; ``default`` says in words what holds when it is left out."""
    words = _WORDS[name]
    told = f"{words.help} Repeatable." if repeatable else words.help
    return typer.Option(name, *words.short, metavar=words.metavar, help=told, show_default=default, **more)


def _confidence(text: str) -> float:
    """Return a confidence as a fraction.

    Raises:
        UnusableRequest: it is no number, or not between 50 and 99.9 %.
    """
    from bodytest.errors import UnusableRequest
    from bodytest.plan.measures import parse_percentage

    level = parse_percentage(text)
    if not 0.5 <= level <= 0.999:
        raise UnusableRequest("bad-confidence", value=f"{100.0 * level:g}")
    return level


def _paper(text: str) -> str:
    papers = ("A4", "Letter")
    if (named := as_named(text, papers)) not in papers:
        raise typer.BadParameter(f"'{text}' is no paper of ours. Choose one of: {', '.join(papers)}.")
    return named


HOW_CLOSE = "How close: the mean is to be known to ± this (percentage points, or g/cm³)."
NO_MATTER = "Largest difference that does not matter, in the unit of the quantity (percentage points for %)."
"""What several commands say of a number."""
_LEAST, _MOST = 1e-6, 1_000_000
"""No number typed lies beyond: nobody measures so finely or makes so many bars, and no figure is so large."""


def number(told: str, otherwise: str, *names: str, least: float = _LEAST) -> Any:
    """Return an option that takes a number, with a point or a comma; ``otherwise`` is what holds without it."""

    def parsed(text: str | float) -> float:
        from bodytest.units import in_doubt, typed_number

        try:
            value = typed_number(str(text))
        except ValueError:
            doubt = ", without a sign between thousands" if in_doubt(str(text)) else ""
            raise typer.BadParameter(f"a number is needed, as 0.2 or 0,2{doubt}.") from None
        if not least <= value <= _MOST:
            lowest = f"{least:f}" if least else "0"
            raise typer.BadParameter(f"it has to be a number from {lowest} to {_MOST}.")
        return value

    return typer.Option(*names, metavar="NUMBER", parser=parsed, help=told, show_default=otherwise)


def known_quantity(name: str) -> str:
    """Return the key of a quantity however its words are joined; wrong usage when there is none."""
    from bodytest.quantities import QUANTITY_BY_KEY

    key = name.strip().lower().replace(" ", "_").replace("-", "_")
    if key not in QUANTITY_BY_KEY:
        raise typer.BadParameter(
            f"'{name}' is no quantity of ours. Choose one of: {', '.join(QUANTITY_BY_KEY)}.", param_hint="--quantity"
        )
    return key


def _known_quantities(names: list[str] | None) -> list[str]:
    return [known_quantity(name) for name in names or ()]


def known_name(wanted: str | None, names: Collection[str], option: str) -> str | None:
    """Return the name in the sheets that is meant, whatever its capitals and spaces; wrong usage when there is none."""
    named = None if wanted is None else as_named(wanted, names)
    if named is not None and named not in names:
        known = ", ".join(dict.fromkeys(filter(None, names))) or "none"
        raise typer.BadParameter(f"'{wanted}' is not in these sheets; there is: {known}.", param_hint=option)
    return named


Sheets = Annotated[
    list[Path],
    typer.Argument(
        metavar="SHEET...",
        help="Filled-in sheets (.xlsx, .ods, .csv) or results files (.json), read together; - is standard input.",
        default_factory=list,
        show_default=False,
    ),
]
OfBody = Annotated[str | None, option("--body", "the only one")]
OneBody = Annotated[str | None, option("--body", "all")]
OfProgramme = Annotated[str | None, option("--programme", "the one that answers for the body")]
OfFiring = Annotated[str | None, option("--firing", "all loads of the programme")]
OfLoad = Annotated[str | None, option("--load", "new: one not fired yet")]
OfBatch = Annotated[str | None, option("--batch", "new: one not tested yet")]
OfDirection = Annotated[str | None, option("--direction", "the one in which the body is answered for")]
AsPieces = Annotated[str | None, option("--as-pieces")]
Quantities = Annotated[
    list[str] | None,
    option("--quantity", "total_shrinkage and absorption", repeatable=True, callback=_known_quantities),
]
Confidence = Annotated[float | None, option("--confidence", "that of the Lab sheet, or 95", parser=_confidence)]
Borrow = Annotated[bool, option("--borrow")]
Dated = Annotated[datetime | None, option("--date", "today", formats=["%Y-%m-%d"])]
Within = Annotated[str | None, option("--within")]
All = Annotated[bool, option("--all")]
Details = Annotated[bool, option("--details")]
DecimalComma = Annotated[bool, option("--decimal-comma")]
PaperSize = Annotated[str, option("--paper", parser=_paper)]
OfBar = Annotated[str, option("--bar")]
OfGauge = Annotated[str, option("--gauge")]
USUAL_BAR, USUAL_GAUGE = "12x40x130", "100"
"""The bar that is meant when none is told, mm."""
WithoutOtherTabs = Annotated[bool, option("--without-other-tabs")]
