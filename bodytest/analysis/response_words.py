"""What the response to firing says, in sentences."""

from bodytest.analysis.safe_window import SafeWindow
from bodytest.responses import CrossingTemperature
from bodytest.rounding import number_text, with_unit
from bodytest.stats.firing_response import LevelMeans, ResponseCurve

Place = tuple[float, float]
"""Temperature [°C] and mean absorption [%]."""


NO_PLACE = "no temperature and no cone with a nominal one"
NO_READINGS = "not every reading that the other firings have"


def missing_sentence(firings: list[str], reason: str) -> str:
    """Name firings that are not on the curves and say why; nothing where there are none."""
    names = list(dict.fromkeys(firings))
    return f"Not on the curves: {', '.join(names)} ({reason})." if names else ""


def celsius_text(value: float) -> str:
    """Return a temperature to whole degrees."""
    return with_unit(number_text(value, 0), "°C")


def _percent_text(value: float) -> str:
    return with_unit(number_text(value, 1).removesuffix(".0"), "%")


def limit_note(curve: ResponseCurve, limit: float) -> str | None:
    """Say why no temperature is given for the limit, None where one is."""
    lowest = int(curve.fitted.argmin())
    if float(curve.fitted[0]) <= limit:
        return (
            f"not reached in the tested range: absorption is at or below {_percent_text(limit)} already at the coolest"
            f" firing, {celsius_text(float(curve.temperatures_c[0]))}"
        )
    if float(curve.fitted[lowest]) > limit:
        return (
            f"not reached in the tested range: absorption is lowest, {_percent_text(float(curve.fitted[lowest]))}, at"
            f" {celsius_text(float(curve.temperatures_c[lowest]))}"
        )
    return None


def peak_note(levels: LevelMeans, *, surely_turns: bool) -> str | None:
    """Say why no temperature is given for the densest state, or that the turn is not certain."""
    best, last = int(levels.means.argmax()), len(levels.means) - 1
    if best == last:
        hottest = celsius_text(float(levels.temperatures_c[last]))
        return f"not reached in the tested range: shrinkage is largest at the hottest firing, {hottest}"
    if best == 0:
        coolest = celsius_text(float(levels.temperatures_c[0]))
        return f"not in the tested range: shrinkage is largest at the coolest firing, {coolest}"
    return None if surely_turns else "but it is not certain that it turns: the hottest firing may shrink as much"


def summary_sentence(
    at_limit: CrossingTemperature | None,
    densest: CrossingTemperature | None,
    limit: float | None,
    ends: tuple[Place, Place] | None,
    shrinkage: str = "shrinkage",
) -> str:
    """Return the message, one clause for absorption and one for the kind of shrinkage that was measured."""
    clauses = [clause for clause in (_absorption(at_limit, limit, ends), _shrinkage(densest, shrinkage)) if clause]
    text = "; ".join(clauses)
    return f"{text[0].upper()}{text[1:]}."


def window_sentence(window: SafeWindow | None, limit: float | None) -> str:
    """Say from where to where firing is safe, or why that is not known and which firing would show more."""
    if window is None or limit is None:
        return ""
    if window.window is not None:
        low, high = window.window
        return f"Safe window: {number_text(low, 0)} to {celsius_text(high)}."
    if window.overfires_first:
        return "It overfires before it is tight."
    reasons = f"{_not_tight(window.from_c, limit)}, {_may_overfire(window.to_c)}"
    return f"No safe window is known yet: {reasons}. {_what_next(window)}"


def _not_tight(celsius: float | None, limit: float) -> str:
    if celsius is None:
        return f"absorption is not surely below {_percent_text(limit)} anywhere in the tested range"
    return f"absorption is surely below {_percent_text(limit)} only from {celsius_text(celsius)}"


def _may_overfire(celsius: float | None) -> str:
    if celsius is None:
        return "and shrinkage may turn anywhere"
    return f"and shrinkage may turn from {celsius_text(celsius)}"


def _what_next(window: SafeWindow) -> str:
    if window.test_next_c is None or window.between is None:
        return "Repeat these firings: another load at the same temperatures would show more."
    cool, hot = window.between
    between = f"between {number_text(cool, 0)} and {celsius_text(hot)}"
    return f"A firing at about {celsius_text(window.test_next_c)}, {between}, would show more."


def exact_sentence() -> str:
    """Say what the intervals leave out where no uncertainty of the temperature was stated."""
    return "This holds for exact temperatures only: state temperature ± for each firing."


def _absorption(
    at_limit: CrossingTemperature | None, limit: float | None, ends: tuple[Place, Place] | None
) -> str | None:
    if ends is None:
        return None
    if at_limit is None or limit is None:
        (cool, cool_value), (hot, hot_value) = ends
        return (
            f"absorption goes from {_percent_text(cool_value)} at {celsius_text(cool)} to {_percent_text(hot_value)}"
            f" at {celsius_text(hot)}, no limit is stated"
        )
    if at_limit.celsius is None:
        return f"the absorption limit of {_percent_text(limit)} is {at_limit.note}"
    return f"absorption falls to {_percent_text(limit)} at about {celsius_text(at_limit.celsius)}{_interval(at_limit)}"


def _shrinkage(densest: CrossingTemperature | None, name: str) -> str | None:
    if densest is None:
        return None
    if densest.celsius is None:
        return f"the peak of {name} is {densest.note}"
    doubt = f", {densest.note}" if densest.note else ""
    return f"{name} is largest at about {celsius_text(densest.celsius)}{_interval(densest)}{doubt}"


def _interval(crossing: CrossingTemperature) -> str:
    low, high = crossing.low, crossing.high
    if low is not None and high is not None:
        return f" ({number_text(low, 0)} to {celsius_text(high)})"
    if low is not None:
        return f" ({celsius_text(low)} or more)"
    if high is not None:
        return f" ({celsius_text(high)} or less)"
    return ""
