"""The bench kit is measured: pages are rendered at 600 dots an inch and lines found in the picture."""

import re
from dataclasses import astuple
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pymupdf
import pytest

from bodytest.errors import UnusableRequest
from bodytest.library.read import read_frames, read_sheets
from bodytest.plan.drawing_pdf import to_pdf
from bodytest.plan.ruler import MARGIN, PAPERS
from bodytest.trial.bar_size import BarSize, parse_bar
from bodytest.trial.bench_forms import bench_forms
from bodytest.trial.kit import OUTLINE_TOP, bench_kit

DPI = 600
MM = 72 / 25.4
LENGTHS = {"wet": 1.0, "leather-hard": 0.97, "dry": 0.94, "bisque": 0.935, "fired": 0.88}
MASSES = {"wet": 1.0, "dry": 0.8, "fired": 0.74, "cold-soaked": 0.77, "boiled": 0.78, "suspended": 0.43}
PAPER = pytest.mark.parametrize("paper", ["A4", "Letter"])


def bars_table(bars=60, marks=1, **columns):
    """Return a table with all readings; a bar's place repeats the order of its code backwards."""
    number = np.repeat(np.arange(1, bars + 1), marks)
    table = {
        "bar": [f"RU{n}" for n in number], "body": "Drift Buff", "batch": [f"D{1 + n % 3}" for n in number],
        "firing": np.where(number <= bars // 2, "F1", "F2"), "direction": "along", "position": bars + 1 - number,
        "mark": np.tile(np.arange(1, marks + 1), bars),
    }  # fmt: skip
    mass_rows = np.where(table["mark"] == 1, 1.0, np.nan)
    table |= {f"{stage} length (mm)": np.round((100 + 0.01 * number) * share, 2) for stage, share in LENGTHS.items()}
    table |= {f"{stage} mass (g)": np.round((120 + number) * share * mass_rows, 2) for stage, share in MASSES.items()}
    return pd.DataFrame(table | columns)


def checked(table, **tables):
    return read_frames({"Bars": table, **tables})


@cache
def sixty():
    firings = pd.DataFrame(
        {
            "firing": ["F1", "F2"],
            "cone": ["6", "5"],
            "programme": ["cone 6", "slow"],
            "kiln": "Big",
            "set temperature (°C)": [1222, 1186],
        }
    )
    lab = pd.DataFrame({"item": ["measured by", "length reading step (mm)"], "value": ["A. Potter", "0.02"]})
    return checked(bars_table(), Firings=firings, Lab=lab)


@cache
def printed(paper):
    """Return the kit of 60 bars with all readings, and its pages as printed."""
    made = bench_kit(sixty(), paper)
    return made, pymupdf.open(stream=to_pdf(made.pages))


def page_of(paper, title):
    made, document = printed(paper)
    return document[[page.title.startswith(title) for page in made.pages].index(True)]


def dark_runs(page, x_mm=None, y_mm=None):
    """Return the centres [mm] of dark lines across a row of dots at ``y_mm``, or down a column at ``x_mm``."""
    at = (x_mm or y_mm) * MM
    clip = (
        pymupdf.Rect(at - 0.5, 0, at + 0.5, page.rect.height)
        if x_mm
        else pymupdf.Rect(0, at - 0.5, page.rect.width, at + 0.5)
    )
    pixels = page.get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY, clip=clip)
    light = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)[:, : pixels.width]
    dark = 1.0 - (light[:, pixels.width // 2] if x_mm else light[pixels.height // 2]) / 255.0
    inside = np.concatenate(([0], (dark > 0.3).astype(int), [0]))
    begins, ends = np.flatnonzero(np.diff(inside) == 1), np.flatnonzero(np.diff(inside) == -1)
    centres = [np.average(np.arange(b, e) + 0.5, weights=dark[b:e]) for b, e in zip(begins, ends, strict=True)]
    return np.array(centres) / DPI * 25.4


@PAPER
def test_marks_outline_and_check_line_are_within_a_tenth_of_a_millimetre(paper):
    page = page_of(paper, "Template")
    along = dark_runs(page, y_mm=OUTLINE_TOP + 20.0)
    assert along == pytest.approx(MARGIN + np.array([0.0, 15.0, 115.0, 130.0]), abs=0.1)
    assert along[2] - along[1] == pytest.approx(100.0, abs=0.05)
    down = dark_runs(page, x_mm=MARGIN + 60.0)
    frames = down[np.searchsorted(down, OUTLINE_TOP - 1.0) :][:6]
    assert np.diff(frames)[[0, 2, 4]] == pytest.approx([40.0, 14.0, 12.0], abs=0.1)
    ends = dark_runs(page, y_mm=PAPERS[paper][1] - 17.0 + 2.0)
    assert ends[1] - ends[0] == pytest.approx(100.0, abs=0.1)
    assert "Print at 100 % (“actual size”), not “fit to page”." in page.get_text()


@PAPER
def test_another_bar_is_drawn_at_its_size(paper):
    made = bench_kit(sixty(), paper, parse_bar("1/2 x 1 1/2 x 9in", "8in"), ("template",))
    page = pymupdf.open(stream=to_pdf(made.pages))[0]
    expected = MARGIN + 25.4 * np.array([0.0, 0.5, 8.5, 9.0])
    assert dark_runs(page, y_mm=OUTLINE_TOP + 20.0) == pytest.approx(expected, abs=0.1)


@PAPER
def test_rows_are_at_least_8_mm_high_on_every_form(paper):
    made, document = printed(paper)
    forms = [n for n, page in enumerate(made.pages) if not page.title.startswith(("Labels", "Template", "Take"))]
    assert len(forms) >= 20
    for number in forms:
        # thin column of the note: nothing but the lines between rows stands there
        rows = dark_runs(document[number], x_mm=PAPERS[paper][1] - 14.0)
        assert np.diff(rows[-10:]).min() >= 8.0


@PAPER
def test_every_page_says_which_it_is_and_of_which_sheet_and_no_letters_are_small(paper):
    made, document = printed(paper)
    for number, page in enumerate(document, start=1):
        assert f"page {number} of {len(made.pages)}" in page.get_text()
        sizes = [
            s["size"] for b in page.get_text("dict")["blocks"] for line in b.get("lines", ()) for s in line["spans"]
        ]
        assert min(sizes) >= 6.5
        for x0, y0, x1, y1, *_ in page.get_text("words"):
            assert 0 < x0 < x1 < page.rect.width - 20
            assert 20 < y0 < y1 < page.rect.height - 12
    assert all("frames" in document[n].get_text() for n in range(len(made.pages) - 1))


@PAPER
def test_all_codes_stand_on_forms_and_labels(paper):
    made, document = printed(paper)
    for title in ("Wet day", "Dry day", "After boiling", "Labels"):
        texts = [document[n].get_text() for n, page in enumerate(made.pages) if page.title.startswith(title)]
        found = re.findall(r"^RU\d+$", "\n".join(texts), re.MULTILINE)
        assert sorted(found, key=lambda code: int(code[2:])) == [f"RU{n}" for n in range(1, 61)]


def test_earlier_readings_stand_beside_in_grey_with_like_decimals():
    page = page_of("A4", "Load F1")
    spans = [s for b in page.get_text("dict")["blocks"] for line in b.get("lines", ()) for s in line["spans"]]
    grey = {s["text"].strip() for s in spans if s["color"] == 0x666666}
    # RU30: 100.30 wet, 97.29 leather-hard, 94.28 dry, 93.78 bisque; 150 g wet; RU29: 119.2 g dry
    assert {"100.30", "97.29", "94.28", "93.78", "150", "119.2", "120.0"} <= grey
    assert "RU30" not in grey


def form(stage, table=None):
    return bench_forms(sixty() if table is None else checked(table), (stage,))


def test_making_goes_by_code_and_a_load_by_its_places():
    (wet,) = form("wet")
    assert [row.code for row in wet.rows[:11]] == [f"RU{n}" for n in range(1, 12)]
    first, second = form("fired")
    assert [(row.place, row.code) for row in first.rows[:2]] == [("31", "RU30"), ("32", "RU29")]
    assert first.order == "in the order of places in the kiln"
    assert (len(first.rows), len(second.rows)) == (30, 30)
    assert first.facts == "cone 6 · Big · set to 1222 °C"
    assert first.title == "Load F1: into the kiln, and measured after"


def test_what_is_known_of_a_load_stands_whole_above_its_form():
    load = {"firing": "F1", "date": "2026-03-01", "purpose": "final", "kiln": "the big one at the back of the yard"}
    load |= {"cone": "6", "set temperature (°C)": 1222, "atmosphere": "oxidation"}
    made = bench_kit(checked(bars_table(bars=20), Firings=pd.DataFrame([load])), parts=("fired",))
    whole = "final · the big one at the back of the yard · cone 6 · set to 1222 °C · oxidation · 2026-03-01"
    assert whole in [text.text for text in made.pages[0].texts]


def test_nothing_of_the_demo_is_cut_and_notes_get_the_room_that_codes_leave():
    demo = read_sheets(Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx")
    told = [text.text for page in bench_kit(demo).pages for text in page.texts]
    assert [text for text in told if "…" in text] == []
    assert told.count("left out: warped, measured across the bend") == 2, "in one line of the wet and the dry form"


def test_places_of_a_planned_sheet_lead_through_the_kiln_and_stand_on_the_labels():
    table = pd.DataFrame({
        "bar": ["A1", "A2", "A3", "A4"], "body": "Grey", "firing": "F1", "fired length (mm)": None,
        "position": ["shelf 10 back", "shelf 1 front", "shelf 1 back", "shelf 1 back"],
        "notes": ["row 3, place 1", "row 1, place 2", "row 2, place 10", "row 2, place 9"],
    })  # fmt: skip
    (load,) = form("fired", table)
    assert [row.code for row in load.rows] == ["A4", "A3", "A2", "A1"]
    text = pymupdf.open(stream=to_pdf(bench_kit(checked(table), parts=("labels",)).pages))[0].get_text()
    assert "A3\nGrey\nfiring F1 · shelf 1 back\nrow 2, place 10\n" in text


def test_a_long_code_stands_whole_on_form_and_label_in_smaller_letters():
    table = bars_table(bars=1, bar="averylongcode-66-of-somebody")
    document = pymupdf.open(stream=to_pdf(bench_kit(checked(table), parts=("wet", "labels")).pages))
    assert all("averylongcode-66-of-somebody\n" in page.get_text() for page in document)


def test_the_marks_of_a_bar_stand_on_one_page():
    pages = bench_kit(checked(bars_table(bars=15, marks=2)), parts=("wet",)).pages
    codes = [[text.text for text in page.texts if text.text.startswith("RU")] for page in pages]
    assert [len(of_page) for of_page in codes] == [16, 14]


def test_a_form_asks_for_date_who_instruments_and_steps():
    assert form("fired")[0].blanks == (
        ("fired on", "peak, °C or °F", "cone read"),
        ("measured on", "measured by: A. Potter"),
        ("rule: ", "reads to: 0.02 mm", "balance: ", "reads to: 0.01 g"),
    )


def test_each_form_has_its_readings_and_those_before_of_the_same_kind():
    columns = {one.stage: (one.earlier, one.boxes) for one in bench_forms(sixty(), ("wet", "leather-hard", "boiled"))}
    assert columns["wet"] == ((), ("wet length (mm)", "wet mass (g)"))
    assert columns["leather-hard"] == (("wet length (mm)",), ("leather-hard length (mm)",))
    assert columns["boiled"] == (
        ("wet mass (g)", "dry mass (g)", "fired mass (g)", "cold-soaked mass (g)"),
        ("suspended mass (g)", "boiled mass (g)"),
    )


def test_each_mark_has_a_row_and_a_mass_is_asked_for_once():
    (wet,) = form("wet", bars_table(bars=4, marks=2))
    assert [(row.code, row.mark) for row in wet.rows[:3]] == [("RU1", "1"), ("RU1", "2"), ("RU2", "1")]
    assert [row.known for row in wet.rows[:2]] == [("100.01", "121"), ("100.01", None)]
    assert [row.place for row in form("fired", bars_table(bars=4, marks=2))[0].rows] == ["3", "", "4", ""]
    (boiled,) = form("boiled", bars_table(bars=4, marks=2))
    assert [row.code for row in boiled.rows] == ["RU1", "RU2", "RU3", "RU4"]


def test_forms_are_those_of_the_columns_and_of_a_blank_sheet_where_there_are_none():
    only_lengths = bars_table(bars=4)[["bar", "body", "wet length (mm)", "fired length (mm)"]]
    made = bench_kit(checked(only_lengths))
    assert [title.partition(":")[0] for title in made.contents] == [
        "Wet day", "Load without a code", "Labels to lay with the bars",
        "Template for a bar of 12 × 40 × 130 mm, marks 100 mm apart", "Take care",
    ]  # fmt: skip
    no_readings = checked(pd.DataFrame({"bar": ["A1", "A2"], "body": "Grey", "firing": "F1"}))
    assert [one.stage for one in bench_forms(no_readings, ("wet", "dry", "bisque", "fired", "boiled"))] == [
        "wet", "dry", "fired", "boiled"
    ]  # fmt: skip
    assert bench_kit(no_readings, parts=("wet",)).notes == (
        "The sheet has no columns for readings yet: the forms are those of a blank sheet, in mm and g.",
    )


def test_a_bar_fired_twice_is_made_once_and_a_bar_left_out_says_why():
    table = pd.DataFrame({
        "bar": ["A1", "A2", "A1"], "body": "Grey", "firing": ["F1", "F1", "F2"], "leave out": ["", "cracked", ""],
        "wet length (mm)": [100.0, 100.1, None], "fired length (mm)": [90.0, 90.1, 88.0],
    })  # fmt: skip
    (wet,) = form("wet", table)
    assert [(row.code, row.note) for row in wet.rows] == [("A1", ""), ("A2", "left out: cracked")]
    assert [len(one.rows) for one in form("fired", table)] == [2, 1]


def test_the_cautions_are_those_of_the_guide_whole():
    from bodytest.sheet.guide import guide_text

    text = " ".join(page_of("Letter", "Take care").get_text().split())
    for caution in guide_text()["caution"]:
        assert caution["text"] in text


def test_long_and_hostile_names_are_cut_and_harm_nothing():
    table = bars_table(
        bars=3, marks=1, body="W" * 79, batch="<b>$x^2$ & \x1b[31m", notes="n" * 300, position="shelf " * 30
    )
    table["bar"] = ["M" * 70, "白い土", "$\\frac{1}{2}$"]
    document = pymupdf.open(stream=to_pdf(bench_kit(checked(table)).pages))
    for page in document:
        right = max(word[2] for word in page.get_text("words"))
        assert right <= page.rect.width - 12.0 * MM + 0.5
    text = "".join(page.get_text() for page in document)
    assert "\x1b" not in text
    assert "$\\frac{1}{2}$" in text


def test_the_same_sheet_gives_the_same_bytes():
    made = [to_pdf(bench_kit(sixty(), parts=("wet", "labels")).pages) for _ in range(2)]
    assert made[0] == made[1]


def test_sizes_are_read_with_and_without_units():
    assert parse_bar("12x40x130", "100") == BarSize(12.0, 40.0, 130.0, 100.0)
    assert parse_bar("12 × 40 × 130 mm", "10cm") == BarSize(12.0, 40.0, 130.0, 100.0)
    assert parse_bar("1,2*4*13cm", "100 mm") == BarSize(12.0, 40.0, 130.0, 100.0, "cm")
    assert astuple(parse_bar("0.5x1.5x5in", "4in"))[:4] == pytest.approx((12.7, 38.1, 127.0, 101.6))


@pytest.mark.parametrize(
    ("size", "gauge", "sentence", "remedy"),
    [
        ("12x40", "100", "“12x40, 100” is no size of a bar with the distance of its marks.",
         "Give thickness x width x length and the distance, in mm or with a unit: --bar 12x40x130 --gauge 100,"
         " or --bar 0.5x1.5x5in --gauge 4in."),
        ("12x40x130", "wide", "“12x40x130, wide” is no size of a bar with the distance of its marks.", None),
        ("-12x40x130", "100", "“-12x40x130, 100” is no size of a bar with the distance of its marks.", None),
        ("12x40x105", "100", "Marks 100 mm apart do not lie on a bar of 105 mm.",
         "Give --gauge at most 95 mm, or a longer bar."),
        ("12x40x300", "100", "A template for a bar of 12 × 40 × 300 mm does not fit on Letter.",
         "Give a bar of at most 249 mm long, 102 mm wide and thick together, or leave the template out by naming the"
         " parts that you want with --only."),
    ],
)  # fmt: skip
def test_bars_that_cannot_be_drawn_are_told(size, gauge, sentence, remedy):
    with pytest.raises(UnusableRequest) as told:
        bench_kit(sixty(), "Letter", parse_bar(size, gauge), ("template",))
    assert told.value.finding.sentence == sentence
    assert remedy in {None, told.value.finding.remedy}
