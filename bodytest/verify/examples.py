"""The published worked examples that ship with the package."""

import json
from collections.abc import Iterator
from dataclasses import dataclass, fields
from importlib.resources import files
from typing import Any

Inputs = dict[str, Any]
"""The published data of an example, by name."""
Answer = dict[str, Any]
"""What is computed from them: figures, or lists of them, by the name of the published one."""
_FILES = ("further_values.json", "quantities.json", "check_values.json")
SEARCH = 1e-4
"""Relative difference allowed from variances that others find by a search, which stops beside the best value."""


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
    inputs: Inputs
    """The published data."""
    expected: dict[str, Any]
    """The published figures: numbers, texts, or lists of them."""
    tolerance: dict[str, Any]
    """Absolute tolerance of each figure, from its printed digits; ``default`` for those not named."""
    note: str
    """What to know about the figures."""


def published_examples() -> tuple[PublishedExample, ...]:
    """Return every example that ships with the package, lab methods first."""
    names = [field.name for field in fields(PublishedExample)]
    entries = (entry for name in _FILES for entry in _read(name)["examples"])
    return (*(PublishedExample(**{name: entry[name] for name in names}) for entry in entries), *_fitted_loads())


def _fitted_loads() -> Iterator[PublishedExample]:
    """Yield the sets of bars by batch and load, each with the fit of an independent implementation."""
    document = _read("loads.json")
    for place, one in enumerate(document["sets"], start=1):
        fit, sds = one["fit"], one["fit"]["sds"]
        named = {
            "mean": fit["mean"],
            "se": fit["se"],
            "load_sd": sds.get("load", sds.get("load:batch")),
            "bar_sd": sds["Residual"],
        }
        expected = {**named, "batch_sd": sds["batch"]} if "batch" in sds else named
        yield PublishedExample(
            id=f"loads-{place}",
            name=f"Batches and loads: {one['name']}",
            source=one.get("source", f"independent implementation: {document['made_with']}"),
            provenance="computed with lme4",
            inputs={kind: [row[kind] for row in one["data"]] for kind in ("value", "batch", "load")},
            expected={"design": one["design"], **expected},
            tolerance={name: SEARCH * abs(figure) for name, figure in expected.items()},
            note="The search for the likeliest variances stops a little beside them.",
        )


def _read(name: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(files("bodytest").joinpath("published", name).read_text(encoding="utf-8"))
    return document
