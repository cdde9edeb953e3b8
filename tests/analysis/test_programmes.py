"""Programmes over loads and batches, through sheets and the analysis; expected values by hand."""

from pathlib import Path

import openpyxl
import pytest

import bodytest
from bodytest.analysis.loads import FiringProgramme, shortest_names
from bodytest.scope import SpeaksOf

MEANS = (12.02, 12.50, 11.62, 12.26, 11.34, 12.22)
PATTERN = (-1.2649, -0.6325, 0.0, 0.6325, 1.2649)
"""Five numbers of mean 0 and standard deviation 1."""


def written(
    folder: Path, bars: list[tuple], firings: list[list[object]], lab: list[list[object]] | None = None, **tables: list
) -> Path:
    """Write bars of (batch, load, total shrinkage), firings and other tables into a workbook."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Bars"
    sheet.append(
        ["bar", "body", "batch", "firing", "direction", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
    )
    for number, (batch, load, shrinkage) in enumerate(bars, start=1):
        where = "across" if batch.endswith("-across") else "along"
        lengths = (100.0, 94.0 + 0.01 * (number % 5), 100.0 - shrinkage)
        sheet.append([f"A{number}", "Marl", batch.removesuffix("-across"), load, where, *lengths])
    for name, rows in {"Firings": firings, "Lab": lab or [], **tables}.items():
        table = book.create_sheet(name.capitalize())
        for row in rows:
            table.append(row)
    book.save(folder / "bars.xlsx")
    return folder / "bars.xlsx"


def analysed(folder: Path, *tables, **options):
    """Write the tables into a workbook and analyse it."""
    return bodytest.analyse(bodytest.read_sheets([written(folder, *tables)]), **options)


def six_loads_tables() -> tuple[list[tuple], list[list[object]], list[list[object]]]:
    """Return bars, firings and Lab rows of six loads to cone 6, five bars each."""
    bars = [("D1", f"L{load}", mean + 0.16 * off) for load, mean in enumerate(MEANS, 1) for off in PATTERN]
    firings = [["firing", "kiln", "cone"], *([f"L{load}", "small", "6"] for load in range(1, 7))]
    return bars, firings, [["length reading step (mm)", 0.001]]


def six_loads(folder: Path):
    return analysed(folder, *six_loads_tables())


def test_six_loads_of_one_programme_answer_for_the_next_load(tmp_path: Path) -> None:
    results = six_loads(tmp_path)
    (programme,) = results.programmes
    total = programme.quantities["total_shrinkage"]

    assert (programme.design, programme.called) == ("loads", "cone 6")
    assert (programme.speaks_of.batch, programme.speaks_of.load) == ("this", "any")
    # by hand: the means scatter by 0.435, t(5) 2.571: 2.571 · 0.435 / √6 = 0.456; next: 2.571 · √(0.241)
    assert total.mean == pytest.approx(11.993, abs=0.001)
    assert total.high - total.mean == pytest.approx(0.456, abs=0.002)
    assert total.next_high - total.mean == pytest.approx(1.26, abs=0.01)
    factors = (programme.wet_size_factor_low, programme.wet_size_factor, programme.wet_size_factor_high)
    assert [round(one, 3) for one in factors] == [1.130, 1.136, 1.142]
    (plan,) = bodytest.sizes(results, "200mm")
    assert (round(plan.at("wet").size_mm, 1), plan.speaks_of.words("D1")) == (227.3, "batch D1 only, in any load")
    assert (round(plan.next_low_mm), round(plan.next_high_mm)) == (197, 203)


def test_one_load_is_answered_for_where_it_is_named(tmp_path: Path) -> None:
    (plan,) = bodytest.sizes(six_loads(tmp_path), "200mm", firing="L3")

    assert plan.speaks_of == SpeaksOf("this", "this")
    assert plan.at("wet").size_mm == pytest.approx(200 / (1 - 0.1162), abs=0.01)
    assert plan.notes == ("The load L3 only; without --firing the answer is for any load of its programme.",)


def test_drying_is_told_once_for_a_body_however_often_its_bars_were_fired(tmp_path: Path) -> None:
    bars = [("D1", load, 12.0 + off / 10) for load in ("L1", "L2") for off in PATTERN]
    results = analysed(tmp_path, bars, [["firing", "cone"], ["L1", "6"], ["L2", "7"]])
    (before,) = results.before_firing

    assert (before.bars, before.quantities["drying_shrinkage"].n) == (10, 10)
    of_programmes = [one.quantities["drying_shrinkage"] for one in results.programmes]
    assert of_programmes == [before.quantities["drying_shrinkage"]] * 2


def test_loads_without_a_heat_stay_alone_and_named_ones_are_joined(tmp_path: Path) -> None:
    bars = [("D1", load, 12.0 + off / 10) for load in ("L1", "L2", "L3") for off in PATTERN]
    firings = [["firing", "programme"], ["L1", ""], ["L2", "slow"], ["L3", "slow"]]
    results = analysed(tmp_path, bars, firings)

    assert {one.called: one.loads for one in results.programmes} == {"L1": ("L1",), "slow": ("L2", "L3")}


def test_names_are_as_short_as_tells_programmes_apart() -> None:
    parts = [("cone 6", "oxidation", "small"), ("cone 6", "oxidation", "large"), ("cone 7", "oxidation", "small")]
    programmes = [FiringProgramme(one, "", "", "", "") for one in parts]

    names = list(shortest_names(programmes).values())
    assert names == ["cone 6, oxidation, small", "cone 6, oxidation, large", "cone 7"]


def test_the_answer_is_the_final_programme_and_never_past_the_peak(tmp_path: Path) -> None:
    bars = [
        ("D1", load, mean + off / 10) for load, mean in (("L5", 11.0), ("L6", 12.4), ("L9", 8.4)) for off in PATTERN
    ]
    heats = [["firing", "cone", "purpose"], ["L5", "5", "{}"], ["L6", "6", ""], ["L9", "9", ""]]
    final = [[cell.format("final") for cell in row] for row in heats]
    marked = analysed(tmp_path, bars, final)
    unmarked = analysed(tmp_path, bars, [[cell.format("") for cell in row] for row in heats])

    assert [(one.reason, one.programme.split(" | ")[1]) for one in marked.answers] == [("final", "cone 5")]
    assert [(one.reason, one.programme.split(" | ")[1]) for one in unmarked.answers] == [("densest", "cone 6")]
    assert unmarked.answers[0].sentence == "Planned with cone 6, at which Marl was densest without swelling."


def test_a_size_known_too_vaguely_is_no_answer(tmp_path: Path) -> None:
    results = analysed(tmp_path, [("D1", "L1", 9.0), ("D1", "L1", 15.0)], [["firing", "cone"], ["L1", "6"]])

    (answer,) = results.answers
    assert not answer.known
    assert answer.sentence == (
        "How much Marl shrinks at cone 6 is known to ± 38.1 percentage points only, too little to plan with (at most"
        " ± 1.0). Look at the readings that stand apart, or test more bars."
    )


def test_scatter_that_the_lab_table_states_gives_a_second_interval_beside_the_own_one(tmp_path: Path) -> None:
    bars = [("D1", "L1", 12.0 + 0.15811 * off) for off in PATTERN]  # scatter 0.15811, u = 0.07071
    lab = [
        ["length reading step (mm)", 0.0005],
        ["scatter between loads (points)", 0.3],
        ["scatter between loads, from how many", 6],
    ]
    (programme,) = analysed(tmp_path, bars, [["firing", "cone"], ["L1", "6"]], lab).programmes
    total = programme.quantities["total_shrinkage"]

    assert (programme.speaks_of.load, total.borrowed.from_, total.borrowed.loads) == ("this", "Lab sheet", 6)
    assert total.high - total.mean == pytest.approx(2.776 * 0.07071, abs=0.001)  # t(4)
    # √(0.07071² + 0.3²) = 0.30822; t between t(5) = 2.571 and what little the own bars add
    assert total.borrowed.high - total.mean == pytest.approx(2.571 * 0.30822, rel=0.03)
    assert total.borrowed.next_high - total.mean > total.borrowed.high - total.mean
    assert programme.quantities["drying_shrinkage"].borrowed is None


def test_scatter_of_other_programmes_is_borrowed_only_when_asked_for(tmp_path: Path) -> None:
    bars = [("D1", f"L{load}", mean + 0.16 * off) for load, mean in enumerate(MEANS, 1) for off in PATTERN]
    bars += [("D1", "L9", 11.0 + 0.16 * off) for off in PATTERN]
    firings = [["firing", "cone"], *([f"L{load}", "6"] for load in range(1, 7)), ["L9", "5"]]
    plain, asked = (analysed(tmp_path, bars, firings, borrow=borrow) for borrow in (False, True))

    def borrowed(results):
        (one,) = (one for one in results.programmes if one.called == "cone 5")
        return one.quantities["total_shrinkage"].borrowed

    assert borrowed(plain) is None
    assert (borrowed(asked).from_, borrowed(asked).loads, borrowed(asked).batches) == ("other programmes", 6, None)
    six = next(one for one in asked.programmes if one.called == "cone 6")
    assert six.quantities["total_shrinkage"].borrowed is None


def test_volume_shrinkage_comes_from_both_directions_and_is_one_figure(tmp_path: Path) -> None:
    bars = [("D1", "L1", 12.0 + 0.1 * off) for off in PATTERN] + [
        ("D1-across", "L1", 13.0 + 0.1 * off) for off in PATTERN
    ]
    results = analysed(tmp_path, bars, [["firing", "cone"], ["L1", "6"]])
    along, across = (one.quantities["total_volume_shrinkage"] for one in results.programmes)

    assert along == across
    assert along.mean == pytest.approx(100 * (1 - 0.88 * 0.87**2), abs=1e-6)
    assert (along.n, along.low < along.mean < along.high) == (10, True)


def test_a_skewed_dense_body_leaves_room_for_a_long_upper_tail() -> None:
    from bodytest.stats.effects import summarise_effects
    from bodytest.stats.skew import with_room_for_skew

    plain = summarise_effects([0.2, 0.3, 0.35, 0.5, 1.1], [0] * 5, [0] * 5)
    wide = with_room_for_skew(plain, 0.01)

    assert wide.high > plain.high
    assert wide.low >= 0.0
