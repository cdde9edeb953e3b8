"""The public figures: drawn on given or new Axes, labelled with units; a sentence where there is nothing to draw."""

import matplotlib.pyplot as plt
import pytest
from matplotlib.figure import Figure

from bodytest import analyse, figures, read_sheets
from bodytest.errors import NotMeasured
from bodytest.results import Results

pytestmark = pytest.mark.core


@pytest.fixture(scope="module")
def results() -> Results:
    return analyse(read_sheets(["sheets/demo-complete.xlsx"]))


@pytest.mark.parametrize(
    ("draw", "labels"),
    [
        (figures.response, ("Peak temperature (°C)", "Per cent")),
        (figures.batches, ("Batch", "Total linear shrinkage (%)")),
        (figures.stages, ("Stage", "Length of wet 100 mm (mm)")),
    ],
)
def test_a_figure_of_a_body_is_labelled_with_units_and_drawn_on_the_axes_given(results, draw, labels):
    given = Figure().add_subplot()
    axes = draw(results, "Drift Buff", ax=given)
    assert axes is given
    assert (axes.get_xlabel(), axes.get_ylabel()) == labels
    assert axes.get_title().startswith("Drift Buff")
    assert draw(results, "Drift Buff").figure is not given.figure
    assert plt.get_fignums() == []


def test_the_bodies_stand_at_their_answers(results):
    axes = figures.bodies(results)
    programmes = {one.id: one for one in results.programmes}
    drawn = sorted(tuple(point) for collection in axes.collections[:1] for point in collection.get_offsets().tolist())
    answered = [programmes[answer.programme] for answer in results.answers]
    expected = sorted(
        (one.quantities["total_shrinkage"].mean, one.quantities["absorption"].mean)
        for one in answered
        if {"total_shrinkage", "absorption"} <= one.quantities.keys()
    )
    assert drawn == [pytest.approx(point) for point in expected]
    upright = [collection.get_segments()[0][:, 1].tolist() for collection in axes.collections[2::2]]
    absorbed = [one.quantities["absorption"] for one in answered if "absorption" in one.quantities]
    assert upright == [pytest.approx([one.low, one.high]) for one in absorbed]


def test_the_lengths_by_stage_are_what_shrinkage_leaves(results):
    axes = figures.stages(results, "Marl Red")
    (answer,) = [one for one in results.answers if one.body == "Marl Red"]
    (one,) = [programme for programme in results.programmes if programme.id == answer.programme]
    assert axes.lines[0].get_ydata()[-1] == pytest.approx(100 - one.quantities["total_shrinkage"].mean)


@pytest.mark.parametrize("draw", [figures.response, figures.batches, figures.stages])
def test_a_body_that_is_not_there_is_told(results, draw):
    with pytest.raises(NotMeasured, match="Drift Bluff"):
        draw(results, "Drift Bluff")
