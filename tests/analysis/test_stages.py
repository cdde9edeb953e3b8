"""Ratios to the wet length with their covariance: against numpy, and sizes in one step or two."""

import json
from pathlib import Path

import numpy as np
import pytest

import bodytest
from bodytest.export.document import to_json
from bodytest.plan.measured import Wanted
from bodytest.plan.sizes import sizes
from bodytest.results import Programme
from bodytest.stats.combined_freedom import student_factor

Bars = list[tuple[float | None, ...]]
LENGTHS: Bars = [
    (100.00, 94.10, 88.20), (100.40, 94.60, 88.30), (99.70, 93.40, 87.60), (100.10, 94.20, 88.50),
    (99.90, 93.80, 87.40),
]  # fmt: skip


def programmes(folder: Path, lengths: Bars, loads: list[str] | None = None) -> tuple[Programme, ...]:
    heads = ("wet", "leather-hard", "dry", "fired") if len(lengths[0]) == 4 else ("wet", "dry", "fired")
    lines = [",".join(["bar", "body", "firing", "cone", *(f"{head} length (mm)" for head in heads)])]
    for number, one in enumerate(lengths):
        cells = ["" if length is None else f"{length:.3f}" for length in one]
        lines.append(",".join([f"{number}", "Grey", loads[number] if loads else "F1", "6", *cells]))
    path = folder / "grey.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    results = bodytest.analyse(bodytest.read_sheets([path]))
    (folder / "results.json").write_text(to_json(results), encoding="utf-8")
    return results.programmes


def test_of_one_load_they_are_the_sample_means_and_covariances(tmp_path: Path) -> None:
    (found,) = programmes(tmp_path, LENGTHS)
    wet, *later = np.array(LENGTHS).T
    ratios = np.array(later) / wet
    assert list(found.stages) == ["dry", "fired"]
    assert [one.ratio_to_wet for one in found.stages.values()] == pytest.approx(ratios.mean(axis=1), abs=1e-12)
    # the reading step of 0.1 mm is far below the scatter, so it adds nothing
    assert np.array(found.stage_covariance) == pytest.approx(np.cov(ratios) / len(LENGTHS), rel=1e-6)
    assert found.stages["fired"].standard_uncertainty == pytest.approx(found.stage_covariance[1][1] ** 0.5, rel=1e-12)
    shrunk = found.quantities["total_shrinkage"]
    assert found.stages["fired"].ratio_to_wet == pytest.approx(1.0 - shrunk.mean / 100.0, abs=1e-12)


def test_only_bars_measured_at_all_stages_count(tmp_path: Path) -> None:
    (found,) = programmes(tmp_path, [*LENGTHS, (100.0, 80.0, None), (100.0, None, 70.0)])
    (alone,) = programmes(tmp_path, LENGTHS)
    assert found.stages == pytest.approx(alone.stages)
    assert found.stage_covariance == alone.stage_covariance


def test_one_bar_gives_none_and_the_document_holds_and_reads_them(tmp_path: Path) -> None:
    (none,) = programmes(tmp_path, LENGTHS[:1])
    assert (none.stages, none.stage_covariance) == ({}, ())
    (found,) = programmes(tmp_path, LENGTHS)
    (written,) = json.loads((tmp_path / "results.json").read_text(encoding="utf-8"))["programmes"]
    assert written["stages"]["dry"]["ratio_to_wet"] == found.stages["dry"].ratio_to_wet
    (again,) = bodytest.read_results(tmp_path / "results.json").programmes
    assert (again.stages, again.stage_covariance) == (found.stages, found.stage_covariance)


def test_a_size_from_dry_to_fired_is_as_sure_in_one_step_as_in_two(tmp_path: Path) -> None:
    """Bars of six loads: what a dry piece becomes, by firing shrinkage, or back to wet and on to fired."""
    rng = np.random.default_rng(7)
    one_step, two_steps = [], []
    for _ in range(12):
        load = np.repeat(rng.normal(0.0, 0.3, 6), 5)
        dry = 94.0 + rng.normal(0.0, 0.3, 30)
        fired = dry * (0.936 - load / 100.0) + rng.normal(0.0, 0.1, 30)
        names = [f"L{1 + number // 5}" for number in range(30)]
        (found,) = programmes(tmp_path, [(100.0, d, f) for d, f in zip(dry, fired, strict=True)], names)
        shrunk, stages = found.quantities["firing_shrinkage"], found.stages
        ratio = stages["fired"].ratio_to_wet / stages["dry"].ratio_to_wet
        slopes = np.array([-ratio, 1.0]) / stages["dry"].ratio_to_wet
        assert ratio == pytest.approx(1.0 - shrunk.mean / 100.0, abs=3e-4)
        one_step.append(shrunk.standard_uncertainty / 100.0)
        two_steps.append(float(np.sqrt(slopes @ np.array(found.stage_covariance) @ slopes)))
    assert np.mean(two_steps) == pytest.approx(np.mean(one_step), rel=0.05)
    apart = np.hypot(0.3, 0.1 / 0.94 / 5**0.5) / 100.0 / 6**0.5  # the true standard error
    assert np.mean(two_steps) == pytest.approx(apart, rel=0.2)


