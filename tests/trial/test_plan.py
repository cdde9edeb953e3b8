"""Plans of tests: what they take, what they promise, what they refuse, and the workbook they are carried out with."""

from dataclasses import replace

import openpyxl
import pytest

from bodytest.errors import UnusableRequest
from bodytest.library.read import read_sheets
from bodytest.stats.inverse import planned_crossing_uncertainty
from bodytest.trial.bar_size import BarSize
from bodytest.trial.needs import chance_of_verdict
from bodytest.trial.plan_words import plan_lines
from bodytest.trial.planned import clay_for, places_of, plan
from bodytest.trial.prefilled import plan_content, plan_workbook
from bodytest.trial.question import Heat, Kiln, Question, Scatter, parse_points, parse_shelf

KILN = Kiln(tuple(map(Heat.of_cone, ("6", "4", "5", "7"))))
SIZE = Question("Drift Buff", ("size",), KILN)
TIGHT = replace(SIZE, goals=("tight",), limit=2.0, scatter=Scatter(absorption=1.2))
RANGE = replace(SIZE, goals=("range",), limit=2.0, scatter=Scatter(absorption=1.5))


def refusal(question: Question) -> str:
    with pytest.raises(UnusableRequest) as refused:
        plan(question)
    return str(refused.value)


def test_the_temperature_at_a_limit_is_known_as_worked_out_by_hand() -> None:
    bars = [1189.0] * 5 + [1221.0] * 5
    alone = planned_crossing_uncertainty(bars, 1207.0, slope=-0.059, sd=0.12)
    with_loads = planned_crossing_uncertainty(bars, 1207.0, slope=-0.059, sd=0.12, load_uncertainty=5.0, loads=2)
    assert (round(alone, 2), round(with_loads, 1)) == (0.65, 3.6)


def test_sixty_bars_and_a_tenth_more_take_eight_kilograms() -> None:
    clay = clay_for("Drift Buff", 60, SIZE)
    assert (clay.bars, round(clay.wet_kg, 1)) == (66, 8.0)
    assert SIZE.wet_g == pytest.approx(62.4 * 1.95)


def test_a_plan_says_its_answer_first_and_the_whole_of_it() -> None:
    assert plan_lines(plan(SIZE)) == [
        "Drift Buff: 20 bars of 4 batches in 4 loads, cone 6. Make 22 of Drift Buff with the spare ones, 2.7 kg of wet"
        " clay.",
        "Size, for any batch in any load: known to ± 0.44 percentage points (0.9 mm on 200 mm) or better in four of"
        " five tests planned so (asked for: ± 0.5). More loads help, not more bars: twice the bars in each load give"
        " ± 0.43, one more load ± 0.34.",
        "",
        "F1 to F4  cone 6 (final): 5 of Drift Buff, batch 1 to batch 4, one in each load. Takes 5 of 24 places.",
        "",
        "Bars: cut 12 × 40 × 130 mm, a code scratched into each, measured along.",
        "Marks: one pair of marks on each bar, 100 mm apart as soon as it can be handled; read to 0.1 mm, with a"
        " calliper or rule that reaches beyond them.",
        "",
        "Day 1: wedge, make and cut bars, scratch in their codes, set the marks, measure at once (wet)",
        "Day 2–8: dry slowly in air, turn the bars",
        "Day 8–9: oven below 90 °C, then 105–110 °C overnight until two weighings agree",
        "Day 9: let cool, measure (dry)",
        "Day 10–17: fire F1 to F4, two days each; let cool, measure (fired)",
        "Day 18: check the sheet, make the report",
        "",
        "Rests on the usual scatter, from memory, no source (standard deviations): shrinkage of bars 0.15, of batches"
        " 0.15 percentage points; loads off by ± 10 °C, as usual.",
    ]


