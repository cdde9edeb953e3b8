"""Pyrometric cones: how people write them, their order, and nominal temperatures; and firings called by a code or cone.

A cone measures heatwork, not temperature. The nominal temperatures serve only to place a firing that has a cone and
no temperature on a temperature axis, and are marked as nominal wherever they are shown.
"""

import re
from collections.abc import Mapping

from bodytest.names import same_name

CHART_RATES = (60, 150)
"""The rates of the chart's two columns, °C per hour in the last 100 °C; the slow one holds where no rate is stated."""
NOMINAL_SOURCE = (
    "Orton Ceramic Foundation, temperature equivalents chart, 2016, self-supporting cones (022–08 seen in the source,"
    " of these 021, 019, 017, 015 and 013 from memory; the others from a public transcription)"
)
NOMINAL_CELSIUS: dict[str, tuple[int, int]] = {
    "022": (586, 590), "021": (600, 617), "020": (626, 638), "019": (678, 695), "018": (715, 734),
    "017": (738, 763), "016": (772, 796), "015": (791, 818), "014": (807, 838), "013": (837, 861),
    "012": (861, 882), "011": (875, 894), "010": (903, 915), "09": (920, 930), "08": (942, 956),
    "07": (976, 987), "06": (998, 1013), "05½": (1015, 1025), "05": (1031, 1044), "04": (1063, 1077),
    "03": (1086, 1104), "02": (1102, 1122), "01": (1119, 1138), "1": (1137, 1154), "2": (1142, 1164),
    "3": (1152, 1170), "4": (1162, 1183), "5": (1186, 1207), "5½": (1203, 1225), "6": (1222, 1243),
    "7": (1239, 1257), "8": (1249, 1271), "9": (1260, 1280), "10": (1285, 1305), "11": (1294, 1315),
    "12": (1306, 1326), "13": (1331, 1348), "14": (1365, 1384),
}  # fmt: skip
"""Cone → °C at each of `CHART_RATES`, in the order of heatwork (dictionary order)."""

_WRITTEN = re.compile(
    r"^(?:(?:cones?|c|△|Δ|∆|\^)[\s.:#_-]*(?:no\b\.?\s*)?)?(0?\d{1,2})\s*(½|-?\s*1/2|\.5)?(?:\s*down)?$",
    re.IGNORECASE,
)
_SEGER = re.compile(r"^(?:(?:sk|seger)\b.*|sk\s*0?\d{1,2}\s*[ab]?|0?\d{1,2}\s*[ab])$", re.IGNORECASE)
CLUE_WORDS = r"(?:half|partly|bent|bending|flat|melted|standing|upright|up|soft|hard|tip\w*|touch\w*|o['’]?clock)"
"""What is said of a cone that is not simply down, as a pattern."""
_NUMBER = r"(?<![\d./-])0?\d{1,2}½?"
_JOINED = r"(?:[-–/+&,]|to|and|or|over)"
_CLUE = re.compile(rf"{_NUMBER}(?:\W*{CLUE_WORDS}\b|(?:\s*down)?\s*{_JOINED}\s*0?\d{{1,2}}\b)", re.IGNORECASE)


def parse_cone(text: str) -> str | None:
    """Return the cone as written on the chart, or None when the text is no cone.

    ``6`` and ``06`` are different cones: the leading zero is part of the number.

    >>> parse_cone("Δ6"), parse_cone("cone 06"), parse_cone("5-1/2"), parse_cone("10 down"), parse_cone("hot")
    ('6', '06', '5½', '10', None)
    """
    found = _WRITTEN.match(text.strip())
    if found is None:
        return None
    cone = found.group(1) + ("½" if found.group(2) else "")
    return cone if cone in NOMINAL_CELSIUS else None


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

    ``cones`` has the cone told beside each code, ``""`` where none is.

    >>> codes = {"Cone 6": "", "cone 06": "", "K7": "7"}
    >>> [firings_called(text, codes) for text in ("CONE 6", "06", "^7", "8")]
    [['Cone 6'], ['cone 06'], ['K7'], []]
    """
    return [code for code in cones if same_name(code, text)] or firings_of_cone(text, cones)


def firings_of_cone(text: str, cones: Mapping[str, str]) -> list[str]:
    """Return the firing codes that are a cone in another spelling, else those that have the cone told beside them.

    >>> firings_of_cone("c6", {"K1": "6", "K2": "6", "06": ""}), firings_of_cone("K1", {"K1": "6"})
    (['K1', 'K2'], [])
    """
    cone = parse_cone(text)
    called = [code for code in cones if cone and parse_cone(code) == cone]
    return called or [code for code, told in cones.items() if cone and told == cone]


def chart_rate(heating_rate: float | None) -> int:
    """Return the chart's column whose rate is nearer to a stated one as a ratio, °C per hour; the slow one for None.

    >>> chart_rate(None), chart_rate(80.0), chart_rate(100.0)
    (60, 60, 150)
    """
    slow, fast = CHART_RATES
    return fast if heating_rate is not None and heating_rate**2 > slow * fast else slow


def nominal_celsius(cone: str, heating_rate: float | None = None) -> float | None:
    """Return the chart's temperature of a cone, None where the chart has none; ``heating_rate`` is in °C per hour.

    Reference: `NOMINAL_SOURCE`.

    >>> nominal_celsius("6"), nominal_celsius("6", 140.0), nominal_celsius("06"), nominal_celsius("SK 6a")
    (1222.0, 1243.0, 998.0, None)
    """
    column = CHART_RATES.index(chart_rate(heating_rate))
    return float(NOMINAL_CELSIUS[cone][column]) if cone in NOMINAL_CELSIUS else None
