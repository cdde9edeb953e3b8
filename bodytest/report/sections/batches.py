"""The batches of a body: what each did, and the scatter between and within them."""

from dataclasses import dataclass

from bodytest.report.choice import Choice
from bodytest.report.fired import Tested
from bodytest.report.naming import batch_name, group_name, group_names
from bodytest.report.sections.loads import Levels, differ_sentence
from bodytest.report.table import Table, columns_of, table, without_empty_columns
from bodytest.report.wording import Voice
from bodytest.results import Programme


@dataclass(frozen=True)
class BatchSection:
    """The batches of one body."""

    message: str
    """What they say, in one sentence."""
    each: Table
    """Each batch in each programme."""
    spread: Table
    """Between-batch and within-batch standard deviations."""


def batch_section(voice: Voice, groups: tuple[Tested, ...], choice: Choice, confidence: float) -> BatchSection | None:
    """Return the batches of a body; None where no group holds more than one."""
    several = tuple(group for group in groups if len(group.batches) > 1)
    if not several:
        return None
    level = voice.percent(confidence)
    return BatchSection(
        _message(voice, several, choice, confidence), _each(voice, several, level), _spread(voice, several)
    )


def _message(voice: Voice, groups: tuple[Tested, ...], choice: Choice, confidence: float) -> str:
    group = choice.group if len(choice.group.batches) > 1 else groups[-1]
    key = "total_shrinkage" if "total_shrinkage" in group.quantities else "drying_shrinkage"
    total = group.quantities.get(key)
    if total is None or total.batch_sd is None or not total.bar_sd:
        return voice.say("batches.no_spread")
    bars = [batch.quantities[key].n for batch in group.by_batch if key in batch.quantities]
    of_batches = Levels("batches", voice.count("batch", len(bars)), bars, total.batch_sd)
    loads = len(group.loads) if isinstance(group, Programme) else 1
    of_bars = total.bar_sd, total.n - len(bars) - loads + 1
    return differ_sentence(voice, group_name(voice, group), of_batches, of_bars, confidence)


def _each(voice: Voice, groups: tuple[Tested, ...], level: str) -> Table:
    numbers = ("firings.bars", "firings.total", "firings.absorption")
    columns = columns_of(voice, "batches", ("group", "batch", *numbers), numbers)
    batches = [
        (name, batch)
        for name, group in zip(group_names(voice, groups), groups, strict=True)
        for batch in group.by_batch
    ]
    totals, absorptions = (
        voice.means([batch.quantities.get(key) for _, batch in batches]) for key in ("total_shrinkage", "absorption")
    )
    rows = [
        [name, batch_name(voice, batch.batch), str(batch.bars), total, absorbed]
        for (name, batch), total, absorbed in zip(batches, totals, absorptions, strict=True)
    ]
    made = table(voice.say("batches.each_caption", level=level), columns, rows, key="batches")
    return without_empty_columns(made)


def _spread(voice: Voice, groups: tuple[Tested, ...]) -> Table:
    of_total = ("total_batches", "total_loads", "total_within")
    numbers = (*of_total, "absorption_batches", "absorption_loads", "absorption_within")
    columns = columns_of(voice, "batches", ("group", *numbers), numbers)
    rows = [
        [name, *_spread_cells(voice, group)] for name, group in zip(group_names(voice, groups), groups, strict=True)
    ]
    note = voice.say("batches.spread_note")
    return without_empty_columns(table(voice.say("batches.spread_caption"), columns, rows, note=note, key="spread"))


def _spread_cells(voice: Voice, group: Tested) -> list[str]:
    cells = []
    for key in ("total_shrinkage", "absorption"):
        result = group.quantities.get(key)
        spreads = (result.batch_sd, result.load_sd, result.bar_sd) if result else (None, None, None)
        cells += [voice.number(spread, 2) for spread in spreads]
    return cells
