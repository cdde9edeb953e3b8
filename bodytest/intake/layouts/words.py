"""What the words of a heading mean together, by the vocabulary."""

import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

from bodytest.intake.layouts.meant import Meaning
from bodytest.intake.layouts.vocabulary import TableName, meanings, word_list
from bodytest.quantities import READINGS
from bodytest.units import TEMPERATURE_UNITS, canonical_unit, dimension_of

_TOKEN = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?|[%^#△⌀∅]")
_BETWEEN_MARKS = re.compile(r"(?<=\s)([a-z])\s*[-–]\s*([a-z])\s*$", re.IGNORECASE)
_LETTER = re.compile(r"(?:^|(?<=[\s(/_-]))(?:([A-D])(?=[\s)/_-]|$)|([a-d])\)?$)")
"""A letter alone, which names a mark beside a length: wet A, wet B."""
_SYMBOL = re.compile(r"^m(?=_?\d?[\s_(,:-])", re.IGNORECASE)
"""A letter before the words of a stage that says mass, with an index or without: M2 fired, m(wet)."""
_DRIED_AT = re.compile(r"(?:\bat\s+[4-9]\d|(?<![\w.,])[12]\d\d)\s*[°º]?\s*[CF]\b", re.IGNORECASE)
"""How hot a bar was dried, which is no unit: dry 110C, dried at 60 °C, L 110C."""
_UNCERTAINTY = re.compile(r"^u\s*\(", re.IGNORECASE)
_PERCENT = {"%", "percent", "pct", "percentage"}
_STAGES = tuple(dict.fromkeys(r.stage for r in READINGS))
_TABLES = (
    "stage", "stage_in_doubt", "stage_of_measured", "what", "column", "heat", "filler", "naming", "preposition",
    "passed_over", "firings_only", "quantity", "quantity_in_doubt", "of_quantity", "before", "mark_name",
)  # fmt: skip
_OF_QUANTITIES = frozenset({"quantity", "quantity_in_doubt", "of_quantity"})


@dataclass(frozen=True)
class _Sense:
    """One word or phrase of a heading: what it says in each table of the vocabulary."""

    text: str
    said: dict[str, tuple[str, ...]]


def known_words(text: str) -> str:
    """Return a text without the words that the vocabulary does not know.

    >>> known_words("mass, fired, after 5 h boiling and cooling, wiped")
    'mass fired after 5 h boiling and wiped'
    """
    unknown = set(unknown_words(text))
    return " ".join(word for word in tokens(text) if word not in unknown)


def without_drying_heat(text: str) -> str:
    """Return a heading whose temperature of drying says that a bar was dry.

    >>> without_drying_heat("L_110C_mm"), without_drying_heat("fired to 1060 C")
    ('L dry mm', 'fired to 1060 C')
    """
    spaced = text.replace("_", " ")
    return " ".join(_DRIED_AT.sub(" dry ", spaced).split()) if _DRIED_AT.search(spaced) else text


def tokens(text: str) -> tuple[str, ...]:
    """Return the words and numbers of a text.

    >>> tokens("Leather-hard L.H. 24h ^6")
    ('leather', 'hard', 'l', 'h', '24', 'h', '^', '6')
    """
    return tuple(_TOKEN.findall(unicodedata.normalize("NFKC", text).casefold().replace("_", " ")))


@cache
def phrases() -> dict[tuple[str, ...], dict[str, tuple[str, ...]]]:
    """Return what each word and phrase says in each table of the vocabulary."""
    found: dict[tuple[str, ...], dict[str, tuple[str, ...]]] = {}
    for table in _TABLES:
        for word, said in meanings(table).items():
            entries = dict.fromkeys(said, ()) if word == "words" else {word: said}
            for phrase, means in entries.items():
                found.setdefault(tokens(phrase), {})[table] = means
    return found


@cache
def _longest() -> dict[str, int]:
    """Return how many words the longest phrase has that begins with a word."""
    longest: dict[str, int] = {}
    for phrase in phrases():
        longest[phrase[0]] = max(len(phrase), longest.get(phrase[0], 1))
    return longest


def _senses(words: Sequence[str], without: frozenset[str]) -> Iterator[_Sense]:
    """Yield the longest phrases that the vocabulary knows; an unknown word says nothing."""
    place = 0
    while place < len(words):
        for length in range(min(_longest().get(words[place], 1), len(words) - place), 0, -1):
            known = phrases().get(tuple(words[place : place + length]), {})
            said = {table: means for table, means in known.items() if table not in without}
            if said or length == 1:
                yield _Sense(" ".join(words[place : place + length]), said)
                place += length
                break


def unknown_words(text: str) -> list[str]:
    """Return the words of a text that the vocabulary does not know."""
    return [s.text for s in _senses(tokens(text), frozenset()) if not s.said and not s.text[0].isdigit()]


def says_nothing(text: str) -> bool:
    """Tell whether the words of a remark mean nothing here.

    >>> says_nothing("where dug"), says_nothing("by caliper"), says_nothing("boiled")
    (True, True, False)
    """
    return all(s.said.keys() <= {"filler"} and not s.text[0].isdigit() for s in _senses(tokens(text), frozenset()))


def read_words(name: str, unit: str | None, table: TableName) -> Meaning:
    """Return what the words of a heading mean together.

    >>> read_words("weight after 24 h in cold water", "g", "bars").key, read_words("green length", None, "bars").may_be
    ('cold_soaked_mass', ('wet_length', 'dry_length'))
    """
    if (symbol := _SYMBOL.sub("mass ", name)) != name and (of_mass := read_words(symbol, unit, table)).key:
        return of_mass
    pair = _BETWEEN_MARKS.search(name)
    if pair and ord(pair[2].casefold()) == ord(pair[1].casefold()) + 1:
        whole = read_words(name[: pair.start()], unit, table)
        if whole.is_length:
            return replace(whole, mark=f"{pair[1]}-{pair[2]}".upper())
    words = tokens(name)
    if words[1:] and (words[-1] == "by" or _UNCERTAINTY.match(name)):  # who did it; u(L0)
        return Meaning(passed_over=True)
    if set(words) & _PERCENT or any(
        _OF_QUANTITIES - {"of_quantity"} & s.said.keys() for s in _senses(words, frozenset())
    ):
        return Meaning(unit=unit, quantities=_quantities(words), passed_over=True)
    return _of_one(name, unit, table)


def _of_one(name: str, unit: str | None, table: TableName) -> Meaning:
    """Return what the words of a heading mean that is no percentage and tells no pair of marks."""
    words = tokens(name)
    hidden = _OF_QUANTITIES if table == "firings" else _OF_QUANTITIES | {"firings_only"}
    senses = list(_without_durations(_senses(words, hidden)))
    senses, bar = _without_bar(senses) if table == "bars" else (senses, "")
    numbers = [s.text for s in senses if s.text.isdigit()]
    letters = [] if numbers or bar else [upper or lower.upper() for upper, lower in _LETTER.findall(name)]
    if len(letters) == 1 and (whole := read_words(_LETTER.sub(" ", name), unit, table)).is_length and not whole.mark:
        return replace(whole, mark=letters[0])
    if any(not s.said and not s.text.isdigit() for s in senses) or len(numbers) > 1:
        return Meaning()
    passed_over = any("passed_over" in s.said for s in senses)
    if passed_over and all(s.said.keys() & {"passed_over", "filler"} for s in senses):
        return Meaning(passed_over=True)
    found = _reading(senses, unit) if table == "bars" else None
    staged = any(s.said.keys() & {"stage", "stage_in_doubt"} for s in senses)
    others = {key for s in senses for key in s.said.get("column", ())} - {"mark"}
    if found is not None and (not (numbers or bar) or (staged and not others)):
        named = [s.text for s in senses if "mark_name" in s.said and staged]
        read = Meaning(found.key, unit, found.may_be, bar=bar)
        mark = (*numbers, *(named if read.is_length else ()), "")[0]
        return replace(read, mark=mark)
    return Meaning() if numbers or bar else _column(senses, unit, table)


def _without_bar(senses: "Sequence[_Sense]") -> "tuple[list[_Sense], str]":
    """Return what a heading says without the one bar that it names, ``bar 1`` or ``tile B``, and that."""
    for place, sense in enumerate(senses):
        if sense.said.get("column") == ("bar",):
            ends = (i for i, s in enumerate(senses) if i > place and "naming" not in s.said)
            end = next(ends, len(senses))
            if end < len(senses) and re.fullmatch(r"\d+|[a-f]", senses[end].text):
                return [*senses[:place], *senses[end + 1 :]], senses[end].text.upper()
    return list(senses), ""


def _without_durations(senses: Iterable[_Sense]) -> Iterator[_Sense]:
    """Pass over how long something took: 24 h, 2 nights."""
    for sense, after in pairwise((*senses, _Sense("", {}))):
        if not (sense.text[0].isdigit() and after.text in word_list("duration")):
            yield sense


def _quantities(words: Sequence[str]) -> tuple[str, ...]:
    """Return the quantities that percentages may be of: one where its words say it, none for unknown ones."""
    senses = list(_senses(words, frozenset()))
    nouns = [s.said[t] for s in senses for t in ("quantity", "quantity_in_doubt") if t in s.said]
    others = [s.said["of_quantity"] for s in senses if "of_quantity" in s.said]
    left = list(nouns[0]) if nouns else list(others.pop(0)) if others else []
    doubtful = not nouns or any("quantity_in_doubt" in s.said for s in senses)
    for other in others:
        left = [q for q in left if q in other] or left
    return tuple(left if doubtful else left[:1])


def _reading(senses: Sequence[_Sense], unit: str | None) -> Meaning | None:
    """Return the reading that is meant, or those that may be; None where no reading is meant."""
    kinds = {kind for s in senses for kind in s.said.get("what", ())}
    dimension = dimension_of(canonical_unit(unit)) if unit else None
    if dimension is not None:
        kinds.add(dimension.name)
    stages = list(_stages_told(senses, measured=bool(kinds)))
    if not kinds and not stages:
        return None
    if len(kinds) > 1 or (not (kinds and stages) and _names(senses, kinds, with_unit=dimension is not None)):
        return None
    return _reading_of(stages, kinds)


def _stages_told(senses: Sequence[_Sense], *, measured: bool) -> Iterator[tuple[tuple[str, ...], bool]]:
    """Yield the stages that each word may mean, and whether the first of them is meant; before one are those ahead."""
    before = False
    for sense in (s for s in senses if "filler" not in s.said):
        said = sense.said.get("stage", ()) or (sense.said.get("stage_of_measured", ()) if measured else ())
        if before and said:
            yield _STAGES[: min(map(_STAGES.index, said))], False
        elif said or "stage_in_doubt" in sense.said:
            yield said or sense.said["stage_in_doubt"], bool(said)
        before = "before" in sense.said


def _names(senses: Sequence[_Sense], kinds: Collection[str], *, with_unit: bool) -> bool:
    """Tell whether other words name a column that is no reading, as ``bar length`` and ``bar (mm)`` do not."""
    columns = {key for s in senses for key in s.said.get("column", ()) if "stage" not in s.said}
    columns -= {"mark", "bar"} if kinds else {"mark"}
    return bool(columns) and not with_unit


def _reading_of(stages: "Sequence[tuple[tuple[str, ...], bool]]", kinds: set[str]) -> Meaning:
    """Return the reading at the stage on which all words agree."""
    of_kind = [r for r in READINGS if r.dimension.staged and (not kinds or r.dimension.name in kinds)]
    left = [r.stage for r in of_kind] if not stages else list(stages[0][0])
    for said, _ in stages[1:]:
        left = [stage for stage in left if stage in said]
    if not left:  # words that contradict each other
        left = [stage for said, _ in stages for stage in said]
    elif meant := [said[0] for said, is_sure in stages if is_sure and said[0] in left]:
        left = meant[:1]
    keys = [r.key for stage in dict.fromkeys(left) for r in of_kind if r.stage == stage]
    return Meaning(keys[0]) if len(keys) == 1 else Meaning(may_be=tuple(keys))


def _column(senses: Sequence[_Sense], unit: str | None, table: TableName) -> Meaning:
    """Return the column that the last word names, or the last one before ``of`` or ``in``."""
    ends = [i for i, s in enumerate(senses) if "preposition" in s.said]
    head = senses[: ends[0]] if ends and _keys(senses[: ends[0]]) else senses
    keys = _keys(head)
    heats = [s.said["heat"] for s in senses if "heat" in s.said]
    is_temperature = canonical_unit(unit or "") in TEMPERATURE_UNITS
    if is_temperature and (not keys or keys[-1] not in ("set_temperature", "peak_temperature")):
        return Meaning("peak_temperature", unit)
    if keys:
        return Meaning(keys[-1], unit)
    if heats:
        return Meaning(may_be=heats[0], unit=unit)
    if any("naming" in s.said for s in senses):
        return Meaning({"bars": "bar", "firings": "firing", "pieces": "piece"}[table], unit)
    return Meaning()


def _keys(senses: Sequence[_Sense]) -> list[str]:
    return [key for s in senses for table in ("column", "firings_only") for key in s.said.get(table, ())]


def is_of_bar(text: str) -> bool:
    """Tell whether the words of a heading name a bar, and not only a code or number.

    >>> is_of_bar("bar_name"), is_of_bar("id")
    (True, False)
    """
    return any(sense.said.get("column") == ("bar",) for sense in _senses(tokens(text), frozenset()))


def is_of_mark(text: str) -> bool:
    """Tell whether the words of a heading name a mark.

    >>> is_of_mark("wet, line 1"), is_of_mark("wet 1")
    (True, False)
    """
    return any(sense.said.get("column") == ("mark",) for sense in _senses(tokens(text), frozenset()))


def is_of_soaking(text: str) -> bool:
    """Tell whether the words of a title name bars in water, or what they take up.

    >>> is_of_soaking("boiling test, May"), is_of_soaking("absorption"), is_of_soaking("Torvan, cone 6")
    (True, True, False)
    """
    wet = {"boiled", "cold-soaked", "absorption", "cold_absorption"}
    senses = _senses(tokens(text), frozenset({"of_quantity"}))
    return any(said[0] in wet for sense in senses for said in sense.said.values() if said)
