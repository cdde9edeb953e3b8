"""Cells are found or put in wherever a worksheet leaves them out, in the order that spreadsheet programs demand."""

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from bodytest.grids.grid import column_letters
from bodytest.marked.coloured_cells import with_cells, with_styles
from bodytest.marked.xml_splice import tree, with_attribute

places = st.tuples(st.integers(1, 12), st.integers(0, 30))


def worksheet(cells: set[tuple[int, int]], *, prefix: str, addressed: bool, remark: str) -> bytes:
    """Write a worksheet; without addresses every row and cell up to the last one has to be there."""
    rows = {row for row, _ in cells}
    text = ""
    for row in sorted(rows) if addressed else range(1, max(rows, default=0) + 1):
        columns = sorted(column for r, column in cells if r == row)
        written = ""
        for column in columns if addressed else range(max(columns, default=-1) + 1):
            where = f' r="{column_letters(column)}{row}"' if addressed else ""
            value = f"<{prefix}v>{row * 100 + column}</{prefix}v>" if column in columns else ""
            written += f'<{prefix}c{where} s="2">{value}</{prefix}c>' if value else f"<{prefix}c/>"
        number = f' r="{row}"' if addressed else ""
        text += f"<{prefix}row{number}>{written}</{prefix}row>" if written else f"<{prefix}row{number}/>"
    data = f"<{prefix}sheetData>{text}</{prefix}sheetData>" if text else f"<{prefix}sheetData/>"
    space = f"xmlns:{prefix[:-1]}" if prefix else "xmlns"
    return f'<{prefix}worksheet {space}="urn:any">{remark}{data}</{prefix}worksheet>'.encode()


def values(content: bytes) -> dict[str, bytes]:
    found = re.findall(rb'<(?:x:)?c r="([A-Z]+\d+)"[^>]*>(?:<(?:x:)?v>(\d+)</(?:x:)?v>)', content)
    return {address.decode(): value for address, value in found}


@settings(max_examples=300, deadline=None)
@given(
    cells=st.sets(places, max_size=25),
    wanted=st.sets(places, min_size=1, max_size=25),
    prefix=st.sampled_from(["", "x:"]),
    remark=st.sampled_from(["", "<!-- <row r='1'> is no row -->"]),
)
def test_wanted_cells_are_there_afterwards_in_order_and_values_are_untouched(
    cells: set[tuple[int, int]], wanted: set[tuple[int, int]], prefix: str, remark: str
) -> None:
    before = worksheet(cells, prefix=prefix, addressed=True, remark=remark)
    filled, sites = with_cells(before, wanted)
    after = with_styles(filled, sites, dict.fromkeys(wanted, 7))
    assert values(after) == values(before)
    data = next(c for c in tree(after).children if c.name == "sheetData")
    rows = [int(row.attributes["r"]) for row in data.children]
    assert rows == sorted(set(rows))
    styles: dict[str, str | None] = {}
    for row in data.children:
        addresses = [cell.attributes["r"] for cell in row.children]
        assert addresses == sorted(set(addresses), key=lambda a: (len(re.sub(r"\d", "", a)), a))
        styles |= {cell.attributes["r"]: cell.attributes.get("s") for cell in row.children}
    marked = {f"{column_letters(column)}{row}" for row, column in wanted}
    assert {address for address, style in styles.items() if style == "7"} == marked
    assert set(styles) == marked | set(values(before))


@settings(max_examples=100, deadline=None)
@given(cells=st.sets(places, min_size=1, max_size=25), data=st.data())
def test_cells_without_addresses_are_counted(cells: set[tuple[int, int]], data: st.DataObject) -> None:
    before = worksheet(cells, prefix="", addressed=False, remark="")
    wanted = data.draw(st.sets(st.sampled_from(sorted(cells)), min_size=1))
    filled, sites = with_cells(before, wanted)
    assert filled == before
    for row, column in wanted:
        site = sites[row, column]
        assert before[site.end : site.end + 3] == b"<v>"
        assert before[site.end + 3 :].startswith(str(row * 100 + column).encode())


@given(value=st.text(st.characters(codec="ascii", exclude_categories=["Cc"]), max_size=12))
def test_an_attribute_set_twice_has_the_second_value(value: str) -> None:
    tag = with_attribute(with_attribute(b"<c r='A1' s='3' t=\"s\"/>", "s", value), "s", "4")
    assert tag == b'<c r=\'A1\' s="4" t="s"/>'
