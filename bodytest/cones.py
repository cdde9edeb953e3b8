"""Pyrometric cones: how people write them, their order, and nominal temperatures.

A cone measures heatwork, not temperature. The nominal temperatures serve only to place a firing that has a cone and
no temperature on a temperature axis, and are marked as nominal wherever they are shown.
"""

import re

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

_WRITTEN = re.compile(r"^(?:cone|c|△|Δ|∆|\^)?\s*\.?\s*(0?\d{1,2})\s*(½|1/2|\.5)?$", re.IGNORECASE)
_NUMBERS_WITHOUT_CHART_ENTRY = {"021", "019", "017", "015", "013"}


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


def nominal_celsius(cone: str) -> float | None:
    """Return the chart's temperature of a cone at 60 °C per hour, None where the chart has none.

    Reference: `NOMINAL_SOURCE`.

    >>> nominal_celsius("6"), nominal_celsius("06")
    (1222.0, 998.0)
    """
    value = NOMINAL_CELSIUS.get(cone)
    return None if value is None else float(value)
