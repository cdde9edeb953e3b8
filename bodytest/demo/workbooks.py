"""The demonstration workbooks as files: the same bytes each time."""

from pathlib import Path

from bodytest.demo.mistakes import mistaken_workbook
from bodytest.demo.unfinished import half_filled_content
from bodytest.demo.workshop import complete_content
from bodytest.files.fixed_zip import workbook_bytes
from bodytest.files.writing import write_whole
from bodytest.sheet.blank import BlankSheetOptions, planned_content, sheet_bytes


def write_demo_sheets(folder: Path) -> tuple[Path, ...]:
    """Write the complete, the half-filled and the mistaken workbook, and a blank one; return their paths."""
    workbooks = {
        "demo-complete.xlsx": sheet_bytes(complete_content()),
        "demo-half-filled.xlsx": sheet_bytes(half_filled_content()),
        "demo-mistakes.xlsx": workbook_bytes(mistaken_workbook()),
        "blank.xlsx": sheet_bytes(planned_content(BlankSheetOptions())),
    }
    for name, content in workbooks.items():
        write_whole(folder / name, content)
    return tuple(folder / name for name in workbooks)