def test_each_question_is_answered_in_a_sentence() -> None:
    one_load = replace(SIZE, most_loads=1, half_width=0.1)
    assert plan(one_load).needs[0].sentence == (
        "Size, for this batch in this load alone: known to ± 0.10 percentage points (0.2 mm on 200 mm) or better in"
        " four of five tests planned so. Other loads and batches may lie further off; only more loads tell how far."
    )
    assert plan(TIGHT).needs[0].sentence == (
        "Tight, for the body: the verdict “meets” on 2 % is reached with a chance of 85 %, if the absorption is 1.2 %"
        " as expected. Loads limit it, not bars: one load more gives 96 %."
    )
    assert plan(RANGE).needs[0].sentence == (
        "Firing range: the temperature at which absorption falls to 2 % is known to ± 19 °C or better in four of"
        " five tests planned so, about 1212 °C if all is as expected; ± 7 °C if it fell in a straight line, which"
        " nobody knows. Firings closer to it help, not more bars. Where the body goes too far shows only if the hottest"
        " firing is beyond that."
    )
    assert plan(replace(SIZE, goals=("same",), tolerance=0.3)).needs[0].sentence == (
        "Same as the last delivery: if the two are truly alike, “same within tolerance” (0.3 percentage points, 0.6 mm"
        " on 200 mm) is found with a chance of 85 %. Both stand in one load, so more bars help, not more loads; keep"
        " clay of each delivery for the next test."
    )
    assert plan(replace(SIZE, goals=("match",), pair_mm=1.5)).needs[0].sentence == (
        "Pairs of one batch fired together: that two pieces of 200 mm agree within 1.5 mm in 95 of 100 pairs is shown"
        " with a chance of 83 %, if they are made exactly alike. More bars help."
    )


def test_a_body_whose_sheet_is_in_inches_is_planned_in_inches() -> None:
    of = replace(SIZE, bar=BarSize().usual_in("in"), pair_mm=1.5, stated_step_mm=0.0254)
    told = [plan(replace(of, goals=(goal,))).needs[0].sentence for goal in ("size", "same", "match")]
    assert "known to ± 0.44 percentage points (0.04 in on 8 in)" in told[0]
    assert "(0.5 percentage points, 0.04 in on 8 in)" in told[1]
    assert "two pieces of 8 in agree within 0.0591 in" in told[2]
    made = plan(of)
    assert "read to 0.001 in, with" in next(line for line in plan_lines(made) if line.startswith("Marks: "))
    assert not any(" mm" in one for one in [*told, *plan_lines(made)])
    content = plan_content(made)
    assert (content.units.length, content.lab["length reading step (in)"]) == ("in", 0.001)


def test_no_chance_is_told_as_certain() -> None:
    assert (
        "is found with a chance of over 99 %." in plan(replace(SIZE, goals=("same",), tolerance=2.0)).needs[0].sentence
    )


def test_fewer_loads_than_it_takes_say_what_they_reach() -> None:
    (need,) = plan(replace(SIZE, most_loads=3)).needs
    assert (need.loads, need.enough, need.limited_by) == (3, False, "loads")
    assert "known to ± 0.70 percentage points (1.4 mm on 200 mm) or better" in need.sentence
    assert "not the ± 0.5 asked for, which 56 % of such tests reach" in need.sentence


def test_a_closer_answer_takes_more_loads_and_one_batch_fewer() -> None:
    loads = [plan(replace(SIZE, half_width=half)).needs[0].loads for half in (0.8, 0.5, 0.3, 0.25)]
    assert loads == sorted(loads)
    assert loads[0] < loads[-1]
    alone = plan(replace(SIZE, half_width=0.25, one_batch=True))
    assert alone.needs[0].loads < loads[-1]
    assert {bar.batch for bar in alone.bars} == {"batch 1"}


def test_questions_asked_together_share_loads_and_bars() -> None:
    made = plan(replace(TIGHT, goals=("size", "tight", "same", "match"), pair_mm=1.5, tolerance=0.3))
    assert [(load.code, load.heat.called, load.purpose) for load in made.loads] == [
        (f"F{number}", "cone 6", "final") for number in (1, 2, 3, 4)
    ]
    assert made.loads[0].bars == (("Drift Buff", "new delivery", 7), ("Drift Buff", "last delivery", 6))
    assert made.loads[1].bars == (("Drift Buff", "batch 2", 5),)
    assert len({bar.code for bar in made.bars}) == len(made.bars) == 13 + 3 * 5


def test_a_firing_range_takes_one_batch_through_all_heats() -> None:
    made = plan(RANGE)
    assert [(load.heat.called, load.purpose) for load in made.loads] == [
        (f"cone {cone}", "test") for cone in (4, 5, 6, 7)
    ]
    assert {bar.batch for bar in made.bars} == {"batch 1"}
    assert made.notes == (
        "Lay bars of the hottest firings on a tile of scrap clay: a body that goes too far ruins shelves.",
        "Say with --temperature-pm how far your kiln may be off; else the report takes temperatures as exact.",
    )


def test_control_bars_stand_in_every_load_and_have_clay_of_their_own() -> None:
    made = plan(replace(SIZE, control_body="Check Grey"))
    assert all(load.bars[1] == ("Check Grey", "control", 3) for load in made.loads)
    assert [(clay.body, clay.bars) for clay in made.clay] == [("Drift Buff", 22), ("Check Grey", 14)]
    assert "Control: 3 bars of Check Grey in every load, to tell kiln from clay." in plan_lines(made)


