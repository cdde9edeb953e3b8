"""What three commands say of the demo: the verdict first, no statistics, at most 15 lines."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from bodytest.cli.app import app

DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"
SAID = {
    "timeline": [
        (
            "Too few batches fired alike to show an odd one: Chalk White (1), Check Grey (3), Drift Buff "
            f"(3), Marl Red (1). Compare them: bodytest compare {DEMO} --by batch"
        ),
        "Tables, limits and rules: --details.",
    ],
    "compare": [
        "Different: Drift Buff D1 and D3 (in 10 of 10 comparisons), D2 and D3 (in 8 of 10).",
        (
            "Total linear shrinkage, Drift Buff · F2 · along: Different: D1 and D3; D2 and D3. Cannot tell "
            "yet: D1 and D2."
        ),
        (
            "Total linear shrinkage, Drift Buff · F3 · along: Different: D1 and D3; D2 and D3. Cannot tell "
            "yet: D1 and D2."
        ),
        "Total linear shrinkage, Drift Buff · F6 · along: Different: D2 and D3.",
        (
            "Total linear shrinkage, Drift Buff · F4 · along: Different: D1 and D3; D2 and D3. Same within "
            "tolerance: D1 and D2."
        ),
        "Total linear shrinkage, Drift Buff · F7 · along: Different: D1 and D3.",
        (
            "Total linear shrinkage, Drift Buff · F5 · along: Different: D1 and D3; D2 and D3. Same within "
            "tolerance: D1 and D2."
        ),
        ("Water absorption, Drift Buff · F2 · along: Different: D1 and D3; D2 and D3. Cannot tell yet: D1 and D2."),
        ("Water absorption, Drift Buff · F3 · along: Different: D1 and D3. Cannot tell yet: D1 and D2; D2 and D3."),
        "Water absorption, Drift Buff · F6 · along: Different: D2 and D3.",
        ("Water absorption, Drift Buff · F4 · along: Different: D1 and D3; D2 and D3. Cannot tell yet: D1 and D2."),
        "Water absorption, Drift Buff · F7 · along: Different: D1 and D3.",
        ("Water absorption, Drift Buff · F5 · along: Different: D1 and D3. Cannot tell yet: D1 and D2; D2 and D3."),
        (
            "By how much, and on a piece of 200 mm: --details. Where no tolerance is stated nothing can be "
            "called the same; state one with --tolerance."
        ),
    ],
    "howmany": [
        ("Total linear shrinkage is known to ± 0.4 percentage points in 11 of 17 groups of bars (95 % intervals)."),
        ("Drift Buff · cone 6 · across (now ± 0.41): 1 more load of 3 bars for an even chance, 4 for nine in ten."),
        ("Drift Buff · cone 6 · along (now ± 0.9): 5 more batches of 11 bars for an even chance, 41 for nine in ten."),
        "Check Grey · F5 · along (now ± 0.42): 1 more bar for an even chance, 4 for nine in ten.",
        ("Drift Buff · F2 · along (now ± 0.7): 2 more batches of 5 bars for an even chance, 17 for nine in ten."),
        ("Drift Buff · F3 · along (now ± 0.9): 3 more batches of 5 bars for an even chance, 27 for nine in ten."),
        ("Drift Buff · F5 · along (now ± 0.8): 2 more batches of 5 bars for an even chance, 21 for nine in ten."),
        (
            "Known already: Check Grey · cone 6 · along (± 0.27), Chalk White · F4 · along (± 0.13), Check "
            "Grey · B1 · along (± 0.27), Check Grey · F1 · along (± 0.35), Check Grey · F2 · along (± 0.29),"
            " Check Grey · F3 · along (± 0.09), Drift Buff · F2 · across (± 0.21), Drift Buff · F3 · across "
            "(± 0.10), Drift Buff · F5 · across (± 0.20), Marl Red · B1 · along (± 0.13), Marl Red · F1 · "
            "along (± 0.15)."
        ),
        "For the batches and loads tested; see all about each group with --details.",
    ],
}


@pytest.mark.parametrize("command", SAID)
def test_the_demo_is_told_in_few_lines_with_the_verdict_first(command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "1000")
    said = CliRunner().invoke(app, [command, str(DEMO)]).stdout.splitlines()
    assert said == SAID[command]
    assert len(said) <= 15
