"""The language of the pages: every sentence and label stands in ``wording.toml``, and numbers take one decimal sign.

A translation is a file with the same keys: templates and code of the report hold no words for people. Names and
formulas of quantities, findings, and what an analysis says in a sentence come from where they are made.
"""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bodytest import rounding, units
from bodytest.comparison import Verdict
from bodytest.conformity import Conformity
from bodytest.results import QuantityResult
from bodytest.shown import for_blanks
from bodytest.units import LENGTH_DECIMALS, PIECE, Instrument


@cache
def english() -> Mapping[str, str]:
    """Return the wording that comes with the package, ``section.name`` → sentence."""
    text = files("bodytest.report").joinpath("wording.toml").read_text(encoding="utf-8")
    return {
        f"{section}.{name}": sentence
        for section, entries in tomllib.loads(text).items()
        for name, sentence in entries.items()
    }


@dataclass(frozen=True)
class Voice:
    """How a report speaks: its wording and its decimal sign."""

    wording: Mapping[str, str]
    """``section.name`` → sentence with ``{blanks}``."""
    decimal_sign: str = "."
    """``.`` or ``,``."""
    length_unit: str = "mm"
    """Unit in which lengths are told: ``mm`` or ``in``."""
    temperature_unit: str = "°C"
    """Unit in which temperatures are told: ``°C`` or ``°F``; it fills the blank ``{degrees}`` of any sentence."""

    def say(self, key: str, **blanks: object) -> str:
        """Return a sentence with its blanks filled; a missing key or blank is a fault of the program."""
        return self.wording[key].format(degrees=self.temperature_unit, **for_blanks(blanks))

    def count(self, key: str, number: int) -> str:
        """Return ``1 bar`` or ``3 bars``; what stands for none, where there are words for it."""
        if number == 0 and f"count.{key}_none" in self.wording:
            return self.say(f"count.{key}_none")
        return self.say(f"count.{key}_{'one' if number == 1 else 'many'}", n=number)

    def joined(self, parts: list[str]) -> str:
        """Return ``a, b and c``."""
        if len(parts) < 2:
            return "".join(parts)
        return self.say("page.and", first=", ".join(parts[:-1]), last=parts[-1])

    def number(self, value: float | None, decimals: int = 1, unit: str = "") -> str:
        """Return a number with its unit."""
        return self._signed(rounding.with_unit(rounding.number_text(value, decimals), unit))

    def end(self, value: float | None, decimals: int) -> str:
        """Return an end of an interval; one that lies at what is possible at least is a plain 0."""
        return self._signed(rounding.end_text(value, decimals))

    def _signed(self, text: str) -> str:
        return text.replace(".", self.decimal_sign)

    def length(self, value: float) -> str:
        """Return a length that is in the unit in which lengths are told, with it, to what a rule can show."""
        return self.number(value, LENGTH_DECIMALS[self.length_unit], self.length_unit)

    def degrees(self, celsius: float | None) -> float | None:
        """Return a temperature in the unit in which temperatures are told."""
        return None if celsius is None else units.degrees(celsius, self.temperature_unit)

    def temperature(self, celsius: float | None) -> str:
        """Return a temperature to whole degrees, with its unit."""
        return self.number(self.degrees(celsius), 0, self.temperature_unit)

    def piece(self) -> str:
        """Return the length of the piece on which a shrinkage is shown."""
        return self.plain(PIECE[self.length_unit], self.length_unit)

    def on_piece(self, share: float) -> str:
        """Return so much of that piece."""
        return self.length(PIECE[self.length_unit] * share)

    def reading(self, value: float, instrument: Instrument) -> str:
        """Return a step of an instrument, or what it may be off by, as a person types it."""
        unit = self.length_unit if instrument.name == "length" else instrument.unit
        return self.plain(float(f"{value / instrument.units[unit]:.4g}"), unit)

    def plain(self, value: float | None, unit: str = "") -> str:
        """Return a number as typed by a person: no more digits than it needs."""
        if value is None:
            return rounding.ABSENT
        return self._signed(rounding.with_unit(f"{value:.6g}".replace("-", rounding.MINUS), unit))

    def limit(self, result: QuantityResult) -> str:
        """Return what a mean is held against: ``2 %``, ``9 to 12.5 %``, ``at least 9 %``."""
        if result.lowest is None:
            return self.plain(result.limit, result.unit)
        lowest = self.plain(result.lowest, "" if result.limit is not None else result.unit)
        if result.limit is None:
            return self.say("page.at_least", low=lowest)
        return self.say("page.interval", low=lowest, high=self.plain(result.limit, result.unit))

    def interval(self, low: float | None, high: float | None, unit: str = "", otherwise: int = 1) -> str:
        """Return ``low to high unit``."""
        if low is None or high is None:
            return rounding.ABSENT
        decimals = rounding.decimals_for((high - low) / 2, otherwise=otherwise)
        return rounding.with_unit(self.between(low, high, decimals), unit)

    def between(self, low: float | None, high: float | None, decimals: int) -> str:
        """Return ``low to high`` to a given precision, to more digits where both would look the same."""
        if low is None or high is None:
            return rounding.ABSENT
        decimals = rounding.decimals_between(low, high, decimals)
        return self.say("page.interval", low=self.end(low, decimals), high=self.number(high, decimals))

    def uncertainty(self, value: float | None, decimals: int, unit: str = "") -> str:
        """Return an uncertainty with its unit, never understated."""
        return self._signed(rounding.with_unit(rounding.uncertainty_text(value, decimals), unit))

    def mean(self, result: QuantityResult | None, digits: int = 1) -> str:
        """Return ``value ± half-width unit`` of a mean in a sentence, rounded to what its interval allows."""
        if result is None:
            return rounding.ABSENT
        return self.mean_to(rounding.decimals_for(result.half_width, otherwise=digits), result, result.unit)

    def mean_to(self, decimals: int, result: QuantityResult | None, unit: str = "") -> str:
        """Return a mean with half its interval to a given precision, with both ends where they are uneven about it."""
        if result is None:
            return rounding.ABSENT
        if result.low == 0.0 or result.skew:
            ends = self.between(result.low, result.high, decimals)
            return rounding.with_unit(f"{self.number(result.mean, decimals)}{rounding.NO_BREAK}({ends})", unit)
        return self._signed(rounding.plus_minus_text(result.mean, result.half_width, decimals, unit))

    def means(self, results: Sequence[QuantityResult | None], digits: int = 1) -> list[str]:
        """Return the means of one column without their unit, each with half its interval, all to one precision."""
        decimals = mean_decimals(results, digits)
        return [self.mean_to(decimals, one) for one in results]

    def percent(self, fraction: float) -> str:
        """Return a fraction as whole per cent, or with the digits it needs: ``95 %``, ``99.5 %``."""
        return self.plain(round(100 * fraction, 4), "%")


