"""One batch held against the limits of its body: what may go out, and what may not."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from bodytest.analysis.analysing import summarise
from bodytest.analysis.deviations import deviations
from bodytest.analysis.loads import holds
from bodytest.analysis.specifications import specifications_for, untested, worst
from bodytest.cones import firings_called
from bodytest.conformity import Conformity, SpecVerdict
from bodytest.errors import NotMeasured, UnusableRequest
from bodytest.names import as_named
from bodytest.results import Group, Programme, QuantityResult, Results
from bodytest.tables import CheckedSheets, Specification


@dataclass(frozen=True)
class OtherBatch:
    """The same quantity of another batch of the body."""

    batch: str
    """Its name."""
    bars: int
    """Bars that its mean rests on."""
    mean: float | None
    """Its mean, in the quantity's unit."""


@dataclass(frozen=True)
class ReleaseRow:
    """One limit and what the batch shows of it."""

    purpose: str
    """What the firings are for that the limit speaks of."""
    fired: str
    """Programme of the bars, ``""`` where none was fired for the purpose."""
    direction: str
    """Direction of the measured length."""
    verdict: SpecVerdict
    """The limit and the verdict on it."""
    result: QuantityResult | None
    """What was measured; None where nothing was."""
    others: tuple[OtherBatch, ...] = ()
    """The other batches of the body, in the order of the sheets."""


@dataclass(frozen=True)
class Release:
    """A batch, or its bars in one load, against its limits."""

    body: str
    """Name of the body."""
    batch: str | None
    """Name of the batch; None for all of the body together."""
    load: str | None
    """Code of the load that alone is judged; None for all."""
    verdict: Conformity
    """The worst of all verdicts; what was not tested never counts as met."""
    rows: tuple[ReleaseRow, ...]
    """Every limit of the body, each for every programme and direction that it speaks of."""
    deviations: tuple[str, ...]
    """What departs from the standards in what is judged."""
    results: Results
    """The figures of the batch alone that are judged."""

    @property
    def sentences(self) -> tuple[str, ...]:
        """The verdicts in words, each with its purpose, programme and direction where there are several."""
        fired = {(row.purpose, row.fired) for row in self.rows if row.fired}
        programmes = len(fired) > len({purpose for purpose, _ in fired})
        purposes = len({row.purpose for row in self.rows}) > 1
        directions = len({row.direction for row in self.rows if row.direction}) > 1
        told = []
        for row in self.rows:
            of = ", ".join(filter(None, (row.purpose * purposes, row.fired * programmes, row.direction * directions)))
            told.append(f"{of[:1].upper()}{of[1:]}: {row.verdict.sentence}" if of else row.verdict.sentence)
        return tuple(dict.fromkeys(told))


def release(
    sheets: CheckedSheets, body: str, batch: str, *, load: str | None = None, confidence: float | None = None
) -> Release:
    """Hold a batch against every limit that is stated for its body.

    Parameters:
        sheets: what `bodytest.read_sheets` returned.
        body: name of the body.
        batch: name of the batch.
        load: code of the load that alone counts; None for all.
        confidence: of the verdicts, as a fraction; when None, what the Lab tables state, else 0.95.

    Raises:
        NotMeasured: there are no such bars.
        UnusableRequest: no limit is stated for the body.
    """
    body = as_named(body, sheets.bars["body"].unique())
    batch = as_named(batch, sheets.bars.loc[sheets.bars["body"] == body, "batch"].unique())
    if load is not None:
        of_body = sheets.bars.loc[sheets.bars["body"] == body, "firing"]
        called = firings_called(load, dict.fromkeys(of_body.unique(), ""))
        load = called[0] if len(called) == 1 else load
    alone = _only(sheets, body, batch, load)
    whole, mine = (summarise(some, confidence=confidence) for some in (sheets, alone))
    found = _release(mine, whole, body, batch, load)
    if found is None:
        raise UnusableRequest("no-limits", value=body)
    return found


