"""Groups of one body fired at three or more temperatures → the response of shrinkage and absorption to firing."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from bodytest.analysis.response_words import (
    NO_PLACE,
    NO_READINGS,
    limit_note,
    missing_sentence,
    peak_note,
    summary_sentence,
)
from bodytest.results import CrossingTemperature, FiringResponse, Group, QuantityResult, Results
from bodytest.stats.firing_response import (
    LevelMeans,
    ReadTemperature,
    ResponseCurve,
    fit_response,
    temperature_at,
    temperature_of_peak,
)

FloatArray = npt.NDArray[np.float64]

_RISES = {"total_shrinkage": True, "absorption": False}
"""Quantities whose response is shown, and whether they rise up to the densest firing."""
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
        if group.firing and any(key in group.quantities for key in _RISES):
            series.setdefault((group.body, group.direction, group.absorption_method), []).append(group)
    responses = (_response(groups, results.confidence) for groups in series.values())
    return tuple(response for response in responses if response is not None)


def _celsius(group: Group) -> float | None:
    return group.peak_temperature_c if group.peak_temperature_c is not None else group.nominal_temperature_c


def _temperatures(groups: Iterable[Group], keys: Iterable[str]) -> list[float]:
    """Return the temperatures at which every one of the quantities was measured."""
    measured = [{_celsius(group) for group in groups if key in group.quantities} for key in keys]
    return sorted(celsius for celsius in set.intersection(*measured) if celsius is not None)


def _shown_together(groups: list[Group]) -> list[str]:
    """Return the quantities that share three temperatures, the first of them alone where they do not."""
    enough = [key for key in _RISES if len(_temperatures(groups, [key])) >= _LEAST_TEMPERATURES]
    if len(enough) > 1 and len(_temperatures(groups, enough)) < _LEAST_TEMPERATURES:
        return enough[:1]
    return enough


def _response(groups: list[Group], confidence: float) -> FiringResponse | None:
    keys = _shown_together(groups)
    if not keys:
        return None
    tested = _temperatures(groups, keys)
    used = [g for g in groups if _celsius(g) in tested and all(key in g.quantities for key in keys)]
    fitted = {key: _fit(used, tested, key, confidence) for key in keys}
    at_limit = _at_limit(used, fitted.get("absorption"))
    densest = _densest(fitted.get("total_shrinkage"), confidence)
    firing_range = _range_between(at_limit, densest)
    return FiringResponse(
        body=used[0].body,
        direction=used[0].direction,
        absorption_method=used[0].absorption_method,
        firings=tuple(group.firing for group in used),
        temperatures_c=tuple(float(_celsius(group) or 0.0) for group in used),
        nominal=tuple(group.peak_temperature_c is None for group in used),
        grid_c=tuple(float(t) for t in fitted[keys[0]].curve.temperatures_c[::_DRAWN]),
        curves={key: _drawn(one.curve.fitted) for key, one in fitted.items()},
        bands_low={key: _drawn(one.curve.low) for key, one in fitted.items() if one.has_scatter},
        bands_high={key: _drawn(one.curve.high) for key, one in fitted.items() if one.has_scatter},
        at_limit=at_limit,
        densest=densest,
        firing_range=firing_range,
        summary=summary_sentence(at_limit, densest, _limit(used), _ends(fitted.get("absorption")))
        + _missing(groups, used),
    )


def _missing(groups: list[Group], used: list[Group]) -> str:
    """Name the firings that are not on the curves, nothing where all are."""
    unplaced = [group.firing for group in groups if _celsius(group) is None]
    unread = [group.firing for group in groups if _celsius(group) is not None and group not in used]
    return "".join(
        f" {sentence}"
        for sentence in (missing_sentence(unplaced, NO_PLACE), missing_sentence(unread, NO_READINGS))
        if sentence
    )


def _drawn(curve: FloatArray) -> tuple[float, ...]:
    return tuple(float(value) for value in curve[::_DRAWN])


def _fit(groups: list[Group], tested: list[float], key: str, confidence: float) -> _Fitted:
    """Fit one quantity; firings at one temperature are put together."""
    pooled_sd, pooled_freedom = _pooled_scatter([group.quantities[key] for group in groups])
    levels = []
    for celsius in tested:
        here = [group.quantities[key] for group in groups if _celsius(group) == celsius]
        levels.append(_put_together(here, pooled_sd, pooled_freedom))
    means, uncertainties, freedoms, bars = (np.array(column, dtype=np.float64) for column in zip(*levels, strict=True))
    level_means = LevelMeans(np.array(tested), means, uncertainties, freedoms, bars, _covariances(groups, tested, key))
    curve = fit_response(level_means, rises=_RISES[key], confidence=confidence)
    return _Fitted(level_means, curve, has_scatter=pooled_freedom > 0)


def _covariances(groups: list[Group], tested: list[float], key: str) -> FloatArray | None:
    """Return how the means of two temperatures vary together over the batches fired at both, None with one batch."""
    if all(group.quantities[key].batch_sd is None for group in groups):
        return None
    found = np.full((len(tested), len(tested)), np.nan)
    by_batch = [_batch_means([group for group in groups if _celsius(group) == celsius], key) for celsius in tested]
    for first, second in combinations(range(len(tested)), 2):
        one, other = by_batch[first], by_batch[second]
        if one and one.keys() == other.keys():
            pairs = np.array([[one[batch], other[batch]] for batch in one])
            found[first, second] = found[second, first] = np.cov(pairs.T)[0, 1] / len(pairs)
    return found


def _batch_means(groups: list[Group], key: str) -> dict[str, float]:
    """Return the mean of each batch at one temperature, nothing where several firings or one batch stand there."""
    if len(groups) != 1 or len(groups[0].by_batch) < 2:
        return {}
    measured = {batch.batch: batch.quantities[key].mean for batch in groups[0].by_batch if key in batch.quantities}
    return {batch: mean for batch, mean in measured.items() if mean is not None}


def _pooled_scatter(found: list[QuantityResult]) -> tuple[float, float]:
    """Return the standard deviation of one bar over all temperatures, for those with one bar alone."""
    known = [(one.n - 1, one.sd) for one in found if one.sd is not None and one.n > 1]
    freedom = sum(part for part, _ in known)
    return (math.sqrt(sum(part * sd**2 for part, sd in known) / freedom), freedom) if freedom else (0.0, 0)


def _put_together(
    found: list[QuantityResult], pooled_sd: float, pooled_freedom: float
) -> tuple[float, float, float, float]:
    """Return mean, standard uncertainty, degrees of freedom and number of bars of all firings at one temperature."""
    bars = sum(one.n for one in found)
    variance = fourth = 0.0
    for one in found:
        uncertainty = one.standard_uncertainty
        freedom = one.degrees_of_freedom
        if uncertainty is None or freedom is None:
            uncertainty, freedom = pooled_sd / math.sqrt(one.n), max(pooled_freedom, 1.0)
        part = (one.n / bars * uncertainty) ** 2
        variance += part
        fourth += part**2 / freedom
    mean = sum(one.n * (one.mean or 0.0) for one in found) / bars
    return mean, math.sqrt(variance), variance**2 / fourth if fourth > 0.0 else 1.0, float(bars)


def _limit(groups: list[Group]) -> float | None:
    """Return the lowest limit on absorption that is stated for the groups."""
    stated = [group.quantities["absorption"].limit for group in groups if "absorption" in group.quantities]
    return min((limit for limit in stated if limit is not None), default=None)


def _at_limit(groups: list[Group], absorption: _Fitted | None) -> CrossingTemperature | None:
    limit = _limit(groups)
    if absorption is None or limit is None:
        return None
    return _crossing(absorption, temperature_at(absorption.curve, limit), limit_note(absorption.curve, limit))


def _densest(shrinkage: _Fitted | None, confidence: float) -> CrossingTemperature | None:
    if shrinkage is None:
        return None
    reading = temperature_of_peak(shrinkage.levels, confidence=confidence)
    turns = bool(np.isfinite(reading.high))
    return _crossing(shrinkage, reading, peak_note(shrinkage.levels, surely_turns=turns and shrinkage.has_scatter))


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
