"""``bodytest watch``: checks and reports again at each save."""

import time
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import DecimalComma, option
from bodytest.cli.console import count_words
from bodytest.cli.manner import said
from bodytest.cli.report import write_all
from bodytest.files.inputs import stands_as_sheet
from bodytest.findings import Finding
from bodytest.rounding import counted

if TYPE_CHECKING:
    from bodytest.results import Results
    from bodytest.tables import CheckedSheets


@dataclass(frozen=True)
class Snapshot:
    """What was there after a save."""

    sheets: dict[str, str] = field(default_factory=dict)
    """File name → SHA-256."""
    bars: int = 0
    """Rows of bars."""
    values: int = 0
    """Values computed, all quantities together."""
    findings: tuple[Finding, ...] = ()
    """Findings of the sheets and of the analysis."""


def snapshot(checked: "CheckedSheets", results: "Results | None") -> Snapshot:
    """Return what is to be compared with the next save."""
    from bodytest.quantities import QUANTITIES

    sheets = {source.name: source.sha256 for source in checked.sheets}
    if results is None:
        return Snapshot(sheets, findings=checked.findings)
    values = int(results.bars[[q.key for q in QUANTITIES]].notna().to_numpy().sum())
    return Snapshot(sheets, len(checked.bars), values, results.findings)


def describe(before: Snapshot | None, after: Snapshot) -> str:
    """Return what changed in one line.

    >>> describe(Snapshot({"a.xlsx": "1"}, 9, 40), Snapshot({"a.xlsx": "2"}, 10, 46))
    'a.xlsx saved; 10 bars (1 more), 46 values (6 more); 0 to mend, 0 to look at, 0 notes'
    """
    files = _files({} if before is None else before.sheets, after.sheets)
    numbers = ", ".join(
        f"{counted(now, noun)}{_more(None if before is None else getattr(before, f'{noun}s'), now)}"
        for noun, now in (("bar", after.bars), ("value", after.values))
    )
    findings = count_words(after.findings) + _new_findings(before, after.findings)
    return f"{files}; {numbers}; {findings}"


def _more(before: int | None, now: int) -> str:
    if before is None or before == now:
        return ""
    return f" ({now - before} more)" if now > before else f" ({before - now} fewer)"


def _files(before: dict[str, str], after: dict[str, str]) -> str:
    gone = {name: content for name, content in before.items() if name not in after}
    parts = []
    for name, content in after.items():
        old = next((was for was, had in gone.items() if had == content), None)
        if name in before:
            parts += [f"{name} saved"] if before[name] != content else []
        elif old is not None:
            parts.append(f"{old} renamed {name}")
            del gone[old]
        else:
            parts.append(f"{name} new")
    parts += [f"{name} gone" for name in gone]
    return ", ".join(parts) or "nothing new"


def _new_findings(before: Snapshot | None, findings: Iterable[Finding]) -> str:
    if before is None:
        return ""
    known = set(before.findings)
    new = [found for found in findings if found not in known]
    if not new:
        return ""
    first = f" in {new[0].cell}" if new[0].cell else ""
    return f" ({len(new)} new, the first{first}: {new[0].sentence})"


_TRIES, _PAUSE_S = 6, 0.3
"""A file that is being written is read again so often, so long apart."""
_QUIET_MS = 400
"""Changes that follow each other within this time are one save."""
_LOOK_MS = 1000
"""How often to look for saves that the system told nothing of, as on some network drives."""
_AWAY = "cannot be reached; the report is left as it is. Waiting for it to come back."
_HALF_WRITTEN = {"file-empty", "file-damaged", "file-unreadable", "not-a-spreadsheet", "file-not-found"}
"""Codes of findings that may come of a file that is not written to its end yet."""


def watch(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="Folder with the sheets; its subfolders are left alone.")
    ],
    out: Annotated[Path | None, option("--out", "DIR/report")] = None,
    decimal_comma: DecimalComma = False,
) -> None:
    """Check the sheets in a folder and remake the report each time one is saved.

    Example: bodytest watch trials --out trials/report

    Says in one line what changed. Stop it with Ctrl-C.
    """
    from bodytest.errors import UnusableRequest
    from bodytest.files.report_folder import refuse_report
    from bodytest.report.file_names import ALWAYS

    if not folder.is_dir():
        raise UnusableRequest("no-such-folder", value=str(folder))
    place = Watched(folder, out if out is not None else folder / "report", "," if decimal_comma else ".")
    refuse_report(place.out, ALWAYS, place.sheets())
    console.say(*console.hint(f"Watching {folder}; the report goes to {place.out}. Stop with Ctrl-C."))
    with suppress(KeyboardInterrupt):
        _follow(place)
    console.say(*console.hint("Stopped watching."))