def release_of_body(results: Results, body: str) -> Release | None:
    """Hold all batches of a body together against its limits; None where no limit is stated for it."""
    groups = tuple(one for one in results.groups if one.body == body)
    programmes = tuple(one for one in results.programmes if one.body == body)
    mine = replace(results, groups=groups, programmes=programmes)
    return _release(mine, results, body, None, None)


def _release(mine: Results, whole: Results, body: str, batch: str | None, load: str | None) -> Release | None:
    """Return the verdicts on the results of a batch, and what of these is judged; None without a limit."""
    rows = (*_tested(mine, whole, batch), *_untested(mine, whole.specifications, body))
    overall = worst(row.verdict.verdict for row in rows)
    if overall is None:
        return None
    mine = _judged(mine)
    departs = deviations(mine, mine.programmes)
    stops = [found for found in whole.findings if found.level == "stop"]
    if refused := sum(one.code.startswith("spec-") or (one.cell or "").startswith("Specs!") for one in stops):
        overall = worst((overall, "not tested")) or overall
        departs = (f"Cells of the Specs sheet that cannot be used: {refused}. Not every limit was judged.", *departs)
    return Release(body, batch, load, overall, rows, departs, mine)


def _judged(found: Results) -> Results:
    """Return what is judged: programmes with a verdict, their loads, quantities with a limit; all if none is."""
    programmes = [one for one in found.programmes if any(v.verdict != "not tested" for v in one.verdicts)]
    if not programmes:
        return found
    loads = [load for load in found.groups if any(holds(one, load) for one in programmes)]
    keys = {verdict.quantity for one in programmes for verdict in one.verdicts}

    def of_keys(one: Group | Programme) -> dict[str, QuantityResult]:
        return {key: result for key, result in one.quantities.items() if key in keys}

    return replace(
        found,
        programmes=tuple(replace(one, quantities=of_keys(one)) for one in programmes),
        groups=tuple(replace(load, quantities=of_keys(load)) for load in loads),
    )


def _only(sheets: CheckedSheets, body: str, batch: str, load: str | None) -> CheckedSheets:
    """Return the sheets with the bars of one body and batch only."""
    bars = sheets.bars
    for column, wanted, code in (("body", body, "body-not-measured"), ("batch", batch, "batch-absent"),
                                 ("firing", load, "load-absent")):  # fmt: skip
        if wanted is None:
            continue
        there = dict.fromkeys(str(name) or "(no name)" for name in bars[column])
        bars = bars[bars[column] == wanted]
        if bars.empty:
            raise NotMeasured(code, value=wanted, there=", ".join(there), body=body)
    kept = bars.index.to_numpy()
    place = np.full(len(sheets.bars), -1)
    place[kept] = np.arange(len(kept))
    marks = sheets.marks.assign(bar_row=place[sheets.marks["bar_row"].to_numpy(dtype=int)])
    return replace(sheets, bars=bars.reset_index(drop=True), marks=marks[marks["bar_row"] >= 0].reset_index(drop=True))


def _tested(mine: Results, whole: Results, batch: str | None) -> Iterator[ReleaseRow]:
    for one in mine.programmes:
        for verdict in one.verdicts:
            result = one.quantities.get(verdict.quantity)
            others = tuple(_others(whole, one, verdict.quantity, batch))
            yield ReleaseRow(one.purpose or "final", one.called, one.direction, verdict, result, others)


def _others(whole: Results, mine: Programme, quantity: str, batch: str | None) -> Iterator[OtherBatch]:
    same = (one for one in whole.programmes if one.id == mine.id)
    for found in (found for one in same for found in one.by_batch):
        if found.batch != batch and quantity in found.quantities:
            yield OtherBatch(found.batch, found.quantities[quantity].n, found.quantities[quantity].mean)


def _untested(mine: Results, stated: tuple[Specification, ...], body: str) -> Iterator[ReleaseRow]:
    """Yield the limits on firings of a purpose that no bar of the batch saw."""
    fired = {one.purpose or "final" for one in mine.programmes}
    for purpose in ("bisque", "final", "test"):
        if purpose not in fired:
            for limit in specifications_for(body, purpose, stated, mine.lab):
                yield ReleaseRow(purpose, "", "", untested(limit), None)
