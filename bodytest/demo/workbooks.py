"""The demonstration workbooks as files: the same bytes each time."""

from pathlib import Path

from bodytest.demo.mistakes import mistaken_workbook
from bodytest.demo.unfinished import half_filled_content
from bodytest.demo.workshop import complete_content
from bodytest.files.fixed_zip import workbook_bytes
from bodytest.files.writing import write_whole
from bodytest.sheet.blank import BlankSheetOptions, planned_content, sheet_bytes

DEMO_SHEETS = ("demo-complete.xlsx", "demo-half-filled.xlsx", "demo-mistakes.xlsx", "blank.xlsx")
"""Names of the workbooks."""


def write_demo_sheets(folder: Path) -> tuple[Path, ...]:
    """Write the complete, the half-filled and the mistaken workbook, and a blank one; return their paths."""
    workbooks = (
        sheet_bytes(complete_content()),
        sheet_bytes(half_filled_content()),
        workbook_bytes(mistaken_workbook()),
        sheet_bytes(planned_content(BlankSheetOptions())),
    )
    for name, content in zip(DEMO_SHEETS, workbooks, strict=True):
        write_whole(folder / name, content)
    return tuple(folder / name for name in DEMO_SHEETS)
