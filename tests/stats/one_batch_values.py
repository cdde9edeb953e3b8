"""Values that the tests of one batch compare with: published ones, and those of base R."""

import json
from pathlib import Path

from bodytest.verify.examples import published_examples

SHRINKAGE = (11.82, 11.95, 11.78, 12.10, 11.87, 11.91, 12.04)
ABSORPTION = (2.31, 2.05, 2.44, 2.18, 2.39)
TWO_HIDDEN = (*SHRINKAGE, 13.60, 13.55, 11.99)
# NIST/SEMATECH e-Handbook 1.3.5.17.3 (Rosner 1983); data from memory, agrees with recomputation of the printed R and λ.
ROSNER = (
    -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70, 1.76,
    1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54,
    2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
)  # fmt: skip


def from_r(name):
    """Return a value frozen from ``tests/stats/r/one_batch.R``."""
    return json.loads((Path(__file__).parent / "r" / "one_batch.json").read_text(encoding="utf-8"))[name]


def published(example_id):
    """Return a published worked example."""
    return {example.id: example for example in published_examples()}[example_id]
