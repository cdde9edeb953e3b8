"""Every quantity of every group with all its intervals, for whoever digs."""

from collections.abc import Iterator

from bodytest.analysis.volume import BOTH_DIRECTIONS
from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITIES
from bodytest.report.fired import Tested
from bodytest.report.naming import firing_code, group_names
from bodytest.report.table import Cell, Column, Table, table, without_empty_columns
from bodytest.report.wording import Voice, half_width
from bodytest.results import BeforeFiring, QuantityResult
from bodytest.rounding import decimals_for


def quantity_table(
    voice: Voice, tested: tuple[Tested, ...], before: tuple[BeforeFiring, ...], confidence: float
) -> Table:
    """Return one row for each quantity of each programme; what firing cannot change comes first, once."""
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
    rows = [*_before(voice, before), *_rows(voice, tested, {key for one in before for key in one.quantities})]
    note = voice.say("quantities.note")
    return without_empty_columns(table(voice.say("quantities.caption"), columns, rows, note=note, key="quantities"))


def _before(voice: Voice, before: tuple[BeforeFiring, ...]) -> Iterator[list[Cell | str]]:
    for one in before:
        where = ", ".join(part for part in (voice.say("quantities.before"), one.direction) if part)
        yield from (_row(voice, where, q, one.quantities[q.key]) for q in QUANTITIES if q.key in one.quantities)


def _rows(voice: Voice, tested: tuple[Tested, ...], told: set[str]) -> Iterator[list[Cell | str]]:
    """Yield what is not told yet; a volume from bars of both directions once for the two."""
    volumes = set[tuple[str, float | None]]()
    for name, one in zip(group_names(voice, tested), tested, strict=True):
        for quantity in QUANTITIES:
            result = one.quantities.get(quantity.key)
            if result is None or quantity.key in told:
                continue
            if result.estimator == BOTH_DIRECTIONS:
                if (one.firing, result.mean) in volumes:
                    continue
                volumes.add((one.firing, result.mean))
                yield _row(voice, firing_code(voice, one), quantity, result, voice.say("quantities.both"))
            else:
                yield _row(voice, name, quantity, result)


def _row(voice: Voice, where: str, quantity: Quantity, result: QuantityResult, small: str = "") -> list[Cell | str]:
    label = f"{quantity.name}, {quantity.unit}" if quantity.unit else quantity.name
    small = small or (voice.say("quantities.stated") if result.stated else "")
    return [where, Cell(label, small=small), *_numbers(voice, result, quantity.digits)]


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
