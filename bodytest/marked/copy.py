"""The marked copy: a user's own workbook with the cells of findings coloured and commented, and a list in front."""

from collections.abc import Callable, Sequence
from pathlib import Path
from xml.parsers import expat

from bodytest.errors import UnreadableSheet, UnusableRequest
from bodytest.files.inputs import TEXT_ENDINGS, called, name_of
from bodytest.files.outputs import is_standard_output
from bodytest.files.writing import write_whole
from bodytest.findings import Finding
from bodytest.grids.notebook import Notebook
from bodytest.grids.opening import Workbook, open_workbook
from bodytest.intake.layouts.headings import is_bars_heading
from bodytest.marked.marking import marked_workbook
from bodytest.marked.values_copy import LONGEST_TEXT, holds_long_text, values_workbook

_WORKBOOKS = (".xlsx", ".xlsm")
"""Endings of workbooks of which a copy keeps everything else to the byte."""
_VALUES_ONLY = (
    "This copy was made from {kind}, so it holds its values alone:"
    " formats, formulas and comments stayed in the original."
)
_CUT = f"Texts of more than {LONGEST_TEXT} signs end with … in this copy; the original holds them whole."
_UNUSUAL = (
    "The workbook is built in an unusual way, so this copy holds its values alone:"
    " formats, formulas and comments stayed in the original."
)


def write_marked_copy(source: Path, findings: Sequence[Finding], target: Path) -> tuple[str, ...]:
    """Write a copy of ``source`` in which the cells of ``findings`` are coloured and commented.

    The source is only read. An ``.xlsx`` or ``.xlsm`` copy keeps everything else as it was, to the byte; of other
    files a new ``.xlsx`` with their values is made.

    Returns:
        What the copy leaves out, in sentences; empty when nothing.

    Raises:
        UnreadableSheet: the source cannot be read.
        UnusableRequest: the target's name does not fit.
        UnwritableFile: the target exists or cannot be written.
    """
    ending = source.suffix.lower() if source.suffix.lower() in _WORKBOOKS else ".xlsx"
    if target.suffix.lower() != ending and not is_standard_output(target):
        raise UnusableRequest("marked-copy-name", sheet=str(target), ending=ending)
    notes = Notebook(name_of(source))
    workbook = open_workbook(source, notes, is_bars_heading)
    if not workbook.readable:
        why = next((f.sentence for f in notes.ordered()), "")
        raise UnreadableSheet("cannot-mark", sheet=called(source), why=why)
    left_out, content = _marked(source, workbook, findings)
    write_whole(target, content, overwrite=False)
    return left_out


def _marked(source: Path, workbook: Workbook, findings: Sequence[Finding]) -> tuple[tuple[str, ...], bytes]:
    left_out, content = kept_whole(
        source, workbook, lambda: marked_workbook(workbook.content, findings, name=source.name)
    )
    if content is not None:
        return left_out, content
    if holds_long_text(workbook.grids):
        left_out = (*left_out, _CUT)
    values = values_workbook(workbook.grids)
    return left_out, marked_workbook(values, findings, name=source.name, left_out=left_out)


def kept_whole(source: Path, workbook: Workbook, copy: Callable[[], bytes]) -> tuple[tuple[str, ...], bytes | None]:
    """Return a copy that keeps everything else as it was; None, and why, where it can hold values alone."""
    ending = source.suffix.lower()
    if not workbook.content.startswith(b"PK") or ending not in _WORKBOOKS:
        return (_VALUES_ONLY.format(kind=_kind_of(ending)),), None
    try:
        return (), copy()
    except (LookupError, ValueError, expat.ExpatError):  # a part is missing that every spreadsheet program writes
        return (_UNUSUAL,), None


def _kind_of(ending: str) -> str:
    if ending in TEXT_ENDINGS:
        return "a text table"
    return {".ods": "an OpenDocument sheet", "": "standard input"}.get(ending, "a template")
