"""What the response to firing says, in sentences."""

from dataclasses import dataclass

from bodytest.analysis.safe_window import SafeWindow
from bodytest.responses import CrossingTemperature
from bodytest.rounding import number_text, with_unit
from bodytest.stats.firing_response import LevelMeans, ResponseCurve
from bodytest.units import degrees

Place = tuple[float, float]
"""Temperature [°C] and mean absorption [%]."""


NO_PLACE = "no temperature and no cone with a nominal one"
NO_READINGS = "not every reading that the other firings have"


def missing_sentence(firings: list[str], reason: str) -> str:
    """Name firings that are not on the curves and say why; nothing where there are none."""
    names = list(dict.fromkeys(firings))
    return f"Not on the curves: {', '.join(names)} ({reason})." if names else ""


def _percent_text(value: float) -> str:
    return with_unit(number_text(value, 1).removesuffix(".0"), "%")


def exact_sentence() -> str:
    """Say what the intervals leave out where no uncertainty of the temperature was stated."""
    return "This holds for exact temperatures only: state temperature ± for each firing."


@dataclass(frozen=True)
class ResponseWords:
    """What is said of temperatures, which are held in °C."""

    unit: str
    """Unit in which they are told, ``°C`` or ``°F``."""

    def degrees(self, celsius: float) -> str:
        """Return a temperature to whole degrees."""
        return with_unit(self._bare(celsius), self.unit)

    def _bare(self, celsius: float) -> str:
        return number_text(degrees(celsius, self.unit), 0)

    def limit_note(self, curve: ResponseCurve, limit: float) -> str | None:
        """Say why no temperature is given for the limit, None where one is."""
        lowest = int(curve.fitted.argmin())
        if float(curve.fitted[0]) <= limit:
            return (
                f"not reached in the tested range: absorption is at or below {_percent_text(limit)} already at the"
                f" coolest firing, {self.degrees(float(curve.temperatures_c[0]))}"
            )
        if float(curve.fitted[lowest]) > limit:
            return (
                f"not reached in the tested range: absorption is lowest, {_percent_text(float(curve.fitted[lowest]))},"
                f" at {self.degrees(float(curve.temperatures_c[lowest]))}"
            )
        return None

    def peak_note(self, levels: LevelMeans, *, surely_turns: bool) -> str | None:
        """Say why no temperature is given for the densest state, or that the turn is not certain."""
        best, last = int(levels.means.argmax()), len(levels.means) - 1
        if best == last:
            hottest = self.degrees(float(levels.temperatures_c[last]))
            return f"not reached in the tested range: shrinkage is largest at the hottest firing, {hottest}"
        if best == 0:
            coolest = self.degrees(float(levels.temperatures_c[0]))
            return f"not in the tested range: shrinkage is largest at the coolest firing, {coolest}"
        return None if surely_turns else "but it is not certain that it turns: the hottest firing may shrink as much"

    def summary_sentence(
        self,
        at_limit: CrossingTemperature | None,
        densest: CrossingTemperature | None,
        limit: float | None,
        ends: tuple[Place, Place] | None,
        shrinkage: str = "shrinkage",
    ) -> str:
        """Return the message, one clause for absorption and one for the kind of shrinkage that was measured."""
        clauses = self._absorption(at_limit, limit, ends), self._shrinkage(densest, shrinkage)
        text = "; ".join(filter(None, clauses))
        return f"{text[0].upper()}{text[1:]}."

    def window_sentence(self, window: SafeWindow | None, limit: float | None) -> str:
        """Say from where to where firing is safe, or why that is not known and which firing would show more."""
        if window is None or limit is None:
            return ""
        if window.window is not None:
            low, high = window.window
            return f"Safe window: {self._bare(low)} to {self.degrees(high)}."
        if window.overfires_first:
            return "It overfires before it is tight."
        reasons = f"{self._not_tight(window.from_c, limit)}, {self._may_overfire(window.to_c)}"
        return f"No safe window is known yet: {reasons}. {self._what_next(window)}"

    def _not_tight(self, celsius: float | None, limit: float) -> str:
        if celsius is None:
            return f"absorption is not surely below {_percent_text(limit)} anywhere in the tested range"
        return f"absorption is surely below {_percent_text(limit)} only from {self.degrees(celsius)}"

    def _may_overfire(self, celsius: float | None) -> str:
        if celsius is None:
            return "and shrinkage may turn anywhere"
        return f"and shrinkage may turn from {self.degrees(celsius)}"

    def _what_next(self, window: SafeWindow) -> str:
        if window.test_next_c is None or window.between is None:
            return "Repeat these firings: another load at the same temperatures would show more."
        cool, hot = window.between
        between = f"between {self._bare(cool)} and {self.degrees(hot)}"
        return f"A firing at about {self.degrees(window.test_next_c)}, {between}, would show more."

    def _absorption(
        self, at_limit: CrossingTemperature | None, limit: float | None, ends: tuple[Place, Place] | None
    ) -> str | None:
        if ends is None:
            return None
        if at_limit is None or limit is None:
            (cool, cool_value), (hot, hot_value) = ends
            return (
                f"absorption goes from {_percent_text(cool_value)} at {self.degrees(cool)}"
                f" to {_percent_text(hot_value)} at {self.degrees(hot)}, no limit is stated"
            )
        if at_limit.celsius is None:
            return f"the absorption limit of {_percent_text(limit)} is {at_limit.note}"
        about = f"{self.degrees(at_limit.celsius)}{self._interval(at_limit)}"
        return f"absorption falls to {_percent_text(limit)} at about {about}"

    def _shrinkage(self, densest: CrossingTemperature | None, name: str) -> str | None:
        if densest is None:
            return None
        if densest.celsius is None:
            return f"the peak of {name} is {densest.note}"
        doubt = f", {densest.note}" if densest.note else ""
        return f"{name} is largest at about {self.degrees(densest.celsius)}{self._interval(densest)}{doubt}"

    def _interval(self, crossing: CrossingTemperature) -> str:
        low, high = crossing.low, crossing.high
        if low is not None and high is not None:
            return f" ({self._bare(low)} to {self.degrees(high)})"
        if low is not None:
            return f" ({self.degrees(low)} or more)"
        if high is not None:
            return f" ({self.degrees(high)} or less)"
        return ""
