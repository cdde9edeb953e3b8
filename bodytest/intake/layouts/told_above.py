"""What stands above bars and speaks of all of them: their body, how they were fired, their one wet length."""

from collections import Counter
from typing import Any

from bodytest.grids.notebook import Notebook
from bodytest.intake.layouts.blocks import remarks
from bodytest.intake.layouts.named_bars import of_some
from bodytest.intake.layouts.records import Cell, Reading, Record, number_in, text_in
from bodytest.intake.layouts.titles import LENGTH_TOLD, OF_WET, Titles, names_cones, read_title
from bodytest.intake.layouts.words import tokens
from bodytest.units import canonical_unit

_LONGEST_WET = 1.3
"""How many times longer than dry or fired a wet bar may be, as far as a line above tells its length."""


def told_above(reading: Reading, notes: Notebook, *, firings_listed: bool) -> Record:
    """Return body and heat that titles and the tab tell, where no column does."""
    found: Record = {}
    if "body" not in reading.keys:
        found |= _body(reading, notes)
    else:
        _ask_about_body(reading, notes)
    heats = reading.keys.union(*reading.records) & {"cone", "peak_temperature"}
    heated = heats or (firings_listed and "firing" in reading.keys)
    for key in ("cone", "peak_temperature", "atmosphere"):
        if key not in reading.keys and not (heated and key != "atmosphere"):
            found |= _first(reading.titles, key)
    _ask_about_heat(reading, found, notes)
    if not reading.keys & {"firing", "cone", "peak_temperature", "date"}:
        found |= _first(reading.titles, "firing")
    if "atmosphere" in found and not heated and not {"cone", "peak_temperature"} & found.keys():
        del found["atmosphere"]
    if not heated and not {"cone", "peak_temperature"} & found.keys():
        for place, text in reading.block.above:
            if names_cones(text):
                notes.add("cone-clue", **place._asdict(), value=text)
    return found


def fire_by_legend(reading: Reading) -> None:
    """Give bars the heat that the table says of their firing or kiln: K1 was cone 04, K2 was cone 6."""
    legend = reading.block.view.said.legend
    told = {entry.word.casefold(): (title, entry.place) for entry in legend if (title := read_title(entry.said)).heated}
    for record in reading.records if not reading.keys & {"cone", "peak_temperature"} else ():
        key = next((key for key in ("firing", "kiln") if text_in(record, key).casefold() in told), "")
        if key:
            title, place = told[text_in(record, key).casefold()]
            record.setdefault("firing", record[key])
            record |= {k: Cell(text, (place,)) for k, text in title.told().items() if k != "body"}


def tell_of_some(reading: Reading, notes: Notebook) -> None:
    """Give bars what remarks tell of their codes, where they name no body, cone or temperature of their own.

    A remark on some of the bars that tells nothing of the kind is asked about: it may change what was read.
    """
    of_code: dict[str, list[Record]] = {}
    for record in reading.records:
        of_code.setdefault(text_in(record, "bar").casefold(), []).append(record)
    for place, text in (*reading.block.above, *remarks(reading.block)):
        for codes, said in of_some(text, of_code.keys() - {""}):
            told = {key: Cell(one, (place,)) for key, one in read_title(said).told().items() if key != "atmosphere"}
            if codes and not told and len(codes) < len(of_code):
                bars = ", ".join(text_in(one, "bar") for code in of_code if code in codes for one in of_code[code][:1])
                notes.add("remark-on-bars", **place._asdict(), value=text, bars=bars)
            for record in (record for code in codes for record in of_code[code]):
                record |= {key: cell for key, cell in told.items() if key not in record}


def wet_length_told(reading: Reading, units: dict[str, str], notes: Notebook) -> Record:
    """Return the wet length that a line above tells of bars without one; what may be another length is asked about."""
    found: Record = {}
    keys = [key for key in ("dry_length", "fired_length") if key in reading.keys and "wet_length" not in reading.keys]
    texts = dict(reading.block.above) if keys else {}
    for place, text in texts.items():
        told = LENGTH_TOLD.findall(text)
        if told:
            wet: Record = {"wet_length": Cell(" ".join(told[0]), (place,))}
            lengths = [number_in(record, key, units.get(key, "")) for record in reading.records for key in keys]
            longest = max((length for length in lengths if length > 0.0), default=0.0)
            fits = longest <= number_in(wet, "wet_length", "") <= _LONGEST_WET * longest
            label = texts.get(place._replace(column=place.column - 1), "")
            is_wet = len(told) == 1 and fits and OF_WET.search(f"{label}: {text}")
            notes.add("wet-length-told" if is_wet else "wet-length-above", **place._asdict(), value=text)
            if is_wet:
                found = found or wet
                units.setdefault("wet_length", canonical_unit(told[0][1]) or "")
    return found


def _first(titles: Titles, key: str) -> Record:
    """Return what the nearest title says that tells this at all."""
    told = ((getattr(title, key), place) for place, title in titles)
    return next(({key: Cell(text, (place,) if place else ())} for text, place in told if text), {})


def _body(reading: Reading, notes: Notebook) -> Record:
    """Return the body that a title names; a name that stands in one place only is asked about.

    Several names beside each other, as of those who measured, are of parts of the table.
    """
    rows = Counter(place.row for place, title in reading.titles if place and title.body and not title.sure)
    named = [(p, title) for p, title in reading.titles if title.body and not (p and rows[p.row] > 1)]
    if not named or any("body" in record for record in reading.records):
        return {}
    place, title = next(((p, t) for p, t in named if t.sure), named[0])
    sure = title.sure or sum(t.body.casefold() == title.body.casefold() for _, t in named) > 1
    tab = reading.block.view.grid.name
    where = notes.address(*place) if place else f"the name of the tab “{tab}”"
    words: dict[str, Any] = {"where": where, "bars": len(reading.records), "value": title.body}
    spot: dict[str, Any] = place._asdict() if place else {"table": tab}
    notes.add("body-from-title" if sure else "body-from-title-asked", **spot, **words)
    return {"body": Cell(title.body, (place,) if place else ())}


def _ask_about_heat(reading: Reading, found: Record, notes: Notebook) -> None:
    """Ask about a title, or the name of the tab, that tells another cone; where none does, another temperature."""
    key, said = ("cone", "cone ") if "cone" in found else ("peak_temperature", "")
    heat, own = found.get(key, Cell("")), {None, *(place for place, _ in reading.block.above)}
    unit = heat.value[-2:] if key != "cone" else ""
    told = [(place, getattr(title, key)) for place, title in reading.titles if place in own]
    others = [(place, text) for place, text in told if text not in ("", heat.value) and text.endswith(unit)]
    if heat.places and others:
        place, text = others[0]
        where = notes.address(*place) if place else f"the name of the tab “{reading.block.view.grid.name}”"
        words: dict[str, Any] = {"other": where, "named": f"{said}{text}"}
        notes.add("heat-told-twice", **heat.places[0]._asdict(), value=f"{said}{heat.value}", **words)


def _ask_about_body(reading: Reading, notes: Notebook) -> None:
    """Ask about a title that names another body than the one that all bars below it name."""
    bodies = {text for record in reading.records if (text := text_in(record, "body"))}
    texts = dict(reading.block.above)
    for place, title in reading.titles:
        if place in texts and title.body and len(bodies) == 1 and not set(tokens(title.body)) & set(tokens(*bodies)):
            words: dict[str, Any] = {"named": title.body, "body": next(iter(bodies))}
            notes.add("title-names-another-body", **place._asdict(), value=texts[place], **words)