@dataclass(frozen=True)
class Watched:
    """A folder of sheets and where its report goes."""

    folder: Path
    """Folder with the sheets."""
    out: Path
    """Folder of the report."""
    decimal_sign: str = "."
    """Sign of decimals in it."""

    def sheets(self) -> list[Path]:
        """Return the sheets in the folder by name, without what editors leave beside them and what we write."""
        found = [path for path in self.folder.iterdir() if self.counts(path) and path.is_file()]
        return sorted(found, key=lambda path: path.name)

    def stamps(self) -> dict[str, tuple[int, int]] | None:
        """Return time of the last change and size of each sheet; None while the folder cannot be reached."""
        found = {}
        try:
            for path in self.sheets():
                with suppress(FileNotFoundError):  # deleted since it was listed
                    status = path.stat()
                    found[path.name] = (status.st_mtime_ns, status.st_size)
        except OSError:
            return None
        return found

    def counts(self, path: Path) -> bool:
        """Say whether a file is a sheet: not hidden, not an editor's lock or copy, not of our own making."""
        own = path.name == "results.csv" and path.parent.resolve() == self.out.resolve()
        return stands_as_sheet(path) and not own


def _follow(place: Watched) -> None:
    """Remake the report at the start and after each save, deletion or renaming; wait while the folder is away."""
    before: Snapshot | None = None
    seen: dict[str, tuple[int, int]] | None = None
    away = False
    for _ in _looks(place):
        there = place.stamps()
        if away != (there is None):
            away = there is None
            _say_now(f"{place.folder} {_AWAY if away else 'is there again.'}")
        if there is None or there != seen:
            seen = None
        if there is not None and seen is None:
            with suppress(OSError):  # it went away meanwhile: once more when it is back
                before = _remake(place, before)
                seen = there


def _looks(place: Watched) -> Iterator[None]:
    """Yield when the system tells of a change, and each second for those told of by nobody."""
    from watchfiles import watch as watch_files

    yield
    while True:
        with suppress(OSError):  # the folder is away
            for _ in watch_files(
                place.folder,
                watch_filter=lambda _, path: place.counts(Path(path)),
                debounce=_QUIET_MS,
                rust_timeout=_LOOK_MS,
                yield_on_timeout=True,
                recursive=False,
            ):
                yield
        time.sleep(_LOOK_MS / 1000)
        yield


def _remake(place: Watched, before: Snapshot | None) -> Snapshot | None:
    """Check, report and say what changed; return what is there now.

    Raises:
        OSError: the folder went away.
    """
    from bodytest.analysis.analysing import analyse
    from bodytest.errors import BodytestError

    try:
        if not place.sheets():
            _say_now(
                "No sheet in the folder; the report is left as it is." if before else "No sheet in the folder yet."
            )
            return before and Snapshot()
        checked = _read_whole(place)
        results = None if checked.bars.empty else analyse(checked)
        now = snapshot(checked, results)
        if before is not None and before.sheets == now.sheets:
            return now
        index = None
        if results is not None:
            index, _ = write_all(results, place.out, date.today(), decimal_sign=place.decimal_sign)
    except BodytestError as error:
        _say_now(str(error))
        return before
    _say_now(f"{describe(before, now)} → {index or 'no report, there is not one bar to go by'}")
    return now


def _read_whole(place: Watched) -> "CheckedSheets":
    """Read the sheets, again while one looks half written or is saved meanwhile.

    Raises:
        OSError: the folder went away.
    """
    from bodytest.reading import read_sheets

    for _ in range(_TRIES):
        before = place.stamps()
        checked = read_sheets(place.sheets(), said())
        after = place.stamps()
        if before == after and not any(found.code in _HALF_WRITTEN for found in checked.findings):
            break
        time.sleep(_PAUSE_S)
    if after is None:
        raise FileNotFoundError(place.folder)
    return checked


def _say_now(line: str) -> None:
    console.say(f"{datetime.now():%H:%M:%S} {line}")
