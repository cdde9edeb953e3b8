"""What the formulas of our own workbooks come to, stored in them so that previews and other readers show figures.

It knows what those formulas use and nothing else: numbers, texts, cells and ranges, signs between them, and the
functions of `_FUNCTIONS`. Blanks, texts and ranges are compared and added as spreadsheet programs do it; a formula
that it does not know is a fault of ours and raises.
"""

import math
import operator
import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from openpyxl.utils import column_index_from_string, get_column_letter
from scipy.special import betainc

if TYPE_CHECKING:
    from openpyxl import Workbook

Value = float | str | bool | None
"""What a cell can come to; None where it is blank."""
_TOKEN = re.compile(
    r"""\s*(?:(?P<number>\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)|(?P<text>"(?:[^"]|"")*")"""
    r"""|(?P<cells>(?:(?P<sheet>\w+)!)?\$?(?P<c1>[A-Z]{1,2})\$?(?P<r1>\d+)(?::\$?(?P<c2>[A-Z]{1,2})\$?(?P<r2>\d+))?)"""
    r"""|(?P<name>[A-Z]+)(?=\()|(?P<word>TRUE|FALSE)|(?P<sign><=|>=|<>|[-+*/&=<>(),]))"""
)
_BINDS = {"=": 1, "<>": 1, "<": 1, "<=": 1, ">": 1, ">=": 1, "&": 2, "+": 3, "-": 3, "*": 4, "/": 4}


def formula_values(book: "Workbook") -> dict[str, dict[str, Any]]:
    """Return what every formula of the workbook comes to, a number, a text or whether, by sheet and cell."""
    reader = _Reader(book)
    found: dict[str, dict[str, Any]] = {sheet.title: {} for sheet in book}
    for sheet, column, row in reader.formulas:
        value = reader.at(sheet, column, row)
        found[sheet][f"{get_column_letter(column)}{row}"] = None if isinstance(value, _Error) else value
    return found


class _Reader:
    """The cells of a workbook, each formula computed once."""

    def __init__(self, book: "Workbook") -> None:
        self._cells = {
            (sheet.title, cell.column, cell.row): cell
            for sheet in book
            for row in sheet.iter_rows()
            for cell in row
            if cell.value is not None
        }
        self._known: dict[tuple[str, int, int], Any] = {}
        self.formulas = [place for place, cell in self._cells.items() if cell.data_type == "f"]

    def at(self, sheet: str, column: int, row: int) -> Any:
        """Return what stands in a cell or comes out of its formula."""
        place = (sheet, column, row)
        if place not in self._known:
            cell = self._cells.get(place)
            if cell is None or cell.data_type != "f":
                self._known[place] = None if cell is None else cell.value
            else:
                self._known[place] = _Formula(self, sheet, str(cell.value)[1:]).value()
        return self._known[place]


class _Formula:
    """One formula, read from left to right by the strength of its signs."""

    def __init__(self, reader: _Reader, sheet: str, text: str) -> None:
        self._reader, self._sheet, self._text = reader, sheet, text
        self._tokens = self._scan()
        self._next = next(self._tokens, None)

    def _scan(self) -> Iterator[re.Match[str]]:
        at = 0
        while at < len(self._text):
            found = _TOKEN.match(self._text, at)
            if found is None:
                raise ValueError(f"no formula of ours: {self._text[at:]}")
            yield found
            at = found.end()

    def value(self) -> Any:
        """Return what it comes to; a blank cell on its own counts as zero."""
        found = self._binary(0)
        return 0.0 if found is None else found

    def _take(self) -> re.Match[str]:
        token = self._next
        if token is None:
            raise ValueError(f"the formula ends too early: {self._text}")
        self._next = next(self._tokens, None)
        return token

    def _sign(self) -> str | None:
        return self._next["sign"] if self._next else None

    def _binary(self, weakest: int) -> Any:
        left = self._one()
        while (sign := self._sign()) in _BINDS and _BINDS[sign] > weakest:
            self._take()
            left = _each(_OPERATIONS[sign], left, self._binary(_BINDS[sign]))
        return left

    def _one(self) -> Any:
        token = self._take()
        kind = str(token.lastgroup)
        if kind == "name":
            self._take()
            return self._called(token["name"])
        if kind == "sign":
            inside = self._binary(0)
            self._take()
            return inside
        return self._cells(token) if token["cells"] else _CONSTANTS[kind](token[kind])

    def _cells(self, token: re.Match[str]) -> Any:
        sheet, column, row = token["sheet"] or self._sheet, column_index_from_string(token["c1"]), int(token["r1"])
        if token["c2"] is None:
            return self._reader.at(sheet, column, row)
        return [self._reader.at(sheet, column, one) for one in range(row, int(token["r2"]) + 1)]

    def _called(self, name: str) -> Any:
        """Return the result of a function; both branches of IF are read, and only one is used."""
        if name == "ROW":
            token = self._take()
            self._take()
            return [float(row) for row in range(int(token["r1"]), int(token["r2"] or token["r1"]) + 1)]
        arguments = []
        while self._sign() != ")":
            if self._sign() == ",":
                self._take()
            arguments.append(self._binary(0))
        self._take()
        if name != "IF" and any(isinstance(one, _Error) for one in arguments):
            return _ERROR
        return _FUNCTIONS[name](*arguments)


