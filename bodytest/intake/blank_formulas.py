"""Formulas of the live columns and the rules that colour impossible values."""

from collections.abc import Mapping
from dataclasses import dataclass

FIRINGS_RANGE = "Firings!$A$4:$A$63"
"""The codes on the Firings sheet, for drop-down lists and for the question about an unknown one."""
_SHRINKAGES = {
    "drying shrinkage": ("wet length", "dry length"),
    "firing shrinkage": ("dry length", "fired length"),
    "total shrinkage": ("wet length", "fired length"),
}
LARGEST_SHRINKAGE = {"drying shrinkage": 15, "firing shrinkage": 18, "total shrinkage": 25}
"""Soft limits in per cent, those of the table of quantities."""
LARGEST_ABSORPTION = 30
"""Soft limit in per cent, that of the table of quantities."""


@dataclass(frozen=True)
class BarRows:
    """The rows of one bar: one, or one for each mark."""

    first: int
    """Spreadsheet row of its first mark; masses and live results stand there."""
    last: int
    """Spreadsheet row of its last mark."""


def live_formula(name: str, letters: Mapping[str, str], rows: BarRows) -> str | None:
    """Return the formula of one live column for one bar, None when the sheet lacks a column that it needs."""
    if name == "absorption":
        return _percent_gain(letters, "fired mass", "boiled mass", rows)
    initial, final = _SHRINKAGES[name]
    return _shrinkage(letters, initial, final, rows)


def look_again_formula(letters: Mapping[str, str], readings: tuple[str, ...], row: int) -> str:
    """Return the formula that says in words what is impossible or odd in one row."""
    span = f"{letters[readings[0]]}{row}:{letters[readings[-1]]}{row}" if readings else ""
    parts = [
        f'IF(SUMPRODUCT(ISERROR({span})*1)>0,"A cell holds an error. ","")',
        f'IF(SUMPRODUCT(ISTEXT({span})*1)>0,"A reading is not a number. ","")',
        f'IF(COUNTIF({span},"<=0")>0,"A reading is zero or negative. ","")',
    ]
    for later, earlier, words in _ORDERS:
        if later in letters and earlier in letters:
            parts.append(_phrase(letters, later, earlier, words, row))
    if "wet length" in letters and "fired length" in letters:
        wet, fired = f"{letters['wet length']}{row}", f"{letters['fired length']}{row}"
        limit = LARGEST_SHRINKAGE["total shrinkage"]
        parts.append(
            f'IF(COUNT({wet},{fired})<2,"",IF({fired}<{wet}*{1 - limit / 100},"Shrinks more than {limit} %. ",""))'
        )
    firing = f"{letters['firing']}{row}"
    unknown = f'IF(SUMPRODUCT(({FIRINGS_RANGE}={firing})*1)=0,"This firing is not on the Firings sheet. ","")'
    parts.append(f'IF({firing}="","",{unknown})')
    return "=" + "&".join(parts)


_ORDERS = (
    ("dry length", "wet length", "Dry is longer than wet. "),
    ("leather-hard length", "wet length", "Leather-hard is longer than wet. "),
    ("fired length", "dry length", "Fired is longer than dry. "),
    ("dry mass", "wet mass", "Dry is heavier than wet. "),
    ("fired mass", "dry mass", "Fired is heavier than dry. "),
    ("suspended mass", "fired mass", "Suspended is not lighter than fired. "),
    ("fired mass", "boiled mass", "Boiled is lighter than fired. "),
    ("fired mass", "cold-soaked mass", "Cold-soaked is lighter than fired. "),
)
"""The first must not exceed the second; a dense body may gain nothing, so the last two allow a thousandth."""


def excess_condition(larger: str, smaller: str) -> str:
    """Return a rule that is true when both cells hold numbers and the one that should be larger is not.

    >>> excess_condition("H4", "J4")
    'AND(COUNT(H4,J4)=2,J4>H4)'
    """
    return f"AND(COUNT({larger},{smaller})=2,{smaller}>{larger})"


def impossible_pairs(letters: Mapping[str, str]) -> tuple[tuple[str, str, str], ...]:
    """Return (heading to colour, heading that must not exceed, heading that it must not exceed) for each rule."""
    coloured = {
        "Boiled is lighter than fired. ": "boiled mass",
        "Cold-soaked is lighter than fired. ": "cold-soaked mass",
    }
    return tuple(
        (coloured.get(words, later), later, earlier)
        for later, earlier, words in _ORDERS
        if later in letters and earlier in letters
    )


def _phrase(letters: Mapping[str, str], later: str, earlier: str, words: str, row: int) -> str:
    after, before = f"{letters[later]}{row}", f"{letters[earlier]}{row}"
    slack = "*1.001" if earlier in {"boiled mass", "cold-soaked mass"} else ""
    sign = ">=" if later == "suspended mass" else ">"
    return f'IF(COUNT({before},{after})<2,"",IF({after}{sign}{before}{slack},"{words}",""))'


def _percent_gain(letters: Mapping[str, str], initial: str, final: str, rows: BarRows) -> str | None:
    if initial not in letters or final not in letters:
        return None
    before, after = f"{letters[initial]}{rows.first}", f"{letters[final]}{rows.first}"
    return f'=IF(COUNT({before},{after})<2,"",IF({before}<=0,"",100*({after}-{before})/{before}))'


def _shrinkage(letters: Mapping[str, str], initial: str, final: str, rows: BarRows) -> str | None:
    if initial not in letters or final not in letters:
        return None
    if rows.first == rows.last:
        before, after = f"{letters[initial]}{rows.first}", f"{letters[final]}{rows.first}"
        return f'=IF(COUNT({before},{after})<2,"",IF({before}<=0,"",100*({before}-{after})/{before}))'
    before = f"{letters[initial]}{rows.first}:{letters[initial]}{rows.last}"
    after = f"{letters[final]}{rows.first}:{letters[final]}{rows.last}"
    both = f"ISNUMBER({before})*ISNUMBER({after})"
    sums = f"100*(1-SUMPRODUCT({both},{after})/SUMPRODUCT({both},{before}))"
    return f'=IF(SUMPRODUCT({both})=0,"",IF(SUMPRODUCT({both},{before})<=0,"",{sums}))'
