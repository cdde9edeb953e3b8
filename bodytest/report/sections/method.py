"""How it was measured and computed: conditions, formulas in words and symbols, statistics, decision rule, cautions."""

import re
from collections.abc import Iterator
from html import escape

from markupsafe import Markup  # noqa: TID251 (formulas of the package, escaped before)

from bodytest import cones
from bodytest.analysis.deviations import deviations
from bodytest.lab.forming import PRESSED
from bodytest.lab.record import Quantity
from bodytest.lab.soaking import soaking
from bodytest.quantities import QUANTITIES
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import Tested
from bodytest.report.wording import Voice
from bodytest.results import Programme, Results
from bodytest.tables import Lab
from bodytest.units import INSTRUMENTS, Instrument

_ALWAYS_TOLD = ("length", "mass")
_SUBSCRIPT = re.compile(r"_([A-Za-z]+)")
_DECISION_SOURCE = "JCGM 106:2012; ISO/IEC 17025:2017 §7.8.6"


def method_section(voice: Voice, results: Results, groups: tuple[Tested, ...], group: Tested) -> dict[str, object]:
    """Return the method for the groups of one body; ``group`` answers for it."""
    measured = {key for some in groups for key in some.quantities}
    methods = tuple(dict.fromkeys(some.absorption_method for some in groups))
    level, risk = voice.percent(results.confidence), voice.percent(1.0 - results.confidence)
    return {
        "conditions": _conditions(voice, results, groups),
        "formulas": [_formula(voice, quantity, methods) for quantity in QUANTITIES if quantity.key in measured],
        "statistics": [voice.say(f"statistics.{name}", level=level) for name in _statistics_told(groups)],
        "decision": voice.say("method.decision", level=level, risk=risk, source=_DECISION_SOURCE),
        "cautions": [voice.say(f"cautions.{name}") for name in _CAUTIONS],
        "classes": classes_sentence(voice, group),
        "deviations": deviations(results, [one for one in results.programmes if one.body == group.body]),
    }


_CAUTIONS = ("dust", "boiling", "kiln", "food", "frost", "authority")


def _statistics_told(groups: tuple[Tested, ...]) -> list[str]:
    names = ["unit", "interval", "step", "next", "scope", "outliers", "rounding"]
    if any(isinstance(one, Programme) and len(one.batches) * len(one.loads) > 1 for one in groups):
        names.insert(3, "batches")
    return names


def _formula(voice: Voice, quantity: Quantity, methods: tuple[str | None, ...]) -> dict[str, str]:
    sources = dict.fromkeys(quantity.source_by(method) for method in methods)
    source = voice.say("method.source", basis=quantity.basis, source=" / ".join(sources))
    symbols = with_subscripts(quantity.symbols)
    return {"name": quantity.name, "symbols": symbols, "words": quantity.formula, "source": source}


def with_subscripts(symbols: str) -> Markup:
    """Set what follows an underscore as a subscript.

    >>> with_subscripts("S_t < 1")
    Markup('S<sub>t</sub> &lt; 1')
    """
    return Markup(_SUBSCRIPT.sub(r"<sub>\1</sub>", escape(symbols, quote=False)))


def _conditions(voice: Voice, results: Results, groups: tuple[Tested, ...]) -> Table:
    lab = results.lab
    methods = list(dict.fromkeys(group.absorption_method for group in groups if group.absorption_method))
    differ = voice.say("method.methods_differ") if len(methods) > 1 else ""
    water, limit, not_stated = lab.water_temperature_c, lab.absorption_limit_percent, voice.say("method.not_stated")
    rows: list[list[Cell | str]] = [
        [voice.say("method.absorption_method"), Cell("; ".join(methods) or not_stated, small=differ)],
        [
            voice.say("method.water_temperature"),
            voice.say("method.water_assumed") if water is None else voice.plain(water, "°C"),
        ],
        *_instruments(voice, lab, groups),
        [voice.say("method.limit"), not_stated if limit is None else voice.plain(limit, "%")],
        [voice.say("method.confidence"), voice.percent(results.confidence)],
    ]
    if lab.forming:
        formed = voice.say("method.forming_of_die") if lab.forming == PRESSED else lab.forming
        rows.insert(0, [voice.say("method.forming"), formed])
    if chart_columns := dict.fromkeys(group.nominal_from for group in groups if group.nominal_from):
        rows.append([voice.say("method.nominal"), Cell(cones.NOMINAL_SOURCE, small="; ".join(chart_columns))])
    columns = columns_of(voice, "method", ("condition", "value"))
    note = voice.say("method.several_sheets") if len(results.sheets) > 1 else ""
    return table(voice.say("method.conditions_caption"), columns, rows, note=note, key="conditions")


def _instruments(voice: Voice, lab: Lab, groups: tuple[Tested, ...]) -> Iterator[list[Cell | str]]:
    """Yield step and calibration of the rule, the balance, and every other instrument that was used."""
    shown = {key for group in groups for key in group.quantities}
    used = {r.dimension.instrument for q in QUANTITIES if q.key in shown for r in q.readings}
    for instrument in INSTRUMENTS.values():
        if instrument.name in _ALWAYS_TOLD or instrument in used:
            of = instrument.name.capitalize()
            inferred = getattr(lab, instrument.inferred_field)
            step = _step(voice, lab.step(instrument.name), instrument, inferred)
            yield [voice.say("method.reading_step", of=of), step]
            calibration = _calibration(voice, lab.calibration(instrument.name), instrument)
            yield [voice.say("method.calibration", of=of), calibration]


def _step(voice: Voice, step: float | None, instrument: Instrument, inferred: bool) -> Cell:
    if step is None:
        return Cell(voice.say("method.not_stated"))
    return Cell(voice.reading(step, instrument), small=voice.say("method.inferred") if inferred else "")


def _calibration(voice: Voice, half_width: float | None, instrument: Instrument) -> Cell:
    if half_width is None:
        return Cell(voice.say("method.calibration_not_stated"))
    return Cell(f"± {voice.reading(half_width, instrument)}", small=voice.say("method.expanded"))


_ISO_CLASSES = (0.5, 3.0, 6.0, 10.0)
_ANSI_CLASSES = (0.5, 3.0, 7.0, 20.0)


def classes_sentence(voice: Voice, group: Tested) -> str | None:
    """Say in which classes of ISO 13006 and ANSI A137.1 the absorption lies, or that it straddles a limit."""
    absorbed = group.quantities.get("absorption")
    if absorbed is None or absorbed.mean is None or not soaking(group.absorption_method).classifies:
        return None
    iso = sum(absorbed.mean > limit for limit in _ISO_CLASSES)
    ansi = sum(absorbed.mean > limit for limit in _ANSI_CLASSES)
    sentence = voice.say("classes.place", iso=voice.say(f"classes.iso_{iso}"), ansi=voice.say(f"classes.ansi_{ansi}"))
    limits, low, high = sorted({*_ISO_CLASSES, *_ANSI_CLASSES}), absorbed.low, absorbed.high
    straddled = [limit for limit in limits if low is not None and high is not None and low <= limit < high]
    if straddled:
        shown = voice.joined([voice.plain(limit, "%") for limit in straddled])
        sentence += " " + voice.say("classes.straddles", limits=shown)
    vacuum = "" if group.absorption_method == "vacuum" else " " + voice.say("classes.vacuum")
    return f"{sentence} {voice.say('classes.caveat')}{vacuum}"
