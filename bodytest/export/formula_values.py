"""What the formulas of our own workbooks come to, stored in them so that previews and other readers show figures.

A formula is parsed as a Python expression, whose signs bind as those of spreadsheets do; nothing of it is ever run.
Only what our formulas use is computed: numbers, texts, cells and ranges, signs between them, and the functions of
`_FUNCTIONS`. Blanks, texts and ranges are compared and added as spreadsheet programs do it; a formula that it does not
know is a fault of ours and raises.
"""

import ast
import math
import operator
import re
from collections.abc import Callable
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import column_index_from_string
from scipy.special import betainc

_TOKEN = re.compile(
    r'(?P<text>"(?:[^"]|"")*")'
    r"|(?:(?P<sheet>\w+)!)?\$?(?P<column>[A-Z]{1,2})\$?(?P<first>\d+)(?::\$?[A-Z]{1,2}\$?(?P<last>\d+))?"
    r"|(?P<sign><=|>=|<>|=|\bTRUE\b|\bFALSE\b)"
)
_IN_PYTHON = {"=": "==", "<>": "!=", "TRUE": "True", "FALSE": "False"}


def formula_values(book: Workbook) -> dict[str, dict[str, Any]]:
    """Return what every formula of the workbook comes to, a number, a text or whether, by sheet and cell."""
    reader = _Reader(book)
    found: dict[str, dict[str, Any]] = {sheet.title: {} for sheet in book}
    for sheet, column, row in reader.formulas:
        value = reader.at(sheet, column, row)
        found[sheet][book[sheet].cell(row, column).coordinate] = None if isinstance(value, _Error) else value
    return found


class _Reader:
    """The cells of a workbook, each formula computed once."""

    def __init__(self, book: Workbook) -> None:
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
        """Return what stands in a cell or comes out of its formula, in which a blank cell on its own counts as zero."""
        place = (sheet, column, row)
        if place not in self._known:
            cell = self._cells.get(place)
            if cell is None or cell.data_type != "f":
                self._known[place] = None if cell is None else cell.value
            else:
                value = self._of(_parsed(str(cell.value)[1:]), sheet)
                self._known[place] = 0.0 if value is None else value
        return self._known[place]

    def _of(self, node: ast.expr, sheet: str) -> Any:
        """Return what a part of a formula on a sheet comes to."""
        match node:
            case ast.Constant(value=str() | bool() | int() | float() as value):
                return value if isinstance(value, str | bool) else float(value)
            case ast.BinOp(left=left, op=sign, right=right) | ast.Compare(left=left, ops=[sign], comparators=[right]):
                return _each(_OPERATIONS[type(sign)], self._of(left, sheet), self._of(right, sheet))
            case ast.Tuple():
                return self._cells_at(sheet, *ast.literal_eval(node))
            case ast.Call(func=ast.Name(id="ROW"), args=[ast.Tuple() as cells]):
                *_, first, last = ast.literal_eval(cells)
                return [float(row) for row in range(first, (last or first) + 1)]
            case ast.Call(func=ast.Name(id=name), args=arguments):
                return _called(name, [self._of(one, sheet) for one in arguments])
        raise ValueError(f"no formula of ours: {ast.unparse(node)}")

    def _cells_at(self, own_sheet: str, sheet: str | None, column: int, first: int, last: int | None) -> Any:
        """Return what a cell holds, or the cells of a range that is one column wide."""
        if last is None:
            return self.at(sheet or own_sheet, column, first)
        return [self.at(sheet or own_sheet, column, row) for row in range(first, last + 1)]


def _parsed(formula: str) -> ast.expr:
    try:
        return ast.parse(_TOKEN.sub(_as_python, formula), mode="eval").body
    except SyntaxError:
        raise ValueError(f"no formula of ours: {formula}") from None


def _as_python(token: re.Match[str]) -> str:
    if token["text"]:
        return repr(token["text"][1:-1].replace('""', '"'))
    if token["first"]:
        return f"({token['sheet']!r}, {column_index_from_string(token['column'])}, {token['first']}, {token['last']})"
    return _IN_PYTHON.get(token["sign"], token["sign"])


def _called(name: str, arguments: list[Any]) -> Any:
    """Return the result of a function; both branches of IF were read, and only one is used."""
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


_OPERATIONS: dict[type[ast.AST], Callable[[Any, Any], Any]] = {
    ast.Add: lambda a, b: _number(a) + _number(b),
    ast.Sub: lambda a, b: _number(a) - _number(b),
    ast.Mult: lambda a, b: _number(a) * _number(b),
    ast.Div: lambda a, b: _number(a) / _number(b),
    ast.BitAnd: lambda a, b: _text(a) + _text(b),
    ast.Eq: lambda a, b: _order(a, b) == 0,
    ast.NotEq: lambda a, b: _order(a, b) != 0,
    ast.Lt: lambda a, b: _order(a, b) < 0,
    ast.LtE: lambda a, b: _order(a, b) <= 0,
    ast.Gt: lambda a, b: _order(a, b) > 0,
    ast.GtE: lambda a, b: _order(a, b) >= 0,
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
