"""Remarks that say something of some bars by their numbers: bars 1-4 cone 04."""

import re
from collections.abc import Iterable

from bodytest.grids.grid import Place
from bodytest.intake.layouts.records import Cell, Record, text_in
from bodytest.intake.layouts.titles import read_title

_RANGE = re.compile(
    r"^\W*(?:bars?|tiles?|pieces?|strips?|nos?\.?|numbers?|#)?\s*([A-Za-z]*)(\d+)\s*(?:-|–|to)\s*([A-Za-z]*)(\d+)\W+(.+)$",
    re.IGNORECASE,
)
_CODE = re.compile(r"([A-Za-z]*)(\d+)")


def tell_ranges(records: Iterable[Record], remarks: Iterable[tuple[Place, str]]) -> None:
    """Give bars what remarks tell of their numbers, where they name no body, cone or temperature of their own."""
    told = [(place, found) for place, text in remarks if (found := _RANGE.match(text))]
    codes = [(record, _CODE.fullmatch(text_in(record, "bar"))) for record in records if told]
    for place, found in told:
        first, last, title = int(found[2]), int(found[4]), read_title(found[5])
        said = {key: text for key, text in title.told().items() if key != "atmosphere"}
        for record, code in codes:
            if code and code[1] in (found[1], "") and found[3] in (found[1], "") and first <= int(code[2]) <= last:
                record |= {k: Cell(v, (place,)) for k, v in said.items() if k not in record}
