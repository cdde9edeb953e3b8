"""What changed from one save to the next, in one line."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bodytest.cli.console import count_words, counted
from bodytest.findings import Finding

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
