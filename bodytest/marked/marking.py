"""The parts of a workbook that change when cells are marked: styles, tables, comments, and the list in front."""

import re
from collections.abc import Callable, Mapping, Sequence
from functools import partial

from bodytest.findings import LEVELS, Finding
from bodytest.grids.grid import address, parse_range
from bodytest.marked.coloured_cells import Place, with_cells, with_styles
from bodytest.marked.comments import NEW_COMMENTS, NEW_DRAWING, with_comments, with_shapes
from bodytest.marked.findings_sheet import findings_worksheet
from bodytest.marked.styles import LEVEL_WORDS, MINIMAL, StyleBook
from bodytest.marked.xml_splice import (
    Edit,
    Element,
    attribute_set,
    child,
    needed,
    prepended,
    spliced,
    tree,
    with_attribute,
    xml_text,
)
from bodytest.marked.zipped_parts import RELATIONSHIPS, Package

MOST_COMMENTS = 2000
"""Cells of one table that get a comment; more would make the copy too slow to open. All are coloured and listed."""
_WORKBOOK = "xl/workbook.xml"
_SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_TALKED_ABOUT = "Cells with a conversation of people in them are coloured but carry no comment of ours: {cells}."
_STRICT = b"purl.oclc.org/ooxml"
"""Namespace of the strict variant, which hardly any program writes and which our parts would not fit."""


def marked_workbook(content: bytes, findings: Sequence[Finding], *, name: str, left_out: Sequence[str] = ()) -> bytes:
    """Return the workbook with the cells of the findings coloured and commented and a list of them in front.

    Raises:
        KeyError: the workbook lacks a part that every spreadsheet program writes.
    """
    package = Package(content)
    if _STRICT in package.part(_WORKBOOK):
        raise KeyError("transitional namespaces")
    tables = tables_of(package)
    by_table = _by_table(findings, set(tables))
    style_part = _style_part(package)
    styles = StyleBook(package.part(style_part))
    talked_about: list[str] = []
    for table, cells in by_table.items():
        _colour(package, tables[table], cells, styles)
        talked = _conversations(package, tables[table]) & set(cells)
        talked_about += [address(table, row, column) for row, column in sorted(talked)]
        _comment(package, tables[table], {place: found for place, found in cells.items() if place not in talked})
    for part in tables.values():
        package.put(part, _around_data(package.part(part), _not_selected))
    words = [*_words(name, findings, by_table), *left_out]
    if talked_about:
        words.append(_TALKED_ABOUT.format(cells=", ".join(talked_about)))
    lines = [(found, _target(found, by_table)) for found in findings]
    _add_in_front(package, findings_worksheet(lines, words, styles))
    package.put(style_part, styles.content())
    return package.content()


def tables_of(package: Package) -> dict[str, str]:
    """Return the part of each table by its name."""
    parts = {link.key: link.part for link in package.relations(_WORKBOOK) if link.kind == "worksheet"}
    tables = {}
    for sheet in needed(tree(package.part(_WORKBOOK)), "sheets").children:
        link = next((value for key, value in sheet.attributes.items() if key.rpartition(":")[2] == "id"), "")
        if parts.get(link) in package.names:
            tables[sheet.attributes["name"]] = parts[link]
    return tables


def _by_table(findings: Sequence[Finding], tables: set[str]) -> dict[str, dict[Place, list[Finding]]]:
    cells: dict[str, dict[Place, list[Finding]]] = {}
    for found in findings:
        table, place = _place(found)
        if place is not None and table in tables:
            cells.setdefault(table, {}).setdefault(place, []).append(found)
    return cells


def _place(found: Finding) -> tuple[str, Place | None]:
    """Return table and cell; a finding about a whole row is shown in its first cell."""
    table, _, where = (found.cell or "").rpartition("!")
    if where.partition(":")[0].isdigit():
        return table, (int(where.partition(":")[0]), 0)
    corners = parse_range(where)
    return table, corners[:2] if corners else None


def _target(found: Finding, by_table: Mapping[str, Mapping[Place, object]]) -> str | None:
    table, place = _place(found)
    if place is None or table not in by_table:
        return None
    quoted = table.replace("'", "''")
    where = (found.cell or "").rpartition("!")[2]
    return f"'{quoted}'!{where}"


def _style_part(package: Package) -> str:
    known = next((link.part for link in package.relations(_WORKBOOK) if link.kind == "styles"), None)
    if known in package.names and known is not None:
        return known
    part = "xl/styles.xml" if "xl/styles.xml" not in package.names else package.free_name("xl/styles{}.xml")
    package.put(part, MINIMAL)
    package.relate(_WORKBOOK, "styles", part)
    package.declare(part=part, content_type=f"{_SPREADSHEET}.styles+xml")
    return part


def _colour(package: Package, part: str, cells: Mapping[Place, list[Finding]], styles: StyleBook) -> None:
    worksheet, sites = with_cells(package.part(part), set(cells))
    marked = {
        place: styles.marked(sites[place].style, min((f.level for f in found), key=LEVELS.index))
        for place, found in cells.items()
    }
    package.put(part, with_styles(worksheet, sites, marked))


