"""Groups of one body fired at three or more temperatures → the response of shrinkage and absorption to firing."""

from dataclasses import dataclass, replace

import numpy as np

from bodytest.analysis.response_levels import (
    Level,
    celsius_of,
    level_means,
    levels_of,
    pooled_scatter,
    with_wrong_temperatures,
)
from bodytest.analysis.response_words import (
    NO_PLACE,
    NO_READINGS,
    ResponseWords,
    exact_sentence,
    missing_sentence,
)
from bodytest.analysis.safe_window import SafeWindow, safe_window
from bodytest.analysis.specifications import LIMITED_QUANTITY, specifications_for, window_of_mean
from bodytest.responses import CrossingTemperature, FiringResponse
from bodytest.results import Group, Programme, Results
from bodytest.stats.design import FloatArray
from bodytest.stats.firing_response import LevelMeans, ReadTemperature, ResponseCurve, fit_response, temperature_at
from bodytest.stats.response_peak import temperature_of_peak

_SHRINKAGES = ("total_shrinkage", "firing_shrinkage")
"""The second serves where wet lengths were not measured."""
_KEYS = (*_SHRINKAGES, "absorption")
_LEAST_TEMPERATURES = 3
_DRAWN = 5
"""Every how many-th computed temperature is kept for drawing."""


@dataclass(frozen=True)
class _Fitted:
    """One quantity against temperature."""

    levels: LevelMeans
    curve: ResponseCurve
    has_scatter: bool
    """False where no temperature has two bars, so that nothing is known of the scatter."""


def firing_responses(results: Results) -> tuple[FiringResponse, ...]:
    """Return the response of each body, direction and absorption method that was fired at three temperatures or more.

    Parameters:
        results: groups with their means; a firing that has a cone and no temperature stands at the cone's nominal one.
    """
    series: dict[tuple[str, str, str | None], list[Group]] = {}
    for group in results.groups:
        if group.firing and any(key in group.quantities for key in _KEYS):
            series.setdefault((group.body, group.direction, group.absorption_method), []).append(
                _with_final_limit(group, results)
            )
    words = ResponseWords(results.temperature_unit)
    responses = (_response(groups, results, words) for groups in series.values())
    return tuple(response for response in responses if response is not None)


def _measured(groups: list[Group], programmes: tuple[Programme, ...], keys: tuple[str, ...]) -> list[Level]:
    """Return the levels at which every one of the quantities was measured."""
    return levels_of((group for group in groups if all(key in group.quantities for key in keys)), programmes)


def _shown_together(groups: list[Group], programmes: tuple[Programme, ...]) -> tuple[str, ...]:
    """Return the quantities that share three temperatures, the first of them alone where they do not."""

    def count(*keys: str) -> int:
        return len(_measured(groups, programmes, keys))

    shrinkage = max(_SHRINKAGES, key=count)
    enough = tuple(key for key in (shrinkage, "absorption") if count(key) >= _LEAST_TEMPERATURES)
    return enough if count(*enough) >= _LEAST_TEMPERATURES else enough[:1]


def _response(groups: list[Group], results: Results, words: ResponseWords) -> FiringResponse | None:
    keys = _shown_together(groups, results.programmes)
    if not keys:
        return None
    levels = _measured(groups, results.programmes, keys)
    used = [load for level in levels for load in level.loads]
    by_key, exact = with_wrong_temperatures(levels, {key: level_means(levels, key) for key in keys})
    fitted = {key: _fit(levels, one, key, results.confidence) for key, one in by_key.items()}
    shrinkage = keys[0] if keys[0] in _SHRINKAGES else None
    at_limit = _at_limit(used, fitted.get("absorption"), words)
    densest = _densest(fitted[shrinkage], results.confidence, words) if shrinkage else None
    safe = safe_window(at_limit, densest, by_key[keys[0]])
    window = safe or SafeWindow()
    return FiringResponse(
        body=used[0].body,
        direction=used[0].direction,
        absorption_method=used[0].absorption_method,
        firings=tuple(group.firing for group in used),
        temperatures_c=tuple(float(celsius_of(group) or 0.0) for group in used),
        nominal=tuple(group.peak_temperature_c is None for group in used),
        grid_c=_drawn(fitted[keys[0]].curve.temperatures_c),
        curves={key: _drawn(one.curve.fitted) for key, one in fitted.items()},
        bands_low={key: _drawn(_low(key, one.curve)) for key, one in fitted.items() if one.has_scatter},
        bands_high={key: _drawn(one.curve.high) for key, one in fitted.items() if one.has_scatter},
        at_limit=at_limit,
        densest=densest,
        firing_range=_range_between(at_limit, densest),
        summary=" ".join(_sentences(groups, used, fitted, (at_limit, densest, safe), words, exact=exact)),
        safe_window=window.window,
        test_next_c=window.test_next_c,
        exact_temperatures_only=exact,
        shrinkage_quantity=shrinkage,
    )


