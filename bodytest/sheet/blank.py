"""The blank workbook: options of the user turned into planned bars, and the workbook written."""

import math
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path

from openpyxl import Workbook

from bodytest.cones import parse_cone
from bodytest.errors import UnusableRequest
from bodytest.files.fixed_zip import workbook_bytes
from bodytest.files.outputs import is_standard_output, refuse_output
from bodytest.files.writing import write_whole
from bodytest.sheet.bar_codes import bar_letters
from bodytest.sheet.bars_sheet import add_bars_sheet
from bodytest.sheet.chosen_columns import NEEDED, KindsOfTest, Units
from bodytest.sheet.content import Row, SheetContent
from bodytest.sheet.guide import add_guide_sheet
from bodytest.sheet.lab_sheet import add_lab_sheet
from bodytest.sheet.lists_sheet import add_lists_sheet
from bodytest.sheet.other_sheets import add_firings_sheet, add_pieces_sheet, add_specs_sheet

MOST_ROWS = 5000
"""Rows that a blank workbook may have; beyond that nobody fills it in by hand."""
MOST_MARKS = 20
MOST_NAMES = 30
"""Names that fit the drop-down lists."""
LONGEST_NAME = 80


@dataclass(frozen=True)
class FiringPlan:
    """A firing that is planned."""

    code: str
    """Its code, e.g. ``F1``."""
    cone: str = ""
    """The cone aimed at, as `bodytest.cones.parse_cone` gives it."""


@dataclass(frozen=True)
class BlankSheetOptions:
    """What the user wants to test."""

    bodies: tuple[str, ...] = ()
    """Names of the bodies; none leaves the column empty."""
    batches: tuple[str, ...] = ()
    """Names of the batches; each body gets bars of each."""
    firings: tuple[FiringPlan, ...] = (FiringPlan("F1"),)
    """Planned firings; each batch gets bars for each."""
    directions: tuple[str, ...] = ()
    """Directions; each firing gets bars for each."""
    bars: int = 10
    """Bars of each body, batch, firing and direction."""
    marks: int = 1
    """Pairs of gauge lines on each bar."""
    kinds: KindsOfTest = field(default_factory=KindsOfTest)
    """Stages and kinds of test."""
    units: Units = field(default_factory=Units)
    """Units in the headings."""
    workshop: str = ""
    """Name for the Lab sheet."""
    paper: str = "A4"
    """``A4`` or ``Letter``."""


def planned_firings(texts: Iterable[str]) -> tuple[FiringPlan, ...]:
    """Read planned firings as they are typed: a code, or a code with its cone after a colon, or a cone.

    >>> planned_firings(["F1:6", "glaze 2"])
    (FiringPlan(code='F1', cone='6'), FiringPlan(code='glaze 2', cone=''))

    Raises:
        UnusableRequest: what stands behind the colon is no cone.
    """
    planned = []
    for text in texts:
        code, colon, cone_text = text.rpartition(":") if ":" in text else (text, "", "")
        cone = parse_cone(cone_text) if colon else "" if text.strip().isdigit() else parse_cone(text) or ""
        if cone is None:
            raise UnusableRequest(
                "no-such-cone", value=cone_text, option="--firing", given=text, example="F1:06 or F2:6"
            )
        planned.append(FiringPlan(code.strip(), cone))
    return tuple(planned)


def write_blank_sheet(path: Path, options: BlankSheetOptions) -> None:
    """Write the workbook; a file that is there already is left as it is.

    Raises:
        UnusableRequest: an option cannot be meant.
        UnwritableFile: the file exists or cannot be written.
    """
    if path.suffix.lower() != ".xlsx" and not is_standard_output(path):
        raise UnusableRequest("not-a-workbook-name", sheet=str(path))
    refuse_output(path, overwrite=False)
    write_whole(path, sheet_bytes(planned_content(options)), overwrite=False)


def sheet_bytes(content: SheetContent) -> bytes:
    """Return a workbook with this content; the same content gives the same bytes."""
    return workbook_bytes(build_workbook(content))