def _each(operation: Callable[[Any, Any], Any], left: Any, right: Any) -> Any:
    """Apply an operation to two values, or to each value of a range."""
    if isinstance(left, _Error) or isinstance(right, _Error):
        return _ERROR
    if isinstance(left, list) or isinstance(right, list):
        many = len(left if isinstance(left, list) else right)
        lefts, rights = (one if isinstance(one, list) else [one] * many for one in (left, right))
        return [_each(operation, a, b) for a, b in zip(lefts, rights, strict=True)]
    try:
        return operation(left, right)
    except (TypeError, ValueError, ZeroDivisionError):
        return _ERROR


class _Error:
    """What cannot be computed; it may stand in the branch of an IF that is not taken."""


_ERROR = _Error()


def _number(value: Any) -> float:
    if isinstance(value, str):
        raise TypeError(value)
    return float(value or 0.0)


def _text(value: Any) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else f"{float(value):.15g}"


def _order(left: Any, right: Any) -> int:
    """Return −1, 0 or 1: numbers come before texts, capitals do not count, and a blank is as the other."""
    pair = [
        ("" if isinstance(other, str) else 0.0) if one is None else one for one, other in ((left, right), (right, left))
    ]
    keys: list[Any] = [(1, one.casefold()) if isinstance(one, str) else (0, float(one)) for one in pair]
    return int(keys[0] > keys[1]) - int(keys[0] < keys[1])


def _if(condition: Any, then: Any, otherwise: Any) -> Any:
    return condition if isinstance(condition, _Error) else then if condition else otherwise


def _index(values: list[Any], place: Any) -> Any:
    at = int(_number(place))
    return values[at - 1] if 0 < at <= len(values) else _ERROR


def _total(values: list[Any]) -> Any:
    numbers = [one for one in values if one is not None and not isinstance(one, str)]
    return _ERROR if _ERROR in numbers else math.fsum(numbers)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


_OPERATIONS: dict[str, Callable[[Any, Any], Any]] = {
    "+": lambda a, b: _number(a) + _number(b),
    "-": lambda a, b: _number(a) - _number(b),
    "*": lambda a, b: _number(a) * _number(b),
    "/": lambda a, b: _number(a) / _number(b),
    "&": lambda a, b: _text(a) + _text(b),
    "=": lambda a, b: _order(a, b) == 0,
    "<>": lambda a, b: _order(a, b) != 0,
    "<": lambda a, b: _order(a, b) < 0,
    "<=": lambda a, b: _order(a, b) <= 0,
    ">": lambda a, b: _order(a, b) > 0,
    ">=": lambda a, b: _order(a, b) >= 0,
}
_CONSTANTS: dict[str, Callable[[str], Value]] = {
    "number": float,
    "text": lambda text: text[1:-1].replace('""', '"'),
    "word": lambda word: word == "TRUE",
}
_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "IF": _if,
    "AND": lambda *all_of: all(all_of),
    "OR": lambda *any_of: any(any_of),
    "NOT": operator.not_,
    "ISNUMBER": _is_number,
    "MAX": lambda *numbers: max(map(_number, numbers)),  # of cells that hold numbers
    "SUM": _total,
    "SUMPRODUCT": _total,
    "INDEX": _index,
    "BETADIST": lambda x, a, b: float(betainc(a, b, x)),
}
