"""The JSON Schema of the results document, made from the dataclasses and their field descriptions.

The file ``results.schema.json`` beside this module is what users get; a test compares it with `build_schema` and
``python -m bodytest.export.schema`` prints what it should hold.
"""

import ast
import inspect
import json
import sys
import tomllib
import types
from dataclasses import fields
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from bodytest.documented import document_fields, document_name
from bodytest.export.contract import Bar, required_fields
from bodytest.files.results_file import FORMAT, VERSION
from bodytest.grids.archive import KEY
from bodytest.quantities import BAR_READINGS, MARK_READINGS, QUANTITIES
from bodytest.results import Results, Summary

_NAMES = {float: "number", int: "integer", str: "string", bool: "boolean"}
_OF_QUANTITY = "unit of the quantity"


def schema_text() -> str:
    """Return the schema file that comes with the package."""
    return _beside("results.schema.json")


def _beside(name: str) -> str:
    return files("bodytest.export").joinpath(name).read_text(encoding="utf-8")


def build_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of the results document."""
    definitions: dict[str, Any] = {}
    properties = _properties(definitions)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:bodytest:results:{VERSION}",
        "title": f"bodytest results, version {VERSION}",
        "description": "Shrinkage, absorption and the other quantities of test bars of clay bodies, by group, batch and"
        " bar. Percentages are in per cent, absent values null. Later versions only add fields, and words to those that"
        " stand as examples.",
        "type": "object",
        "properties": properties,
        "required": ["format", "version", *required_fields(Results)],
        "$defs": definitions,
    }


def _properties(definitions: dict[str, Any]) -> dict[str, Any]:
    of_results = _fields(Summary, {f.name: f.type for f in fields(Summary)}, definitions)
    return {
        "format": {"description": "Says that this is such a document.", "const": FORMAT},
        "version": {"description": "Version of the format.", "type": "integer", "minimum": VERSION, "unit": "number"},
        **of_results,
        "confidence": {**of_results["confidence"], "exclusiveMinimum": 0, "exclusiveMaximum": 1},
        "bars": {"description": "Each bar and firing.", "type": "array", "items": _bar(definitions)},
        KEY: json.loads(_beside("workbooks.schema.json")),
        "seal": {
            "description": "Hash of all else in the file, by which bodytest knows that nobody has changed it.",
            "type": "string",
        },
    }


def _bar(definitions: dict[str, Any]) -> dict[str, Any]:
    """Return the reference to a bar, with each quantity and reading that it may have."""
    reference = _reference(Bar, definitions)
    values = {q.key: (f"{q.name}: {q.formula}.", q.unit or "ratio") for q in QUANTITIES}
    read = {r.column: (f"{r.heading}.", r.dimension.unit) for r in (*MARK_READINGS, *BAR_READINGS)}
    for name, numbers in (("values", values), ("readings", read)):
        definitions["Bar"]["properties"][name] |= {
            "properties": {
                key: {"description": text, "type": ["number", "null"], "unit": unit}
                for key, (text, unit) in numbers.items()
            }
        }
    return reference


def _of_type(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a type; dataclasses are defined once and referred to."""
    origin, arguments = get_origin(hint), get_args(hint)
    if hint in _NAMES:
        return {"type": _NAMES[hint]}
    if origin is Literal:
        return {"type": "string", "examples": list(arguments)}
    if origin in {Union, types.UnionType}:
        return _optional(next(a for a in arguments if a is not type(None)), definitions)
    if origin is dict:
        return {"type": "object", "additionalProperties": _of_type(arguments[1], definitions)}
    return _array(arguments, definitions) if origin is tuple else _reference(hint, definitions)


def _array(arguments: tuple[Any, ...], definitions: dict[str, Any]) -> dict[str, Any]:
    if arguments[-1] is Ellipsis:
        return {"type": "array", "items": _of_type(arguments[0], definitions)}
    items = [_of_type(argument, definitions) for argument in arguments]
    return {"type": "array", "prefixItems": items, "minItems": len(items), "maxItems": len(items)}


def _optional(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    kind = _of_type(hint, definitions)
    if isinstance(kind.get("type"), str):
        return {**kind, "type": [kind["type"], "null"]}
    return {"anyOf": [kind, {"type": "null"}]}


def _reference(cls: type, definitions: dict[str, Any]) -> dict[str, Any]:
    reference = {"$ref": f"#/$defs/{cls.__name__}"}
    if cls.__name__ in definitions:
        return reference
    definitions[cls.__name__] = {}
    definitions[cls.__name__] = {
        "description": (cls.__doc__ or "").splitlines()[0],
        "type": "object",
        "properties": _fields(cls, get_type_hints(cls), definitions),
        "required": list(required_fields(cls)),
    }
    return reference


def _fields(cls: type, hints: dict[str, Any], definitions: dict[str, Any]) -> dict[str, Any]:
    texts = field_descriptions(cls)
    return {
        document_name(field): {
            "description": texts[field.name],
            **_of_type(hints[field.name], definitions),
            **({"unit": _unit(cls.__name__, field.name)} if _is_numeric(hints[field.name]) else {}),
        }
        for field in document_fields(cls)
    }


def _is_numeric(hint: Any) -> bool:
    return hint in (float, int) or any(map(_is_numeric, get_args(hint)))


def _unit(owner: str, name: str) -> str:
    """Return the unit of a number; one that no rule knows is a fault, so that none is guessed."""
    if name == "share":
        return "fraction 0 to 1" if owner == "CertaintyShare" else "%"
    units = _units()
    ending = max((ending for ending in units["endings"] if name.endswith(ending)), key=len, default="")
    unit = units["endings"].get(ending) or next(unit for unit, names in units["names"].items() if name in names.split())
    return units["classes"].get(owner, unit) if unit == _OF_QUANTITY else unit


@cache
def _units() -> dict[str, dict[str, str]]:
    return tomllib.loads(_beside("units.toml"))


def field_descriptions(cls: type) -> dict[str, str]:
    """Return the text that stands under each field of a dataclass."""
    (definition,) = ast.parse(inspect.getsource(cls)).body
    statements = definition.body if isinstance(definition, ast.ClassDef) else []
    described = {f.name: f.metadata["text"] for f in fields(cls) if "text" in f.metadata}
    for field, text in pairwise(statements):
        if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name) and isinstance(text, ast.Expr):
            plain = str(ast.literal_eval(text.value)).replace("``", "").replace("None", "null")
            described[field.target.id] = " ".join(plain.split())
    return described


def file_text(schema: dict[str, Any]) -> str:
    """Return a schema as the text of its file."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(file_text(build_schema()))  # noqa: TID251 (for developers; holds no text of users)
