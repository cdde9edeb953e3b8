"""What cannot be meant raises with a sentence, for each call of the library; nothing comes back empty or NaN."""

import math
from pathlib import Path

import pandas as pd
import pytest

import bodytest
from bodytest.errors import BodytestError, NotMeasured, UnreadableSheet, UnusableRequest
from bodytest.quantities import QUANTITY_BY_KEY

pytestmark = pytest.mark.core

DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"


@pytest.fixture(scope="module")
def sheets():
    return bodytest.read_sheets(DEMO)


@pytest.fixture(scope="module")
def results(sheets):
    return bodytest.analyse(sheets)


KEYS = ", ".join(QUANTITY_BY_KEY)


def text(given, what):
    return f"{given} was given for {what}, which takes a text."


def word(given, what, there):
    return f"{given} cannot be given for {what}; there are: {there}."


def number(given, what, bounds):
    return f"{given} cannot be given for {what}; it has to be a number, {bounds}."


def fraction(given):
    return number(given, "confidence", "0.5 to 0.999")


def choice(given, more=""):
    return f"There is no choice named {given}; there are: body, programme, firing, direction, batch, load{more}."


def no_body(given, last=" and "):
    there = f"Chalk White, Check Grey, Drift Buff{last}Marl Red"
    return f"No fired bars of the body “{given}” were measured. There are: {there}."


def no_results(given):
    return f"{given} is no results of bodytest with what this needs."


