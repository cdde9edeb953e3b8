"""Pyrometric cones: how people write them, their order, and nominal temperatures; and firings called by a code or cone.

A cone measures heatwork, not temperature. The nominal temperatures serve only to place a firing that has a cone and
no temperature on a temperature axis, and are marked as nominal wherever they are shown.
"""

import re
from collections.abc import Mapping

NOMINAL_SOURCE = (
    "Orton Ceramic Foundation, temperature equivalents chart, 2016, self-supporting cones, 60 °C per hour"
    " (022–08 seen in the source, the others from a public transcription)"
)
NOMINAL_CELSIUS: dict[str, int] = {
    "022": 586, "020": 626, "018": 715, "016": 772, "014": 807, "012": 861, "011": 875, "010": 903, "09": 920,
    "08": 942, "07": 976, "06": 998, "05½": 1015, "05": 1031, "04": 1063, "03": 1086, "02": 1102, "01": 1119,
    "1": 1137, "2": 1142, "3": 1152, "4": 1162, "5": 1186, "5½": 1203, "6": 1222, "7": 1239, "8": 1249, "9": 1260,
    "10": 1285, "11": 1294, "12": 1306, "13": 1331, "14": 1365,
}  # fmt: skip
"""Cone → °C at 60 °C per hour, in the order of heatwork (dictionary order)."""

_WRITTEN = re.compile(r"^(?:(?:cones?|c|△|Δ|∆|\^)[\s.:#_-]*(?:no\b\.?\s*)?)?(0?\d{1,2})\s*(½|1/2|\.5)?$", re.IGNORECASE)
_NUMBERS_WITHOUT_CHART_ENTRY = {"021", "019", "017", "015", "013"}
_SEGER = re.compile(r"^(?:(?:sk|seger)\b.*|sk\s*0?\d{1,2}\s*[ab]?|0?\d{1,2}\s*[ab])$", re.IGNORECASE)
CLUE_WORDS = r"(?:half|partly|bent|bending|down|flat|melted|standing|upright|up|soft|hard|tip\w*|touch\w*|o['’]?clock)"
"""What is said of a cone after the firing, as a pattern."""
_NUMBER = r"(?<![\d./-])0?\d{1,2}½?"
_JOINED = r"(?:[-–/+&,]|to|and|or|over)"
_CLUE = re.compile(rf"{_NUMBER}(?:\W*{CLUE_WORDS}\b|\s*{_JOINED}\s*0?\d{{1,2}}\b)", re.IGNORECASE)


def parse_cone(text: str) -> str | None:
    """Return the cone as written on the chart, or None when the text is no cone.

    ``6`` and ``06`` are different cones: the leading zero is part of the number.

    >>> parse_cone("Δ6"), parse_cone("cone 06"), parse_cone("5 1/2"), parse_cone("hot")
    ('6', '06', '5½', None)
    """
    found = _WRITTEN.match(text.strip())
    if found is None:
        return None
    cone = found.group(1) + ("½" if found.group(2) else "")
    return cone if cone in NOMINAL_CELSIUS or cone in _NUMBERS_WITHOUT_CHART_ENTRY else None


def is_seger_cone(text: str) -> bool:
    """Say whether a text names a Seger cone, a series of its own that is never read as the one of the chart.

    >>> is_seger_cone("SK 6a"), is_seger_cone("Seger 8"), is_seger_cone("6")
    (True, True, False)
    """
    return bool(_SEGER.match(text.strip()))


def is_cone_clue(text: str) -> bool:
    """Say whether a text tells how cones stood after the firing, or names several, so that no single one is meant.

    >>> is_cone_clue("6 bent, 7 standing"), is_cone_clue("6-7"), is_cone_clue("6 or so")
    (True, True, False)
    """
    return bool(_CLUE.search(text))


def firings_called(text: str, cones: Mapping[str, str]) -> list[str]:
    """Return the firing codes that a text means: those alike but for capitals and spaces, else those of its cone.

    Parameters:
        text: a code, or a cone in any usual spelling.
        cones: code → the cone told beside it, ``""`` where none is.

    >>> codes = {"Cone 6": "", "cone 06": "", "K7": "7"}
    >>> [firings_called(text, codes) for text in ("CONE 6", "06", "^7", "8")]
    [['Cone 6'], ['cone 06'], ['K7'], []]
    """
    return [code for code in cones if folded(code) == folded(text)] or firings_of_cone(text, cones)


def firings_of_cone(text: str, cones: Mapping[str, str]) -> list[str]:
    """Return the firing codes that are a cone in another spelling, else those that have the cone told beside them.

    >>> firings_of_cone("c6", {"K1": "6", "K2": "6", "06": ""}), firings_of_cone("K1", {"K1": "6"})
    (['K1', 'K2'], [])
    """
    cone = parse_cone(text)
    called = [code for code in cones if cone and parse_cone(code) == cone]
    return called or [code for code, told in cones.items() if cone and told == cone]


def folded(name: str) -> str:
    """Return a name without what two spellings of it may differ in: capitals and spaces.

    >>> folded(" Cone  6")
    'cone6'
    """
    return "".join(name.casefold().split())


def nominal_celsius(cone: str) -> float | None:
    """Return the chart's temperature of a cone at 60 °C per hour, None where the chart has none.

    Reference: `NOMINAL_SOURCE`.

    >>> nominal_celsius("6"), nominal_celsius("06")
    (1222.0, 998.0)
    """
    value = NOMINAL_CELSIUS.get(cone)
    return None if value is None else float(value)
