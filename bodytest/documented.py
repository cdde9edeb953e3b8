"""Which fields of a dataclass stand in the results document, and under which name."""

import dataclasses
from functools import cache
from typing import Any

KEPT_OUT = {"document": False}
"""Marks a field that does not stand under its name in the document."""


def document_name(field: "dataclasses.Field[Any]") -> str:
    """Return what a field is called in the document: its name, without the line that keeps it off a keyword.

    >>> from bodytest.budget import Borrowed
    >>> [document_name(field) for field in dataclasses.fields(Borrowed)][:3]
    ['from', 'batches', 'loads']
    """
    return field.name.rstrip("_")


@cache
def document_fields(cls: Any) -> "tuple[dataclasses.Field[Any], ...]":
    """Return the fields of a dataclass that stand in the document."""
    return tuple(field for field in dataclasses.fields(cls) if field.metadata.get("document", True))
