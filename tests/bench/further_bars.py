"""Is a decision settled as often as told by the further bars or loads that the page names? For `tests.bench.promises`.

Of simulated tests that leave the verdict open and are told a number, that many more bars (or loads of five) are made
and all are judged together; on plain numbers, and in some rows through workbooks and the command line.
"""

import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np

from bodytest.analysis.decisions import with_what_would_settle
from bodytest.analysis.instruments import InstrumentErrors
from bodytest.results import QuantityResult
from bodytest.stats.effects import Instruments, summarise_effects
from bodytest.stats.skew import Positive
from bodytest.stats.summary import shared_step_uncertainty
from tests.bench.simulated_sheets import one_programme, told, write_workbook
from tests.stats.deciding import decide

LIMIT = 2.0
STEP = 0.01 / 12**0.5 * 2**0.5
"""Standard uncertainty of an absorption by masses of 100 g read to 0.01 g, percentage points."""
DISTANCES = (-1.0, -0.5, -0.25, 0.25, 0.5, 1.0)
"""Of the limit from the true mean, in standard deviations of bars, or of loads where there are several."""
OPEN = "cannot tell yet"

Values = np.ndarray
"""Absorption of the bars of one test, a load a row."""
Judged = tuple[str, int | None]
"""The verdict, and how many more are told to settle it."""


@dataclass(frozen=True)
class Body:
    """A body to be tested."""

    skewed: bool
    """Whether it scatters by lognormal factors, else by normal steps."""
    mean: float
    """True mean absorption, %."""
    load_sd: float
    bar_sd: float

    def tested(self, loads: int, bars: int, draw: np.random.Generator, seen: Values | None = None) -> Values:
        """Return so many loads of bars, or the bars seen with so many more loads, or more bars of the one load."""
        one = not self.load_sd
        of_load = self._scattered(self.mean, self.load_sd, (loads, 1), draw)
        made = np.maximum(self._scattered(of_load, self.bar_sd, (loads, bars), draw), 0.0)
        return made if seen is None else np.concatenate([seen, made], axis=1 if one else 0)

    def _scattered(self, means, sd: float, shape: tuple[int, int], draw: np.random.Generator) -> Values:
        deviates = draw.standard_normal(shape)
        of_log = np.sqrt(np.log1p((sd / self.mean) ** 2))
        return means * np.exp(of_log * deviates - of_log**2 / 2.0) if self.skewed else means + sd * deviates


def on_numbers(tests: Sequence[Values]) -> list[Judged]:
    """Judge tests as the package does once their absorptions are known."""
    return [_judged(values) for values in tests]


def _judged(values: Values) -> Judged:
    load = np.repeat(np.arange(len(values)), values.shape[1])
    shared = shared_step_uncertainty(float(values.std(ddof=1)), STEP)
    found = summarise_effects(values.ravel(), np.zeros_like(load), load, instruments=Instruments(STEP, 0.0, shared))
    known = found.mean, found.standard_uncertainty, found.degrees_of_freedom
    verdict = decide(*known, (None, LIMIT), values=Positive(found.sd, STEP))
    result = QuantityResult("%", found.n, found.mean, found.sd, *known[1:], limit=LIMIT, decision=verdict)
    errors = InstrumentErrors(STEP, shared, 0.0, 0.01, "g", {})
    asked = with_what_would_settle(result, found, errors, 0.95)
    return verdict, asked.further_loads if len(values) > 1 else asked.further_bars


def by_command(tests: Sequence[Values]) -> list[Judged]:
    """Judge tests as `bodytest results` does, each a body of one workbook."""
    headings = ("bar", "body", "firing", "fired mass (g)", "boiled mass (g)")
    lab = {"absorption limit (%)": LIMIT, "absorption method": "boil 5 h and soak 24 h", "mass reading step (g)": 0.01}
    rows = [
        (f"{body}-{load}-{bar}", f"Body {body}", f"L{load}", 100.0, round(100.0 + absorbed, 2))
        for body, values in enumerate(tests)
        for (load, bar), absorbed in np.ndenumerate(values)
    ]
    with tempfile.TemporaryDirectory() as folder:
        firings = one_programme(max(map(len, tests)))
        document = told("results", write_workbook(Path(folder, "bars.xlsx"), rows, firings, lab, headings))
    found = {one["body"]: one["quantities"]["absorption"] for one in document["programmes"]}
    results = [found[f"Body {body}"] for body in range(len(tests))]
    return [(one["decision"], one["further_loads"] or one["further_bars"]) for one in results]


def settled(
    body: Body, loads: int, bars: int, tests: int, draw: np.random.Generator, judge: Callable[..., list[Judged]]
) -> list[bool]:
    """Return of each test that was told a number whether so many more settle it."""
    first = [body.tested(loads, bars, draw) for _ in range(tests)]
    asked = [
        (seen, more) for seen, (verdict, more) in zip(first, judge(first), strict=True) if verdict == OPEN and more
    ]
    more_of = (lambda more: (1, more)) if loads == 1 else (lambda more: (more, bars))
    return [verdict != OPEN for verdict, _ in judge([body.tested(*more_of(more), draw, seen) for seen, more in asked])]


def further_rows(tests: int, seed: int) -> Iterator[str]:
    """Yield the rows of the table."""
    seen, scatters, kinds = ((1, 3), (1, 5), (1, 10), (2, 5), (4, 5)), (0.05, 0.15, 0.3, 0.5), (False, True)
    cases = [(*one, on_numbers, tests) for one in product(seen, scatters, kinds)]
    cases += [((1, 5), 0.3, True, by_command, 50), ((1, 10), 0.5, False, by_command, 50)]
    cases += [((4, 5), 0.3, True, by_command, 50)]
    for (loads, bars), scatter, skewed, judge, number in cases:
        found = []
        for place, distance in enumerate(DISTANCES):
            mean = LIMIT / (1.0 + distance * scatter)
            sds = (0.0, scatter * mean) if loads == 1 else (scatter * mean, scatter * mean / 2.0)
            draw = np.random.default_rng([seed, place, loads, bars, int(100.0 * scatter), skewed])
            found.append(settled(Body(skewed, mean, *sds), loads, bars, number, draw, judge))
        found.append([one for of_distance in found for one in of_distance])
        shares = " | ".join(f"{np.mean(one):.2f}" if one else "" for one in found)
        by = "command line" if judge is by_command else "plain numbers"
        of = f"{scatter:g} | {'skewed' if skewed else 'normal'} | {loads} × {bars} | {by}"
        yield f"| {of} | {shares} |"


FURTHER = """| scatter over mean | body | seen | by | −1 | −½ | −¼ | ¼ | ½ | 1 | all |
|---|---|---|---|---|---|---|---|---|---|---|"""
