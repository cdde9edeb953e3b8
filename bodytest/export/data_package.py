"""The descriptor beside results.csv: a data package with a Table Schema, as the Frictionless standard has it.

So no reader has to guess what is a number, which sign its decimals have, and what a column means.
"""

import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bodytest.export.csv_tables import COLUMNS, DELIMITERS
from bodytest.export.schema import schema_text
from bodytest.files.outputs import is_special, is_standard_output, target_of
from bodytest.files.own_files import IN_JSON, is_sealed, sealed_text
from bodytest.files.results_file import DATA_PACKAGE
from bodytest.files.writing import write_whole
from bodytest.findings import Finding, finding

_OWN = {
    "batch": "Name of the batch; blank for all of them together.",
    "quantity": "Key of the quantity.",
    "cone": "Cone of the firing, as in “cone 04”, so that it is never taken for a number.",
    "seal": "Hash of all else in the file, in its last row.",
}


def describe(results_csv: Path, decimal_sign: str = ".") -> tuple[Finding, ...]:
    """Write the descriptor beside a results.csv, where that is a file; what it says of other CSVs there stays.

    Returns:
        That another program's descriptor stands there and was left alone.

    Raises:
        UnwritableFile: the system refuses.
    """
    if is_standard_output(results_csv) or is_special(target_of(results_csv)) or results_csv.name == DATA_PACKAGE:
        return ()
    descriptor, others = results_csv.with_name(DATA_PACKAGE), []
    if descriptor.is_file():
        if not is_sealed(descriptor):
            return (finding("descriptor-kept", sheet=str(descriptor), value=results_csv.name),)
        told = json.loads(descriptor.read_text(encoding="utf-8"))["resources"]
        others = [one for one in told if one["path"] != results_csv.name and descriptor.with_name(one["path"]).exists()]
    write_whole(descriptor, data_package(results_csv.name, decimal_sign, others))
    return ()


def data_package(results_csv: str, decimal_sign: str = ".", others: Sequence[dict[str, Any]] = ()) -> str:
    """Return the descriptor of a results.csv of that name, and of others, as JSON text."""
    schema = json.loads(schema_text())["$defs"]
    resource = {
        "name": re.sub(r"[^a-z0-9._-]+", "-", Path(results_csv).stem.lower()),
        "path": results_csv,
        "profile": "tabular-data-resource",
        "format": "csv",
        "encoding": "utf-8",
        "dialect": {"delimiter": DELIMITERS[decimal_sign], "lineTerminator": "\n", "doubleQuote": True},
        "schema": {"fields": [_field(name, schema, decimal_sign) for name in COLUMNS], "missingValues": [""]},
    }
    document = {"profile": "tabular-data-package", "name": "bodytest-results", "resources": [*others, resource]}
    return sealed_text(json.dumps(document, indent=1, ensure_ascii=False) + "\n", IN_JSON)


def _field(name: str, schema: dict[str, Any], decimal_sign: str) -> dict[str, Any]:
    """Return what is told of a column: its kind and meaning in the schema of results."""
    owner = "Group" if name in schema["Group"]["properties"] else "QuantityResult"
    known = schema[owner]["properties"].get(name, {"type": "string"})
    kinds = [known["type"]] if isinstance(known["type"], str) else known["type"]
    kind = next(one for one in kinds if one != "null")
    more: dict[str, Any] = {"decimalChar": decimal_sign} if kind == "number" else {}
    if kind == "boolean":
        more = {"trueValues": ["True"], "falseValues": ["False"]}
    return {"name": name, "type": kind, "description": _OWN.get(name) or known["description"], **more}
