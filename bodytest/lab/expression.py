"""A formula as an object: what a lab function returns when it is called with symbols in place of numbers.

From it come the value, its derivative by each reading, and the formula in words, in symbols and for a spreadsheet, so
that none of them is written down a second time.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, Symbolic, ratio

Slopes = dict[str, FloatArray]
"""Reading key → derivative by it."""
_SUM, _PRODUCT, _POWER, _LEAF = 1, 2, 3, 4
_BINDS = {"+": _SUM, "-": _SUM, "*": _PRODUCT, "/": _PRODUCT, "^": _POWER}
_SUPERSCRIPT = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


@dataclass(frozen=True)
class Style:
    """How a formula is written."""

    leaf: "Callable[[Symbol], str]"
    """Text of a symbol."""
    signs: Mapping[str, str]
    """Text of each operation."""
    power: Callable[[int], str]
    """Text of an exponent."""
    pi: str = "π"
    """Text of π."""


_SIGNS = {"+": " + ", "-": " − ", "/": " / "}
WORDS = Style(lambda s: s.words, {**_SIGNS, "*": " × "}, lambda n: str(n).translate(_SUPERSCRIPT))
SYMBOLS = Style(lambda s: s.symbol, {**_SIGNS, "*": " "}, WORDS.power)


def spreadsheet(cells: Mapping[str, str]) -> Style:
    """Return the style of a spreadsheet formula.

    Parameters:
        cells: cell or expression that stands for each reading, by its key [address].

    Reference: OpenDocument 1.3 part 4 (OpenFormula) 5.5, operators and their order.

    >>> loss = 100 * ((Symbol("a") - Symbol("b")) / Symbol("a"))
    >>> loss.text(spreadsheet({"a": "H4", "b": "I4"}))
    '100*(H4-I4)/H4'
    """
    return Style(lambda s: cells[s.key], {sign: sign for sign in _BINDS}, lambda n: f"^{n}", "PI()")


class Expression(Symbolic):
    """A formula, or part of one."""

    binds = _LEAF
    """How tightly its operation binds."""

    def text(self, style: Style) -> str:
        """Return the formula as text."""
        raise NotImplementedError

    def with_slopes(self, values: Mapping[str, npt.ArrayLike]) -> tuple[FloatArray, Slopes]:
        """Return the value and its derivative by each symbol."""
        raise NotImplementedError

    def denominators(self) -> "tuple[Expression, ...]":
        """Return everything that is divided by."""
        return ()

    def __add__(self, other: object) -> "Expression":
        return Operation("+", self, _part(other))

    def __sub__(self, other: object) -> "Expression":
        return Operation("-", self, _part(other))

    def __rsub__(self, other: object) -> "Expression":
        return Operation("-", _part(other), self)

    def __mul__(self, other: object) -> "Expression":
        return Operation("*", self, _part(other))

    def __rmul__(self, other: object) -> "Expression":
        return Operation("*", _part(other), self)

    def __truediv__(self, other: object) -> "Expression":
        return Operation("/", self, _part(other))

    def __rtruediv__(self, other: object) -> "Expression":
        return Operation("/", _part(other), self)

    def __pow__(self, exponent: int) -> "Expression":
        return Operation("^", self, Number(exponent))


@dataclass(frozen=True)
class Number(Expression):
    """A number of the formula."""

    value: float
    """The number."""

    def text(self, style: Style) -> str:
        """Return the number as text."""
        return style.pi if self.value == math.pi else f"{self.value:g}"

    def with_slopes(self, values: Mapping[str, npt.ArrayLike]) -> tuple[FloatArray, Slopes]:
        """Return the number."""
        return np.asarray(self.value, dtype=np.float64), {}


@dataclass(frozen=True)
class Symbol(Expression):
    """What stands for a reading, a condition or another quantity."""

    key: str
    """Key of what it stands for."""
    symbol: str = ""
    """How it is written in symbols."""
    words: str = ""
    """How it is written in words."""
    usual: float | None = field(default=None, compare=False)
    """Value where none is given; only conditions have one, and are taken as exact."""

    def text(self, style: Style) -> str:
        """Return it as text."""
        return style.leaf(self)

    def with_slopes(self, values: Mapping[str, npt.ArrayLike]) -> tuple[FloatArray, Slopes]:
        """Return its value."""
        if self.usual is not None:
            return np.asarray(values.get(self.key, self.usual), dtype=np.float64), {}
        return np.asarray(values[self.key], dtype=np.float64), {self.key: np.ones(())}


@dataclass(frozen=True)
class Operation(Expression):
    """Two parts of a formula put together."""

    sign: str
    """``+``, ``-``, ``*``, ``/`` or ``^``."""
    left: Expression
    """First part."""
    right: Expression
    """Second part; a number for ``^``."""

    @property
    def binds(self) -> int:  # type: ignore[override]
        """How tightly the operation binds."""
        return _BINDS[self.sign]

    def text(self, style: Style) -> str:
        """Return it as text, with the brackets that it needs."""
        if isinstance(self.right, Number) and self.sign == "^":
            return self._bracketed(self.left, self.binds, style) + style.power(int(self.right.value))
        tighter = self.binds + (self.sign in "-/")
        return style.signs[self.sign].join(
            (self._bracketed(self.left, self.binds, style), self._bracketed(self.right, tighter, style))
        )

    @staticmethod
    def _bracketed(part: Expression, least: int, style: Style) -> str:
        return part.text(style) if part.binds >= least else f"({part.text(style)})"

    def with_slopes(self, values: Mapping[str, npt.ArrayLike]) -> tuple[FloatArray, Slopes]:
        """Return value and derivatives by the sum, product, quotient and power rules."""
        left, left_slopes = self.left.with_slopes(values)
        right, right_slopes = self.right.with_slopes(values)
        value, by_left, by_right = self._rule(left, right)
        slopes = {key: by_left * slope for key, slope in left_slopes.items()}
        for key, slope in right_slopes.items():
            slopes[key] = slopes.get(key, np.zeros(())) + by_right * slope
        return value, slopes

    def _rule(self, left: FloatArray, right: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return the value and its derivatives by the left and the right part."""
        one: FloatArray = np.ones(())
        if self.sign == "+":
            return left + right, one, one
        if self.sign == "-":
            return left - right, one, -one
        if self.sign == "*":
            return left * right, right, left
        if self.sign == "/":
            quotient = ratio(left, right)
            return quotient, ratio(1.0, right), -ratio(quotient, right)
        return left**right, right * left ** (right - 1.0), np.zeros(())

    def denominators(self) -> tuple[Expression, ...]:
        """Return everything that is divided by, each once."""
        own = (self.right,) if self.sign == "/" else ()
        return tuple(dict.fromkeys((*self.left.denominators(), *self.right.denominators(), *own)))


def _part(value: object) -> Expression:
    return value if isinstance(value, Expression) else Number(float(value))  # type: ignore[arg-type]
