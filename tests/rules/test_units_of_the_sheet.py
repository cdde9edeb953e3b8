"""Findings tell a number in the unit of its cell, whatever it is held in."""

import csv
import io
import re
from pathlib import Path

import pytest

from bodytest.reading import read_sheets
from tests.broken_sheets import make

HELD = re.compile(r"\d (?:mm|g|N|°C)\b(?!/)")
IN_INCHES = {"mm": ("in", 25.4), "g": ("oz", 28.349523125), "N": ("lbf", 4.4482216152605), "°C": ("°F", 1 / 1.8)}
QUOTING = frozenset({
    "bar-contradicts", "beyond-clay", "boiled-below-fired", "choice-missing", "column-of-another-magnitude",
    "contradicts-another", "dry-longer-than-wet", "far-from-neighbours", "fired-heavier-than-dry", "impossible-value",
    "left-out-from-stage", "mass-and-length-apart", "not-the-size-of-a-bar", "readings-all-alike",
    "size-and-mass-do-not-match", "slip-confirmed", "suspended-not-below-fired", "test-not-as-usual", "two-formulas",
})  # fmt: skip
"""Codes of findings that quote a reading of a bar."""
SHEETS = sorted(
    name
    for name, content in make.SHEETS.items()
    if name.endswith(".csv") and name.removesuffix(".csv").startswith(tuple(QUOTING)) and b"(mm)" in content
)


def in_inches(content: bytes) -> str:
    """Return a sheet in inches and ounces."""
    heads, *rows = csv.reader(io.StringIO(content.decode("utf-8-sig")))
    units = [IN_INCHES.get(found[1], ("", 0.0)) if (found := re.search(r"\((\S+)\)$", h)) else ("", 0.0) for h in heads]
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(
        re.sub(r"\(\S+\)$", f"({unit})", h) if unit else h for h, (unit, _) in zip(heads, units, strict=True)
    )
    for row in rows:
        writer.writerow(
            f"{float(cell) / size:.5f}" if unit and re.fullmatch(r"[\d.]+", cell) else cell
            for cell, (unit, size) in zip(row, units, strict=True)
        )
    return text.getvalue()


def told(path: Path, text: str) -> list[tuple[str, str]]:
    path.write_text(text, encoding="utf-8")
    return [(f.code, f"{f.sentence} {f.remedy} {f.value}") for f in read_sheets([path]).findings]


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_in_inches_and_ounces_is_told_in_these(name: str, tmp_path: Path) -> None:
    found = told(tmp_path / name, in_inches(make.SHEETS[name]))
    assert [sentence for _, sentence in found if HELD.search(sentence)] == []


def test_nearly_every_finding_that_quotes_a_reading_is_tried(tmp_path: Path) -> None:
    codes = {code for name in SHEETS for code, _ in told(tmp_path / name, in_inches(make.SHEETS[name]))}
    assert QUOTING - codes == set()


def test_a_slip_is_looked_for_in_the_digits_that_were_typed(tmp_path: Path) -> None:
    rows = [["bar", "body", "batch", "firing", "wet length (in)", "dry length (in)"]]
    rows += [
        [f"A{i}", "Torvan", "M1", "F1", f"{4.21 + 0.01 * (i % 3):.2f}", f"{3.95 + 0.01 * (i % 3):.2f}"]
        for i in range(9)
    ]
    rows[4][5] = "9.35"
    ((_, slip),) = [
        one for one in told(tmp_path / "in.csv", "\n".join(map(",".join, rows))) if one[0] == "dry-longer-than-wet"
    ]
    assert slip.startswith(
        "The bar A3 is 9.35 in long dry and 4.21 in wet (Bars!F5 and Bars!E5); clay does not grow in drying. The dry"
        " length is the one that does not fit and is not used. 3.95 in instead of 9.35 in (two digits in each other’s"
        " place) would fit its neighbours."
    )


def test_a_temperature_in_fahrenheit_is_told_in_fahrenheit(tmp_path: Path) -> None:
    rows = "bar,body,firing,wet length (mm),fired length (mm),cone,peak temperature (°F)\nA1,Torvan,F1,100,88,6,1830\n"
    sentences = [sentence for code, sentence in told(tmp_path / "f.csv", rows) if code == "cone-far-from-temperature"]
    assert sentences[0].startswith(
        "Bars!G2 gives 1830 °F for a firing to cone 6, which usually falls near 2232 °F. Cone 06 would fit:"
    )


def test_the_limits_of_the_lab_table_are_told_in_its_unit(tmp_path: Path) -> None:
    lab = [["length reading step (in)", 0.9], ["water temperature (°F)", 250]]
    (tmp_path / "lab.xlsx").write_bytes(make.book_with(Lab=lab))
    sentences = [f.sentence for f in read_sheets([tmp_path / "lab.xlsx"]).findings if f.code.startswith("lab-value")]
    assert sentences == [
        "0.9 in Lab!B1 is odd for “length reading step” (usual: 1.97e-05 to 0.07874 in); it was used.",
        "250 in Lab!B2 cannot be right for “water temperature” (possible: 32 to 104 °F), so it was not used.",
    ]
