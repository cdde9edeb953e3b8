"""The texts on our own Guide and Lists are known by their numbers, of this and of earlier versions of the workbook.

After a wanted change of the guide: ``python -m tests.sheet.test_own_texts`` adds the new numbers; old ones stay, since
people go on filling in older workbooks.
"""

from pathlib import Path

import openpyxl

from bodytest.intake import own_tabs
from bodytest.intake.own_tabs import text_hash
from bodytest.sheet.guide import guide_text

ROOT = Path(__file__).parent.parent.parent
NUMBERS = Path(own_tabs.__file__).with_name("own_texts.txt")
SHEETS = sorted((ROOT / "sheets").glob("*.xlsx"))


def written_texts() -> set[str]:
    """Return the texts on the Guide and above the lists of the workbooks that we make."""
    texts: set[str] = set()
    for path in SHEETS:
        book = openpyxl.load_workbook(path)
        rows = [*book["Guide"].iter_rows(values_only=True), *book["Lists"].iter_rows(max_row=2, values_only=True)]
        texts |= {cell for row in rows for cell in row if isinstance(cell, str)}
    return texts


def test_every_text_of_our_guide_is_known() -> None:
    known = NUMBERS.read_text(encoding="utf-8").split()
    assert known == sorted(set(known))
    assert len(guide_text()["section"]) > 5
    assert [text for text in sorted(written_texts()) if text_hash(text) not in known] == []


def main() -> None:
    numbers = {*NUMBERS.read_text(encoding="utf-8").split(), *map(text_hash, written_texts())}
    NUMBERS.write_text("\n".join(sorted(numbers)) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
