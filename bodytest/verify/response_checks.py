"""Published examples of monotone fits and of reading a line backwards, computed by the program's own functions."""

from typing import Any

from bodytest.stats.inverse import read_line_backwards
from bodytest.stats.isotonic import non_decreasing

Inputs = dict[str, Any]
Ours = dict[str, Any]


def isotonic(inputs: Inputs) -> Ours:
    """Compute non-decreasing fits with equal weights."""
    return {"f1": non_decreasing(inputs["y1"]), "f2": non_decreasing(inputs["y2"])}


def thermometer(inputs: Inputs) -> Ours:
    """Compute which true temperature belongs to a reading, with its interval."""
    return {name: _read_back(inputs, inputs[name]) for name in ("case1", "case2")}


def _read_back(inputs: Inputs, case: dict[str, float]) -> list[float]:
    found = read_line_backwards(inputs["x"], inputs["y"], case["y0"], confidence=case["conf"])
    return [found.estimate, found.low, found.high]
