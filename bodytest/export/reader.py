"""A results document → results again, with a clear sentence for a file that is damaged, foreign or out of its time."""

import types
from collections.abc import Callable, Iterable
from dataclasses import MISSING, Field, fields, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from bodytest.documented import document_fields, document_name
from bodytest.errors import UnreadableResults
from bodytest.export.contract import DATE_FIELDS, READING_FIELDS, Bar, required_fields
from bodytest.files.inputs import called
from bodytest.files.results_file import VERSION, read_document
from bodytest.findings import finding
from bodytest.quantities import QUANTITIES
from bodytest.results import Results, Summary

if TYPE_CHECKING:
    import pandas as pd

_SIMPLE: dict[type, tuple[type, ...]] = {float: (int, float), int: (int,), str: (str,), bool: (bool,)}
_Built = TypeVar("_Built")
_KIND_WORDS: dict[type, str] = {float: "a number", int: "a whole number", str: "a text", bool: "true or false"}
_LARGEST = 1e15
"""No number of a results document is larger."""


class _Misfit(Exception):
    """A place in the document that does not hold what it should: path and what is wrong."""


def read_results(path: str | Path) -> Results:
    """Read a results file that `bodytest report` or `bodytest results` wrote.

    The bars have the columns of the document, their readings among them; the single marks it leaves to `read_sheets`,
    which reads the sheets that the file keeps.

    Raises:
        UnreadableResults: no such file, no JSON, not ours, or damaged.
    """
    return _from_file(path, lambda document: Results(**vars(_summary(document)), bars=_bar_table(document["bars"])))


def read_summary(path: str | Path) -> Summary:
    """Read a results file without its single bars; raises as `read_results` does."""
    return _from_file(path, _summary)


def _from_file(path: str | Path, build: Callable[[dict[str, Any]], _Built]) -> _Built:
    document = read_document(Path(path))
    try:
        return build(document)
    except _Misfit as misfit:
        code = "results-later" if document["version"] > VERSION else "results-damaged"
        raise UnreadableResults(code, sheet=called(Path(path)), value=document["version"], what=str(misfit)) from None


def _summary(document: dict[str, Any]) -> Summary:
    """Return everything but the bars."""
    found: Summary = _dataclass(Summary, document, "")
    if not 0.0 < found.confidence < 1.0:
        raise _Misfit(f"confidence is {found.confidence:g}, not between 0 and 1")
    if not isinstance(document.get("bars"), list):
        raise _Misfit("bars is not a list" if "bars" in document else "bars is missing")
    if document["version"] > VERSION:
        return replace(found, findings=(*found.findings, finding("results-later-read", value=document["version"])))
    return found


def _of_type(hint: Any, value: Any, place: str) -> Any:
    """Return the value as the type says, or raise `_Misfit` naming the place."""
    origin, arguments = get_origin(hint), get_args(hint)
    if hint in _SIMPLE:
        return _simple(hint, value, place)
    if origin in {Union, types.UnionType}:
        return None if value is None else _of_type(arguments[0], value, place)
    if origin is Literal:
        return _simple(str, value, place)  # every list of words is open: later versions add some
    if origin is dict:
        return {key: _of_type(arguments[1], item, f"{place}.{key}") for key, item in _object(value, place).items()}
    if origin is tuple:
        return _tuple(arguments, value, place)
    return _dataclass(hint, _object(value, place), place)


def _simple(hint: type, value: Any, place: str) -> Any:
    if not isinstance(value, _SIMPLE[hint]) or (isinstance(value, bool) and hint is not bool):
        raise _Misfit(f"{place} is not {_KIND_WORDS[hint]}")
    if isinstance(value, int | float) and not abs(value) <= _LARGEST:
        raise _Misfit(f"{place} is too large a number")
    return float(value) if hint is float and isinstance(value, int) else value


def _object(value: Any, place: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise _Misfit(f"{place} is not an object")
    return value


def _tuple(arguments: tuple[Any, ...], value: Any, place: str) -> tuple[Any, ...]:
    fixed = arguments[-1] is not Ellipsis
    if not isinstance(value, list) or (fixed and len(value) != len(arguments)):
        raise _Misfit(f"{place} is not a list" + (f" of {len(arguments)}" if fixed else ""))
    return tuple(_of_type(arguments[0], item, f"{place}[{n}]") for n, item in enumerate(value))


@cache
def _plan(cls: type) -> tuple[tuple[str, str, Any, bool], ...]:
    """Return name, name in the document, type and whether it has to be there for each field of a dataclass."""
    hints, required = get_type_hints(cls), required_fields(cls)
    return tuple((f.name, document_name(f), hints[f.name], document_name(f) in required) for f in document_fields(cls))


def _dataclass(cls: type, value: dict[str, Any], place: str) -> Any:
    arguments = {}
    for name, key, hint, required in _plan(cls):
        at = f"{place}.{key}" if place else key
        if key in value:
            arguments[name] = _of_type(hint, value[key], at)
        elif required:
            raise _Misfit(f"{at} is missing")
    return cls(**arguments)


def _bar_table(bars: list[Any]) -> "pd.DataFrame":
    import pandas as pd

    hints = get_type_hints(Bar)
    columns = {field.name: _bar_column(bars, field, hints[field.name]) for field in fields(Bar)}
    values, readings, dates = (columns.pop(name) for name in ("values", "readings", "dates"))
    if not any(columns["stated"]):
        del columns["stated"]
    table = pd.DataFrame(columns)
    of_bars = {**dict.fromkeys([q.key for q in QUANTITIES], values), **dict.fromkeys(READING_FIELDS, readings)}
    absent = float("nan")
    for name, numbers_of in of_bars.items():
        numbers = [absent if (number := one.get(name)) is None else number for one in numbers_of]
        table[name] = pd.Series(numbers, dtype=float)
    for name in (name for name in DATE_FIELDS if any(name in days for days in dates)):
        table[name] = [days.get(name) or "" for days in dates]
    return table


def _bar_column(bars: Iterable[Any], field: "Field[Any]", hint: Any) -> list[Any]:
    """Return one field of all bars, with what stands for none where it is blank."""
    name, required = field.name, field.name in required_fields(Bar)
    column, blank = [], "" if required else {} if field.default is MISSING else field.default
    for n, bar in enumerate(bars):
        cells = _object(bar, f"bars[{n}]")
        if required and name not in cells:
            raise _Misfit(f"bars[{n}].{name} is missing")
        value = _of_type(hint, cells[name], f"bars[{n}].{name}") if name in cells else None
        column.append(blank if value is None else value)
    return column
