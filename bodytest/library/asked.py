"""The boundary of the library: what cannot be meant is told in a sentence, before anything is computed with it.

Each function returns what was given, and raises `UnusableRequest` where it is not what the function asks for.
"""

import os
from collections.abc import Iterable, Mapping
from math import isfinite
from pathlib import Path
from typing import Any, TypedDict, get_type_hints

from bodytest.errors import UnusableRequest
from bodytest.plan.measured import Wanted
from bodytest.results import Results, Summary

Paths = str | Path | Iterable[str | Path]
"""One file or several; a text is one file, never its letters."""


class Choice(TypedDict, total=False):
    """What an answer is to rest on; what is left out has to be the only one there, or is what answers for the body."""

    body: str | None
    """Name of the body."""
    programme: str | None
    """Name or cone of a firing programme."""
    firing: str | None
    """Code of one load, for which alone the answer is."""
    direction: str | None
    """Direction of the bars."""
    batch: str | None
    """Name of a tested batch, or ``new``."""
    load: str | None
    """Code of one load, or ``new``."""


def the_wanted(choice: Mapping[str, Any], there: type = Choice) -> Wanted:
    """Return what was chosen, texts under keywords of a `Choice`; ``there`` has all keywords that there are."""
    for name, value in choice.items():
        if name not in Choice.__annotations__:
            raise UnusableRequest("no-such-choice", value=name, there=", ".join(get_type_hints(there)))
        if value is not None and not isinstance(value, str):
            raise UnusableRequest("not-a-text", value=shown(value), what=name)
    return Wanted(**choice)


def the_paths(paths: Paths) -> list[Path]:
    """Return the paths of the files named, one at least."""
    several = [paths] if isinstance(paths, str | os.PathLike) else _listed(paths, "path")
    for path in several:
        if not isinstance(path, str | os.PathLike) or not os.fspath(path):
            raise UnusableRequest("not-a-text", value=shown(path), what="path")
    if not several:
        raise UnusableRequest("no-file-named")
    return [Path(path) for path in several]


def the_texts(given: str | Iterable[str], what: str) -> list[str]:
    """Return one text or several as a list."""
    texts = [given] if isinstance(given, str) else _listed(given, what)
    for text in texts:
        the_text(text, what)
    if not texts:
        raise UnusableRequest("none-asked", what=what)
    return texts


def the_text(given: Any, what: str) -> Any:
    """Return a text, or None."""
    if given is not None and not isinstance(given, str):
        raise UnusableRequest("not-a-text", value=shown(given), what=what)
    return given


def the_results(results: Any) -> Results:
    """Return results with their single bars."""
    if not isinstance(results, Results):
        raise UnusableRequest("not-results", value=shown(results))
    return results


def the_measured(results: Any) -> Summary:
    """Return results, or whatever has of them what planning needs."""
    if not all(hasattr(results, name) for name in ("confidence", "groups", "programmes", "answers", "pieces")):
        raise UnusableRequest("not-results", value=shown(results))
    measured: Summary = results
    return measured


def the_number(given: Any, what: str, low: float, high: float = float("inf")) -> Any:
    """Return a number that is not below one and not above another, or None."""
    number = not isinstance(given, bool) and isinstance(given, int | float) and isfinite(given)
    if given is None or (number and low <= given <= high):
        return given
    bounds = f"{low:g} or more" if high == float("inf") else f"{low:g} to {high:g}"
    raise UnusableRequest("number-not-between", value=shown(given), what=what, bounds=bounds)


def the_word(given: Any, what: str, there: Iterable[str]) -> Any:
    """Return one of several words."""
    if not isinstance(given, str) or given not in there:
        raise UnusableRequest("no-such-word", value=shown(given), what=what, there=", ".join(there))
    return given


def _listed(given: Any, what: str) -> list[Any]:
    if isinstance(given, bytes | Mapping) or not isinstance(given, Iterable):
        raise UnusableRequest("not-a-text", value=shown(given), what=what)
    return list(given)


def shown(value: object) -> str:
    """Return a value in a few signs, as its programmer would know it.

    >>> shown(200), shown([1, 2]), shown("cone 6")
    ('200 (int)', '[1, 2] (list)', "'cone 6'")
    """
    text = repr(value).partition("\n")[0]
    text = text if len(text) <= 40 else f"{text[:39]}…"
    return text if isinstance(value, str) else f"{text} ({type(value).__name__})"
