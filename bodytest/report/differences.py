"""How two bodies differ, each at the firing that answers for it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from bodytest.report.choosing import Compared
from bodytest.report.wording import VerdictMark, Voice, short_verdict_mark
from bodytest.results import QuantityResult, Results
from bodytest.rounding import decimals_for
from bodytest.shown import clipped
from bodytest.stats.mean_differences import LevelMean, MeanDifference, compare_means

_KEYS = ("total_shrinkage", "absorption")
_PIECE_MM = 200.0
_NAME_SIGNS = 48


@dataclass(frozen=True)
class Pair:
    """Two bodies and how they differ."""

    keys: tuple[str, str]
    """Keys of both for the script."""
    names: str
    """Both by name."""
    found: tuple[tuple[str, VerdictMark | None, str], ...]
    """For shrinkage and absorption: what the difference is, the verdict, and why none is possible yet."""


def body_differences(voice: Voice, results: Results, compared: Sequence[Compared]) -> tuple[Pair, ...]:
    """Return every two bodies with their differences; the intervals hold for all of them together.

    Parameters:
        voice: words and decimal sign.
        results: of the analysis.
        compared: the bodies.
    """
    tolerance = results.lab.shrinkage_tolerance_points
    judged = [
        _judged([one.measured(key) for one in compared], allowed, results.confidence)
        for key, allowed in zip(_KEYS, (tolerance, None), strict=True)
    ]
    pairs = []
    for pair in combinations(range(len(compared)), 2):
        names = [_name(compared[k]) for k in pair]
        told = tuple(
            _told(voice, key, found[pair], tolerance)
            if pair in found
            else (voice.say(f"differences.{key}_unknown"), None, _why_unknown(voice, key, [compared[k] for k in pair]))
            for key, found in zip(_KEYS, judged, strict=True)
        )
        together = voice.say("differences.pair", first=names[0], second=names[1])
        pairs.append(Pair((f"body-{pair[0]}", f"body-{pair[1]}"), together, told))
    return tuple(pairs)


def _name(one: Compared) -> str:
    return clipped(one.page.head.body, _NAME_SIGNS)


def _judged(
    figures: Sequence[QuantityResult | None], tolerance: float | None, confidence: float
) -> dict[tuple[int, int], MeanDifference]:
    """Return the differences of those that have an interval, by their positions."""
    known = {k: level for k, one in enumerate(figures) if (level := _level(one)) is not None}
    if len(known) < 2:
        return {}
    place = list(known)
    found = compare_means(list(known.values()), tolerance=tolerance, confidence=confidence)
    return {(place[one.first], place[one.second]): one for one in found}


def _level(one: QuantityResult | None) -> LevelMean | None:
    if one is None or one.mean is None or one.standard_uncertainty is None or not one.degrees_of_freedom:
        return None
    return LevelMean(one.mean, one.standard_uncertainty**2, one.degrees_of_freedom)


def _told(
    voice: Voice, key: str, found: MeanDifference, tolerance: float | None
) -> tuple[str, VerdictMark | None, str]:
    decimals = max(decimals_for((found.high - found.low) / 2), 1)
    low, high = (found.low, found.high) if found.difference >= 0 else (-found.high, -found.low)
    amount = voice.number(abs(found.difference), decimals)
    less = "less" if found.difference < 0 else "more"
    said = voice.say(
        f"differences.{key}_{less}",
        amount=amount,
        interval=voice.between(low, high, decimals),
        mm=voice.number(abs(found.difference) * _PIECE_MM / 100, 1, "mm"),
    )
    why = ""
    if found.verdict == "cannot tell yet":
        reason = "alike" if key == "absorption" else "no_tolerance" if tolerance is None else "tolerance"
        most = voice.number(max(abs(found.low), abs(found.high)), decimals)
        why = voice.say(f"differences.open_{reason}", most=most, tolerance=voice.plain(tolerance))
    return said, short_verdict_mark(voice, found.verdict), why


def _why_unknown(voice: Voice, key: str, two: Sequence[Compared]) -> str:
    missing = [_name(one) for one in two if one.measured(key) is None]
    if missing:
        return voice.say("differences.not_measured", bodies=voice.joined(missing))
    alone = [_name(one) for one in two if _level(one.measured(key)) is None]
    return voice.say("differences.no_interval", bodies=voice.joined(alone))
