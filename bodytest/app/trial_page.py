"""The page before a test: a plan of firings, loads, batches and bars, its workbook, and the kit for the bench."""

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.responses import HTMLResponse, Response

from bodytest.app.page import Asked, Typed, as_json, as_pdf, led_to, on_page, paper_of, route, shown
from bodytest.errors import BodytestError, UnreadableSheet, UnusableRequest
from bodytest.trial.goals import GOALS, Goal
from bodytest.units import typed_number

if TYPE_CHECKING:
    from bodytest.trial.planned import Plan
    from bodytest.trial.question import Heat, Question


@dataclass(frozen=True)
class Field:
    """One thing that can be typed; what is left blank is as the command has it."""

    name: str
    """Name of the option without its dashes."""
    label: str
    """What it is called on the page."""
    usual: str = ""
    """What holds when it is left blank."""
    limits: tuple[float, float] = (0, 0)
    """Smallest and largest number, both 0 where no plain number stands."""
    example: str = ""
    """Shown in the blank field where nothing is usual."""


FIRST = (
    Field("body", "Clay body", example="Drift Buff"),
    Field("cone", "Cones that can be fired, the ware's first", example="6, 5, 7"),
    Field("temperature", "Or temperatures, °C", limits=(500, 1500), example="1220, 1200, 1240"),
    Field("half-width", "Size known to ±, % points or mm on 200 mm", "0.5"),
    Field("limit", "Absorption at most, %", limits=(0.01, 100), example="2"),
    Field("expect", "Absorption that you expect, %", limits=(0.01, 100), example="1.5"),
)
"""What most plans need."""
FURTHER = (
    Field("half-width-c", "Firing range known to ± °C", limits=(0.1, 500), example="as close as may be"),
    Field("tolerance", "Difference of deliveries that does not matter, % points", "0.5", (0, 20)),
    Field("within", "Pairs of 200 mm may differ by", "1mm"),
    Field("shelf", "Width and depth of a shelf, mm", "400x450"),
    Field("shelves", "Shelves in one load", "1", (1, 20)),
    Field("temperature-pm", "A load may be off by ± °C", limits=(0, 200), example="10, as usual"),
    Field("bar", "Wet bar: thickness x width x length, mm", "12x40x130"),
    Field("gauge", "Distance of its marks, mm", "100"),
    Field("marks", "Pairs of marks on each bar", "1", (1, 20)),
    Field("reading-step", "Lengths are read to, mm", limits=(0.001, 10), example="0.1, as usual"),
    Field("most-loads", "Loads at most", "12", (1, 100)),
    Field("control-body", "Control clay in every load", example="none"),
)
"""What is usual unless somebody says otherwise."""
_FIELDS = {field.name: field for field in (*FIRST, *FURTHER)}
_LABELS = {name: field.label for name, field in _FIELDS.items()} | {
    "to-know": "What do you want to know", "known": "Known from", "one-batch": "There is only one batch of clay",
}  # fmt: skip


def trial(asked: Asked) -> HTMLResponse:
    """Return the form, with the plan or what keeps from one."""
    made, refusal = None, ""
    if asked.query:
        try:
            made = _plan(asked, asked.query)
        except BodytestError as error:
            refusal = _as_on_page(str(error))
    return shown(
        "trial.html", goals=GOALS, first=FIRST, further=FURTHER, typed=asked.query, query=str(asked.query),
        sheets=asked.folder.sheets(), lines=_lines(made) if made else [], writable=asked.folder.writable,
        refusal=refusal,
    )  # fmt: skip


def trial_json(asked: Asked) -> Response:
    """Return the document that ``bodytest plan --json`` prints."""
    from bodytest.export.document import plain

    return as_json("plan", plain(_plan(asked, asked.query)) | {"files": []})


def write(asked: Asked) -> Response:
    """Write the workbook of the plan into the folder as ``bodytest plan --out`` does, and show the list with it."""
    from bodytest.files.writing import write_whole
    from bodytest.trial.prefilled import plan_workbook

    made = _plan(asked, asked.form)
    path = asked.folder.free_path(asked.text("name") or "trial", ".xlsx")
    write_whole(path, plan_workbook(made, paper_of(asked.form)), overwrite=False)
    return led_to("/")


def kit(asked: Asked) -> Response:
    """Return the kit of ``bodytest kit``, to print at full size."""
    from bodytest.plan.drawing_pdf import to_pdf
    from bodytest.trial.kit import bench_kit

    checked = asked.known.checked(asked.sheet)
    if checked.bars.empty:
        raise UnreadableSheet("nothing-to-print", sheet=asked.sheet.name)
    return as_pdf(to_pdf(bench_kit(checked, paper_of(asked.query)).pages), "kit.pdf")


