"""What was read and computed of a sheet, kept until the file is saved anew."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from threading import RLock
from typing import TYPE_CHECKING, Any, TypeVar

from bodytest.app.folder import Sheet
from bodytest.errors import UnreadableSheet

if TYPE_CHECKING:
    from bodytest.intake.layouts.said import Said
    from bodytest.results import Results
    from bodytest.tables import CheckedSheets

_T = TypeVar("_T")
MOST_BYTES = 64 << 20
"""Bytes of a sheet that is shown, and that a form may send."""
_MOST = 30
"""So much is kept at a time; what was not asked for longest goes first."""


@dataclass
class Remembered:
    """One thing is computed at a time, and never twice for one state of a sheet."""

    _kept: OrderedDict[Hashable, Any] = field(default_factory=OrderedDict)
    _lock: RLock = field(default_factory=RLock)

    def checked(self, sheet: Sheet, said: "Said | None" = None) -> "CheckedSheets":
        """Return what the sheet and what was typed for it hold, and what was found; ``said`` is what the user said.

        Raises:
            UnreadableSheet: it is too large to be shown while somebody waits.
        """
        from bodytest.reading import read_sheets

        if sheet.stamp[1] > MOST_BYTES:
            raise UnreadableSheet("too-large-for-pages", sheet=sheet.name, most=MOST_BYTES >> 20)

        options = said.options() if said else ((), ())
        paths = [sheet.path, *(one.path for one in sheet.typed)]
        return self.once(("checked", options), sheet, lambda: read_sheets(paths, said))

    def results(self, sheet: Sheet) -> "Results":
        """Return the analysis of the sheet.

        Raises:
            UnreadableSheet: there is not one bar to go by.
        """
        from bodytest.library.analysed import analyse

        return self.once("results", sheet, lambda: analyse(self.checked(sheet)))

    def once(self, what: Hashable, sheet: Sheet, make: Callable[[], _T]) -> _T:
        """Return what was made of this state of the sheet before, or make it."""
        key = (what, *((one.key, one.stamp) for one in (sheet, *sheet.typed)))
        with self._lock:
            if key not in self._kept:
                self._kept[key] = make()
            self._kept.move_to_end(key)
            while len(self._kept) > _MOST:
                self._kept.popitem(last=False)
            made: _T = self._kept[key]
            return made
