"""What commands take beside their own options: where sheets are, what is said of them, how the answer is given."""

import functools
import inspect
from collections.abc import Callable
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from bodytest.intake.layouts.said import Said

From = Annotated[
    list[Path] | None,
    typer.Option("--from", metavar="SHEET", help="A filled-in sheet or results file, as SHEET. Repeatable."),
]
_OF_SHEETS = {
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
_QUIET = {"quiet": Annotated[bool | None, typer.Option("--quiet", help="Print the answer and errors only.")]}
_JSON = {"as_json": Annotated[bool | None, typer.Option("--json", help="Print JSON, unrounded; errors too.")]}
_GIVEN: ContextVar[dict[str, Any]] = ContextVar("given", default={})  # noqa: B039 (never changed, only replaced)


def begin(typed: list[str]) -> None:
    """Forget the last command; what is wrong in the words typed is told as they wish, before they are understood."""
    _GIVEN.set({"as_json": "--json" in typed})


def answers(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command ``--json`` and ``--quiet``."""
    return _taking(command, _JSON | _QUIET)


def reads_sheets(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command ``--as``, ``--unit``, ``--json``, ``--quiet``, and ``--from`` beside its argument ``sheets``."""
    own = inspect.signature(command).parameters
    further = {} if "sheets" not in own or own["sheets"].annotation is From else {"sources": From}
    return _taking(command, further | _OF_SHEETS | _JSON | _QUIET)


def keeps_watching(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command that reads sheets again and again ``--as``, ``--unit`` and ``--quiet``."""
    return _taking(command, _OF_SHEETS | _QUIET)


def goes_on(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command that goes on until it is stopped ``--quiet``."""
    return _taking(command, _QUIET)


def _taking(command: Callable[..., None], more: dict[str, Any]) -> Callable[..., None]:
    """Give a command more options; what they say is kept for what it calls."""

    @functools.wraps(command)
    def taking(**typed: Any) -> None:
        given = {name: typed.pop(name, None) for name in more}
        _GIVEN.set(given)
        if "sources" in more:
            typed["sheets"] = [*typed["sheets"], *(given["sources"] or ())]
        command(**typed)

    own = inspect.signature(command)
    kind = inspect.Parameter.KEYWORD_ONLY
    parameters = [parameter.replace(kind=kind) for parameter in own.parameters.values()]
    parameters += [inspect.Parameter(name, kind, default=None, annotation=option) for name, option in more.items()]
    taking.__signature__ = own.replace(parameters=parameters)  # type: ignore[attr-defined]
    taking.__annotations__ = {**command.__annotations__, **more}
    return taking


def wants_json() -> bool:
    """Say whether the running command was told ``--json``."""
    return bool(_GIVEN.get().get("as_json"))


def is_quiet() -> bool:
    """Say whether nothing but the answer and errors is wanted."""
    return bool(_GIVEN.get().get("quiet"))


def told() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what was typed behind ``--as`` and ``--unit`` of the running command."""
    given = _GIVEN.get()
    return tuple(given.get("as_") or ()), tuple(given.get("unit") or ())


def said() -> "Said":
    """Return what the user said of the sheets of the running command."""
    from bodytest.intake.layouts.said import said_by

    return said_by(*told())
