"""Each absorption method with its own standard, and nothing told under a standard that was not followed."""

from pathlib import Path

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


def results_by(folder: Path, method: str | None) -> Results:
    lab = [["name", "value"], *([["absorption method", method]] if method else [])]
    path = folder / "soaked.xlsx"
    path.write_bytes(workbook_of({"Bars": BARS, "Lab": lab, "Firings": [["firing", "cone"], ["K1", "6"]]}))
    return analyse(read_sheets([path]))


@pytest.mark.parametrize("method", [*SOAKINGS, None])
def test_the_page_names_the_standard_of_the_method_that_was_followed(tmp_path: Path, method: str | None) -> None:
    results = results_by(tmp_path, method)
    section = method_section(VOICE, results, results.groups, results.groups[0])
    absorbed = next(one for one in section.formulas if one.name == "Water absorption")
    assert absorbed.source == f"Basis: dry fired mass. Source: {soaking(method).source}."


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


def test_classes_of_tiles_are_not_told_for_a_cold_soak(tmp_path: Path) -> None:
    assert classes_sentence(VOICE, results_by(tmp_path, "cold soak 24 h").groups[0]) is None
    assert classes_sentence(VOICE, results_by(tmp_path, "vacuum").groups[0]) is not None


def test_a_source_without_a_method_claims_no_standard() -> None:
    assert QUANTITY_BY_KEY["absorption"].source_by(None) == "method not stated"
    assert QUANTITY_BY_KEY["bulk_density"].source_by("vacuum") == (
        "ISO 10545-3:2018; water density: Tanaka et al. 2001, Metrologia 38, 301"
    )
