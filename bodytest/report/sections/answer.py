"""The top of the page: the answer in one sentence and three figures."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bodytest.budget import Borrowed
from bodytest.report.body_part import Choice
from bodytest.report.tested import Tested, body_name, fired_words, is_fired
from bodytest.report.wording import VerdictMark, Voice, verdict_mark
from bodytest.results import PieceComparison, QuantityResult
from bodytest.rounding import MINUS, column_decimals, decimals_for
from bodytest.shown import clipped

_LONGEST_NAME = 80
"""Letters of a name in the answer; the heading and the tables have it whole."""
_STEP = 2
"""The step from one batch or load to so many makes the interval wider, since it then speaks of others too."""
_ANSWERING = ("total_shrinkage", "drying_shrinkage", "firing_shrinkage", "absorption")


@dataclass(frozen=True)
class Figure:
    """One of the three figures."""

    label: str
    """What it is."""
    value: str
    """The number, with its uncertainty and unit."""
    meaning: str
    """What it means in practice."""
    mark: VerdictMark | None = None
    """A verdict beside it."""
    known: bool = True
    """False where the value says that there is none yet."""


@dataclass(frozen=True)
class Answer:
    """What the page says first."""

    sentence: str
    """The answer."""
    figures: tuple[Figure, ...]
    """Size factor, total shrinkage, absorption."""
    footing: str
    """Which bars it rests on, and why these."""
    warnings: tuple[str, ...] = ()
    """Firings at which the body has begun to swell, and figures that may not hold what they claim."""
    limits: tuple[str, ...] = ()
    """Each limit that holds for these bars, and whether they keep it."""
    dimensions: tuple[str, ...] = ()
    """The factor of each dimension in which real pieces shrank otherwise than the bars."""
    caution: str = ""
    """What an absorption does not prove; "" without one."""


def answer(voice: Voice, choice: Choice, pieces: Sequence[PieceComparison], confidence: float) -> Answer:
    """Return the answer for a body from the group that answers for it."""
    group = choice.group
    factor = _no_factor(voice, "factor_doubted") if choice.doubt else _factor(voice, group)
    sentence = voice.say("answer.not_known", doubt=choice.doubt) if choice.doubt else _sentence(voice, group)
    figures = (factor, _shrinkage(voice, group), _absorption(voice, group))
    limits = tuple(one.sentence for one in choice.programme.verdicts) if choice.programme else ()
    doubts = [
        result.may_not_hold for key in _ANSWERING if (result := group.quantities.get(key)) and result.may_not_hold
    ]
    footing, dimensions = _footing(voice, choice, confidence), tuple(_dimensions(voice, choice, pieces))
    caution = voice.say("answer.caution") if "absorption" in group.quantities else ""
    return Answer(sentence, figures, footing, (*choice.overfired, *doubts), limits, dimensions, caution)


def _dimensions(voice: Voice, choice: Choice, pieces: Sequence[PieceComparison]) -> Iterator[str]:
    """Yield the factor of each dimension in which pieces of the answer's loads shrank otherwise than the bars."""
    loads = choice.programme.loads if choice.programme else ()
    for one in pieces:
        if one.differs and one.firing in loads and not choice.doubt:
            blanks = {"dimension": one.dimension, "pieces": voice.count("piece", one.pieces)}
            seen, bars = (voice.number(s, 1, "%") for s in (one.piece_shrinkage, one.predicted_shrinkage))
            factor = voice.number(one.corrected_factor, 3)
            yield voice.say("answer.dimension", **blanks, factor=factor, seen=seen, bars=bars)


def factor_text(voice: Voice, group: Tested) -> str:
    """Return the size factor, rounded to what its interval allows."""
    return voice.number(group.wet_size_factor, decimals_for(_factor_half(group), otherwise=3))


def factor_column(voice: Voice, some: Sequence[Tested]) -> list[str]:
    """Return the size factors of one column, all to one precision."""
    decimals = column_decimals([_factor_half(one) for one in some], otherwise=3)
    return [voice.number(one.wet_size_factor, decimals) for one in some]