_Read = tuple[CrossingTemperature | None, CrossingTemperature | None, SafeWindow | None]
"""What is read off the curves: where it is tight, where densest, and what lies between."""


def _sentences(
    groups: list[Group],
    used: list[Group],
    fitted: dict[str, _Fitted],
    read: _Read,
    words: ResponseWords,
    *,
    exact: bool,
) -> list[str]:
    """Return what the response says, and which firings are not on its curves."""
    (at_limit, densest, safe), limit = read, _limit(used)
    shrinkage = "firing shrinkage" if "firing_shrinkage" in fitted else "shrinkage"
    unplaced = [group.firing for group in groups if celsius_of(group) is None]
    unread = [group.firing for group in groups if celsius_of(group) is not None and group not in used]
    said = (
        words.summary_sentence(at_limit, densest, limit, _ends(fitted.get("absorption")), shrinkage),
        words.window_sentence(safe, limit),
        exact_sentence() if exact else "",
        missing_sentence(unplaced, NO_PLACE),
        missing_sentence(unread, NO_READINGS),
    )
    return [sentence for sentence in said if sentence]


def _low(key: str, curve: ResponseCurve) -> FloatArray:
    """Return the lower edge of a band: no body soaks up less than nothing, but its readings may say so."""
    return curve.low if key in _SHRINKAGES else np.maximum(curve.low, np.minimum(curve.fitted, 0.0))


def _drawn(curve: FloatArray) -> tuple[float, ...]:
    return tuple(float(value) for value in curve[::_DRAWN])


def _fit(levels: list[Level], means: LevelMeans, key: str, confidence: float) -> _Fitted:
    _, freedom = pooled_scatter(one.quantities[key] for level in levels for one in level.programmes)
    curve = fit_response(means, rises=key in _SHRINKAGES, confidence=confidence)
    return _Fitted(means, curve, has_scatter=freedom > 0)


def _limit(groups: list[Group]) -> float | None:
    """Return the lowest limit on absorption that is stated for the groups."""
    stated = [group.quantities["absorption"].limit for group in groups if "absorption" in group.quantities]
    return min((limit for limit in stated if limit is not None), default=None)


def _with_final_limit(group: Group, results: Results) -> Group:
    """Return a group with the limit on the mean absorption of final firings, which trials at other heats look for."""
    absorbed = group.quantities.get(LIMITED_QUANTITY)
    if absorbed is None or absorbed.limit is not None:
        return group
    _, limit = window_of_mean(specifications_for(group.body, "final", results.specifications, results.lab))
    return replace(group, quantities={**group.quantities, LIMITED_QUANTITY: replace(absorbed, limit=limit)})


def _at_limit(groups: list[Group], absorption: _Fitted | None, words: ResponseWords) -> CrossingTemperature | None:
    limit = _limit(groups)
    if absorption is None or limit is None:
        return None
    return _crossing(absorption, temperature_at(absorption.curve, limit), words.limit_note(absorption.curve, limit))


def _densest(shrinkage: _Fitted, confidence: float, words: ResponseWords) -> CrossingTemperature:
    reading = temperature_of_peak(shrinkage.levels, confidence=confidence)
    turns = bool(np.isfinite(reading.high))
    note = words.peak_note(shrinkage.levels, surely_turns=turns and shrinkage.has_scatter)
    return _crossing(shrinkage, reading, note)


def _crossing(fitted: _Fitted, reading: ReadTemperature, note: str | None) -> CrossingTemperature:
    low, high = (_finite(end) if fitted.has_scatter else None for end in (reading.low, reading.high))
    return CrossingTemperature(_finite(reading.celsius), low, high, note)


def _finite(value: FloatArray) -> float | None:
    return float(value) if np.isfinite(value) else None


def _range_between(
    at_limit: CrossingTemperature | None, densest: CrossingTemperature | None
) -> tuple[float, float] | None:
    """Return the range from tight to densest, None when either was not reached or it overfires before it is tight."""
    if at_limit is None or densest is None or at_limit.celsius is None or densest.celsius is None:
        return None
    return (at_limit.celsius, densest.celsius) if at_limit.celsius < densest.celsius else None


def _ends(absorption: _Fitted | None) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Return temperature and mean absorption of the coolest and the hottest firing."""
    if absorption is None:
        return None
    levels = absorption.levels
    first, last = ((float(levels.temperatures_c[k]), float(levels.means[k])) for k in (0, -1))
    return first, last
