"""Every quantity of every group with all its intervals, for whoever digs."""

from collections.abc import Iterator, Mapping, Sequence

from bodytest.analysis.volume import BOTH_DIRECTIONS
from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITIES
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import Tested, firing_code, named_groups
from bodytest.report.wording import Voice, mean_decimals
from bodytest.results import BeforeFiring, QuantityResult
from bodytest.rounding import column_decimals


def quantity_table(
    voice: Voice, tested: tuple[Tested, ...], before: tuple[BeforeFiring, ...], confidence: float
) -> Table:
    """Return one row for each quantity of each programme; what firing cannot change comes first, once."""
    numeric = ("n", "mean", "sd", "u", "df", "next", "tolerance", "marks")
    names = ("batches.group", "quantity", *numeric)
    columns = columns_of(voice, "quantities", names, numeric, level=voice.percent(confidence))
    precise = _precisions([*before, *tested])
    told = {key for one in before for key in one.quantities}
    rows = [*_before(voice, before, precise), *_rows(voice, tested, told, precise)]
    note = voice.say("quantities.note")
    return table(voice.say("quantities.caption"), columns, rows, note=note, key="quantities")


_Precisions = Mapping[str, tuple[int, int, int]]
"""Decimals of each quantity, for all programmes the same: of means, next bars and tolerances; of standard deviations;
of standard uncertainties."""


def _precisions(shown: Sequence[Tested | BeforeFiring]) -> _Precisions:
    found = {
        quantity: [one.quantities[quantity.key] for one in shown if quantity.key in one.quantities]
        for quantity in QUANTITIES
    }
    return {
        quantity.key: (
            mean := mean_decimals(results, quantity.digits),
            column_decimals([sd for one in results for sd in (one.sd, one.mark_sd)], otherwise=mean + 1),
            column_decimals([one.standard_uncertainty for one in results], otherwise=mean + 1),
        )
        for quantity, results in found.items()
    }


def _before(voice: Voice, before: tuple[BeforeFiring, ...], precise: _Precisions) -> Iterator[list[Cell | str]]:
    for one in before:
        where = ", ".join(part for part in (voice.say("quantities.before"), one.direction) if part)
        for quantity in QUANTITIES:
            if quantity.key in one.quantities:
                yield _row(voice, where, quantity, one.quantities[quantity.key], precise)


def _rows(voice: Voice, tested: tuple[Tested, ...], told: set[str], precise: _Precisions) -> Iterator[list[Cell | str]]:
    """Yield what is not told yet; a volume from bars of both directions once for the two."""
    volumes = set[tuple[str, float | None]]()
    for name, one in named_groups(voice, tested):
        for quantity in QUANTITIES:
            result = one.quantities.get(quantity.key)
            if result is None or quantity.key in told:
                continue
            if result.estimator == BOTH_DIRECTIONS:
                if (one.firing, result.mean) in volumes:
                    continue
                volumes.add((one.firing, result.mean))
                where = firing_code(voice, one)
                yield _row(voice, where, quantity, result, precise, voice.say("quantities.both"))
            else:
                yield _row(voice, name, quantity, result, precise)


def _row(
    voice: Voice, where: str, quantity: Quantity, result: QuantityResult, precise: _Precisions, small: str = ""
) -> list[Cell | str]:
    label = f"{quantity.name}, {quantity.unit}" if quantity.unit else quantity.name
    small = small or (voice.say("quantities.stated") if result.stated else "")
    return [where, Cell(label, small=small), *_numbers(voice, result, precise[quantity.key])]


def _numbers(voice: Voice, result: QuantityResult, decimals: tuple[int, int, int]) -> list[str]:
    of_mean, of_sd, of_u = decimals
    return [
        str(result.n),
        voice.mean_to(of_mean, result),
        voice.number(result.sd, of_sd),
        voice.uncertainty(result.standard_uncertainty, of_u),
        voice.number(result.degrees_of_freedom, 0),
        voice.between(result.next_low, result.next_high, of_mean),
        voice.between(result.tolerance_low, result.tolerance_high, of_mean),
        voice.number(result.mark_sd, of_sd),
    ]
