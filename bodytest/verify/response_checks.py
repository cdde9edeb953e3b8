"""Published examples of monotone fits and of reading a line backwards, computed by the program's own functions."""

from typing import Any

from scipy.optimize import isotonic_regression

from bodytest.stats.inverse import read_line_backwards

Inputs = dict[str, Any]
Ours = dict[str, Any]


def isotonic(inputs: Inputs) -> Ours:
    """Compute non-decreasing fits with equal weights, by the function that the response to firing uses."""
    return {"f1": isotonic_regression(inputs["y1"]).x, "f2": isotonic_regression(inputs["y2"]).x}


def thermometer(inputs: Inputs) -> Ours:
    """Compute which true temperature belongs to a reading, with its interval."""
    return {name: _read_back(inputs, inputs[name]) for name in ("case1", "case2")}


def _read_back(inputs: Inputs, case: dict[str, float]) -> list[float]:
    found = read_line_backwards(inputs["x"], inputs["y"], case["y0"], confidence=case["conf"])
    return [found.estimate, found.low, found.high]
