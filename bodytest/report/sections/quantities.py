"""Every quantity of every group with all its intervals, for whoever digs."""

from collections.abc import Iterator

from bodytest.quantities import QUANTITIES
from bodytest.report.naming import group_names
from bodytest.report.table import Cell, Column, Table, table, without_empty_columns
from bodytest.report.wording import Voice, half_width
from bodytest.results import Group, QuantityResult
from bodytest.rounding import decimals_for


def quantity_table(voice: Voice, groups: tuple[Group, ...], confidence: float) -> Table:
    """Return one row for each group and quantity."""
    level = voice.percent(confidence)
    columns = [
        Column(voice.say("batches.group")),
        Column(voice.say("quantities.quantity")),
        Column(voice.say("quantities.n"), numeric=True),
        Column(voice.say("quantities.mean"), numeric=True),
        Column(voice.say("quantities.sd"), numeric=True),
        Column(voice.say("quantities.u"), numeric=True),
        Column(voice.say("quantities.df"), numeric=True),
        Column(voice.say("quantities.next", level=level), numeric=True),
        Column(voice.say("quantities.tolerance"), numeric=True),
        Column(voice.say("quantities.marks"), numeric=True),
    ]
    rows = list(_rows(voice, groups))
    note = voice.say("quantities.note")
    return without_empty_columns(table(voice.say("quantities.caption"), columns, rows, note=note, key="quantities"))


def _rows(voice: Voice, groups: tuple[Group, ...]) -> Iterator[list[Cell | str]]:
    for name, group in zip(group_names(voice, groups), groups, strict=True):
        for quantity in QUANTITIES:
            result = group.quantities.get(quantity.key)
            if result is not None:
                label = f"{quantity.name}, {quantity.unit}" if quantity.unit else quantity.name
                yield [name, label, *_numbers(voice, result, quantity.digits)]


def _numbers(voice: Voice, result: QuantityResult, digits: int) -> list[str]:
    decimals = decimals_for(half_width(result), otherwise=digits)
    return [
        str(result.n),
        voice.mean(result, digits, unit=False),
        voice.number(result.sd, decimals + 1),
        voice.number(result.standard_uncertainty, decimals + 1),
        voice.number(result.degrees_of_freedom, 0),
        voice.interval(result.next_low, result.next_high, otherwise=digits),
        voice.interval(result.tolerance_low, result.tolerance_high, otherwise=digits),
        voice.number(result.mark_sd, decimals + 1),
    ]
