"""How many cells of each table of a file are filled, counted without any code of the program."""

import csv
import io
import zipfile
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import openpyxl

_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def counted_cells(path: Path) -> dict[str, int]:
    """Return the number of filled cells of each table that holds any; a text that is never there counts nothing."""
    content = path.read_bytes()
    if not content.startswith(b"PK"):
        return _of_text(content)
    if path.suffix == ".ods":
        return _of_ods(content)
    return _of_xlsx(content)


def _of_xlsx(content: bytes) -> dict[str, int]:
    """Count values and formulas without a stored result; a formula whose stored result is an empty text is blank."""
    values = openpyxl.load_workbook(io.BytesIO(content), data_only=True)
    formulas = openpyxl.load_workbook(io.BytesIO(content))
    empty = _empty_results(content)
    counts: Counter[str] = Counter()
    for table in formulas.worksheets:
        for row in table.iter_rows():
            for cell in row:
                value = values[table.title][cell.coordinate].value
                never = cell.data_type == "f" and value is None and (table.title, cell.coordinate) not in empty
                counts[table.title] += never or value not in (None, "")
    return {table: count for table, count in counts.items() if count}


def _empty_results(content: bytes) -> set[tuple[str, str]]:
    """Return table and address of formulas that were calculated to an empty text."""
    book = openpyxl.load_workbook(io.BytesIO(content))
    found = set()
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        for number, table in enumerate(book.worksheets, start=1):
            name = f"xl/worksheets/sheet{number}.xml"
            if name in archive.namelist():
                cells = ElementTree.fromstring(archive.read(name)).iter()
                found |= {(table.title, c.get("r", "")) for c in cells if c.tag.endswith("}c") and c.get("t") == "str"}
    return found


def _of_ods(content: bytes) -> dict[str, int]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        root = ElementTree.fromstring(archive.read("content.xml"))
    counts: Counter[str] = Counter()
    for table in root.iter(f"{_TABLE}table"):
        for row in table.iter(f"{_TABLE}table-row"):
            times = int(row.get(f"{_TABLE}number-rows-repeated", 1))
            for cell in row:
                if any(True for p in cell.findall(f"{_TEXT}p") if "".join(p.itertext())):
                    counts[table.get(f"{_TABLE}name", "")] += times * int(
                        cell.get(f"{_TABLE}number-columns-repeated", 1)
                    )
                elif cell.get(f"{_TABLE}formula") and not cell.get(f"{_OFFICE}value-type"):
                    counts[table.get(f"{_TABLE}name", "")] += times
    return dict(counts)


def _of_text(content: bytes) -> dict[str, int]:
    wide = content.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ("utf-16",) if wide else ("utf-8-sig", "cp1252"):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        break
    most: Counter[str] = Counter()
    for sign in ",;\t|":
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=sign))
        most[sign] = max(len([c for c in row if c]) for row in rows) if rows else 0
    (sign, _), *_ = most.most_common(1)
    count = sum(cell != "" for row in csv.reader(io.StringIO(text, newline=""), delimiter=sign) for cell in row)
    return {"Bars": count} if count else {}
