"""Test bars of a clay body: read, checked, computed, reported and handed on to planning.

>>> import bodytest
>>> sheets = bodytest.read_sheets(["sheets/demo-complete.xlsx"])  # doctest: +SKIP
>>> results = bodytest.analyse(sheets)  # doctest: +SKIP
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bodytest.body.analysis import analyse as analyse
    from bodytest.intake.reading import read_sheets as read_sheets

__version__ = "1.0.0"

_PUBLIC = {
    "analyse": "bodytest.body.analysis",
    "read_sheets": "bodytest.intake.reading",
}
__all__ = ["__version__", "analyse", "read_sheets"]


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that ``import bodytest`` costs nothing."""
    if name in _PUBLIC:
        return getattr(import_module(_PUBLIC[name]), name)
    raise AttributeError(f"module 'bodytest' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
