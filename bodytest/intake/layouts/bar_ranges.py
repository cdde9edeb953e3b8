"""Remarks that say something of some bars by their numbers: bars 1-4 cone 04."""

import re
from collections.abc import Iterable, Iterator
from itertools import zip_longest

from bodytest.grids.grid import Place
from bodytest.intake.layouts.headings import meaning
from bodytest.intake.layouts.records import Cell, Record, text_in
from bodytest.intake.layouts.titles import Title, read_title

_RANGE = re.compile(
    r"(?:^\W*|[,;.&]\s*|\band\s+)(?:([^\W\d]+)\.?\s+|#\s*)?([A-Za-z]*)(\d+)\s*(?:-|–|to)\s*([A-Za-z]*)(\d+)(?=[^\w.])"
)
_CODE = re.compile(r"([A-Za-z]*)(\d+)")


def tell_ranges(records: Iterable[Record], remarks: Iterable[tuple[Place, str]]) -> None:
    """Give bars what remarks tell of their numbers, where they name no body, cone or temperature of their own."""
    told = [(place, *one) for place, text in remarks for one in _ranges(text)]
    codes = [(record, _CODE.fullmatch(text_in(record, "bar"))) for record in records if told]
    for place, letters, first, last, title in told:
        said = {key: text for key, text in title.told().items() if key != "atmosphere"}
        for record, code in codes:
            if code and code[1] in (letters, "") and first <= int(code[2]) <= last:
                record |= {k: Cell(v, (place,)) for k, v in said.items() if k not in record}


def _ranges(text: str) -> Iterator[tuple[str, int, int, Title]]:
    """Yield the letters and numbers of bars that a remark names, and what it says of them up to the next ones."""
    found = [one for one in _RANGE.finditer(text) if not one[1] or meaning(one[1].rstrip("s"), "bars").key == "bar"]
    for one, following in zip_longest(found, found[1:]):
        if one[4] in (one[2], ""):
            yield one[2], int(one[3]), int(one[5]), read_title(text[one.end() : following and following.start()])
