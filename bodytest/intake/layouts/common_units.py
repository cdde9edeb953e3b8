"""Units that a table tells once for all of its columns, in a title, a note or a heading alone."""

from bodytest.grids.grid import Place
from bodytest.grids.notebook import Notebook
from bodytest.intake.layouts.blocks import Block, Heading, remarks
from bodytest.intake.layouts.titles import Titles, read_title
from bodytest.intake.layouts.view import is_number
from bodytest.units import TEMPERATURE_UNITS, canonical_unit, dimension_of


def common_units(block: Block, titles: Titles, notes: Notebook) -> dict[str, tuple[str, str]]:
    """Return the unit of each dimension, and of ``temperature``, that a note or a lone heading tells, and where."""
    units: dict[str, tuple[str, str]] = {}
    told: list[tuple[Place, tuple[str | None, ...]]] = [
        (h.places[0], (canonical_unit(h.text.strip("()[] ")),)) for h in block.headings if is_lone_unit(block, h)
    ]
    told += [(place, title.units) for place, title in titles if place is not None]
    told += [(place, read_title(text).units) for place, text in remarks(block)]
    told += [(entry.place, read_title(entry.said).units) for entry in block.view.said.legend]
    for place, names in told:
        for unit in names:
            dimension = dimension_of(unit)
            name = dimension.name if dimension else "temperature" if unit in TEMPERATURE_UNITS else ""
            if name and unit:
                units.setdefault(name, (unit, notes.address(*place)))
    for name, unit in block.view.said.units.items():
        units.setdefault(name, (unit, "--unit"))
    return units


def is_lone_unit(block: Block, heading: Heading) -> bool:
    """Tell whether a heading is a unit and nothing stands below it."""
    return canonical_unit(heading.text.strip("()[] ")) is not None and not has_numbers(block, heading.column)


def has_numbers(block: Block, column: int) -> bool:
    """Tell whether a number stands in a column of a block."""
    return any(is_number(block.cell(line, column)) for line in block.body)
