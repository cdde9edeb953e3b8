"""seaborn for the command line, imported without the parts of scipy that only density estimates and clustering need.

seaborn treats scipy as optional and does without it where it is missing. Hiding ``scipy.stats`` and ``scipy.cluster``
for the moment of the import saves a third of the time that a report takes. Only the command line does this, whose
process ends with the report: a program that uses `bodytest` as a library keeps seaborn whole.
"""

import sys

_UNNEEDED = ("scipy.stats", "scipy.cluster")


def import_seaborn_lightly() -> None:
    """Import seaborn once, with the unneeded parts of scipy hidden meanwhile; other imports find them as ever."""
    hidden = [name for name in _UNNEEDED if name not in sys.modules]
    for name in hidden:
        sys.modules[name] = None  # type: ignore[assignment]  # None is how an import is told to fail
    try:
        import seaborn  # noqa: F401
    finally:
        for name in hidden:
            del sys.modules[name]