CALLS = [
    ("read_sheets", lambda r, s: bodytest.read_sheets("nowhere.xlsx"), "There is no file named nowhere.xlsx here."),
    ("read_sheets", lambda r, s: bodytest.read_sheets([DEMO, "gone.csv"]), "There is no file named gone.csv here."),
    ("read_sheets", lambda r, s: bodytest.read_sheets([]), "No file was named, so there is nothing to read."),
    ("read_sheets", lambda r, s: bodytest.read_sheets(""), text("''", "path")),
    ("read_sheets", lambda r, s: bodytest.read_sheets(7), text("7 (int)", "path")),
    ("read_sheets", lambda r, s: bodytest.read_sheets([7]), text("7 (int)", "path")),
    ("read_sheets", lambda r, s: bodytest.read_sheets(None), text("None (NoneType)", "path")),
    ("check", lambda r, s: bodytest.check("nowhere.xlsx"), "There is no file named nowhere.xlsx here."),
    ("check", lambda r, s: bodytest.check([]), "No file was named, so there is nothing to read."),
    ("read_frames", lambda r, s: bodytest.read_frames({}), "{} (dict) is no mapping of the names of tables to data"
     " frames."),
    ("read_frames", lambda r, s: bodytest.read_frames([1]), "[1] (list) is no mapping of the names of tables to data"
     " frames."),
    ("read_frames", lambda r, s: bodytest.read_frames({"Bars": [1]}), "{'Bars': [1]} (dict) is no mapping of the names"
     " of tables to data frames."),
    ("read_results", lambda r, s: bodytest.read_results("gone.json"), "There is no results file named gone.json here."),
    ("analyse", lambda r, s: bodytest.analyse(s, 95), fraction("95 (int)")),
    ("analyse", lambda r, s: bodytest.analyse(s, confidence=1.0), fraction("1.0 (float)")),
    ("analyse", lambda r, s: bodytest.analyse(s, confidence=0), fraction("0 (int)")),
    ("analyse", lambda r, s: bodytest.analyse(s, confidence=-0.95), fraction("-0.95 (float)")),
    ("analyse", lambda r, s: bodytest.analyse(s, confidence=math.nan), fraction("nan (float)")),
    ("analyse", lambda r, s: bodytest.analyse(s, confidence=True), fraction("True (bool)")),
    ("analyse", lambda r, s: bodytest.analyse(s, confidence="0.95"), fraction("'0.95'")),
    ("analyse", lambda r, s: bodytest.analyse("demo.xlsx"), "'demo.xlsx' is no sheets of bodytest."),
    ("analyse", lambda r, s: bodytest.analyse(bodytest.read_frames({"Bars": pd.DataFrame({"bar": []})})),
     "No row of headings was found in the table Bars."),
    ("sizes", lambda r, s: bodytest.sizes(r, 200), text("200 (int)", "size")),
    ("sizes", lambda r, s: bodytest.sizes(r, [200.0]), text("200.0 (float)", "size")),
    ("sizes", lambda r, s: bodytest.sizes(r, []), "No size was given."),
    ("sizes", lambda r, s: bodytest.sizes(r, "200", body="Marl Red"), "“200” has no unit."),
    ("sizes", lambda r, s: bodytest.sizes(r, "200mm", body="Marl"), no_body("Marl")),
    ("sizes", lambda r, s: bodytest.sizes(r, "200mm", body=3), text("3 (int)", "body")),
    ("sizes", lambda r, s: bodytest.sizes(r, "200mm", bodi="Marl Red"), choice("bodi")),
    ("sizes", lambda r, s: bodytest.sizes(r, "200mm", wanted="Marl Red"), choice("wanted")),
    ("sizes", lambda r, s: bodytest.sizes(r, "200mm", now=3), text("3 (int)", "now")),
    ("sizes", lambda r, s: bodytest.sizes(r, "200mm", within=2), text("2 (int)", "within")),
    ("sizes", lambda r, s: bodytest.sizes(s, "200mm"), None),
    ("match", lambda r, s: bodytest.match(r, 92), text("92 (int)", "size")),
    ("match", lambda r, s: bodytest.match(r, "92mm", pieces=1), number("1 (int)", "pieces", "2 to 1000")),
    ("match", lambda r, s: bodytest.match(r, "92mm", chance=95), number("95 (int)", "chance", "0.5 to 0.9999")),
    ("match", lambda r, s: bodytest.match(r, "92mm", lost=10), number("10 (int)", "lost", "0 to 0.9999")),
    ("match", lambda r, s: bodytest.match(r, "92mm", batches="other"), word("'other'", "batches", "same, different")),
    ("match", lambda r, s: bodytest.match(r, "92mm", clearence="1mm"),
     choice("clearence", ", pieces, within, clearance, made_within, batches, loads, chance, lost")),
    ("match", lambda r, s: bodytest.match(None, "92mm"), no_results("None (NoneType)")),
    ("clay_masses", lambda r, s: bodytest.clay_masses(r, 800), text("800 (int)", "mass")),
    ("clay_masses", lambda r, s: bodytest.clay_masses(r, "800mm", body="Marl Red"), None),
    ("wet_capacities", lambda r, s: bodytest.wet_capacities(r, []), "No capacity was given."),
    ("wet_capacities", lambda r, s: bodytest.wet_capacities(r, "1l", height_direction=1),
     text("1 (int)", "height_direction")),
    ("compare", lambda r, s: bodytest.compare(r, by="clay"),
     word("'clay'", "by", "batch, body, firing, direction, position")),
    ("compare", lambda r, s: bodytest.compare(r, tolerance=-1), number("-1 (int)", "tolerance", "0 or more")),
    ("compare", lambda r, s: bodytest.compare(r, quantities="shrinkage"), word("'shrinkage'", "quantity", KEYS)),
    ("compare", lambda r, s: bodytest.compare(s), None),
    ("timeline", lambda r, s: bodytest.timeline(r, []), "No quantity was given."),
    ("timeline", lambda r, s: bodytest.timeline(r, order="newest"), word("'newest'", "order", "date, listed")),
    ("timeline", lambda r, s: bodytest.timeline(r, reference=1), number("1 (int)", "reference", "3 or more")),
    ("write_report", lambda r, s: bodytest.write_report("results", "x"), no_results("'results'")),
    ("write_report", lambda r, s: bodytest.write_report(r, ""), text("''", "folder")),
    ("write_report", lambda r, s: bodytest.write_report(r, DEMO), None),
    ("to_frame", lambda r, s: r.to_frame("bar"), word("'bar'", "to_frame", "programmes, groups, bars, findings")),
    ("figures", lambda r, s: bodytest.figures.response(r, "Marl"), no_body("Marl", ", ")),
    ("figures", lambda r, s: bodytest.figures.batches(r, ""), no_body("", ", ")),
    ("figures", lambda r, s: bodytest.figures.stages(r, "Marl"), no_body("Marl", ", ")),
]  # fmt: skip


@pytest.mark.parametrize(("name", "call", "sentence"), CALLS, ids=[f"{n}-{call[0]}" for n, call in enumerate(CALLS)])
def test_what_cannot_be_meant_raises_with_a_sentence(name, call, sentence, results, sheets):
    with pytest.raises(BodytestError) as raised:
        call(results, sheets)
    said = raised.value.finding.sentence
    assert said == sentence or (sentence is None and said.endswith((".", "?")))
    assert str(raised.value) == f"{said} {raised.value.finding.remedy}"


def test_the_table_has_every_function_that_is_public():
    functions = {name for name in bodytest.__all__ if callable(getattr(bodytest, name))}
    assert functions - {name for name, _, _ in CALLS} == {"to_csv", "to_document", "to_json"}


def test_kinds_of_errors_tell_what_to_do_about_them(results, sheets):
    for nowhere in ("nowhere.xlsx", "nowhere.json"):
        with pytest.raises(UnreadableSheet):
            bodytest.read_sheets(nowhere)
    with pytest.raises(NotMeasured):
        bodytest.sizes(results, "200mm", body="Marl")
    with pytest.raises(UnusableRequest):
        bodytest.analyse(sheets, 95)
