"""Workbooks of simulated test firings, many bodies in each, and what the command line answers to them."""

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from typer.testing import CliRunner

from bodytest.cli.app import app

Draw = Callable[[np.random.Generator, tuple[int, ...]], np.ndarray]
"""Draws effects of mean 0 and standard deviation 1."""
PUBLIC_LAB = {"length reading step (mm)": 0.01, "mass reading step (g)": 0.01}
OF_BAR = ("bar", "body", "batch", "firing", "wet length (mm)", "fired length (mm)")
BAR_MM = 100.0


def normal(rng: np.random.Generator, shape: tuple[int, ...]) -> np.ndarray:
    return rng.standard_normal(shape)


def skewed(rng: np.random.Generator, shape: tuple[int, ...]) -> np.ndarray:
    """Draw from an exponential distribution: most a little below 0, a few far above it."""
    return rng.standard_exponential(shape) - 1.0


def heavy(rng: np.random.Generator, shape: tuple[int, ...]) -> np.ndarray:
    """Draw from Student's t with 4 degrees of freedom: more that lie far out than a normal distribution has."""
    return rng.standard_t(4.0, shape) / np.sqrt(2.0)


def one_odd_in_five(rng: np.random.Generator, shape: tuple[int, ...]) -> np.ndarray:
    """Draw mostly close together, and one in five lower by three times as much (a kiln that was not quite hot)."""
    odd = rng.random(shape) < 0.2
    return (rng.standard_normal(shape) - 3.0 * odd + 0.6) / np.sqrt(1.0 + 9.0 * 0.16)


@dataclass(frozen=True)
class Test:
    """How each of many bodies is tested."""

    __test__ = False

    bars: tuple[tuple[int, ...], ...]
    """Bars of each batch (rows) in each load (columns)."""
    batch_sd: float = 0.0
    """Scatter between batches, percentage points."""
    load_sd: float = 0.0
    """Scatter between loads, percentage points."""
    bar_sd: float = 0.15
    """Scatter between bars, percentage points."""
    draw: Draw = normal
    """How batches and loads scatter."""
    draw_bars: Draw = normal
    """How bars scatter."""
    calibration_mm: float = 0.0
    """Standard deviation of the error of the calipers, one for wet and another one for fired lengths, mm."""
    lab: dict[str, object] = field(default_factory=dict)
    """Further rows of the Lab table."""


@dataclass(frozen=True)
class Simulated:
    """True values of many bodies, and what is read off their bars."""

    mean: np.ndarray
    """Over all batches and loads to come, shape (bodies,)."""
    of_batch: np.ndarray
    """What each batch differs by, shape (bodies, batches)."""
    of_load: np.ndarray
    """What each load differs by, shape (bodies, loads)."""
    further: np.ndarray
    """What further bars differ by, shape (bodies, FURTHER): of a batch, of a load, of the bar itself."""
    rows: list[tuple[object, ...]]
    """Rows of the Bars table."""

    def truth(self, body: int, this_batch: bool = False, this_load: bool = False) -> tuple[float, np.ndarray]:
        """Return the mean of a body and its further bars, of any batch and load or of the one that was tested."""
        known = self.of_batch[body, 0] * this_batch + self.of_load[body, 0] * this_load
        batch, load, bar = self.further[:, body]
        mean = float(self.mean[body] + known)
        return mean, mean + batch * (not this_batch) + load * (not this_load) + bar


FURTHER = 20
"""Further bars, each of a batch and load of its own, by which the next interval is tried."""


def simulate(test: Test, bodies: int, rng: np.random.Generator) -> Simulated:
    """Make the bars of many bodies."""
    table = np.array(test.bars)
    batch, load = np.nonzero(table)
    batch, load = (np.repeat(one, table[batch, load]) for one in (batch, load))
    mean = 12.0 + rng.random(bodies)
    of_batch = test.batch_sd * test.draw(rng, (bodies, table.shape[0]))
    of_load = test.load_sd * test.draw(rng, (bodies, table.shape[1]))
    of_bar = test.bar_sd * test.draw_bars(rng, (bodies, batch.size))
    shrinkage = mean[:, None] + of_batch[:, batch] + of_load[:, load] + of_bar
    wet = BAR_MM + 0.3 * rng.standard_normal(shrinkage.shape)
    off = test.calibration_mm * rng.standard_normal((2, bodies, 1))
    fired = np.round(wet * (1.0 - shrinkage / 100.0) + off[1], 2)
    wet = np.round(wet + off[0], 2)
    rows = [
        (f"{body}-{bar}", f"Body {body}", f"D{batch[bar]}", f"L{load[bar]}", wet[body, bar], fired[body, bar])
        for body in range(bodies)
        for bar in range(batch.size)
    ]
    further = np.stack(
        [
            test.batch_sd * test.draw(rng, (bodies, FURTHER)),
            test.load_sd * test.draw(rng, (bodies, FURTHER)),
            test.bar_sd * test.draw_bars(rng, (bodies, FURTHER)),
        ]
    )
    return Simulated(mean, of_batch, of_load, further, rows)


def write_workbook(path: Path, rows, firings, lab: dict[str, object], headings: tuple[str, ...] = OF_BAR) -> Path:
    """Write the tables Bars, Firings (its first row the headings) and Lab."""
    import xlsxwriter

    with xlsxwriter.Workbook(path) as book:
        for name, lines in {
            "Bars": [headings, *rows],
            "Firings": firings,
            "Lab": list({**PUBLIC_LAB, **lab}.items()),
        }.items():
            sheet = book.add_worksheet(name)
            for number, line in enumerate(lines):
                sheet.write_row(number, 0, line)
    return path


def one_programme(loads: int) -> list[tuple[str, str]]:
    """Return the Firings table of loads that are all fired to one programme."""
    return [("firing", "programme"), *((f"L{load}", "cone 6, small kiln") for load in range(loads))]


def told(command: str, sheet: Path, *options: str) -> dict:
    """Return the document that a command of bodytest prints; the command runs in this process."""
    ran = CliRunner().invoke(app, [command, str(sheet), *options])
    if ran.exit_code not in (0, 1):
        raise RuntimeError(ran.output) from ran.exception
    document: dict = json.loads(ran.stdout)
    return document
