"""The published worked examples that ship with the package."""

import json
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

_FILES = ("further_values.json", "check_values.json")


@dataclass(frozen=True)
class PublishedExample:
    """One worked example of a publication, with everything needed to compute it again."""

    id: str
    """Short name in the data file."""
    name: str
    """What is computed, for people."""
    source: str
    """Publication, with section or page."""
    provenance: str
    """Whether the figure was seen in the source or comes from memory."""
    inputs: dict[str, Any]
    """The published data."""
    expected: dict[str, Any]
    """The published figures: numbers, texts, or lists of them."""
    tolerance: dict[str, Any]
    """Absolute tolerance of each figure, from its printed digits; ``default`` for those not named."""
    note: str
    """What to know about the figures."""


def published_examples() -> tuple[PublishedExample, ...]:
    """Return every example that ships with the package, lab methods first."""
    return tuple(PublishedExample(**_fields(entry)) for name in _FILES for entry in _read(name))


def _read(name: str) -> list[dict[str, Any]]:
    text = files("bodytest").joinpath("published", name).read_text(encoding="utf-8")
    examples: list[dict[str, Any]] = json.loads(text)["examples"]
    return examples


def _fields(entry: dict[str, Any]) -> dict[str, Any]:
    return {name: entry[name] for name in PublishedExample.__dataclass_fields__}
