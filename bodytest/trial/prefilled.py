"""A plan → the workbook to fill in: bars with codes, loads and places, firings, limit, tolerance."""

from bodytest.sheet.blank import sheet_bytes
from bodytest.sheet.chosen_columns import KindsOfTest, Units
from bodytest.sheet.content import Row, SheetContent
from bodytest.trial.planned import Plan, PlannedBar
from bodytest.trial.question import Question
from bodytest.units import LENGTH_IN_MM


def plan_workbook(plan: Plan, paper: str = "A4") -> bytes:
    """Return the workbook of a plan; the same plan gives the same bytes."""
    return sheet_bytes(plan_content(plan, paper))


def plan_content(plan: Plan, paper: str = "A4") -> SheetContent:
    """Return what stands in it."""
    question = plan.question
    return SheetContent(
        bars=tuple(row for bar in plan.bars for row in _rows(bar, question)),
        firings=tuple(
            {
                "firing": load.code,
                "programme": load.heat.called,
                "purpose": load.purpose,
                "cone": load.heat.cone or None,
                "set temperature": None if load.heat.cone else load.heat.celsius,
                "temperature ±": question.kiln.temperature_pm_c or None,
                "notes": f"places in the kiln drawn by the number {question.seed}",
            }
            for load in plan.loads
        ),
        lab=_lab(question),
        specs=_specs(question),
        kinds=KindsOfTest(lengths=question.measures, masses=question.weighs),
        bodies=tuple(dict.fromkeys(bar.body for bar in plan.bars)),
        batches=tuple(dict.fromkeys(bar.batch for bar in plan.bars)),
        units=Units(question.length_unit),
        paper=paper,
    )


def _rows(bar: PlannedBar, question: Question) -> list[Row]:
    row: dict[str, object] = {
        "bar": bar.code,
        "body": bar.body,
        "batch": bar.batch,
        "firing": bar.load,
        "direction": question.direction,
        "position": bar.position,
        "notes": bar.place,
    }
    if question.marks == 1:
        return [row]
    return [{**row, "mark": f"{mark}"} for mark in range(1, question.marks + 1)]


def _lab(question: Question) -> Row:
    tolerance = {"same": question.tolerance, "size": question.half_width}
    unit, step = question.length_unit, question.stated_step_mm
    wanted = [value for goal, value in tolerance.items() if goal in question.goals]
    return {
        "absorption method": question.method if question.weighs else None,
        "shrinkage tolerance (%)": wanted[0] if wanted else None,
        f"length reading step ({unit})": step / LENGTH_IN_MM[unit] if step and question.measures else None,
        "control body": question.control_body or None,
    }


def _specs(question: Question) -> tuple[Row, ...]:
    if question.limit is None or not question.weighs:
        return ()
    return (
        {
            "body": question.body,
            "purpose": "final",
            "quantity": "absorption",
            "highest": question.limit,
            "applies to": "mean",
            "source": "the limit given when the test was planned",
        },
    )
