"""seaborn for scatter plots, imported without the large part of scipy that only its density estimates need.

seaborn treats scipy as optional and brings a density estimate of its own for where it is missing. Hiding
``scipy.stats`` for the moment of the import saves a third of the time that a report takes; everybody else in the same
process can import it as ever, before and after.
"""

import sys

_UNNEEDED = "scipy.stats"

if _UNNEEDED in sys.modules:
    import seaborn as sns
else:
    sys.modules[_UNNEEDED] = None  # type: ignore[assignment]  # None is how an import is told to fail
    try:
        import seaborn as sns
    finally:
        del sys.modules[_UNNEEDED]

__all__ = ["sns"]
