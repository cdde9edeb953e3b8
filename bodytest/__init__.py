"""Test bars of a clay body: read, checked, computed, reported and handed on to planning.

The demo workbook of the repository, its workshop and numbers invented:

>>> import bodytest
>>> results = bodytest.analyse(bodytest.read_sheets("sheets/demo-complete.xlsx"))
>>> (jar,) = bodytest.sizes(results, "200mm", body="Drift Buff", direction="along")
>>> print(f"{jar.at('wet').size_mm:.1f} mm wet will be {jar.next_low_mm:.1f} to {jar.next_high_mm:.1f} mm")
227.8 mm wet will be 195.8 to 204.2 mm
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bodytest import errors as errors
    from bodytest import figures as figures
    from bodytest.export.csv_tables import to_csv as to_csv
    from bodytest.export.document import to_document as to_document
    from bodytest.export.document import to_json as to_json
    from bodytest.export.reader import read_results as read_results
    from bodytest.library.analysed import analyse as analyse
    from bodytest.library.analysed import compare as compare
    from bodytest.library.analysed import timeline as timeline
    from bodytest.library.analysed import write_report as write_report
    from bodytest.library.plans import clay_masses as clay_masses
    from bodytest.library.plans import match as match
    from bodytest.library.plans import sizes as sizes
    from bodytest.library.plans import wet_capacities as wet_capacities
    from bodytest.library.read import check as check
    from bodytest.library.read import read_frames as read_frames
    from bodytest.library.read import read_sheets as read_sheets

__version__ = "1.1.0.dev0"

_PUBLIC = {
    "bodytest.export.csv_tables": ("to_csv",),
    "bodytest.export.document": ("to_document", "to_json"),
    "bodytest.export.reader": ("read_results",),
    "bodytest.library.analysed": ("analyse", "compare", "timeline", "write_report"),
    "bodytest.library.plans": ("clay_masses", "match", "sizes", "wet_capacities"),
    "bodytest.library.read": ("check", "read_frames", "read_sheets"),
}
_MODULES = ("errors", "figures")
_PLACES = {name: module for module, names in _PUBLIC.items() for name in names}
__all__ = sorted(("__version__", *_MODULES, *_PLACES))  # noqa: PLE0605 (each name stands once)


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that ``import bodytest`` costs nothing."""
    if name in _MODULES:
        return import_module(f"bodytest.{name}")
    if name in _PLACES:
        return getattr(import_module(_PLACES[name]), name)
    raise AttributeError(f"module 'bodytest' has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
