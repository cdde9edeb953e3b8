"""What a single odd cell means: numbers typed as text, units beside them, dashes, question marks, dates."""

import datetime
import math
import re
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from bodytest.grids.grid import CellError, Uncalculated
from bodytest.intake.layouts.headings import unit_fits
from bodytest.intake.layouts.vocabulary import Kind
from bodytest.units import DAY, DIMENSIONS, celsius, degrees, dimension_of, iso_day, parse_fraction, parse_measure

NO_READING = frozenset(
    {"n/a", "na", "n.a.", "n/m", "nan", "none", "null", "nil", "-", "--", "–", "—", "−", "/", ".", "…", "x"}
)
"""What people write where there is nothing to read."""
MEASURABLE = (1e-6, 1e9)
"""Between a nanometre or microgram and a thousand kilometres or tonnes: beyond it nothing was ever measured here."""
_LONGEST_NUMBER = 200
"""Characters above which a text is no number."""
_QUESTION = re.compile(r"^[\s(]*(.*?)[\s)]*\?+[\s)]*$")
_MINUTES = re.compile(r"\s*(?:min|mins|minutes)\.?$", re.IGNORECASE)
_DEGREES = re.compile(r"\s*(?:[°º]|deg\.?|degrees?)$", re.IGNORECASE)
_PERCENT = re.compile(r"\s*%$")
_GUARD = re.compile(r"^'(?=[=+\-@])")
_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f]+")


_SIGNS = {"minutes": _MINUTES, "percent": _PERCENT, "temperature": _DEGREES}
"""What may stand behind a number of a kind and tells no other unit."""


@dataclass(frozen=True)
class NumberCell:
    """What one cell of a measured column says."""

    value: float = math.nan
    """The number in mm, g, °C or minutes; NaN when it cannot be used."""
    code: str | None = None
    """Finding to write down, if any."""
    words: dict[str, Any] = field(default_factory=dict)
    """Blanks of the finding's sentence."""


def factor(unit: str) -> float:
    """Return what a number in ``unit`` is multiplied by to be in the unit that its dimension is held in.

    >>> factor("cm"), factor("kg"), factor("min")
    (10.0, 1000.0, 1.0)
    """
    dimension = dimension_of(unit)
    return dimension.units[unit] if dimension else 1.0


def converted(value: float, unit: str, kind: Kind = "temperature") -> float:
    """Return a number in ``unit`` as mm, g, °C, minutes or °C/h; ``degrees`` are a difference of temperatures.

    >>> converted(50.0, "°F"), converted(9.0, "°F", "degrees"), converted(270.0, "°F/h", "rate")
    (10.0, 5.0, 150.0)
    """
    if kind in ("degrees", "rate"):
        return value * 5.0 / 9.0 if unit.startswith("°F") else value
    return celsius(value, unit) if unit in ("°C", "°F") else value * factor(unit)


def converted_back(number: float, unit: str, kind: Kind = "temperature") -> float:
    """Return a number that is held in mm, g, N or °C in the unit that it was typed in.

    >>> converted_back(25.4, "in"), converted_back(10.0, "°F"), converted_back(5.0, "°F", "degrees")
    (1.0, 50.0, 9.0)
    """
    if unit == "°F" and kind != "degrees":
        return degrees(number, unit)
    return number * 1.8 if unit.startswith("°F") else number / factor(unit)


def in_its_unit(number: float, unit: str) -> str:
    """Return a number that is held in mm, g, N or °C with the unit that it was typed in.

    >>> in_its_unit(119.0625, "in"), in_its_unit(90.718474, "oz"), in_its_unit(1222.2222, "°F"), in_its_unit(11.4, "%")
    ('4.6875 in', '3.2 oz', '2232 °F', '11.4 %')
    >>> in_its_unit(739739.0, "day")
    '2026-05-03'
    """
    if unit == DAY.unit:
        return iso_day(number)
    shown = converted_back(number, unit)
    return f"{shown:.0f} {unit}" if unit.startswith("°") else f"{shown:.8g} {unit}"


def unit_typed(cells: Iterable[Any]) -> str | None:
    """Return the unit that stands beside every number of a column, None where one number has none or another one.

    >>> unit_typed(["87,5 mm", "", "88 mm"]), unit_typed(['3 7/16"', '4"']), unit_typed(["87.5", "88 mm"])
    ('mm', 'in', None)
    """
    units: set[str | None] = set()
    for text in (read_text(cell) for cell in cells):
        if text[:1].isdigit():
            measure = parse_fraction(text) or parse_measure(text)
            units.add(measure.unit if measure else None)
    return units.pop() if len(units) == 1 else None


def in_unit(cell: Any, unit: str, other: str) -> Any:
    """Return a cell of a column in ``unit`` so that it can stand in a column in ``other``.

    >>> in_unit(8.75, "cm", "mm"), in_unit("broke", "cm", "mm"), in_unit(87.5, "mm", "mm")
    ('8.75 cm', 'broke', 87.5)
    """
    text = read_text(cell)
    if unit in ("", other) or not text[:1].isdigit() or unit_typed([text]) is not None:
        return cell
    return f"{text} {unit}"


def read_number(cell: Any, unit: str, kind: Kind) -> NumberCell:
    """Read a cell that should hold a number in ``unit``.

    >>> read_number("12,5 cm", "mm", "length").value, read_number("?", "mm", "length").code
    (125.0, 'reading-in-doubt')
    """
    if isinstance(cell, CellError):
        return NumberCell(code=cell.code, words=cell.words)
    if isinstance(cell, Uncalculated):
        return NumberCell(code="formula-not-calculated")
    if isinstance(cell, (datetime.date, datetime.time, datetime.timedelta)):
        return NumberCell(code="date-for-number")
    if isinstance(cell, bool) or not isinstance(cell, (str, int, float)):
        return NumberCell(code="not-a-number")
    if isinstance(cell, str):
        return _read_text(cell, unit, kind)
    return _judged(float(cell), unit, kind)