def _plan(asked: Asked, typed: Typed) -> "Plan":
    from bodytest.trial.known import with_known
    from bodytest.trial.planned import plan

    question = _question(typed)
    if not (key := _text(typed, "known")):
        return plan(question)
    sheet = asked.folder.sheet(key)
    return plan(with_known(question, asked.known.results(sheet), sheet.path.name))


def _question(typed: Typed) -> "Question":
    """Return the question that the form asks, with what is usual where it is blank."""
    from bodytest.plan.measures import parse_size
    from bodytest.trial.bar_size import parse_bar
    from bodytest.trial.question import Kiln, Question, Scatter, parse_points, parse_shelf

    return Question(
        body=_needed(typed, "body"), goals=_goals(typed),
        kiln=Kiln(
            _heats(typed), parse_shelf(_text(typed, "shelf")), _count(typed, "shelves"),
            _number(typed, "temperature-pm"),
        ),
        half_width=parse_points(_text(typed, "half-width")), limit=_number(typed, "limit"),
        half_width_c=_number(typed, "half-width-c"), tolerance=_number(typed, "tolerance") or 0.0,
        pair_mm=parse_size(_text(typed, "within")).value, scatter=Scatter(absorption=_number(typed, "expect")),
        bar=parse_bar(_text(typed, "bar"), _text(typed, "gauge")), marks=_count(typed, "marks"),
        stated_step_mm=_number(typed, "reading-step"), one_batch=bool(typed.get("one-batch")),
        most_loads=_count(typed, "most-loads"), control_body=_text(typed, "control-body"),
    )  # fmt: skip


def _goals(typed: Typed) -> tuple[Goal, ...]:
    chosen = {one for one in typed.getlist("to-know") if isinstance(one, str)}
    goals = tuple(goal for goal in GOALS if goal in chosen)
    if not goals:
        raise UnusableRequest("left-blank", value=_LABELS["to-know"])
    if {"tight", "range"} & chosen:
        _needed(typed, "limit")
    return goals


def _heats(typed: Typed) -> "tuple[Heat, ...]":
    from bodytest.trial.question import heats_of

    degrees = [_read("temperature", text) for text in _listed(typed, "temperature")]
    found = heats_of(_listed(typed, "cone"), degrees)
    if not found:
        raise UnusableRequest("left-blank", value=_LABELS["cone"])
    return found


def _text(typed: Typed, name: str) -> str:
    """Return what was typed, what is usual where nothing was."""
    text = typed.get(name, "")
    usual = _FIELDS[name].usual if name in _FIELDS else ""
    return (text.strip() if isinstance(text, str) else "") or usual


def _needed(typed: Typed, name: str) -> str:
    if not (text := _text(typed, name)):
        raise UnusableRequest("left-blank", value=_LABELS[name])
    return text


def _listed(typed: Typed, name: str) -> list[str]:
    return [one.strip() for one in re.split("[,;]", _text(typed, name)) if one.strip()]


def _number(typed: Typed, name: str) -> float | None:
    text = _text(typed, name)
    return _read(name, text) if text else None


def _count(typed: Typed, name: str) -> int:
    return int(_read(name, _text(typed, name), whole=True))


def _read(name: str, text: str, *, whole: bool = False) -> float:
    """Return a number within the limits of its field."""
    low, high = _FIELDS[name].limits
    try:
        value = typed_number(text)
    except ValueError:
        value = math.nan
    if not low <= value <= high or (whole and value % 1):
        kind = "a whole number" if whole else "a number, with a point or a comma,"
        raise UnusableRequest(
            "no-such-number", value=text, label=_LABELS[name], kind=kind, low=f"{low:g}", high=f"{high:g}"
        )
    return value


def _lines(made: "Plan") -> list[str]:
    from bodytest.trial.plan_words import plan_lines

    drawn = f"Places in the kiln were drawn by the number {made.question.seed}."
    return [*map(_as_on_page, plan_lines(made)), drawn]


def _as_on_page(sentence: str) -> str:
    """Return a sentence in the words of the page.

    >>> _as_on_page("Plan --to-know range first, with --limit.")
    'Plan “What do you want to know”: from which heat on it is tight first, with “Absorption at most, %”.'
    """
    for goal, words in GOALS.items():
        sentence = sentence.replace(f"--to-know {goal}", f"--to-know: {words}")
    return on_page(sentence, _LABELS)


ROUTES = (
    route("/trial", trial),
    route("/trial/plan.json", trial_json),
    route("/trial", write, form=True),
    route("/sheet/{key}/kit.pdf", kit),
)
