"""seaborn for scatter plots, imported without the parts of scipy that only density estimates and clustering need.

seaborn treats scipy as optional and does without it where it is missing. Hiding ``scipy.stats`` and ``scipy.cluster``
for the moment of the import saves a third of the time that a report takes; everybody else in the same process can
import them as ever, before and after.
"""

import sys

_UNNEEDED = [name for name in ("scipy.stats", "scipy.cluster") if name not in sys.modules]

for _name in _UNNEEDED:
    sys.modules[_name] = None  # type: ignore[assignment]  # None is how an import is told to fail
try:
    import seaborn as sns
finally:
    for _name in _UNNEEDED:
        del sys.modules[_name]

__all__ = ["sns"]
