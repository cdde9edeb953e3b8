"""What a worksheet says beside its cells: whether it is the one shown first, and where its notes are drawn."""

import re
from collections.abc import Callable

from bodytest.marked.xml_splice import Edit, attribute_set, child, spliced, tree
from bodytest.marked.zipped_parts import RELATIONSHIPS

_DATA = re.compile(rb"<((?:[\w.-]+:)?sheetData)(?:\s[^>]*)?>")
_AFTER_NOTES = {
    "legacyDrawingHF", "drawingHF", "picture", "oleObjects", "controls", "webPublishItems", "tableParts", "extLst",
    "AlternateContent",
}  # fmt: skip
"""Elements that come after the drawing of notes."""


def not_selected(worksheet: bytes) -> bytes:
    """Return the worksheet without the mark that its tab is selected: two selected tabs would be edited together."""
    return _around_data(worksheet, _not_selected)


def with_notes_drawing(worksheet: bytes, relation: str) -> bytes:
    """Return the worksheet with a link to the drawing that shows its notes."""
    return _around_data(worksheet, lambda outline: _with_drawing(outline, relation))


def _around_data(worksheet: bytes, change: Callable[[bytes], bytes]) -> bytes:
    """Change what stands before and after the rows without looking at the rows."""
    opening = _DATA.search(worksheet)
    if opening is None or opening.group().endswith(b"/>"):
        return change(worksheet)
    closing = worksheet.rindex(b"</" + opening.group(1))
    changed = change(worksheet[: opening.end()] + worksheet[closing:])
    again = _DATA.search(changed)
    at = again.end() if again else 0
    return changed[:at] + worksheet[opening.end() : closing] + changed[at:]


def _not_selected(outline: bytes) -> bytes:
    views = child(tree(outline), "sheetViews")
    selected = (view for view in (views.children if views else []) if "tabSelected" in view.attributes)
    return spliced(outline, [attribute_set(outline, view, "tabSelected", "0") for view in selected])


def _with_drawing(outline: bytes, relation: str) -> bytes:
    root = tree(outline)
    link = f'<{root.prefix}legacyDrawing xmlns:r="{RELATIONSHIPS}" r:id="{relation}"/>'.encode()
    following = next((c.start for c in root.children if c.name in _AFTER_NOTES), None)
    at = outline.rindex(b"</") if following is None else following
    return spliced(outline, [Edit(at, at, link)])