def mean_decimals(results: Iterable[QuantityResult | None], digits: int = 1) -> int:
    """Return the decimals of a column of means of one quantity; ``digits`` where none has an interval."""
    return rounding.column_decimals([one.half_width for one in results if one is not None], otherwise=digits)


@dataclass(frozen=True)
class VerdictMark:
    """A verdict in words, with the shape that stands beside it."""

    words: str
    """The verdict."""
    shape: str
    """``yes``, ``no`` or ``open``: names the shape, so that colour is never needed."""


_SHAPES = {
    "meets": "yes",
    "same within tolerance": "yes",
    "does not meet": "no",
    "different": "no",
    "cannot tell yet": "open",
    "not tested": "open",
}


def verdict_mark(voice: Voice, verdict: Conformity | Verdict | None) -> VerdictMark | None:
    """Return the words and shape of a verdict."""
    return None if verdict is None else VerdictMark(voice.say(f"verdict.{_key(verdict)}"), _SHAPES[verdict])


def short_verdict_mark(voice: Voice, verdict: Conformity | Verdict | None) -> VerdictMark | None:
    """Return the same in few words, for tables whose heading says what it is about."""
    return None if verdict is None else VerdictMark(voice.say(f"verdict_short.{_key(verdict)}"), _SHAPES[verdict])


def _key(verdict: str) -> str:
    return verdict.replace(" ", "_")
