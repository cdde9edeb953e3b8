"""What every document that a command prints begins with."""

import json
from collections.abc import Iterable
from dataclasses import asdict

from bodytest import __version__
from bodytest.findings import Finding
from bodytest.shown import visible_json


def enveloped(what: str, code: int = 0, errors: Iterable[Finding] = ()) -> dict[str, object]:
    """Return the beginning of a document.

    Parameters:
        what: what it holds, as its format names it.
        code: exit code of the command.
        errors: what cost some value (exit code 1) or the answer (2 and above).
    """
    head = {"format": f"bodytest {what}", "version": 1, "software": f"bodytest {__version__}"}
    return {**head, "exit_code": code, "errors": [asdict(found) for found in errors]}


def json_text(document: object, *, only_ascii: bool = False) -> str:
    """Return a document as JSON, signs that cannot be seen written out."""
    return visible_json(json.dumps(document, ensure_ascii=only_ascii, indent=2, allow_nan=False))
