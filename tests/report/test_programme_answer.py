"""The page of a body whose programme was fired in several loads answers for all of them together."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

from matplotlib.collections import PathCollection
from matplotlib.figure import Figure

import bodytest
from bodytest.report.body_part import body_parts
from bodytest.report.charts.timeline import _draw_points
from bodytest.report.pages import report_pages
from bodytest.report.sections.answer import answer
from bodytest.report.sections.loads import differ_sentence, load_section
from bodytest.report.sections.next_steps import next_steps
from bodytest.report.sections.sizes import size_helper
from tests.analysis.test_programmes import analysed, six_loads
from tests.report.test_answer import VOICE, plain


def test_six_loads_answer_together_and_say_whom_they_speak_of(tmp_path):
    results = six_loads(tmp_path)
    (part,) = body_parts(results)
    found = answer(VOICE, part.choice, (), 0.95)

    assert plain(found.sentence).startswith(
        "Make Marl 1.136 times its finished size: fired to cone 6 (nominally 1222 °C) it shrinks 12.0 ± 0.5 %"
    )
    assert "Rests on 30 bars in 6 loads, measured along. It speaks of this batch only, in any load." in plain(
        found.footing
    )
    helper = size_helper(VOICE, part.planned, part.choice, (), results.confidence)
    assert [plain(one.name) for one in helper.firings][:2] == [
        "cone 6 (nominally 1222 °C)",
        "L1 (cone 6, nominally 1222 °C)",
    ]


def demo_page(name: str) -> str:
    return shown((Path(__file__).parents[2] / "reports" / name).read_text(encoding="utf-8")).replace(
        "\N{FIGURE SPACE}", ""
    )


def test_the_demo_tells_programmes_loads_and_what_no_firing_can_change():
    page = demo_page("drift-buff.html")
    assert "100 bars · 4 programmes · 6 loads · 3 batches · last fired 2026-03-10" in page
    assert "fired to cone 6 (1221 °C) it shrinks 12.2 ± 0.9 %" in page
    assert "bars of 3 batches in 3 loads, measured along. It speaks of any batch in any load." in page
    assert (
        "3 loads of cone 6, along, do differ: by 0.09 points (standard deviation; 95 % interval 0.03 to 0.61), beside"
        " 0.12 between bars of one load and batch."
    ) in page
    assert (
        "3 loads of cone 6, along, do not show whether loads differ at all: 0.08 points between them (standard"
        " deviation; anything from 0 to 0.62 fits, 95 % interval), 0.09 between bars of one load and batch."
    ) in demo_page("check-grey.html")
    assert (
        "3 batches of cone 6, along, do differ: by 0.34 points (standard deviation; 95 % interval 0.18 to 2.16), beside"
        " 0.12 between bars of one load and batch."
    ) in page
    said = differ_sentence(VOICE, ("batch", "batches"), "F1", [5, 5], (0.3, 0.1, 8), 0.95)
    assert said.startswith("2 batches of F1 do differ: by 0.30 points")
    assert page.count("Drying shrinkage, %") == 4  # before the firing, all bars, and two directions of all quantities
    assert page.count("from bars along and across") == 4  # once for each programme
    assert "by how much Check Grey shrank more in that load than in all of them; that is the kiln alone." in page
    assert "D1 F4, F7 12.44 ± 0.31 12.41 ± 0.10" in page  # as measured, as corrected
    assert "Compared among the bars of F4 alone, of 3 loads the one with most bars" in page
    assert "Check Grey is the control body" in demo_page("check-grey.html")


def test_a_borrowed_interval_is_named_with_the_loads_it_rests_on(tmp_path):
    bars = [("D1", "L1", 12.0 + off) for off in (-0.2, -0.1, 0.0, 0.1, 0.2)]
    lab = [["scatter between loads (points)", 0.3], ["from how many loads", 8]]
    results = analysed(tmp_path, bars, [["firing", "kiln", "cone"], ["L1", "small", "6"]], lab)
    (part,) = body_parts(results)
    found = answer(VOICE, part.choice, (), 0.95)
    borrowed = results.programmes[0].quantities["total_shrinkage"].borrowed
    assert borrowed is not None
    assert borrowed.low < 11.8
    assert plain(found.figures[1].meaning).endswith(
        f"Borrowed, for any load: mean {borrowed.low:.1f} to {borrowed.high:.1f} %, one further bar"
        f" {borrowed.next_low:.1f} to {borrowed.next_high:.1f} %,"
        " by a scatter from the Lab sheet that rests on 8 loads."
    )
    assert "It speaks of this batch only, in this load only." in found.footing
    assert "Put bars into another load fired to cone 6 (nominally 1222 °C): one load says nothing about the next." in [
        plain(step) for step in next_steps(VOICE, part.choice, part.tested, (), ())
    ]


def test_the_step_from_one_load_to_two_is_explained(tmp_path):
    bars = [("D1", load, mean + off) for load, mean in (("L1", 12.0), ("L2", 12.02)) for off in (-0.05, 0.0, 0.05)]
    results = analysed(tmp_path, bars, [["firing", "kiln", "cone"], *([f"L{n}", "small", "6"] for n in (1, 2))])
    (part,) = body_parts(results)
    assert (
        "With two loads the interval is wider than with one, because it now speaks of the next load too; a third"
        " narrows it most."
    ) in answer(VOICE, part.choice, (), 0.95).footing
    found = load_section(VOICE, results, part)
    assert found is not None
    assert found["loads"].note.startswith("Each mean speaks of its own load only. No control bars stood in these loads")


def test_no_page_shows_a_size_of_a_body_that_is_not_known_well_enough(tmp_path):
    bars = [
        ("D1", load, mean + off) for load, mean in (("L1", 10.0), ("L2", 12.0), ("L3", 14.0)) for off in (-0.1, 0.1)
    ]
    results = analysed(tmp_path, bars, [["firing", "kiln", "cone"], *([f"L{n}", "small", "6"] for n in (1, 2, 3))])
    assert [one.known for one in results.answers] == [False]

    pages = report_pages(results, date(2026, 3, 14))
    texts = {name: shown(page) for name, page in pages.items()}
    body = texts["marl.html"]
    assert "Not known well enough yet: How much Marl shrinks at cone 6 is known to ± 5.0 percentage points only" in body
    assert "Size factor not yet known Shrinkage is not known well enough yet to plan a size with." in body
    assert "No sizes yet: shrinkage is not known well enough to plan with. What to do stands at the top." in body
    assert "Make Marl" not in body
    assert "1.136" not in texts["index.html"] + texts["side-by-side.html"]  # 100 / (100 - 12.0)
    assert "Size factor – Wet size of a finished 200 mm –" in texts["side-by-side.html"]


def shown(page: str) -> str:
    without = re.sub(r"<(style|script|svg).*?</\1>", "", page, flags=re.DOTALL)
    return " ".join(plain(re.sub(r"<[^>]+>", " ", without)).split())


def test_the_chart_over_time_shows_kiln_and_clay_apart():
    results = bodytest.read_results(Path(__file__).parents[2] / "reports" / "results.json")
    (shown,) = (
        one for one in results.timelines
        if (one.body, one.quantity, one.direction, one.fired.split(",")[0])
        == ("Drift Buff", "total_shrinkage", "along", "cone 6")
    )  # fmt: skip
    assert all(point.corrected is not None for point in shown.points)

    def hollow(timeline):
        axes = Figure().add_subplot()
        _draw_points(axes, timeline)
        marks = [one for one in axes.collections if isinstance(one, PathCollection) and not len(one.get_facecolor())]
        return [tuple(one.get_offsets()[0]) for one in marks]

    assert hollow(shown) == [(place - 0.12, point.mean) for place, point in enumerate(shown.points)]
    uncorrected = replace(shown, points=tuple(replace(point, corrected=None) for point in shown.points))
    assert hollow(uncorrected) == []
    assert "Filled marks show the clay, hollow ones what was measured" in demo_page("drift-buff.html")
