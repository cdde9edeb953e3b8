"""What the cells of a column tell where its heading may mean several things: how hot, which body, which bar of it."""

import re
from collections.abc import Sequence

from bodytest.intake.cells import read_text
from bodytest.intake.layouts.blocks import Block, Heading, remarks
from bodytest.intake.layouts.headings import is_our_heading, meaning
from bodytest.intake.layouts.headless import names_bars
from bodytest.intake.layouts.meant import is_reading
from bodytest.intake.layouts.titles import heat_in, read_title
from bodytest.intake.layouts.vocabulary import word_list
from bodytest.intake.layouts.words import is_of_soaking, tokens

_AND = re.compile(r"[/&+]|\band\b", re.IGNORECASE)
_SOAKED = {"boiled_mass", "cold_soaked_mass", "suspended_mass"}
_BODY_AND_BAR = re.compile(
    r"^(.*?[^\W\d_].*?)(?:[\s,/#_-]+(?:(?:no|nr|bar)\b\.?\s*)?(?:[A-Z]|[a-z]?\d+[a-z]?)|\d+[a-z]?)$", re.IGNORECASE
)


def _texts(block: Block, heading: Heading) -> list[str]:
    """Return what the cells of a column say, without remarks and signs that repeat the one above."""
    remarked = {place for place, _ in remarks(block)}
    lines = (line for line in block.body if block.place(line, heading.column) not in remarked)
    texts = (read_text(block.cell(line, heading.column)) for line in lines)
    return [text for text in texts if text and text.casefold() not in word_list("same_as_above")]


def heat_told(block: Block, heading: Heading) -> str:
    """Return whether the cells of a column that speaks of the firing are cones or temperatures, ``""`` if of neither.

    A kiln's number is no cone, nor is one below “glaze”, so below these words each cell has to say what it is.
    """
    plainly = heading.means.key == "kiln" or "glaze" in tokens(heading.text)
    if heading.means.unit or not (plainly or "cone" in heading.means.may_be):
        return ""
    key = heat_in(_texts(block, heading), plainly=plainly)
    return "" if plainly and key in {other.means.key for other in block.headings} else key


def are_cones(block: Block, heading: Heading) -> bool:
    """Tell whether cones stand below a word for a stage: bisque, ^06."""
    return is_reading(heading.means.key) and heat_in(_texts(block, heading), plainly=True) == "cone"


def names_bodies(block: Block, heading: Heading) -> bool:
    """Tell whether names stand below a word for a batch that may stand for the body."""
    texts = _texts(block, heading) if heading.text.casefold().strip(".: ") in word_list("batch_or_body") else []
    return bool(texts) and all(read_title(t, of_tab=True).body and re.search(r"[^\W\d_]{3}", t) for t in texts)


def names_bodies_anew(block: Block, heading: Heading) -> bool:
    """Tell whether names stand below words such as clay mix, which are of a body whatever other column names one."""
    return bool({"body", "clay"} & {*tokens(heading.text)}) and names_bodies(block, heading)


def names_body_and_bar(block: Block, heading: Heading) -> bool:
    """Tell whether each cell of a column names a body and then the code of its bar, as its heading says: Torvan 3."""
    keys = [meaning(part.strip(), "bars").key for part in _AND.split(heading.text)]
    return keys == ["body", "bar"] and all(map(body_before_bar, _texts(block, heading)))


def body_before_bar(text: str) -> str:
    """Return the body in a cell that names its bar behind it, nothing where it does not.

    >>> body_before_bar("Torvan 3"), body_before_bar("Chalk White no. 2b"), body_before_bar("DV1")
    ('Torvan', 'Chalk White', 'DV')
    """
    found = _BODY_AND_BAR.match(text)
    return found[1] if found else ""


def names_each_bar(block: Block, heading: Heading) -> bool:
    """Tell whether a column before the readings has a name for each row of them."""
    texts = [read_text(block.cell(line, heading.column)) for line in block.body if block.is_measured(line)]
    return heading.column < min(block.measured) and names_bars(texts)


def says_what_counts(block: Block, heading: Heading) -> str:
    """Return which answer leaves a bar out where a column says with yes and no which bars count, or are excluded.

    In our own column “leave out” any text is a reason.
    """
    asks = "no" if heading.text.casefold().strip("?:. ") in word_list("counts") else ""
    if heading.means.key == "left_out" and not is_our_heading(heading.text, "bars"):
        asks = "yes"
    answers = {text.casefold() for text in _texts(block, heading)} if asks else set()
    yes, no = word_list("counts", "yes"), word_list("counts", "no")
    return asks if answers & no and answers <= yes | no else ""


def why_left_out(heading: str, leaves_out: str, text: str) -> str:
    """Return why a bar is left out by the answer of a column, nothing where it counts.

    >>> why_left_out("Counts?", "no", "No"), why_left_out("Counts?", "no", "yes")
    ('Counts? No', '')
    """
    return f"{heading} {text}" if text.casefold() in word_list("counts", leaves_out) else ""


def dry_of_what(keys: set[str], titles: Sequence[str]) -> bool:
    """Tell whether a dry mass stands in a table of water tests, where it may be that of the fired bar."""
    if "dry_mass" not in keys or "fired_mass" in keys:
        return False
    if "wet_mass" in keys:
        return not any(key.endswith("_length") for key in keys) and any(map(is_of_soaking, titles))
    return bool(keys & _SOAKED)


def cells_tell(block: Block) -> bool:
    """Tell whether any column of a block means what its cells, or other words of its heading, say."""
    told = (heat_told, are_cones, names_bodies_anew, names_body_and_bar, says_what_counts)
    if sum(h.means.key == "bar" for h in block.headings) > 1:
        return True
    return any("cone" in h.means.may_be or h.heat or any(tell(block, h) for tell in told) for h in block.headings)
