"""``bodytest plan``: before the clay is cut, which firings, loads, batches and bars answer the question."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bodytest.cli import console
from bodytest.cli.choices import HOW_CLOSE, NO_MATTER, USUAL_BAR, USUAL_GAUGE, OfBar, OfGauge, PaperSize, number, option
from bodytest.cli.progress import working
from bodytest.cli.sources import as_typed
from bodytest.trial.goals import GOALS, Goal

if TYPE_CHECKING:
    from bodytest.trial.planned import Plan
    from bodytest.trial.question import Heat, Question


def plan(
    *,
    body: Annotated[str | None, option("--body", "asked at a terminal")] = None,
    to_know: Annotated[
        list[str] | None,
        typer.Option(
            metavar="GOAL", help=f"{'; '.join(f'{goal}: {what}' for goal, what in GOALS.items())}. Repeatable."
        ),
    ] = None,
    cone: Annotated[
        list[str] | None,
        typer.Option(
            metavar="CONE", help="A cone that the kiln can be fired to; the first is what the ware gets. Repeatable."
        ),
    ] = None,
    temperature: Annotated[
        list[float] | None,
        typer.Option(min=500, max=1500, help="A temperature that the kiln can be fired to, °C; as --cone. Repeatable."),
    ] = None,
    half_width: Annotated[
        str,
        typer.Option(
            "--half-width",
            "-w",
            metavar="NUMBER",
            help=HOW_CLOSE,
            show_default="0.5, which is 1mm on 200 mm",
        ),
    ] = "0.5",
    half_width_c: Annotated[
        float | None, number("For range: ± °C of where it becomes tight.", "as close as may be", "--half-width-c")
    ] = None,
    limit: Annotated[float | None, number("For tight and range: highest absorption, %.", "asked at a terminal")] = None,
    expect: Annotated[
        float | None,
        number("For tight and range: absorption expected in the ware's firing, %; a guess does.", "as --known shows"),
    ] = None,
    tolerance: Annotated[float, number(NO_MATTER, "0.5", least=0.0)] = 0.5,
    within: Annotated[str, option("--within")] = "1mm",
    known: Annotated[
        Path | None,
        typer.Option(
            metavar="SHEET",
            help="An earlier test of the body, a sheet or results.json.",
            show_default="the usual scatter",
        ),
    ] = None,
    shelf: Annotated[str, typer.Option(metavar="WIDTHxDEPTH", help="Width and depth of a shelf, mm.")] = "400x450",
    shelves: Annotated[int, typer.Option(min=1, max=20, help="Shelves in one load.")] = 1,
    temperature_pm: Annotated[
        float | None,
        number("How far a load's temperature may be off, ± °C (k = 2).", "as usual, 10; not written", least=0.0),
    ] = None,
    bar: OfBar = USUAL_BAR,
    gauge: OfGauge = USUAL_GAUGE,
    marks: Annotated[int, typer.Option(min=1, max=20, help="Pairs of gauge lines on each bar.")] = 1,
    reading_step: Annotated[
        float | None, number("Step to which lengths are read, mm.", "as usual, 0.1; not written")
    ] = None,
    spare: Annotated[float, number("Bars made besides, per cent.", "10", least=0.0)] = 10.0,
    one_batch: Annotated[
        bool, typer.Option("--one-batch", help="One batch of clay is at hand; the answer speaks of it alone.")
    ] = False,
    most_loads: Annotated[int, typer.Option(min=1, max=100, help="Loads of the ware's firing at most.")] = 12,
    control_body: Annotated[
        str, typer.Option(metavar="BODY", help="A clay of which bars stand in every load.", show_default="none")
    ] = "",
    direction: Annotated[str, option("--direction")] = "along",
    method: Annotated[
        str,
        typer.Option(
            "--absorption-method", metavar="METHOD", help="How bars are filled with water, as on the Lab sheet."
        ),
    ] = "boil 5 h and soak 24 h",
    seed: Annotated[int, typer.Option(min=0, help="Number that draws the places in the kiln.")] = 1,
    out: Annotated[Path | None, option("--out", "none is written")] = None,
    paper: PaperSize = "A4",
) -> None:
    """Say which firings, loads, batches and bars answer a question, and write the workbook for them.

    Example: bodytest plan --body "Drift Buff" --to-know size --half-width 1mm --cone 6 --out trial.xlsx

    Example: bodytest plan --body "Drift Buff" --to-know range --limit 2 --expect 1.5 --cone 6 --cone 5 --cone 7

    What is missing is asked at a terminal. A workbook that is there already is left as it is.

    Exit code: 0, or 2 when no such test answers the question.
    """  # fmt: skip
    from bodytest.export.document import plain
    from bodytest.plan.measures import parse_size
    from bodytest.trial.bar_size import parse_bar
    from bodytest.trial.plan_words import plan_lines
    from bodytest.trial.planned import plan as planned_for
    from bodytest.trial.question import Kiln, Question, Scatter, parse_points, parse_shelf

    body = body or _ask("--body", "Which body?", str)
    goals = _goals(to_know)
    kiln = Kiln(_heats(cone, temperature), parse_shelf(shelf), shelves, temperature_pm)
    if {"tight", "range"} & {*goals}:
        limit = limit or _ask("--limit", "Which absorption is tight, at most, in %?", float)
        if expect is None and known is None and sys.stdin.isatty():
            expect = _ask("--expect", "About which absorption do you expect in the ware's firing, in %?", float)
    question = Question(
        body=body, goals=goals, kiln=kiln, half_width=parse_points(half_width), limit=limit, half_width_c=half_width_c,
        tolerance=tolerance, pair_mm=parse_size(within).value, scatter=Scatter(absorption=expect),
        bar=parse_bar(bar, gauge), marks=marks, stated_step_mm=reading_step,
        spare=spare / 100.0, one_batch=one_batch, most_loads=most_loads, control_body=control_body.strip(),
        direction=direction, method=_known_method(method), seed=seed,
    )  # fmt: skip
    made = planned_for(question if known is None else _knowing(question, known))
    if out is not None:
        _write(made, out, paper)
    of_kit = {"--bar": (bar, USUAL_BAR), "--gauge": (gauge, USUAL_GAUGE), "--paper": (paper, "A4")}
    files = [] if out is None else [f"{out}"]
    with console.beside(out):
        console.answer(
            "plan", lambda: plain(made) | {"files": files}, lambda: [*plan_lines(made), *_next(out, of_kit, seed)]
        )


def _knowing(question: "Question", known: Path) -> "Question":
    """Return the question with the scatter of an earlier test."""
    from bodytest.cli.sources import read_and_summarise
    from bodytest.trial.known import with_known

    return with_known(question, read_and_summarise([known]), known.name)


def _write(made: "Plan", out: Path, paper: str) -> None:
    from bodytest.errors import UnusableRequest
    from bodytest.files.outputs import is_standard_output, refuse_output
    from bodytest.files.writing import write_whole
    from bodytest.trial.prefilled import plan_workbook

    if out.suffix.lower() != ".xlsx" and not is_standard_output(out):
        raise UnusableRequest("not-a-workbook-name", sheet=str(out))
    refuse_output(out, overwrite=False)
    with working("writing the workbook"):
        write_whole(out, plan_workbook(made, paper), overwrite=False)


def _next(out: Path | None, of_kit: dict[str, tuple[str, str]], seed: int) -> list[str]:
    drawn = f"Places in the kiln were drawn by the number {seed}; --seed {seed} draws them again."
    if out is None:
        return [drawn, *console.hint("Write the workbook for it with --out trial.xlsx.")]
    own = (word for name, (given, usual) in of_kit.items() if given != usual for word in (name, as_typed(given)))
    kit = " ".join(["bodytest kit", as_typed(out), *own])
    return [
        drawn,
        f"Wrote {out}.",
        *console.hint(f"Forms for the bench: {kit}", f"Fill it in, then: bodytest check {as_typed(out)}"),
    ]


def _goals(given: list[str] | None) -> tuple[Goal, ...]:
    words = given or [_ask("--to-know", f"What is to be known: {', '.join(GOALS)}?", str)]
    named = [word.strip().lower() for text in words for word in text.split(",")]
    for word in named:
        if word not in GOALS:
            raise typer.BadParameter(f"'{word}' is none of {', '.join(GOALS)}.", param_hint="--to-know")
    return tuple(goal for goal in GOALS if goal in named)


def _known_method(name: str) -> str:
    from bodytest.lab.soaking import SOAKINGS

    if name not in SOAKINGS:
        raise typer.BadParameter(f"'{name}' is none of: {'; '.join(SOAKINGS)}.", param_hint="--absorption-method")
    return name


def _heats(cones: list[str] | None, temperatures: list[float] | None) -> "tuple[Heat, ...]":
    from bodytest.trial.question import heats_of

    if not (cones or temperatures):
        cones = _ask("--cone", "Which cones can it be fired to, that of the ware first, as 6, 5, 7?", str).split(",")
    return heats_of(cones or (), temperatures or ())


def _ask(name: str, question: str, kind: "Callable[[str], Any]") -> Any:
    """Return what is typed at a terminal; wrong usage where there is none."""
    if not sys.stdin.isatty():
        raise typer.BadParameter("it is needed for this plan.", param_hint=name)
    return typer.prompt(question, type=kind, err=True)