def test_no_two_bars_of_a_load_share_a_place_and_the_number_repeats_them() -> None:
    made = plan(replace(SIZE, seed=17))
    places = [(bar.load, bar.position, bar.place) for bar in made.bars]
    assert len(set(places)) == len(places)
    assert plan(replace(SIZE, seed=17)).bars == made.bars
    assert [(bar.load, bar.position, bar.place) for bar in plan(replace(SIZE, seed=18)).bars] != places


def test_places_are_as_many_as_bars_fit_either_way_and_zones_are_few() -> None:
    assert len(places_of(Kiln((), (400.0, 450.0)), BarSize())) == 3 * 8
    assert len(places_of(Kiln((), (450.0, 400.0), 2), BarSize())) == 2 * 3 * 8
    assert {zone for zone, _ in places_of(Kiln((), shelves=6), BarSize())} == {f"shelf {n}" for n in range(1, 7)}
    assert places_of(Kiln((), (100.0, 120.0)), BarSize()) == []


@pytest.mark.parametrize(
    ("question", "told"),
    [
        (
            replace(RANGE, goals=("size", "tight", "range")),
            "A firing range is planned by itself, not together with size, tight. Plan --to-know range first; then plan"
            " the others at the firing that it shows.",
        ),
        (
            replace(RANGE, kiln=Kiln(KILN.heats[:2])),
            "A firing range takes three firings at least, and only cone 4 and cone 6 can be fired. Name three or more"
            " with --cone or --temperature, on both sides of where the body should be tight.",
        ),
        (
            replace(RANGE, scatter=Scatter(absorption=9.0)),
            "Drift Buff is expected to fall to 2 % near 1272 °C, and the firings from 1162 to 1239 °C do not surely lie"
            " on both sides of that. Add a hotter firing with --cone or --temperature, or look again at --expect and"
            " --limit.",
        ),
        (
            replace(RANGE, scatter=Scatter(absorption=0.3)),
            "Drift Buff is expected to fall to 2 % near 1159 °C, and the firings from 1162 to 1239 °C do not surely lie"
            " on both sides of that. Add a cooler firing with --cone or --temperature, or look again at --expect and"
            " --limit.",
        ),
        (
            replace(SIZE, most_loads=1, half_width=0.1, kiln=replace(KILN, shelf_mm=(200.0, 150.0))),
            "Load F1 takes 15 bars of 12 × 40 × 130 mm, and the kiln has room for 4. Give more or larger shelves"
            " (--shelves 2, --shelf 450x500), smaller bars (--bar 12x30x130), or settle for less.",
        ),
        (
            replace(SIZE, half_width=0.3, stated_step_mm=0.5),
            "± 0.3 percentage points is 0.3 mm on the 100 mm between the marks, less than the reading step of 0.5 mm."
            " Read to a finer step (--reading-step 0.01), set the marks further apart on longer bars (--bar 12x40x230),"
            " or settle for more.",
        ),
        (
            replace(TIGHT, scatter=Scatter()),
            "Nothing says how much water Drift Buff takes up after cone 6, and there is no usual value for that."
            " Give --limit and a guess with --expect (in %), or an earlier test of it with --known; or fire five bars"
            " first.",
        ),
        (
            replace(TIGHT, scatter=Scatter(absorption=2.0)),
            "An absorption of 2 % after cone 6 lies so near to the limit of 2 % that the loads, batches and bars at"
            " hand hardly tell them apart. Allow more loads or batches, fire hotter, or ask for another limit; or plan"
            " the firing range first with --to-know range.",
        ),
        (
            replace(SIZE, goals=("match",), pair_mm=0.5),
            "Pieces of one batch are expected to scatter by 0.15 percentage points, so two of 200 mm do not agree"
            " within 0.5 mm in 95 of 100 pairs, however many bars are made. Allow more with --within, or make bars and"
            " pieces more alike; a few bars first show whether yours scatter less: give them with --known.",
        ),
    ],
)  # fmt: skip
def test_what_no_such_test_answers_is_refused_with_what_would_have_to_change(question: Question, told: str) -> None:
    assert refusal(question) == told


@pytest.mark.parametrize("text", ["400", "400x450x9", "large", "0x450", "400x-1"])
def test_a_shelf_that_cannot_be_meant_is_refused(text: str) -> None:
    with pytest.raises(UnusableRequest) as refused:
        parse_shelf(text)
    assert str(refused.value) == (
        f"'{text}' is not width and depth of a shelf. Give both in mm with an x between them, e.g. --shelf 400x450."
    )


