"""The table by programme: what each did over all its loads."""

from collections.abc import Sequence

from bodytest.report.sections.answer import all_left_out, factor_column
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import Tested, firing_details, is_fired, named_groups
from bodytest.report.wording import Voice, short_verdict_mark
from bodytest.results import Programme


def firing_table(voice: Voice, groups: tuple[Tested, ...], confidence: float) -> Table:
    """Return one row for each programme and direction, coolest first."""
    numeric = ("bars", "loads", "firing_shrinkage", "total", "factor", "absorption")
    columns = columns_of(voice, "firings", ("group", *numeric, "verdict", "speaks_of"), numeric)
    firing_shrinkages, totals, absorptions = (
        voice.means([group.quantities.get(key) for group in groups])
        for key in ("firing_shrinkage", "total_shrinkage", "absorption")
    )
    numbers = zip(firing_shrinkages, totals, factor_column(voice, groups), absorptions, strict=True)
    named = zip(named_groups(voice, groups), numbers, strict=True)
    rows = [_row(voice, name, one, own) for (name, one), own in named]
    note = voice.say("firings.note", level=voice.percent(confidence))
    return table(voice.say("firings.caption"), columns, rows, note=note, key="firings")


def fired_count(groups: tuple[Tested, ...]) -> int:
    """Return the number of firings whose shrinkage was measured."""
    return len({group.firing for group in groups if "total_shrinkage" in group.quantities})


def firings_message(voice: Voice, groups: tuple[Tested, ...]) -> str:
    """Return what the table says, in one sentence."""
    fired = [group.quantities["total_shrinkage"] for group in groups if "total_shrinkage" in group.quantities]
    if not fired:
        return _message_without_sizes(voice, groups)
    if fired_count(groups) == 1:
        return voice.say("firings.message_one")
    means = [result for result in fired if result.mean is not None]
    least, most = (pick(means, key=lambda result: result.mean or 0.0) for pick in (min, max))
    return voice.say("firings.message_many", low=voice.mean(least), high=voice.mean(most))


def _message_without_sizes(voice: Voice, groups: tuple[Tested, ...]) -> str:
    if all(all_left_out(group) for group in groups):
        return voice.say("firings.message_left_out")
    return voice.say("firings.message_no_lengths" if any(map(is_fired, groups)) else "firings.message_unfired")


def _bars(voice: Voice, group: Tested) -> str:
    """Return the number of bars, ``7 of 12`` where only some are measured to the end."""
    total = group.quantities.get("total_shrinkage")
    if total is None or total.n == group.bars:
        return str(group.bars)
    return voice.say("firings.bars_of", n=total.n, all=group.bars)


def _row(voice: Voice, name: str, group: Tested, numbers: Sequence[str]) -> list[Cell | str]:
    programme = group if isinstance(group, Programme) else None
    return [
        Cell(name, small=firing_details(voice, group, atmosphere=False)),
        _bars(voice, group),
        str(len(programme.loads)) if programme else "",
        *numbers,
        Cell("", mark=short_verdict_mark(voice, programme.would_meet if programme else None)),
        programme.speaks_of.words() if programme else "",
    ]
