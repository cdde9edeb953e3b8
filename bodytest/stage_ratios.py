"""Lengths at the stages of a programme over the wet one."""

from dataclasses import dataclass


@dataclass(frozen=True)
class StageRatio:
    """Length at one stage over the wet length."""

    ratio_to_wet: float
    """Its mean."""
    standard_uncertainty: float
    """Combined standard uncertainty of that mean."""
