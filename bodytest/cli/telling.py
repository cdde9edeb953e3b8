"""The options ``--as`` and ``--unit`` of every command that reads sheets: what the user says of them."""

import functools
import inspect
from collections.abc import Callable
from contextvars import ContextVar
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from bodytest.intake.layouts.said import Said

_TOLD: ContextVar[tuple[tuple[str, ...], tuple[str, ...]]] = ContextVar("told", default=((), ()))
_OPTIONS = {
    "as_": Annotated[
        list[str] | None,
        typer.Option(
            "--as",
            metavar="HEADING=OURS",
            help="What a heading of the sheet means, as in 'Fired to=cone'; HEADING=- passes it over. Repeatable.",
        ),
    ],
    "unit": Annotated[
        list[str] | None,
        typer.Option("--unit", metavar="UNIT", help="Unit where the sheet tells none, as in mm or g. Repeatable."),
    ],
}


def reads_sheets(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the two options; what they say is kept for the reading of its sheets."""

    @functools.wraps(command)
    def telling(*arguments: Any, as_: list[str] | None = None, unit: list[str] | None = None, **options: Any) -> None:
        _TOLD.set((tuple(as_ or ()), tuple(unit or ())))
        command(*arguments, **options)

    own = inspect.signature(command)
    kind = inspect.Parameter.KEYWORD_ONLY
    more = [inspect.Parameter(n, kind, default=None, annotation=a) for n, a in _OPTIONS.items()]
    telling.__signature__ = own.replace(parameters=[*own.parameters.values(), *more])  # type: ignore[attr-defined]
    telling.__annotations__ = {**command.__annotations__, **_OPTIONS}
    return telling


def told() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what was typed behind ``--as`` and ``--unit`` of the running command."""
    return _TOLD.get()


def said() -> "Said":
    """Return what the user said of the sheets of the running command."""
    from bodytest.intake.layouts.said import said_by

    return said_by(*told())
