"""Which tables have our layout already, and need no laying out."""

from collections.abc import Sequence

from bodytest.grids.grid import Grid
from bodytest.intake.cells import read_text
from bodytest.intake.heading_row import heading_texts
from bodytest.intake.layouts.blocks import Block
from bodytest.intake.layouts.firing_lists import lists_nothing_else
from bodytest.intake.layouts.headings import meaning, plain
from bodytest.intake.layouts.titles import read_title, tab_title
from bodytest.intake.layouts.told_by_cells import cells_tell
from bodytest.intake.stated import stand_alone
from bodytest.tables import SHEETS_WITHOUT_READINGS

_MOST_SAID = 3
"""Cells of a title that commas divide."""


def is_ours(grid: Grid) -> bool:
    """Tell whether a table is a Bars table of ours: its name, bars, bodies and firings named, no unit elsewhere."""
    if plain(tab_title(grid.name)) != "bars":
        return False
    means = [meaning(text, "bars") for text in heading_texts(grid, "bars")]
    keys = [m.key for m in means if m.key]
    sparse = (row for _, row in grid.below_headings(0) if sum(cell != "" for cell in row) <= _MOST_SAID)
    told = all(m.unit for m in means if m.kinds) or not any(
        read_title(read_text(cell)).units for row in sparse for cell in row if cell != ""
    )
    is_made_so = told and not any(m.mark or m.bar or stand_alone(m.quantities, keys) for m in means)
    return {"bar", "body", "firing"} <= set(keys) and is_made_so and keys.count("bar") == 1


def is_other(grid: Grid) -> bool:
    """Tell whether a tab of ours or a list of firings stands there, and no bars."""
    if plain(tab_title(grid.name)) in {"firings", "lab", "pieces", "specs", *map(plain, SHEETS_WITHOUT_READINGS)}:
        return True
    return lists_nothing_else(grid)


def is_plain(blocks: Sequence[Block]) -> bool:
    """Tell whether there is nothing to lay out: one upright block of which nothing but its headings says anything."""
    view = blocks[0].view
    if len(blocks) != 1 or view.turned or view.origin is not None:
        return False
    block = blocks[0]
    means = [h.means for h in block.headings]
    keys = {m.key for m in means}
    if heading_texts(view.grid, "bars") != [h.text for h in block.headings]:
        return False
    if any(m.mark or m.bar or stand_alone(m.quantities, keys) for m in means) or any(h.of_days for h in block.headings):
        return False
    if cells_tell(block) or any(read_title(entry.said).heated for entry in view.said.legend):
        return False
    if keys >= {"bar", "body", "firing"} and all(m.unit for m in means if m.kinds):
        return True
    alone = [[read_text(cell) for cell in view.lines[line][1] if cell != ""] for line in block.body]
    above = (*(text for _, text in block.above), *(one.said for one in view.said.legend), tab_title(view.grid.name))
    told = [read_title(text) for text in (*above, *(texts[0] for texts in alone if len(texts) == 1))]
    heats = keys & {"cone", "peak_temperature", "date"}
    return not heats and not any(t.body or t.heated or t.firing or t.units for t in told)
