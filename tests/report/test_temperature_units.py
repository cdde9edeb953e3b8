"""Pages of a sheet in °F: the same analysis as in °C, told in the unit that the sheet has."""

import re
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook

from bodytest.analysis.analysing import analyse
from bodytest.reading import read_sheets
from bodytest.report.pages import report_pages
from bodytest.results import Results
from bodytest.units import degrees

LOADS = {"A": (1121, 9.2, 7.1), "B": (1185, 10.6, 4.0), "C": (1222, 11.9, 1.2), "D": (1260, 11.5, 0.6)}
"""Load → °C, total shrinkage and absorption, all invented."""
OFF = (-0.2, -0.1, 0.0, 0.1, 0.2)
TEXT = re.compile(r"<(script|style)\b.*?</\1>|<[^>]+>", re.DOTALL)


def results_in(folder: Path, unit: str, *, set_only: bool = False) -> Results:
    """Return the results of the invented loads, their temperatures typed in a unit, as peaks or only as set."""
    book = Workbook()
    bars, firings = book.active, book.create_sheet("Firings")
    bars.title = "Bars"
    bars.append(("bar", "body", "firing", "wet length (mm)", "fired length (mm)", "fired mass (g)", "boiled mass (g)"))
    heat = "set temperature" if set_only else "peak temperature"
    firings.append(("firing", f"{heat} ({unit})", f"temperature ± ({unit})"))
    for load, (celsius, shrinks, soaks) in LOADS.items():
        firings.append((load, degrees(celsius, unit), 6 if unit == "°C" else 10.8))
        for k, off in enumerate(OFF):
            bars.append((f"{load}{k}", "Grey", load, 100, 100 - shrinks - off, 100, 100 + soaks + off))
    book.save(folder / "grey.xlsx")
    return analyse(read_sheets([folder / "grey.xlsx"]))


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Results, dict[str, str]]]:
    """Return results and pages, as text, of the sheet in either unit."""
    found = {unit: results_in(tmp_path_factory.mktemp("sheet"), unit) for unit in ("°C", "°F")}
    pages = {unit: report_pages(one, today=date(2026, 3, 14)) for unit, one in found.items()}
    return {unit: (found[unit], {name: TEXT.sub(" ", page) for name, page in pages[unit].items()}) for unit in found}


def test_pages_tell_temperatures_in_the_unit_of_the_sheet(told: dict[str, tuple[Results, dict[str, str]]]) -> None:
    for unit, other in (("°C", "°F"), ("°F", "°C")):
        for name, page in told[unit][1].items():
            wrong = [found for found in re.findall(rf".{{20}}{other}.{{10}}", page) if "water" not in found]
            assert not wrong, (name, wrong)
    assert "2232\xa0°F" in told["°F"][1]["grey.html"]
    assert "Where to fire, °F" in told["°F"][1]["grey-bench.html"]


def test_an_analysis_does_not_depend_on_the_unit_of_temperatures(
    told: dict[str, tuple[Results, dict[str, str]]],
) -> None:
    celsius, fahrenheit = told["°C"][0], told["°F"][0]
    assert [one.peak_temperature_c for one in fahrenheit.groups] == pytest.approx([c for c, *_ in LOADS.values()])
    (in_c,), (in_f,) = celsius.responses, fahrenheit.responses
    assert in_f.grid_c == pytest.approx(in_c.grid_c)
    assert in_f.densest is not None
    assert in_c.densest is not None
    assert in_f.densest.celsius == pytest.approx(in_c.densest.celsius)


def test_the_sentence_on_the_response_is_the_same_in_other_degrees(
    told: dict[str, tuple[Results, dict[str, str]]],
) -> None:
    (in_c,), (in_f,) = told["°C"][0].responses, told["°F"][0].responses
    of_c, of_f = ([int(n) for n in re.findall(r"\b\d{4}\b", one.summary)] for one in (in_c, in_f))
    assert len(of_c) > 2
    assert of_f == pytest.approx([degrees(one, "°F") for one in of_c], abs=2)
    bare_c, bare_f = (re.sub(r"\b\d{4}\b|°[CF]", "#", one.summary) for one in (in_c, in_f))
    assert bare_f == bare_c


def test_a_programme_known_by_its_set_temperature_is_called_by_what_was_set(tmp_path: Path) -> None:
    found = results_in(tmp_path, "°F", set_only=True)
    assert [one.programme for one in found.programmes] == ["2050 °F", "2165 °F", "2232 °F", "2300 °F"]
