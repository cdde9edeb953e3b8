"""Comments added to a worksheet's comments and to the drawing that shows them; those that are there stay."""

import re
from collections.abc import Mapping

from bodytest.grids.grid import column_letters
from bodytest.marked.coloured_cells import Place
from bodytest.marked.xml_splice import Edit, Element, appended, child, needed, prepended, spliced, tree, xml_text

AUTHOR = "bodytest"
NEW_COMMENTS = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    b'<comments xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><authors/><commentList/></comments>'
)
"""A comments part without comments."""
_NAMESPACES = (
    'xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
    ' xmlns:x="urn:schemas-microsoft-com:office:excel"'
)
NEW_DRAWING = f"<xml {_NAMESPACES}></xml>".encode()
"""A drawing part without shapes."""
_SHAPE_TYPE = (
    f'<v:shapetype {_NAMESPACES} id="_x0000_t202" coordsize="21600,21600" o:spt="202" path="m,l,21600r21600,l21600,xe">'
    '<v:stroke joinstyle="miter"/><v:path gradientshapeok="t" o:connecttype="rect"/></v:shapetype>'
)
_SHAPE_NUMBER = re.compile(rb"_x0000_s(\d+)")


def with_comments(content: bytes, texts: Mapping[Place, str]) -> tuple[bytes, set[Place]]:
    """Return the comments part with our texts, and the cells that had no comment before."""
    root = tree(content)
    authors, listed = needed(root, "authors"), needed(root, "commentList")
    author = len(authors.children)
    edits = [appended(content, authors, f"<{root.prefix}author>{AUTHOR}</{root.prefix}author>".encode())]
    known = {comment.attributes.get("ref", ""): comment for comment in listed.children}
    new: set[Place] = set()
    added = b""
    for place, text in texts.items():
        reference = f"{column_letters(place[1])}{place[0]}"
        if reference in known:
            edits.append(_continued(content, known[reference], text))
        else:
            new.add(place)
            added += _comment(reference, author, text, root.prefix)
    if added:
        edits.append(appended(content, listed, added))
    return spliced(content, edits), new


def with_shapes(content: bytes, places: set[Place]) -> bytes:
    """Return the drawing part with a hidden note for each cell."""
    closing = content.rfind(b"</xml>")
    if closing < 0:
        raise KeyError("xml")
    number = max([1025, *(int(found) + 1 for found in _SHAPE_NUMBER.findall(content))])
    shapes = "" if b"_x0000_t202" in content else _SHAPE_TYPE
    shapes += "".join(_shape(place, number + count) for count, place in enumerate(sorted(places)))
    return content[:closing] + shapes.encode() + content[closing:]


def _run(text: str, prefix: str) -> bytes:
    return f'<{prefix}r><{prefix}t xml:space="preserve">{xml_text(text)}</{prefix}t></{prefix}r>'.encode()


def _comment(reference: str, author: int, text: str, prefix: str) -> bytes:
    opened = f'<{prefix}comment ref="{reference}" authorId="{author}"><{prefix}text>'.encode()
    return opened + _run(text, prefix) + f"</{prefix}text></{prefix}comment>".encode()


def _continued(content: bytes, comment: Element, text: str) -> Edit:
    """Add our text below the one that is there; a plain text becomes the first of two runs."""
    prefix, body = comment.prefix, child(comment, "text")
    if body is None:
        return prepended(
            content, comment, f"<{prefix}text>".encode() + _run(text, prefix) + f"</{prefix}text>".encode()
        )
    ours = _run(f"\n\n{text}", prefix)
    runs = [c for c in body.children if c.name in ("t", "r")]
    if not runs:
        return prepended(content, body, ours)
    last = runs[-1]
    written = content[last.start : last.end]
    if last.name == "t":
        written = f"<{prefix}r>".encode() + written + f"</{prefix}r>".encode()
    return Edit(last.start, last.end, written + ours)


def _shape(place: Place, number: int) -> str:
    row, column = place
    anchor = f"{column + 1}, 12, {max(row - 2, 0)}, 6, {column + 6}, 12, {max(row - 2, 0) + 8}, 6"
    return (
        f'<v:shape {_NAMESPACES} id="_x0000_s{number}" type="#_x0000_t202" style="position:absolute;z-index:1;'
        'visibility:hidden" fillcolor="#fffbe6" o:insetmode="auto"><v:fill color2="#fffbe6"/>'
        '<v:shadow on="t" color="black" obscured="t"/><v:path o:connecttype="none"/>'
        '<v:textbox style="mso-direction-alt:auto"><div style="text-align:left"></div></v:textbox>'
        '<x:ClientData ObjectType="Note"><x:MoveWithCells/><x:SizeWithCells/>'
        f"<x:Anchor>{anchor}</x:Anchor><x:AutoFill>False</x:AutoFill>"
        f"<x:Row>{row - 1}</x:Row><x:Column>{column}</x:Column></x:ClientData></v:shape>"
    )
