"""``bodytest verify``: the published check values on this installation."""

import math
import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from bodytest import __version__
from bodytest.cli import console
from bodytest.cli.choices import All
from bodytest.cli.progress import working

if TYPE_CHECKING:
    from bodytest.verify.printed_digits import Figure

_WIDTH = 80
_ROW = "  {name:<26} {published:>15} {ours:>15} {within:>8} {digits:>4} {verdict:<4}"


def verify(
    every: All = False,
) -> None:
    """Run the published check values on this installation and print each with its source.

    Example: bodytest verify

    Exit code: 0 when every published figure is met within its printed digits, else 1.
    """
    from bodytest.verify.verification import verify as verify_all

    with working("computing published examples"):
        figures = verify_all()
    passed = all(figure.passed for figure in figures)
    console.answer(
        "verification",
        lambda: _document(figures),
        lambda: _table(figures, every),
        code=0 if passed else console.EXIT_STOP,
    )


def _table(figures: Sequence["Figure"], every: bool) -> Iterator[str]:
    yield "Published figures, what this installation makes of them, and the difference"
    yield "that the printed digits allow. 'dig' counts the digits that agree. At the end,"
    yield "cross-checks: statsmodels computes the same figures here and now."
    if not every:
        yield "A name with (13) is a list of 13 figures; the one that agrees worst is shown."
    for _, of_example in groupby(figures, key=lambda figure: figure.example):
        yield from _block(list(of_example), every)
    yield ""
    yield from textwrap.wrap(_verdict(figures), _WIDTH)


def _block(figures: list["Figure"], every: bool) -> Iterator[str]:
    yield ""
    yield from textwrap.wrap(figures[0].title, _WIDTH)
    known = "" if figures[0].provenance == "seen" else f" ({figures[0].provenance})"
    yield from textwrap.wrap(f"{figures[0].source}{known}", _WIDTH, initial_indent="  ", subsequent_indent="  ")
    yield _ROW.format(
        name="figure", published=figures[0].counterpart, ours="ours", within="within", digits="dig", verdict=""
    ).rstrip()
    for name, of_name in groupby(figures, key=lambda figure: figure.name):
        yield from _rows(name, list(of_name), every)
    trouble = figures[0].trouble
    if trouble:
        yield from textwrap.wrap(f"Could not be computed: {trouble}", _WIDTH, initial_indent="  ")


def _rows(name: str, figures: list["Figure"], every: bool) -> Iterator[str]:
    from bodytest.verify.printed_digits import worst

    if len(figures) == 1:
        yield _row(name, figures[0])
    elif every:
        yield from (_row(f"{name} {figure.position}", figure) for figure in figures)
    else:
        yield _row(f"{name} ({len(figures)})", worst(figures))


def _row(name: str, figure: "Figure") -> str:
    digits = figure.digits
    row = _ROW.format(
        name=name.replace("_", " "),
        published=_number(figure.published),
        ours=_number(figure.ours),
        within="" if isinstance(figure.published, str) else f"{figure.tolerance:.2g}",
        digits="" if digits is None else f"{digits:.0f}",
        verdict="ok" if figure.passed else "MISS",
    )
    return row.rstrip()


def _number(value: float | str | None) -> str:
    if value is None:
        return "none"
    return value if isinstance(value, str) else f"{value:.10g}"


def _verdict(figures: Sequence["Figure"]) -> str:
    missed = [figure for figure in figures if not figure.passed]
    if not missed:
        return (
            f"All {_counted(figures, 'published')} published examples are met ({_installation()}). "
            f"All {_counted(figures, 'statsmodels')} cross-checks with statsmodels agree."
        )
    return (
        f"{len(missed)} of {len(figures)} figures are missed ({_installation()}). Do not rely on this "
        "installation: install bodytest again into an empty virtual environment with the versions of the lock file; "
        "if it still misses, please report it with this table."
    )


def _counted(figures: Sequence["Figure"], counterpart: str) -> str:
    """Return ``207 figures of 28``."""
    examples = [figure.example for figure in figures if figure.counterpart == counterpart]
    return f"{len(examples)} figures of {len(set(examples))}"


def _installation() -> str:
    return ", ".join(f"{name} {version}" for name, version in _versions().items())


def _versions() -> dict[str, str]:
    import platform
    from importlib.metadata import version

    packages = {name: version(name) for name in ("numpy", "scipy", "pandas", "statsmodels")}
    return {"bodytest": __version__, "Python": platform.python_version(), **packages}


def _document(figures: Sequence["Figure"]) -> dict[str, Any]:
    return {
        "installation": _versions(),
        "passed": all(figure.passed for figure in figures),
        "figures": [_entry(figure) for figure in figures],
    }


def _entry(figure: "Figure") -> dict[str, Any]:
    from dataclasses import asdict

    undefined = isinstance(figure.ours, float) and not math.isfinite(figure.ours)
    ours = None if undefined else figure.ours
    return {**asdict(figure), "ours": ours, "digits": figure.digits, "passed": figure.passed}
