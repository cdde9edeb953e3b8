"""A script that uses the library passes the strictest type check, and runs."""

import subprocess
import sys
from pathlib import Path

from mypy import api

SCRIPT = Path(__file__).parent / "typed_script.py"
ROOT = SCRIPT.parents[2]


def test_a_script_passes_the_strict_type_check():
    said, _, code = api.run(["--strict", "--config-file", str(ROOT / "pyproject.toml"), str(SCRIPT)])
    assert code == 0, said


def test_a_misspelt_keyword_is_an_error_of_the_type_checker(tmp_path):
    wrong = tmp_path / "wrong.py"
    wrong.write_text('import bodytest\nbodytest.sizes(bodytest.read_results("r.json"), "200mm", bodi="Marl Red")\n')
    said, _, code = api.run(["--strict", "--config-file", str(ROOT / "pyproject.toml"), str(wrong)])
    assert (code, "bodi" in said) == (1, True), said


def test_the_script_runs(tmp_path):
    ran = subprocess.run(
        [sys.executable, SCRIPT, ROOT / "sheets" / "demo-complete.xlsx", tmp_path / "report"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert lines[-2:] == [
        "index.html",
        "No fired bars of the body “Marl” were measured. There are: Chalk White, Check Grey, Drift Buff and Marl Red.",
    ]
    assert "Total linear shrinkage (%)" in lines