def _factor_half(group: Tested) -> float | None:
    low, high = group.wet_size_factor_low, group.wet_size_factor_high
    return None if low is None or high is None else (high - low) / 2


def _sentence(voice: Voice, group: Tested) -> str:
    total = group.quantities.get("total_shrinkage")
    if total is None:
        return _unfired_sentence(voice, group)
    grows = total.mean is not None and total.mean < 0
    blanks = {
        "body": clipped(body_name(voice, group.body), _LONGEST_NAME),
        "factor": factor_text(voice, group),
        "fired": clipped(fired_words(voice, group), _LONGEST_NAME),
        "does": voice.say("answer.grows" if grows else "answer.shrinks_by"),
        "total": voice.mean(total).removeprefix(MINUS),
    }
    return voice.say("answer.fired", **blanks, absorption=_absorption_part(voice, group))


def _unfired_sentence(voice: Voice, group: Tested) -> str:
    body, drying = body_name(voice, group.body), group.quantities.get("drying_shrinkage")
    if drying is not None:
        return voice.say("answer.dried", body=body, bars=voice.count("bar", drying.n), drying=voice.mean(drying))
    fired, firing_shrinkage = fired_words(voice, group), group.quantities.get("firing_shrinkage")
    if firing_shrinkage is not None:
        absorption, shrinkage = _absorption_part(voice, group), voice.mean(firing_shrinkage)
        return voice.say("answer.shrinks", body=body, fired=fired, shrinkage=shrinkage, absorption=absorption)
    absorbed = group.quantities.get("absorption")
    if absorbed is not None:
        return voice.say("answer.takes_up", body=body, fired=fired, absorption=_absorption_words(voice, absorbed))
    return voice.say("answer.all_left_out" if all_left_out(group) else "answer.nothing", body=body, fired=fired)


def all_left_out(group: Tested) -> bool:
    """Say whether a group has bars, but none that counts."""
    return group.bars == 0 and group.left_out > 0


def _absorption_part(voice: Voice, group: Tested) -> str:
    absorbed = group.quantities.get("absorption")
    if absorbed is None:
        return voice.say("answer.no_absorption")
    return voice.say("answer.also", absorption=_absorption_words(voice, absorbed))


def _absorption_words(voice: Voice, absorbed: QuantityResult) -> str:
    if absorbed.decision is None:
        return voice.say("answer.absorbs", absorption=voice.mean(absorbed))
    key = f"answer.absorbs_{absorbed.decision.replace(' ', '_')}"
    return voice.say(key, absorption=voice.mean(absorbed), limit=voice.limit(absorbed))


def _factor(voice: Voice, group: Tested) -> Figure:
    label = voice.say("answer.factor_label")
    if group.wet_size_factor is None:
        return _no_factor(voice, "factor_absent")
    wet = voice.on_piece(group.wet_size_factor)
    meaning = voice.say("answer.factor_meaning", fired=voice.piece(), wet=wet)
    if group.wet_size_factor_low is not None:
        interval = voice.interval(group.wet_size_factor_low, group.wet_size_factor_high)
        meaning = voice.say("answer.factor_interval", interval=interval) + " " + meaning
    return Figure(label, "× " + factor_text(voice, group), meaning)


def _no_factor(voice: Voice, why: str) -> Figure:
    absent = voice.say("answer.absent")
    return Figure(voice.say("answer.factor_label"), absent, voice.say(f"answer.{why}"), known=False)


def _speaks_of(voice: Voice, choice: Choice) -> Iterator[str]:
    """Yield which batches and loads the answer speaks of, and why two of them are known less well than one."""
    one = choice.programme
    if one is None:
        return
    yield voice.say("answer.speaks_of", scope=one.speaks_of.words())
    few = [name for name, seen in (("batches", one.batches), ("loads", one.loads)) if len(seen) == _STEP]
    yield from (voice.say(f"answer.two_{name}") for name in few)


def _shrinkage(voice: Voice, group: Tested) -> Figure:
    total = group.quantities.get("total_shrinkage")
    if total is not None:
        return Figure(_label(voice, "total", total), voice.mean(total), _next_bar(voice, total))
    drying = group.quantities.get("drying_shrinkage")
    if drying is not None:
        return Figure(_label(voice, "drying", drying), voice.mean(drying), voice.say("answer.total_absent"))
    label = voice.say("answer.total_label")
    return Figure(label, voice.say("answer.absent"), voice.say("answer.total_absent"), known=False)


