"""The table by firing: what each group of a body did."""

from bodytest.report.fired import fired_groups
from bodytest.report.naming import firing_code, firing_details
from bodytest.report.sections.answer import all_left_out, factor_text
from bodytest.report.table import Cell, Column, Table, table, without_empty_columns
from bodytest.report.wording import Voice, short_verdict_mark
from bodytest.results import Group


def firing_table(voice: Voice, groups: tuple[Group, ...], confidence: float) -> Table:
    """Return one row for each group, coolest firing first."""
    columns = [
        Column(voice.say("firings.firing")),
        Column(voice.say("firings.direction")),
        Column(voice.say("firings.bars"), numeric=True),
        Column(voice.say("firings.drying"), numeric=True),
        Column(voice.say("firings.firing_shrinkage"), numeric=True),
        Column(voice.say("firings.total"), numeric=True),
        Column(voice.say("firings.factor"), numeric=True),
        Column(voice.say("firings.absorption"), numeric=True),
        Column(voice.say("firings.verdict")),
    ]
    several_methods = len({group.absorption_method for group in groups}) > 1
    rows = [_row(voice, group, several_methods) for group in groups]
    note = voice.say("firings.note", level=voice.percent(confidence))
    return without_empty_columns(table(voice.say("firings.caption"), columns, rows, note=note, key="firings"))


def fired_count(groups: tuple[Group, ...]) -> int:
    """Return the number of firings whose shrinkage was measured."""
    return len({group.firing for group in groups if "total_shrinkage" in group.quantities})


def firings_message(voice: Voice, groups: tuple[Group, ...]) -> str:
    """Return what the table says, in one sentence."""
    fired = [group.quantities["total_shrinkage"] for group in groups if "total_shrinkage" in group.quantities]
    if not fired:
        return _message_without_sizes(voice, groups)
    if fired_count(groups) == 1:
        return voice.say("firings.message_one")
    means = [result for result in fired if result.mean is not None]
    least, most = (pick(means, key=lambda result: result.mean or 0.0) for pick in (min, max))
    return voice.say("firings.message_many", low=voice.mean(least), high=voice.mean(most))


def _message_without_sizes(voice: Voice, groups: tuple[Group, ...]) -> str:
    if all(all_left_out(group) for group in groups):
        return voice.say("firings.message_left_out")
    return voice.say("firings.message_no_lengths" if fired_groups(groups) else "firings.message_unfired")


def _bars(voice: Voice, group: Group) -> str:
    """Return the number of bars, ``7 of 12`` where only some are measured to the end."""
    total = group.quantities.get("total_shrinkage")
    if total is None or total.n == group.bars:
        return str(group.bars)
    return voice.say("firings.bars_of", n=total.n, all=group.bars)


def _row(voice: Voice, group: Group, several_methods: bool) -> list[Cell | str]:
    absorbed = group.quantities.get("absorption")
    method = (group.absorption_method or "") if several_methods else ""
    details = [firing_details(voice, group, atmosphere=False), method]
    means = [
        voice.mean(group.quantities.get(key), unit=False)
        for key in ("drying_shrinkage", "firing_shrinkage", "total_shrinkage")
    ]
    return [
        Cell(firing_code(voice, group), small="; ".join(part for part in details if part)),
        group.direction,
        _bars(voice, group),
        *means,
        factor_text(voice, group),
        voice.mean(absorbed, unit=False),
        Cell("", mark=short_verdict_mark(voice, absorbed.decision if absorbed else None)),
    ]
