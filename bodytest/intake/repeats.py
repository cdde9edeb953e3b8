"""Files that are given twice, and the bars by which a marked copy is known."""

import numpy as np

from bodytest.intake.bars import SheetBars
from bodytest.quantities import MARK_READINGS
from bodytest.tables import SheetSource


def same_file(sources: list[SheetSource], content_hash: str) -> SheetSource | None:
    """Return an earlier file with the same content."""
    return next((s for s in sources if s.sha256 == content_hash), None)


def reading_prints(sheet: SheetBars) -> dict[int, int]:
    """Return a number for each bar with at least two readings that is the same for bars of one code and readings."""
    import pandas as pd

    first = sheet.marks.drop_duplicates("bar_row").set_index("bar_row")[[r.column for r in MARK_READINGS]]
    of_bars = [reading.column for reading in sheet.typed if not reading.of_mark]
    readings: pd.DataFrame = pd.concat([sheet.bars[of_bars], first], axis=1)
    enough = np.flatnonzero(readings.notna().sum(axis=1).to_numpy() >= 2)
    whole = pd.concat([sheet.bars[["bar"]], readings.round(6)], axis=1)
    hashes = pd.util.hash_pandas_object(whole, index=False).to_numpy()
    return {int(position): int(hashes[position]) for position in enough}
