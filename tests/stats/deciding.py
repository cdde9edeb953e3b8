"""A decision on a mean, as `bodytest.analysis.decisions` makes it, for plain numbers."""

from bodytest.stats import windows


def decide(mean, standard_uncertainty, degrees_of_freedom, window, *, confidence=0.95, values=None):
    """Return whether a mean meets a window of a lowest and a highest value."""
    seen = windows.guarded_mean(mean, standard_uncertainty, degrees_of_freedom, values, confidence)
    return windows.decide(seen, seen, *window)