def _read_text(text: str, unit: str, kind: Kind) -> NumberCell:
    tidy = _SPACES.sub(" ", text).strip().lstrip("'").strip().replace("−", "-")
    if kind == "degrees":
        tidy = tidy.removeprefix("±").removeprefix("+/-").strip()
    if tidy == "":
        return NumberCell()
    if tidy.lower() in NO_READING:
        return NumberCell(code="no-reading")
    if len(tidy) > _LONGEST_NUMBER:
        return NumberCell(code="not-a-number")
    doubted = _QUESTION.match(tidy)
    if doubted is None:
        return _read_measure(tidy, unit, kind)
    inner = _read_text(doubted.group(1), unit, kind)
    if inner.code not in (None, "no-reading"):
        return inner
    return NumberCell(inner.value, "reading-in-doubt" if math.isnan(inner.value) else "number-in-doubt")


def _read_measure(text: str, unit: str, kind: Kind) -> NumberCell:
    """Read a number with or without its own unit; inches may be typed as ``7 1/2``."""
    fraction = parse_fraction(text) if unit_fits("in", kind) else None
    if fraction is not None:
        return _judged(fraction.value, fraction.unit or unit, kind)
    if kind in _SIGNS:
        text = _SIGNS[kind].sub("", text)
    measure = parse_measure(text)
    if measure is None:
        return NumberCell(code="not-a-number")
    if measure.unit is not None and not unit_fits(measure.unit, kind):
        return NumberCell(code="unit-of-another-kind", words={"unit": measure.unit, "kind": kind})
    return _judged(measure.value, measure.unit or unit, kind)


def _judged(value: float, unit: str, kind: Kind) -> NumberCell:
    if not math.isfinite(value):
        return NumberCell(code="not-a-number")
    if kind in DIMENSIONS and value <= 0:
        return NumberCell(code="zero-or-negative", words={"what": "zero" if value == 0 else "negative"})
    number = converted(value, unit, kind)
    if kind in DIMENSIONS and not MEASURABLE[0] <= number <= MEASURABLE[1]:
        return NumberCell(code="beyond-measure")
    return NumberCell(number)


def read_text(cell: Any) -> str:
    """Return a cell as text, the way its owner sees it.

    An apostrophe that only keeps a name from being taken for a formula is no part of it.

    >>> read_text(6.0), read_text(20260517001.0), read_text(" A  1 "), read_text(True), read_text("'=A1")
    ('6', '20260517001', 'A 1', 'TRUE', '=A1')
    """
    if isinstance(cell, str):
        return _GUARD.sub("", _SPACES.sub(" ", cell).strip())
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, float):
        return f"{cell:.15g}" if not math.isnan(cell) else ""
    if isinstance(cell, CellError):
        return cell.shown
    if isinstance(cell, Uncalculated):
        return ""
    return str(cell)


def day_number(cell: Any) -> float | None:
    """Return a date as the number of its day, NaN for a blank, None when it cannot be told.

    >>> day_number("3.5.2026"), day_number(""), day_number("3/5/2026")
    (739739.0, nan, None)
    """
    day = read_date(cell)
    if not day:
        return math.nan if day == "" else None
    return float(datetime.date.fromisoformat(day).toordinal())


_DATE_FORMS = (
    "%Y-%m-%d", "%Y/%m/%d", "%d.%m.%Y", "%d %B %Y", "%d %b %Y", "%d-%b-%Y", "%B %d, %Y", "%b %d, %Y", "%d.%m.%y",
    "%d %B %y", "%d %b %y", "%d-%b-%y",
)  # fmt: skip


_WEEKDAY = re.compile(
    r"^(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?[\s.,]+|(?<=\d)(?:st|nd|rd|th)\b", re.IGNORECASE
)
"""What is said of a day beside its number and month: Sat 4th Oct."""


def read_date(cell: Any) -> str | None:
    """Return a date as ISO text, ``""`` for a blank, None when it cannot be told.

    >>> read_date("3 May 2026"), read_date("3.5.2026"), read_date("Sun 3rd May 2026"), read_date("spring")
    ('2026-05-03', '2026-05-03', '2026-05-03', None)
    """
    if isinstance(cell, datetime.datetime):
        return cell.date().isoformat()
    if isinstance(cell, datetime.date):
        return cell.isoformat()
    text = read_text(cell)
    if text.lower() in NO_READING or not text:
        return ""
    text = _WEEKDAY.sub("", text)
    for form in _DATE_FORMS:
        try:
            return datetime.datetime.strptime(text[:40], form).date().isoformat()
        except ValueError:
            continue
    days = slashed_days(text)
    return days.pop() if len(days) == 1 else None


def slashed_days(text: str) -> set[str]:
    """Return the days that 25/12/2026 or 3/5/26 may be, as ISO texts: day or month first.

    >>> slashed_days("25/12/2026"), sorted(slashed_days("3/5/26"))
    ({'2026-12-25'}, ['2026-03-05', '2026-05-03'])
    """
    parts = re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4}|\d{2})", text)
    found = set()
    if parts is not None:
        first, second, year = (int(part) for part in parts.groups())
        for day, month in ((first, second), (second, first)):
            with suppress(ValueError):
                found.add(datetime.date(year if year > 99 else 2000 + year, month, day).isoformat())
    return found
