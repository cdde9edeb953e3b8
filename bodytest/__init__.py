"""Test bars of a clay body: read, checked, computed, reported and handed on to planning.

The demo workbook of the repository, its workshop and numbers invented:

>>> import bodytest
>>> results = bodytest.analyse(bodytest.read_sheets(["sheets/demo-complete.xlsx"]))
>>> wanted = bodytest.Wanted(body="Drift Buff", direction="along")
>>> (jar,) = bodytest.sizes(results, ["200mm"], wanted=wanted)
>>> print(f"{jar.at('wet').size_mm:.1f} mm wet will be {jar.next_low_mm:.1f} to {jar.next_high_mm:.1f} mm")
227.8 mm wet will be 195.8 to 204.2 mm
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bodytest import figures as figures
    from bodytest.analysis.analysing import analyse as analyse
    from bodytest.export.csv_tables import to_csv as to_csv
    from bodytest.export.document import to_document as to_document
    from bodytest.export.document import to_json as to_json
    from bodytest.export.reader import read_results as read_results
    from bodytest.plan.amounts import clay_masses as clay_masses
    from bodytest.plan.amounts import wet_capacities as wet_capacities
    from bodytest.plan.matching import Match as Match
    from bodytest.plan.matching import match as match
    from bodytest.plan.measured import Wanted as Wanted
    from bodytest.plan.sizes import sizes as sizes
    from bodytest.reading import read_sheets as read_sheets

__version__ = "1.1.0.dev0"

_PUBLIC = {
    "Match": "bodytest.plan.matching",
    "Wanted": "bodytest.plan.measured",
    "analyse": "bodytest.analysis.analysing",
    "clay_masses": "bodytest.plan.amounts",
    "match": "bodytest.plan.matching",
    "read_results": "bodytest.export.reader",
    "read_sheets": "bodytest.reading",
    "sizes": "bodytest.plan.sizes",
    "to_csv": "bodytest.export.csv_tables",
    "to_document": "bodytest.export.document",
    "to_json": "bodytest.export.document",
    "wet_capacities": "bodytest.plan.amounts",
}
__all__ = [
    "Match",
    "Wanted",
    "__version__",
    "analyse",
    "clay_masses",
    "figures",
    "match",
    "read_results",
    "read_sheets",
    "sizes",
    "to_csv",
    "to_document",
    "to_json",
    "wet_capacities",
]


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that ``import bodytest`` costs nothing."""
    if name == "figures":
        return import_module("bodytest.figures")
    if name in _PUBLIC:
        return getattr(import_module(_PUBLIC[name]), name)
    raise AttributeError(f"module 'bodytest' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