def _label(voice: Voice, name: str, result: QuantityResult) -> str:
    """Return what a figure is called, and that the sheet states it where no readings give it."""
    label = voice.say(f"answer.{name}_label")
    return voice.say("answer.as_stated", label=label) if result.stated else label


def _next_bar(voice: Voice, result: QuantityResult) -> str:
    if result.next_low is None:
        return result.why_no_interval or voice.say("answer.no_interval")
    words = voice.say("answer.next_bar", interval=voice.interval(result.next_low, result.next_high, result.unit))
    return " ".join([words, *([_borrowed(voice, result.borrowed, result.unit)] if result.borrowed else [])])


def _borrowed(voice: Voice, lent: Borrowed, unit: str) -> str:
    """Return the second interval, named as borrowed, with what it rests on."""
    kinds = {"batch": lent.batches, "load": lent.loads}
    return voice.say(
        "answer.borrowed",
        others=voice.joined([voice.say(f"answer.other_{name}") for name, number in kinds.items() if number]),
        source=voice.say(f"answer.from_{lent.from_.replace(' ', '_')}"),
        rests=voice.joined([voice.count(name, number) for name, number in kinds.items() if number]),
        mean=voice.interval(lent.low, lent.high, unit),
        next=voice.interval(lent.next_low, lent.next_high, unit),
    )


def _absorption(voice: Voice, group: Tested) -> Figure:
    absorbed = group.quantities.get("absorption")
    label = voice.say("answer.absorption_label")
    if absorbed is None:
        return Figure(label, voice.say("answer.absent"), voice.say("answer.absorption_absent"), known=False)
    return Figure(
        _label(voice, "absorption", absorbed),
        voice.mean(absorbed),
        _limit_words(voice, absorbed),
        verdict_mark(voice, absorbed.decision),
    )


def _limit_words(voice: Voice, absorbed: QuantityResult) -> str:
    if absorbed.decision is None:
        return voice.say("answer.no_limit")
    words = voice.say("answer.limit", limit=voice.limit(absorbed))
    further = further_words(voice, absorbed)
    if absorbed.decision == "cannot tell yet" and further:
        words += " " + voice.say("answer.further", bars=further)
    return words


def further_words(voice: Voice, result: QuantityResult) -> str:
    """Return ``6 further bars``, batches or loads that would settle a decision, ``""`` when not known."""
    further = {"batch": result.further_batches, "load": result.further_loads, "bar": result.further_bars}
    return next((voice.count(f"further_{name}", number) for name, number in further.items() if number), "")


def _footing(voice: Voice, choice: Choice, confidence: float) -> str:
    group = choice.group
    result = next((group.quantities[key] for key in _ANSWERING if key in group.quantities), None)
    if result is None:
        return voice.say("answer.why_left_out" if all_left_out(group) else "answer.why_unfired")
    direction = voice.say("answer.in_direction", direction=group.direction) if group.direction else ""
    loads = choice.programme.loads if choice.programme else ()
    counts = {"of_batches": voice.count("batch", len(group.batches)), "in_loads": voice.count("load", len(loads))}
    several = {"of_batches": len(group.batches) > 1, "in_loads": len(loads) > 1}
    seen = "".join(voice.say(f"answer.{name}", number=counts[name]) for name in counts if several[name])
    rests = voice.say("answer.rests_on", bars=voice.count("bar", result.n), seen=seen, direction=direction)
    sentences = [rests, *_speaks_of(voice, choice)]
    if result.stated:
        sentences.append(voice.say("answer.stated"))
    if result.half_width is not None:
        sentences.append(voice.say("answer.confidence", level=voice.percent(confidence)))
    without_sizes = choice.reason == "unfired" and is_fired(group)
    reason = "no_sizes" if without_sizes else choice.reason
    return " ".join([*sentences, voice.say(f"answer.why_{reason}")])
