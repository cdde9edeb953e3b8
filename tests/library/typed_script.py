"""A script as somebody would write it who checks types strictly; run and checked by test_typed.py."""

import datetime
import sys
from pathlib import Path

import pandas as pd

import bodytest
from bodytest.errors import BodytestError


def plan(sheet: Path, folder: Path) -> list[str]:
    """Use every public function once."""
    checked = bodytest.read_sheets(sheet)
    results = bodytest.analyse(checked, confidence=0.9)
    lines = [found.sentence for found in bodytest.check([sheet])] + [repr(results)]
    (jar,) = bodytest.sizes(results, "200mm", body="Drift Buff", programme="cone 6", within="2mm")
    wet = jar.at("wet")
    lines.append(f"{wet.size_mm:.1f}" if wet is not None and jar.chance_within is not None else "")
    lid = bodytest.match(results, "92mm", clearance="1mm", body="Drift Buff", batches="different")
    clay = bodytest.clay_masses(results, ["800g"], body="Drift Buff")
    (jug,) = bodytest.wet_capacities(results, "1.5 l", body="Drift Buff", direction="along")
    lines += [f"{lid.chance_fits}", f"{clay[0].dry_g:.0f}", f"{jug.wet_ml:.0f}"]
    lines += [one.verdict for one in bodytest.compare(results, by="batch", tolerance=0.5)]
    lines += [one.summary for one in bodytest.timeline(results, "total_shrinkage")]
    frame: pd.DataFrame = results.to_frame("programmes")
    lines.append(str(len(frame)))
    lines.append(bodytest.figures.bodies(results).get_xlabel())
    lines.append(str(bodytest.write_report(results, folder, dated=datetime.date(2026, 3, 14)).name))
    try:
        bodytest.sizes(results, "200mm", body="Marl")
    except BodytestError as error:
        lines.append(error.finding.sentence)
    return lines


if __name__ == "__main__":
    print(*plan(Path(sys.argv[1]), Path(sys.argv[2])), sep="\n")  # noqa: T201