def _comment(package: Package, part: str, cells: Mapping[Place, list[Finding]]) -> None:
    texts = {place: _comment_text(found) for place, found in list(cells.items())[:MOST_COMMENTS]}
    if not texts:
        return
    links = {link.kind: link.part for link in package.relations(part)}
    comments = links.get("comments")
    if comments is None:
        comments = package.free_name("xl/comments{}.xml")
        package.put(comments, NEW_COMMENTS)
        package.relate(part, "comments", comments)
        package.declare(part=comments, content_type=f"{_SPREADSHEET}.comments+xml")
    drawing = links.get("vmlDrawing")
    if drawing is None:
        drawing = package.free_name("xl/drawings/vmlDrawing{}.vml")
        package.put(drawing, NEW_DRAWING)
        package.declare_drawings()
        key = package.relate(part, "vmlDrawing", drawing)
        package.put(part, _around_data(package.part(part), partial(_with_drawing, relation=key)))
    written, new = with_comments(package.part(comments), texts)
    package.put(comments, written)
    package.put(drawing, with_shapes(package.part(drawing), new))


def _conversations(package: Package, part: str) -> set[Place]:
    """Return the cells about which people talk in a newer kind of comment, which would hide an older one."""
    places: set[Place] = set()
    for link in package.relations(part):
        if link.kind == "threadedComment" and link.part in package.names:
            corners = [parse_range(said.attributes.get("ref", "")) for said in tree(package.part(link.part)).children]
            places |= {corner[:2] for corner in corners if corner}
    return places


def _comment_text(found: Sequence[Finding]) -> str:
    return "\n\n".join(f"{LEVEL_WORDS[f.level]}: {f.sentence}\n→ {f.remedy}" for f in found)


def _words(name: str, findings: Sequence[Finding], by_table: Mapping[str, Mapping[Place, object]]) -> list[str]:
    levels = [found.level for found in findings]
    counts = f"{levels.count('stop')} to mend, {levels.count('ask')} to look at, {levels.count('note')} to know"
    words = [
        f"Findings in {name}: {counts}",
        "This is a copy; your workbook is unchanged. Mend it there and check it again, or go on with this copy.",
    ]
    if any(len(cells) > MOST_COMMENTS for cells in by_table.values()):
        words.append(
            f"Only the first {MOST_COMMENTS} cells of a table carry a comment; all are coloured and listed here."
        )
    return words


def _add_in_front(package: Package, worksheet: bytes) -> None:
    part = package.free_name("xl/worksheets/findings{}.xml")
    package.put(part, worksheet)
    package.declare(part=part, content_type=f"{_SPREADSHEET}.worksheet+xml")
    key = package.relate(_WORKBOOK, "worksheet", part)
    content = package.part(_WORKBOOK)
    root = tree(content)
    listed = needed(root, "sheets")
    number = 1 + max(int(sheet.attributes["sheetId"]) for sheet in listed.children)
    title = _free_title({sheet.attributes["name"].lower() for sheet in listed.children})
    entry = f'<{root.prefix}sheet xmlns:r="{RELATIONSHIPS}" name="{xml_text(title)}" sheetId="{number}" r:id="{key}"/>'
    edits = [prepended(content, listed, entry.encode()), *_moved_places(content, root)]
    package.put(_WORKBOOK, spliced(content, edits))


def _free_title(taken: set[str]) -> str:
    title, number = "Findings", 2
    while title.lower() in taken:
        title, number = f"Findings ({number})", number + 1
    return title


def _moved_places(content: bytes, root: Element) -> list[Edit]:
    """Names that belong to one table count tables from the first: all of them move by one. Show the list first."""
    moved: list[tuple[Element, str, str]] = []
    for names in (c for c in root.children if c.name == "definedNames"):
        moved += [
            (defined, "localSheetId", str(int(defined.attributes["localSheetId"]) + 1))
            for defined in names.children
            if "localSheetId" in defined.attributes
        ]
    for views in (c for c in root.children if c.name == "bookViews"):
        for view in views.children:
            moved += [(view, name, "0") for name in ("activeTab", "firstSheet") if name in view.attributes]
    by_start: dict[int, tuple[Element, bytes]] = {}
    for element, name, value in moved:
        tag = by_start.get(element.start, (element, content[element.start : element.start_tag_end]))[1]
        by_start[element.start] = (element, with_attribute(tag, name, value))
    return [Edit(element.start, element.start_tag_end, tag) for element, tag in by_start.values()]


_DATA = re.compile(rb"<((?:[\w.-]+:)?sheetData)(?:\s[^>]*)?>")
_AFTER_NOTES = {
    "legacyDrawingHF", "drawingHF", "picture", "oleObjects", "controls", "webPublishItems", "tableParts", "extLst",
    "AlternateContent",
}  # fmt: skip
"""Elements that come after the drawing of notes."""


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
    """Take away the mark that the tab is selected: two selected tabs would be edited together."""
    views = child(tree(outline), "sheetViews")
    selected = (view for view in (views.children if views else []) if "tabSelected" in view.attributes)
    return spliced(outline, [attribute_set(outline, view, "tabSelected", "0") for view in selected])


def _with_drawing(outline: bytes, relation: str) -> bytes:
    """Put in a link to the drawing that shows the notes."""
    root = tree(outline)
    link = f'<{root.prefix}legacyDrawing xmlns:r="{RELATIONSHIPS}" r:id="{relation}"/>'.encode()
    following = next((c.start for c in root.children if c.name in _AFTER_NOTES), None)
    at = outline.rindex(b"</") if following is None else following
    return spliced(outline, [Edit(at, at, link)])
