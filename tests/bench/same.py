"""Whether two versions say the same, to the last digit: ``python tests/bench/same.py OLD [SHEET_OR_FOLDER …]``.

``OLD`` is a checkout of an earlier version. Both read the demo's sheets, the broken sheets, what is named, and invented
bars of several shapes, and their findings, results and pages are compared byte for byte, the version aside. Exit code 1
where they differ; what both wrote is kept under ``OLD/../same`` for a look with ``diff -r``.
"""

import argparse
import filecmp
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).parents[2]
ENDINGS = (".xlsx", ".ods", ".csv")


def write_invented(folder: Path) -> list[list[Path]]:
    """Write bars of several shapes and return the sheets of each: one and twenty thousand, many bodies, many sheets."""
    import numpy as np
    from bars import invented_bars, write_bars, write_small_sheets  # the neighbouring script

    folder.mkdir(parents=True, exist_ok=True)
    for count in (1000, 20_000):
        write_bars(count, folder / str(count), workbooks=count == 1000)
    write_small_sheets(50, 20, folder / "many")
    rng = np.random.default_rng(20240301)
    bodies = invented_bars(2000)
    bodies["body"] = rng.choice([f"Invented {letter}" for letter in "ABCDEFGHIJKLMNOPQRST"], len(bodies))
    bodies["batch"] = rng.choice(["1", "2", "3"], len(bodies))
    bodies.to_csv(folder / "bodies.csv", index=False)
    slips = invented_bars(3000).astype({"wet length (mm)": object})
    readings = slips.columns[3:]
    for row, column in zip(rng.choice(len(slips), 300, replace=False), rng.choice(readings, 300), strict=True):
        slips[column] = slips[column].astype(object)
        value = slips.loc[row, column]
        slips.loc[row, column] = rng.choice([f"{value * 10:g}", f"{value}?", "", "broken", f"{value + 3:.2f}", "0"])
    slips.to_csv(folder / "slips.csv", index=False)
    single = [[folder / f"{name}.csv"] for name in ("1000", "20000", "bodies", "slips")]
    return [*single, [folder / "1000.xlsx"], sorted((folder / "many").glob("sheet-*.csv"))]


def commands(groups: list[list[Path]], pages: list[Path]) -> Iterator[tuple[str, list[str]]]:
    """Yield a name for the output of each command, and the command."""
    for group in groups:
        name = f"{group[0].parent.name}-{group[0].name}"
        sheets = [str(path) for path in group]
        yield f"{name}.check", ["check", *sheets, "--json", "--all"]
        for form in ("json", "csv"):
            yield f"{name}.{form}", ["results", *sheets, "--format", form, "--out", f"{name}.{form}"]
    for page in pages:
        yield f"{page.name}.report", ["report", str(page), "--out", f"{page.name}-pages", "--date", "2026-03-14"]


def run_all(groups: list[list[Path]], pages: list[Path], out: Path) -> None:
    """Run the commands with the package that is found first, each in a process of its own, in a folder."""
    import bodytest
    from bodytest.cli.app import main

    bodytest.__version__ = "the version"
    out.mkdir(parents=True, exist_ok=True)
    os.chdir(out)
    for name, words in commands(groups, pages):
        child = os.fork()
        if child == 0:
            for number, ending in ((1, "out"), (2, "err")):
                os.dup2(os.open(f"{name}.{ending}", os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
            sys.argv = ["bodytest", *words]
            main()
            os._exit(0)
        os.waitpid(child, 0)


def differing(compared: "filecmp.dircmp[str]", place: str = "") -> Iterator[str]:
    """Yield the files of two folders that are not the same."""
    yield from (place + name for name in (*compared.left_only, *compared.right_only, *compared.funny_files))
    _, unlike, broken = filecmp.cmpfiles(compared.left, compared.right, compared.common_files, shallow=False)
    yield from (place + name for name in (*unlike, *broken))
    for name, below in compared.subdirs.items():
        yield from differing(below, f"{place}{name}/")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("old", type=Path)
    options.add_argument("sheets", type=Path, nargs="*")
    options.add_argument("--write", type=Path, help="only write what the package that is found first says, to here")
    options.add_argument("--keep-old", action="store_true", help="take what the earlier version said last time")
    chosen = options.parse_args()
    same = chosen.old.resolve().parent / "same"
    own = [HERE / "sheets", HERE / "tests" / "broken_sheets", *(path.resolve() for path in chosen.sheets)]
    if chosen.write is None:
        write_invented(same / "sheets")
        for name, package in (("old", chosen.old.resolve()), ("new", HERE)):
            if name == "new" or not (chosen.keep_old and (same / "old").exists()):
                words = [sys.executable, __file__, *sys.argv[1:], "--write", str(same / name)]
                subprocess.run(words, env=os.environ | {"PYTHONPATH": str(package)}, check=True)
        unlike = sorted(differing(filecmp.dircmp(same / "old", same / "new")))
        sys.exit("\n".join(["these differ:", *unlike]) if unlike else None)
    files = [path for one in own for path in (sorted(one.iterdir()) if one.is_dir() else [one])]
    groups = [[path] for path in files if path.suffix in ENDINGS]
    run_all([*groups, *write_invented(same / "sheets")], [HERE / "sheets" / "demo-complete.xlsx"], chosen.write)


if __name__ == "__main__":
    main()