SHRINKAGES = {
    ("wet", "leather-hard"): "leather_hard_shrinkage", ("wet", "dry"): "drying_shrinkage",
    ("dry", "fired"): "firing_shrinkage", ("wet", "fired"): "total_shrinkage",
}  # fmt: skip


def uncertainty_of_ratio(programme: dict, start: str, end: str) -> float:
    """Return the standard uncertainty of length at ``end`` over length at ``start``, by numpy from the document."""
    ratios = {"wet": 1.0} | {stage: one["ratio_to_wet"] for stage, one in programme["stages"].items()}
    covariance = np.array(programme["stage_covariance"])
    slopes = [(stage == end) / ratios[end] - (stage == start) / ratios[start] for stage in programme["stages"]]
    return float(ratios[end] / ratios[start] * np.sqrt(slopes @ covariance @ slopes))


def uncertainty_told_by_size(path: Path, programme: dict, start: str, end: str) -> float:
    """Return it from the range that `size` gives at ``end`` for 100 mm at ``start``."""
    wanted = Wanted(programme["body"], programme=programme["programme"], direction=programme["direction"])
    (plan,) = sizes(bodytest.read_results(path), "100mm", wanted=wanted, now=start)
    found = plan.at(end)
    freedom = programme["quantities"][SHRINKAGES[start, end]]["degrees_of_freedom"]
    assert found is not None
    assert None not in (found.low_mm, found.high_mm)
    return (found.high_mm - found.low_mm) / 200.0 / student_factor(freedom, plan.confidence)


def test_the_covariances_of_the_demo_give_the_uncertainties_that_size_tells() -> None:
    """Drying is told over all bars of a body; where these are more than the programme's, it is known better."""
    path = Path(__file__).parents[2] / "reports" / "results.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    answers = {one["programme"] for one in document["answers"]}
    compared = []
    for programme in (one for one in document["programmes"] if one["id"] in answers):
        for start, end in (("wet", "dry"), ("dry", "fired"), ("wet", "fired")):
            told = uncertainty_told_by_size(path, programme, start, end)
            ours = uncertainty_of_ratio(programme, start, end)
            if programme["quantities"][SHRINKAGES[start, end]]["n"] > programme["bars"]:
                assert (start, end) == ("wet", "dry")
                assert told < ours
            else:
                assert ours == pytest.approx(told, rel=0.006), (programme["id"], start, end)
                compared.append((start, end))
    assert [compared.count(pair) for pair in (("wet", "dry"), ("dry", "fired"), ("wet", "fired"))] == [1, 4, 4]


def test_with_leather_hard_lengths_each_pair_of_stages_is_reached(tmp_path: Path) -> None:
    lengths: Bars = [(100.0, 97.0, 94.1, 88.2), (100.4, 97.6, 94.6, 88.3), (99.7, 96.4, 93.4, 87.6),
                     (100.1, 97.3, 94.2, 88.5), (99.9, 96.7, 93.8, 87.4)]  # fmt: skip
    programmes(tmp_path, lengths)
    path = tmp_path / "results.json"
    (programme,) = json.loads(path.read_text(encoding="utf-8"))["programmes"]
    for start, end in SHRINKAGES:
        told = uncertainty_told_by_size(path, programme, start, end)
        assert uncertainty_of_ratio(programme, start, end) == pytest.approx(told, rel=0.001), (start, end)


def test_each_batch_has_its_size_factor_in_the_document() -> None:
    path = Path(__file__).parents[2] / "reports" / "results.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    batches = [batch for one in (*document["groups"], *document["programmes"]) for batch in one["by_batch"]]
    for batch in batches:
        total = batch["quantities"].get("total_shrinkage")
        for end, name in {"mean": "", "low": "_low", "high": "_high"}.items():
            percent = total and total[end]
            expected = None if percent is None else pytest.approx(1.0 / (1.0 - percent / 100.0), rel=1e-12)
            assert batch[f"wet_size_factor{name}"] == expected
    assert sum(batch["wet_size_factor_low"] is not None for batch in batches) > 10
