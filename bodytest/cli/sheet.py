"""The command ``sheet``: a blank workbook to fill in at the bench."""

from pathlib import Path
from typing import Annotated, Literal

import typer

from bodytest.cli import console
from bodytest.cli.choices import PaperSize, Quantities, option
from bodytest.cli.progress import working
from bodytest.cli.sources import as_typed

_STRENGTHS = ("dry_strength", "fired_strength")


def sheet(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help="The workbook to write, e.g. trial.xlsx; never overwritten; - is standard output."
        ),
    ],
    *,
    body: Annotated[list[str] | None, option("--body", "left blank", repeatable=True)] = None,
    batch: Annotated[list[str] | None, option("--batch", "left blank", repeatable=True)] = None,
    firing: Annotated[list[str] | None, option("--firing", "F1", repeatable=True)] = None,
    direction: Annotated[list[str] | None, option("--direction", "left blank", repeatable=True)] = None,
    bars: Annotated[
        int, typer.Option(help="Bars of each body, batch, firing and direction. ASTM C326 asks for 10, C373 for 5.")
    ] = 10,
    marks: Annotated[int, typer.Option(help="Pairs of gauge lines on each bar.")] = 1,
    lengths: Annotated[bool, typer.Option(help="Columns for lengths (shrinkage).")] = True,
    masses: Annotated[bool, typer.Option(help="Columns for masses (absorption).")] = True,
    leather_hard: Annotated[bool, typer.Option("--leather-hard", help="Column for the leather-hard length.")] = False,
    bisque: Annotated[bool, typer.Option("--bisque", help="Column for the length after the bisque.")] = False,
    cold_soak: Annotated[
        bool, typer.Option("--cold-soak", help="Column for the mass after 24 h in cold water.")
    ] = False,
    suspended: Annotated[
        bool, typer.Option("--suspended", help="Column for the mass hanging in water (porosity, density).")
    ] = False,
    strength: Annotated[
        bool,
        typer.Option("--strength", help="Columns for the breaking load (bending strength, dry or fired)."),
    ] = False,
    quantity: Quantities = None,
    dates: Annotated[
        bool, typer.Option("--dates", help="Columns for the day on which each stage was measured.")
    ] = False,
    length_unit: Annotated[Literal["mm", "cm", "in"], typer.Option(help="Unit of lengths.")] = "mm",
    mass_unit: Annotated[Literal["g", "oz"], typer.Option(help="Unit of masses.")] = "g",
    temperature_unit: Annotated[Literal["C", "F"], typer.Option(help="Unit of kiln temperatures.")] = "C",
    workshop: Annotated[
        str, typer.Option(metavar="NAME", help="Name of the workshop, for the Lab sheet and the report.")
    ] = "",
    paper: PaperSize = "A4",
) -> None:
    """Write a blank workbook with numbered bars, drop-down lists, live results and a guide to the test.

    Example: bodytest sheet trial.xlsx --body "Drift Buff" --firing F1:6 --firing F2:7 --bars 10 --suspended
    """
    further = tuple(dict.fromkeys([*(quantity or ()), *(_STRENGTHS if strength else ())]))
    with working("writing the workbook"):
        from bodytest.sheet.blank import BlankSheetOptions, planned_firings, purpose_of, write_blank_sheet
        from bodytest.sheet.chosen_columns import KindsOfTest, Units

        firings = planned_firings(firing or ["F1"])
        write_blank_sheet(
            file,
            BlankSheetOptions(
                bodies=_trimmed(body),
                batches=_trimmed(batch),
                firings=firings,
                directions=_trimmed(direction),
                bars=bars,
                marks=marks,
                kinds=KindsOfTest(lengths, masses, leather_hard, bisque, cold_soak, suspended, further, dates),
                units=Units(length_unit, mass_unit, f"°{temperature_unit}"),
                workshop=workshop.strip(),
                paper=paper,
            ),
        )
    with console.beside(file):
        console.answer(
            "sheet",
            lambda: {"files": [f"{file}"]},
            lambda: [
                f"Wrote {file}.",
                *console.hint(*_next(file, {one.code: purpose_of(one.code) for one in firings})),
            ],
        )


def _next(file: Path, purposes: dict[str, str | None]) -> list[str]:
    """Return what to do next: fill in, and say what firings are for whose code does not."""
    codes = ", ".join(code for code, purpose in purposes.items() if purpose is None)
    return [
        "Fill in the white cells day by day; the sheet Guide tells how.",
        *([f"On the sheet Firings, write the purpose of {codes}: bisque, final or test."] if codes else []),
        f"Then: bodytest check {as_typed(file)}",
    ]


def _trimmed(names: list[str] | None) -> tuple[str, ...]:
    return tuple(name.strip() for name in names or ())
