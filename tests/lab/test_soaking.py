"""Each absorption method with its own standard, and nothing told under a standard that was not followed."""

from pathlib import Path
from typing import Any

import pytest

from bodytest import analyse, read_sheets
from bodytest.analysis.deviations import deviations
from bodytest.lab.soaking import SOAKINGS, soaking
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.sections.method import classes_sentence, method_section
from bodytest.report.wording import Voice, english
from bodytest.results import Results
from tests.broken_sheets.make import workbook_of

VOICE = Voice(english())
BARS = [
    [
        "bar",
        "body",
        "batch",
        "firing",
        "fired mass (g)",
        "cold-soaked mass (g)",
        "boiled mass (g)",
        "suspended mass (g)",
    ],
    *(
        [f"B{n}", "Invented Grey", "1", "K1", 100.0 + n, 105.0 + 1.05 * n, 108.0 + 1.08 * n, 58.0 + n / 2]
        for n in range(4)
    ),
]


def results_by(folder: Path, method: str | None, bars: list[list[Any]] = BARS, *lab_rows: list[Any]) -> Results:
    lab = [["name", "value"], *([["absorption method", method]] if method else []), *lab_rows]
    path = folder / "soaked.xlsx"
    path.write_bytes(workbook_of({"Bars": bars, "Lab": lab, "Firings": [["firing", "cone"], ["K1", "6"]]}))
    return analyse(read_sheets([path]))


@pytest.mark.parametrize("method", [*SOAKINGS, None])
def test_the_page_names_the_standard_of_the_method_that_was_followed(tmp_path: Path, method: str | None) -> None:
    results = results_by(tmp_path, method)
    section = method_section(VOICE, results, results.groups, results.groups[0])
    absorbed = next(one for one in section["formulas"] if one["name"] == "Water absorption")
    assert absorbed["source"] == f"Basis: dry fired mass. Source: {soaking(method).source}."


@pytest.mark.parametrize(
    ("method", "there"),
    [
        ("boil 5 h", True),
        ("boil 5 h and soak 24 h", True),
        (None, True),
        ("vacuum", False),
        ("boil 2 h and soak 12 h", False),
    ],
)
def test_the_saturation_coefficient_needs_a_boil_of_five_hours(tmp_path: Path, method: str | None, there: bool) -> None:
    results = results_by(tmp_path, method)
    assert ("saturation_coefficient" in results.programmes[0].quantities) is there
    told = [one for one in deviations(results, results.programmes) if one.startswith("Saturation coefficient")]
    assert told == (
        []
        if there
        else [
            "Saturation coefficient is not computed: ASTM C67 needs a boil of 5 h, and the bars were filled with water"
            " in another way."
        ]
    )


def test_too_few_bars_and_the_density_of_water_are_told_as_deviations(tmp_path: Path) -> None:
    found = deviations(results := results_by(tmp_path, "boil 5 h and soak 24 h"), results.programmes)
    assert found == (
        "Absorption at cone 6 rests on 4 bars; ASTM C373, boiling asks for 5.",
        "The water temperature is not stated; its density is taken at 20 °C.",
        "For the saturation coefficient bars were soaked 24 h after the boil; ASTM C67 weighs them after 5 h.",
    )


