"""Where intervals and verdicts may not hold, the results, the page and the findings say so; elsewhere nobody does."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest

import bodytest
from bodytest.reading import read_sheets
from bodytest.report.pages import report_pages
from bodytest.results import Results

DOUBT = (
    "Water absorption: the 6 bars scatter by 134\N{NO-BREAK SPACE}% of their mean, so the ± and the verdict may be"
    " wrong more often than they say; test more bars, or look for what differs."
)


def weighed(folder: Path, absorptions: list[float]) -> Path:
    lines = ["bar,body,batch,firing,fired mass (g),boiled mass (g)"]
    lines += [f"{n},Grey,B1,F1,200.00,{200.0 + 2.0 * one:.3f}" for n, one in enumerate(absorptions)]
    path = folder / "grey.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def told(path: Path) -> tuple[Results, list[str], str]:
    sheets = read_sheets([path])
    results = bodytest.analyse(sheets)
    page = report_pages(results, today=date(2026, 3, 14))["grey.html"]
    return results, [one.sentence for one in results.findings if one.code == "may-not-hold"], page


def test_absorptions_that_scatter_beyond_their_mean_are_told_on_page_in_results_and_as_a_finding(
    tmp_path: Path,
) -> None:
    results, findings, page = told(weighed(tmp_path, [0.10, 0.15, 0.2, 0.3, 0.6, 2.1]))
    absorbed = results.programmes[0].quantities["absorption"]
    assert absorbed.sd / absorbed.mean == pytest.approx(1.3356, abs=1e-4)  # by hand: 0.7679 over 0.575
    assert absorbed.may_not_hold == DOUBT
    assert findings == [f"Grey · F1: {DOUBT}"]
    assert f'<p class="warning">{DOUBT}</p>' in page


def test_few_bars_near_zero_ask_for_five(tmp_path: Path) -> None:
    results, _, _ = told(weighed(tmp_path, [0.5, 0.7, 1.0]))
    doubt = results.programmes[0].quantities["absorption"].may_not_hold
    assert doubt.endswith("may be wrong more often than they say; test at least 5 bars.")


def test_ordinary_absorptions_are_not_doubted(tmp_path: Path) -> None:
    for seed in range(20):
        absorbed = np.random.default_rng(seed).normal(4.0, 0.3, 5)
        results = bodytest.analyse(read_sheets([weighed(tmp_path, list(absorbed))]))
        assert results.programmes[0].quantities["absorption"].may_not_hold is None
        assert "may-not-hold" not in {one.code for one in results.findings}
