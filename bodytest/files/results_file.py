"""A results file as the JSON object that it holds, with a clear sentence for one that is no such file."""

import json
from pathlib import Path
from typing import Any, NoReturn

from bodytest.errors import UnreadableResults
from bodytest.files.inputs import called, content_of

FORMAT = "bodytest results"
"""What ``format`` says in each of our documents."""
VERSION = 1
"""Version 1 (2026): the first. History of later ones belongs here."""
DATA_PACKAGE = "datapackage.json"
"""Name of the file that says of each column of results.csv what it is; the Frictionless standard recommends it."""


def read_document(path: Path) -> dict[str, Any]:
    """Return the JSON object of the file, once it says that it is ours.

    Raises:
        UnreadableResults: no such file, no JSON, or not ours.
    """
    try:
        loaded = json.loads(content_of(path).decode("utf-8-sig"), parse_constant=_no_constant)
    except FileNotFoundError:
        raise UnreadableResults("results-not-found", sheet=called(path)) from None
    except OSError as error:
        raise UnreadableResults("results-unreadable", sheet=called(path), reason=error.strerror or str(error)) from None
    except json.JSONDecodeError as error:
        place = f"it breaks off or goes wrong at line {error.lineno}, column {error.colno}"
        raise UnreadableResults("results-not-json", sheet=called(path), what=place) from None
    except (ValueError, RecursionError):
        raise UnreadableResults("results-not-json", sheet=called(path), what="it is not made of JSON text") from None
    if not isinstance(loaded, dict) or loaded.get("format") != FORMAT:
        raise UnreadableResults("results-foreign", sheet=called(path))
    version = loaded.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise UnreadableResults("results-version", sheet=called(path), value=json.dumps(version))
    return loaded


def _no_constant(name: str) -> NoReturn:
    raise ValueError(name)
