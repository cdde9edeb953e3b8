"""The descriptor beside results.csv: a data package with a Table Schema, as the Frictionless standard has it.

So no reader has to guess what is a number, which sign its decimals have, and what a column means.
"""

import json
from typing import Any, get_args, get_type_hints

from bodytest.export.csv_tables import COLUMNS, DELIMITERS
from bodytest.export.schema import field_descriptions
from bodytest.files.own_files import IN_JSON, sealed_text
from bodytest.results import Group, QuantityResult

_TYPES = {float: "number", int: "integer", bool: "boolean"}
_OWN = {
    "batch": "Name of the batch; blank for all of them together.",
    "quantity": "Key of the quantity.",
    "cone": "Cone of the firing, as in “cone 04”, so that it is never taken for a number.",
    "seal": "Hash of all else in the file, in its last row.",
}


def data_package(results_csv: str, decimal_sign: str = ".") -> str:
    """Return the descriptor of a results.csv of that name as JSON text."""
    resource = {
        "name": "results",
        "path": results_csv,
        "profile": "tabular-data-resource",
        "format": "csv",
        "encoding": "utf-8",
        "dialect": {"delimiter": DELIMITERS[decimal_sign], "lineTerminator": "\n", "doubleQuote": True},
        "schema": {"fields": [_field(name, decimal_sign) for name in COLUMNS], "missingValues": [""]},
    }
    document = {"profile": "tabular-data-package", "name": "bodytest-results", "resources": [resource]}
    return sealed_text(json.dumps(document, indent=1, ensure_ascii=False) + "\n", IN_JSON)


def _field(name: str, decimal_sign: str) -> dict[str, Any]:
    owner: type = Group if name in Group.__dataclass_fields__ else QuantityResult
    hint = get_type_hints(owner).get(name, str)
    kind = next((_TYPES[one] for one in (hint, *get_args(hint)) if one in _TYPES), "string")
    described = _OWN.get(name) or field_descriptions(owner)[name]
    more: dict[str, Any] = {"decimalChar": decimal_sign} if kind == "number" else {}
    if kind == "boolean":
        more = {"trueValues": ["True"], "falseValues": ["False"]}
    return {"name": name, "type": kind, "description": described, **more}