@pytest.mark.parametrize("text", ["0", "-1", "wide", "", "30", "nan", "1cm"])
def test_a_closeness_that_cannot_be_meant_is_refused(text: str) -> None:
    with pytest.raises(UnusableRequest) as refused:
        parse_points(text)
    assert str(refused.value) == (
        f"'{text}' does not say how closely the shrinkage is to be known. Give percentage points, e.g. 0.5, or what it"
        " is on a piece of 200 mm, e.g. 1mm, or of 8 in, e.g. 0.04in; up to 20 points."
    )


def test_light_bars_are_named() -> None:
    light = plan(replace(TIGHT, bar=BarSize(12.0, 25.0, 100.0, 80.0)))
    assert light.notes == (
        "Bars of 12 × 25 × 100 mm fire to about 43 g; ASTM C373 asks for 50 g at least: make them wider or thicker.",
    )


def test_the_workbook_reads_back_as_planned_and_its_bytes_repeat(tmp_path) -> None:
    made = plan(replace(TIGHT, goals=("size", "tight"), marks=2, control_body="Check Grey", seed=17))
    path = tmp_path / "trial.xlsx"
    path.write_bytes(plan_workbook(made))
    assert plan_workbook(made) == path.read_bytes()
    sheets = read_sheets([path])
    assert [found.code for found in sheets.findings] == ["still-to-come"]
    bars = sheets.bars
    assert list(bars["bar"]) == [bar.code for bar in made.bars]
    assert list(bars["position"]) == [bar.position for bar in made.bars]
    assert list(sheets.firings["purpose"]) == [load.purpose for load in made.loads]
    (spec,) = sheets.specifications
    assert (spec.body, spec.purpose, spec.quantity, spec.highest) == ("Drift Buff", "final", "absorption", 2.0)
    lab = sheets.sheets[0].lab
    assert (lab.shrinkage_tolerance_points, lab.control_body) == (0.5, "Check Grey")
    assert sheets.firings["temperature_expanded_c"].isna().all()  # nobody stated it
    assert lab.length_step_mm is None
    book = openpyxl.load_workbook(path)
    notes = [row[-1].value for row in book["Firings"].iter_rows(min_row=4, max_row=4)]
    assert notes == ["places in the kiln drawn by the number 17"]
    assert book["Bars"].column_dimensions["F"].width > max(len(bar.position) for bar in made.bars)


def test_what_was_stated_of_kiln_and_calliper_stands_in_the_workbook() -> None:
    content = plan_content(plan(replace(SIZE, kiln=replace(KILN, temperature_pm_c=6.0), stated_step_mm=0.05)))
    assert {row["temperature ±"] for row in content.firings} == {6.0}
    assert content.lab["length reading step (mm)"] == 0.05


def test_absorption_falls_by_a_share_of_itself_so_a_plan_near_zero_is_no_harder() -> None:
    loads = [
        plan(replace(TIGHT, limit=limit, scatter=Scatter(0.15, 0.15, None, 12.0, sd, sd, absorption=expected))).needs[0]
        for limit, expected, sd in ((2.0, 1.2, 0.15), (0.5, 0.3, 0.0375))
    ]
    assert loads[0].loads == loads[1].loads
    assert loads[0].expected == pytest.approx(loads[1].expected)


def test_near_zero_the_usual_scatter_is_told_as_it_is_counted_with_and_one_that_was_seen_as_it_was_seen() -> None:
    usual = replace(TIGHT, scatter=Scatter(absorption=0.2))
    assert "absorption of bars 0.10, of batches 0.10 percentage points" in plan_lines(plan(usual))[-1]
    seen = replace(TIGHT, scatter=Scatter(absorption=0.2, absorption_bar=0.15, absorption_batch=0.15))
    assert "absorption of bars 0.15, of batches 0.15 percentage points" in plan_lines(plan(seen))[-1]
    assert chance_of_verdict(seen, 2.0, 0.2, 3) < chance_of_verdict(usual, 2.0, 0.2, 3) - 0.1


def test_the_further_a_body_lies_below_its_limit_the_fewer_loads_tell_it() -> None:
    expected = (1.5, 1.0, 0.5, 0.2, 0.05)
    needs = [plan(replace(TIGHT, limit=2.0, scatter=Scatter(absorption=one))).needs[0] for one in expected]
    assert sorted((need.loads for need in needs), reverse=True) == [need.loads for need in needs]


def test_a_sheet_without_absorption_has_no_columns_for_masses() -> None:
    content = plan_content(plan(SIZE))
    assert (content.kinds.lengths, content.kinds.masses, content.specs) == (True, False, ())
    assert plan_content(plan(TIGHT)).kinds.lengths is False
