"""Loads of programmes fired more than once, and batches: what each did, and by how much they scatter."""

from collections.abc import Iterator

from bodytest.analysis.control_bars import KnownLoads, known_loads
from bodytest.report.body_part import BodyPart, Choice
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import Tested, batch_name, firing_code, group_name, named_groups
from bodytest.report.wording import Voice
from bodytest.results import Group, Programme, Results
from bodytest.stats.between_levels import scatter_interval

_QUANTITY = "total_shrinkage"


def load_section(voice: Voice, results: Results, part: BodyPart) -> dict[str, object] | None:
    """Return the loads of a body; None where no programme was fired more than once."""
    several = [one for one in part.programmes if len(one.loads) > 1]
    if not several:
        return None
    names = ("group", "firing", "temperature", "bars", "batches", "firing_shrinkage", "total", "absorption", "control")
    numeric = {"temperature", "bars", "firing_shrinkage", "total", "absorption", "control"}
    columns = columns_of(voice, "loads", names, numeric)
    known = {one.id: _control(results, one) for one in several}
    rows = [
        _row(voice, group_name(voice, one), group, known[one.id]) for one in several for group in part.loads_of(one)
    ]
    note = voice.say(f"loads.{_note(results, part.body, known)}", control=results.lab.control_body)
    made = table(voice.say("loads.caption"), columns, rows, note=note, key="loads")
    sentences = list(_sentences(voice, several, part, results.confidence))
    return {"sentences": sentences, "loads": made}


def _sentences(voice: Voice, several: list[Programme], part: BodyPart, confidence: float) -> Iterator[str]:
    for one in several:
        total = one.quantities.get(_QUANTITY)
        if total is None or total.load_sd is None or not total.bar_sd:
            continue
        bars = [load.quantities[_QUANTITY].n for load in part.loads_of(one) if _QUANTITY in load.quantities]
        scatter = total.load_sd, total.bar_sd, total.n - len(bars) - len(one.batches) + 1
        yield differ_sentence(voice, ("load", "loads"), group_name(voice, one), bars, scatter, confidence)


def differ_sentence(
    voice: Voice, of: tuple[str, str], where: str, bars: list[int], scatter: tuple[float, float, int], confidence: float
) -> str:
    """Say whether loads or batches differ, by the interval of their scatter.

    ``of`` is what is counted and its section of the wording, ``bars`` how many each has; ``scatter`` are the standard
    deviations between them and of bars of one load and batch, and the degrees of freedom of these.
    """
    between, within, freedom = scatter
    low, high = scatter_interval(between, within, bars, max(freedom, 1), confidence)
    verdict = "differ" if low > 0.0 else "even"
    told = {"between": between, "within": within, "low": low, "high": high}
    return voice.say(
        f"{of[1]}.{verdict}",
        where=f"{where}," if "," in where else where,
        counted=voice.count(of[0], len(bars)),
        level=voice.percent(confidence),
        **{name: voice.number(value, 2) for name, value in told.items()},
    )


def _control(results: Results, one: Programme) -> KnownLoads | None:
    """Return what the control bars say of the loads of a programme."""
    bars, control = results.bars, results.lab.control_body
    if control is None or one.body == control:
        return None
    stood = bars[(bars["body"] == control) & bars["firing"].isin(one.loads) & (bars["left_out"] == "")]
    measured = stood[stood[_QUANTITY].notna()]
    return known_loads(measured, _QUANTITY) if len(measured) else None


def _row(voice: Voice, where: str, group: Group, known: KnownLoads | None) -> list[Cell | str]:
    found = [group.quantities.get(key) for key in ("firing_shrinkage", _QUANTITY, "absorption")]
    return [
        where,
        Cell(firing_code(voice, group), small=group.date or ""),
        voice.number(voice.degrees(group.peak_temperature_c), 0),
        str(group.bars),
        ", ".join(batch for batch in group.batches if batch),
        *(voice.number(one.mean if one else None, 2) for one in found),
        _difference(voice, group.firing, known),
    ]


def _difference(voice: Voice, load: str, known: KnownLoads | None) -> str:
    """Return by how much the control bars of a load differ from those of all, or that it has none."""
    if known is None:
        return ""
    if load not in known.places:
        return voice.say("loads.no_control")
    difference = known.history.differences[known.places[load]]
    return ("+" if difference > 0 else "") + voice.number(difference, 2)


def _note(results: Results, body: str, known: dict[str, KnownLoads | None]) -> str:
    """Return which of the sentences on control bars holds."""
    if body == results.lab.control_body:
        return "control_itself"
    return "controlled" if any(known.values()) else "uncontrolled"


def batch_section(
    voice: Voice, groups: tuple[Tested, ...], choice: Choice, confidence: float
) -> dict[str, object] | None:
    """Return the batches of a body and their scatter; None where no group holds more than one."""
    several = tuple(group for group in groups if len(group.batches) > 1)
    if not several:
        return None
    return {
        "message": _message(voice, several, choice, confidence),
        "each": _each(voice, several, voice.percent(confidence)),
        "spread": _spread(voice, several),
    }


def _message(voice: Voice, groups: tuple[Tested, ...], choice: Choice, confidence: float) -> str:
    group = choice.group if len(choice.group.batches) > 1 else groups[-1]
    key = "total_shrinkage" if "total_shrinkage" in group.quantities else "drying_shrinkage"
    total = group.quantities.get(key)
    if total is None or total.batch_sd is None or not total.bar_sd:
        return voice.say("batches.no_spread")
    bars = [batch.quantities[key].n for batch in group.by_batch if key in batch.quantities]
    scatter = total.batch_sd, total.bar_sd, total.n - len(bars) - len(group.loads) + 1
    return differ_sentence(voice, ("batch", "batches"), group_name(voice, group), bars, scatter, confidence)


def _each(voice: Voice, groups: tuple[Tested, ...], level: str) -> Table:
    numbers = ("firings.bars", "firings.total", "firings.absorption")
    columns = columns_of(voice, "batches", ("group", "batch", *numbers), numbers)
    batches = [(name, batch) for name, group in named_groups(voice, groups) for batch in group.by_batch]
    totals, absorptions = (
        voice.means([batch.quantities.get(key) for _, batch in batches]) for key in ("total_shrinkage", "absorption")
    )
    rows = [
        [name, batch_name(voice, batch.batch), str(batch.bars), total, absorbed]
        for (name, batch), total, absorbed in zip(batches, totals, absorptions, strict=True)
    ]
    return table(voice.say("batches.each_caption", level=level), columns, rows, key="batches")


def _spread(voice: Voice, groups: tuple[Tested, ...]) -> Table:
    of_total = ("total_batches", "total_loads", "total_within")
    numbers = (*of_total, "absorption_batches", "absorption_loads", "absorption_within")
    columns = columns_of(voice, "batches", ("group", *numbers), numbers)
    rows = [[name, *_spread_cells(voice, group)] for name, group in named_groups(voice, groups)]
    note = voice.say("batches.spread_note")
    return table(voice.say("batches.spread_caption"), columns, rows, note=note, key="spread")


def _spread_cells(voice: Voice, group: Tested) -> list[str]:
    cells = []
    for key in ("total_shrinkage", "absorption"):
        result = group.quantities.get(key)
        spreads = (result.batch_sd, result.load_sd, result.bar_sd) if result else (None, None, None)
        cells += [voice.number(spread, 2) for spread in spreads]
    return cells