def build_workbook(content: SheetContent) -> Workbook:
    """Return the workbook with all its sheets."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    workbook.properties.creator = "bodytest"
    add_bars_sheet(workbook, content)
    add_firings_sheet(workbook, content)
    add_lab_sheet(workbook, content)
    add_pieces_sheet(workbook, content)
    add_specs_sheet(workbook, content)
    add_guide_sheet(workbook, content)
    add_lists_sheet(workbook, content)
    workbook.active = 0
    workbook.calculation.fullCalcOnLoad = True
    return workbook


def planned_content(options: BlankSheetOptions) -> SheetContent:
    """Turn options into planned rows: every body × batch × firing × direction gets its numbered bars.

    Raises:
        UnusableRequest: an option cannot be meant.
    """
    _refuse_unusable(options)
    return SheetContent(
        bars=tuple(_planned_bars(options)),
        firings=tuple(
            {"firing": f.code, "cone": f.cone or None, "purpose": purpose_of(f.code)} for f in options.firings
        ),
        lab={"workshop": options.workshop or None},
        kinds=options.kinds,
        units=options.units,
        bodies=options.bodies,
        batches=options.batches,
        directions=options.directions or ("along", "across"),
        paper=options.paper,
    )


_PURPOSE_WORDS = {"bisque": "bisque", "biscuit": "bisque", "glaze": "final", "glost": "final", "final": "final",
                  "test": "test", "trial": "test"}  # fmt: skip


def purpose_of(firing: str) -> str | None:
    """Return what a firing is for by what it is called; None where its code does not say one thing.

    >>> purpose_of("Bisque"), purpose_of("glaze 2"), purpose_of("C6"), purpose_of("glaze test")
    ('bisque', 'final', None, None)
    """
    said = {purpose for word, purpose in _PURPOSE_WORDS.items() if word in firing.casefold()}
    return said.pop() if len(said) == 1 else None


def _planned_bars(options: BlankSheetOptions) -> list[Row]:
    rows: list[Row] = []
    letters: set[str] = set()
    for body in options.bodies or ("",):
        letter = bar_letters(body, letters)
        letters.add(letter)
        firings, directions = options.firings or (FiringPlan(""),), options.directions or ("",)
        bars = product(options.batches or ("",), firings, directions, range(options.bars))
        for number, (batch, firing, direction, _) in enumerate(bars, start=1):
            names = {"body": body, "batch": batch, "firing": firing.code, "direction": direction}
            rows += _bar_rows(f"{letter}{number}", names, options.marks)
    return rows


def _bar_rows(code: str, names: dict[str, str], marks: int) -> list[Row]:
    filled = {"bar": code, **{name: text for name, text in names.items() if text}}
    if marks == 1:
        return [filled]
    return [{**filled, "mark": str(mark)} for mark in range(1, marks + 1)]


def _refuse_unusable(options: BlankSheetOptions) -> None:
    if not 1 <= options.bars <= 1000:
        raise UnusableRequest("option-out-of-range", value=options.bars, option="--bars", low=1, high=1000)
    if not 1 <= options.marks <= MOST_MARKS:
        raise UnusableRequest("option-out-of-range", value=options.marks, option="--marks", low=1, high=MOST_MARKS)
    _refuse_kinds(options.kinds)
    if not _is_writable(options.workshop):
        raise UnusableRequest("unusable-name", value=options.workshop, option="--workshop", most=LONGEST_NAME)
    names = {
        "--body": options.bodies,
        "--batch": options.batches,
        "--firing": tuple(f.code for f in options.firings),
        "--direction": options.directions,
    }
    for option, given in names.items():
        _refuse_names(option, given)
    rows = options.bars * options.marks * math.prod(len(given) or 1 for given in names.values())
    if rows > MOST_ROWS:
        raise UnusableRequest("too-many-rows", value=rows, most=MOST_ROWS)


def _refuse_kinds(kinds: KindsOfTest) -> None:
    """Refuse kinds of test that leave out what they are computed with, or leave nothing to measure."""
    if not (kinds.lengths or kinds.masses):
        raise UnusableRequest("nothing-to-measure", option="--no-lengths", value="--no-masses")
    for kind, needed in NEEDED.items():
        if getattr(kinds, kind) and not getattr(kinds, needed):
            raise UnusableRequest("nothing-to-measure", option=f"--no-{needed}", value=f"--{kind.replace('_', '-')}")


def _is_writable(name: str) -> bool:
    """Tell whether a name fits a cell: no line breaks, control characters, or halves of characters."""
    return len(name) <= LONGEST_NAME and not any(unicodedata.category(c) in ("Cc", "Cs", "Cn") for c in name)


def _refuse_names(option: str, names: tuple[str, ...]) -> None:
    seen: set[str] = set()
    if len(names) > MOST_NAMES:
        raise UnusableRequest("too-many-names", value=len(names), option=option, most=MOST_NAMES)
    for name in names:
        if not name.strip() or not _is_writable(name):
            raise UnusableRequest("unusable-name", value=name, option=option, most=LONGEST_NAME)
        if name.casefold() in seen:
            raise UnusableRequest("name-given-twice", value=name, option=option)
        seen.add(name.casefold())