COLD = "24 h cold soak, as in ASTM C67 (from memory)"
LIGHT = "The lightest bar at cone 6 weighs 43.0 g; ASTM C373, boiling asks for 50 g at least."
BY_BOIL = "For porosity and density ISO 10545-3:1995 fills bars under vacuum; these were boiled."
NO_COEFFICIENT = (
    "Saturation coefficient is not computed: ASTM C67 needs a boil of 5 h, and the bars were filled with water in"
    " another way."
)
PROFILES = {
    "boil 5 h and soak 24 h": (
        "ASTM C373, boiling", True, True,
        ["Absorption at cone 6 rests on 4 bars; ASTM C373, boiling asks for 5.", LIGHT,
         "Bars were dried at 108 °C; ASTM C373, boiling asks for 145 to 155 °C.",
         "Water has its density at the stated temperature; ASTM C373, boiling takes it as 1 g/cm³.",
         "For the saturation coefficient bars were soaked 24 h after the boil; ASTM C67 weighs them after 5 h."],
    ),
    "boil 5 h": ("ASTM C67", True, True, ["Absorption at cone 6 rests on 4 bars; ASTM C67 asks for 5."]),
    "boil 2 h and soak 12 h": (
        "ASTM C20 (soak from memory)", False, True,
        ["Water has its density at the stated temperature; ASTM C20 (soak from memory) takes it as 1 g/cm³.",
         NO_COEFFICIENT],
    ),
    "boil 2 h and soak 4 h": ("ISO 10545-3:1995", False, True, [BY_BOIL, NO_COEFFICIENT]),
    "vacuum": ("ISO 10545-3:2018", False, True, [NO_COEFFICIENT]),
    "cold soak 24 h": (
        COLD, False, False, [f"Absorption at cone 6 rests on 4 bars; {COLD} asks for 5.", NO_COEFFICIENT]
    ),
    "other": ("no standard named", False, False, [NO_COEFFICIENT]),
}  # fmt: skip
"""Method → source, whether there is a saturation coefficient, whether classes are told, deviations."""


@pytest.mark.parametrize("method", PROFILES)
def test_each_method_gives_its_quantities_source_classes_and_deviations(tmp_path: Path, method: str) -> None:
    source, coefficient, classes, departs = PROFILES[method]
    bars = [BARS[0], *([*row[:4], *(round(mass * 0.43, 3) for mass in row[4:])] for row in BARS[1:])]
    results = results_by(tmp_path, method, bars, ["water temperature (°C)", 21], ["oven temperature (°C)", 108])
    (programme,) = results.programmes
    soaked = {"absorption", "cold_absorption", "apparent_porosity", "bulk_density", "apparent_specific_gravity"}
    assert set(programme.quantities) == soaked | ({"saturation_coefficient"} if coefficient else set())
    assert programme.absorption_method == method
    for quantity in ("absorption", "apparent_porosity", "bulk_density"):
        assert source in QUANTITY_BY_KEY[quantity].source_by(method)
    told = classes_sentence(VOICE, results.groups[0])
    assert (told is not None) is classes
    assert told is None or ("only bars filled under vacuum" in told) is (method != "vacuum")
    assert list(deviations(results, results.programmes)) == departs


def test_methods_of_several_workbooks_stay_apart(tmp_path: Path) -> None:
    paths = []
    for method in ("vacuum", "cold soak 24 h"):
        (tmp_path / method).mkdir()
        results_by(tmp_path / method, method)
        paths.append(tmp_path / method / "soaked.xlsx")
    other = [BARS[0], *([row[0].replace("B", "C"), *row[1:]] for row in BARS[1:])]
    results_by(paths[1].parent, "cold soak 24 h", other)
    results = analyse(read_sheets(paths))
    assert [(one.absorption_method, one.bars) for one in results.programmes] == [("cold soak 24 h", 4), ("vacuum", 4)]


def test_classes_of_tiles_are_not_told_for_a_cold_soak(tmp_path: Path) -> None:
    assert classes_sentence(VOICE, results_by(tmp_path, "cold soak 24 h").groups[0]) is None
    assert classes_sentence(VOICE, results_by(tmp_path, "vacuum").groups[0]) is not None


def test_a_source_without_a_method_claims_no_standard() -> None:
    assert QUANTITY_BY_KEY["absorption"].source_by(None) == "method not stated"
    assert QUANTITY_BY_KEY["bulk_density"].source_by("vacuum") == (
        "ISO 10545-3:2018; water density: Tanaka et al. 2001, Metrologia 38, 301"
    )
