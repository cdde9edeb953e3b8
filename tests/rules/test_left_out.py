"""A bar left out from one stage on keeps what was read before."""

from pathlib import Path

from bodytest.analysis.analysing import analyse
from bodytest.reading import read_sheets
from tests.broken_sheets import make
from tests.intake.test_account import balance_of


def test_a_bar_broken_in_the_kiln_keeps_its_drying_readings(tmp_path: Path) -> None:
    rows = make.changed((3, "leave out", "fired: cracked"), (5, "leave out", "fell"), rows=make.good_bars(12))
    (tmp_path / "bars.csv").write_bytes(make.text_of(rows))
    sheets = read_sheets([tmp_path / "bars.csv"])
    (group,) = analyse(sheets).groups
    counted = {key: quantity.n for key, quantity in group.quantities.items()}
    assert (counted["drying_shrinkage"], counted["water_of_plasticity"]) == (11, 11)
    assert (counted["firing_shrinkage"], counted["absorption"]) == (10, 10)
    assert sheets.bars["notes"].tolist()[2] == "left out from fired on: cracked"
    balance = balance_of(sheets)
    assert (balance.named, balance.used + balance.named + sum(balance.set_aside.values())) == (6, balance.filled)
    assert [f.code for f in sheets.findings] == ["left-out-from-stage"]
