"""The pages of docs/ that are made: methods, findings and results document from the package, and outputs of examples.

Run: python docs/make.py           makes the first three again and puts today's outputs into the examples of the others
     python docs/make.py PAGE…    only these, as findings.md
"""

import importlib
import inspect
import pkgutil
import re
import shlex
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import bodytest.stats
from bodytest.export.schema import build_schema
from bodytest.findings import catalogue
from bodytest.lab.record import Quantity
from bodytest.lab.soaking import SOAKINGS
from bodytest.quantities import QUANTITIES
from bodytest.verify.examples import published_examples

DOCS = Path(__file__).parent
MADE = "<!-- Made by docs/make.py; a change here is lost. -->"
TOPICS = {
    "Bars of one batch in one load": "summary combined_freedom skew nested tolerance outliers",
    "Batches and loads": "design restricted_likelihood components mean_squares effects variance_parts effect_intervals"
    " between_levels borrowed",
    "Limits": "limits",
    "Comparing": "mean_differences simultaneous",
    "Response to firing": "firing_response response_peak windows inverse load_temperatures",
    "Batches over time": "control_chart control_bars",
    "How many bars": "bar_count replication",
}
"""Heading → modules of `bodytest.stats`, each of them once."""


def methods() -> str:
    """Return how each figure is computed, from the records in lab/ and the docstrings in lab/ and stats/."""
    modules = " ".join(TOPICS.values()).split()
    assert sorted(modules) == sorted(found.name for found in pkgutil.iter_modules(bodytest.stats.__path__))
    lines = [
        "# Methods", MADE, "",
        "Each figure of a bar follows a formula of a standard; the statistics below put bars together. Cite the source",
        "that stands beside a figure for its method, and `CITATION.cff` with the version for the computation. “From",
        "memory” marks what was not looked up, “common practice, no source” what nobody published. `bodytest",
        "verify` computes the published values at the end on your installation.", "", "## Quantities",
    ]  # fmt: skip
    told: set[str] = set()
    lines += [line for quantity in QUANTITIES for line in _quantity(quantity, told)]
    lines += [
        "",
        "## Absorption methods",
        "",
        "| on the Lab sheet | source | specimens at least | dried at |",
        "|---|---|---|---|",
    ]
    for one in SOAKINGS.values():
        dried = "–" if one.oven_c is None else f"{one.oven_c[0]:g} to {one.oven_c[1]:g} °C"
        lines.append(f"| {one.name} | {one.source} | {one.fewest or '–'} | {dried} |")
    for topic, names in TOPICS.items():
        lines += ["", f"## {topic}"]
        lines += [line for name in names.split() for line in _statistics(f"bodytest.stats.{name}")]
    lines += ["", "## Published values that are computed again", "", "| what | source | source was |", "|---|---|---|"]
    for one in published_examples():
        lines.append(f"| {' | '.join(map(_escaped, (one.name, one.source, one.provenance)))} |")
    return "\n".join(lines) + "\n"


def _quantity(quantity: Quantity, told: set[str]) -> Iterator[str]:
    source = quantity.source.format(method="the standard of the absorption method, below")
    yield from ("", f"### {quantity.name} (`{quantity.key}`)", "")
    unit = quantity.unit or "a ratio"
    yield f"`{quantity.symbols}`, {unit}; basis: {quantity.basis}. Source: {source}."
    yield f"Asked about outside {_bounds(quantity.plausible)} ({quantity.plausible_source});"
    yield f"not used outside {_bounds(quantity.possible)} ({quantity.possible_source})."
    function = quantity.ways[0].function
    name = f"{function.__module__}.{function.__name__}"
    yield f"Computed by `{name}`" + (" too." if name in told else f": {_escaped(_section(function, 'Reference'))}")
    told.add(name)


def _bounds(bounds: tuple[float, float]) -> str:
    low, high = (f"{bound:g}".replace("-", "−") for bound in bounds)
    return f"{low} to {high}".replace("−inf to inf", "no bounds").replace("inf", "∞")


def _statistics(name: str) -> Iterator[str]:
    module = importlib.import_module(name)
    yield from ("", f"### {(module.__doc__ or '').splitlines()[0]}")
    functions = [f for _, f in inspect.getmembers(module, inspect.isfunction) if f.__module__ == name]
    for function in sorted(functions, key=lambda one: one.__code__.co_firstlineno):
        if not function.__name__.startswith("_"):
            first = (inspect.getdoc(function) or "").splitlines()[0]
            yield from ("", f"`{name.removeprefix('bodytest.')}.{function.__name__}`: {_escaped(first)}", "")
            for section in ("Equation", "Reference"):
                if text := _section(function, section):
                    yield f"- {section}: {_escaped(text)}"


def _section(function: Callable[..., Any], heading: str) -> str:
    """Return one section of a docstring in one line."""
    found = re.search(rf"^{heading}: (.*(?:\n.+)*)", inspect.getdoc(function) or "", re.MULTILINE)
    return " ".join(found[1].split()) if found else ""


def findings() -> str:
    """Return all that bodytest may say of a sheet or a command, from the catalogue."""
    words = {"stop": "STOP: the value cannot be used", "ask": "ASK: odd, used and shown", "note": "NOTE: worth knowing"}
    lines = [
        "# Findings", MADE, "",
        "What `check` and the other commands say, by code. `bodytest check --explain CODE` tells the same. ‹Words› are",
        "filled in; files, cells and values above all.",
    ]  # fmt: skip
    for level, meaning in words.items():
        lines += ["", f"## {meaning}"]
        for entry in catalogue().values():
            if entry.level == level:
                sentence, remedy = (
                    re.sub(r"\{(\w+)[^}]*\}", r"‹\1›", _escaped(t)) for t in (entry.sentence, entry.remedy)
                )
                lines += ["", f"### `{entry.code}`: {_escaped(entry.title)}", "", f"{sentence} → {remedy}"]
                lines += ["", f"Why: {_escaped(entry.why)}"]
    return "\n".join(lines) + "\n"


def results_document() -> str:
    """Return each field of results.json with its type, unit and meaning, from the schema."""
    schema = build_schema()
    lines = [
        "# The results document", MADE, "",
        f"{schema['description']} `bodytest results --schema` prints the JSON Schema (`{schema['$id']}`) that",
        "this is made of. Fields with \\* are always there. [Readers of ten lines](readers/README.md) show its use;",
        "[answers as JSON](answers.md) are what other commands print.",
    ]  # fmt: skip
    for name, one in (("The document", schema), *schema["$defs"].items()):
        lines += ["", f"## {name}"] + (["", one["description"]] if one is not schema else [])
        lines += ["", "| field | type | unit | meaning |", "|---|---|---|---|"]
        for key, field in one["properties"].items():
            star = "*" if key in one["required"] else ""
            lines.append(
                f"| `{key}`{star} | {_type(field)} | {field.get('unit', '')} | {_escaped(field['description'])} |"
            )
        for key in ("values", "readings") if name == "Bar" else ():
            lines += ["", f"`{key}` may hold:", "", "| key | unit | meaning |", "|---|---|---|"]
            for inner, field in one["properties"][key]["properties"].items():
                lines.append(f"| `{inner}` | {field['unit']} | {_escaped(field['description'])} |")
    return "\n".join(lines) + "\n"


def _type(field: dict[str, Any]) -> str:
    if "$ref" in field:
        name = field["$ref"].rpartition("/")[2]
        return f"[{name}](#{name.lower()})"
    if "anyOf" in field:
        return " or ".join(map(_type, field["anyOf"]))
    if "const" in field:
        return f"“{field['const']}”"
    kinds = field["type"] if isinstance(field["type"], list) else [field["type"]]
    inner = field.get("items") or field.get("additionalProperties") or {}
    of = f" of {_type(inner)}" if inner.get("type") or "$ref" in inner else ""
    return " or ".join(kinds) + of


def _escaped(text: str) -> str:
    """Return text that Markdown shows as it is; what stands between backticks is left alone."""
    parts = text.replace("``", "`").split("`")
    return "`".join(re.sub(r"([*_<|\[\]#])", r"\\\1", part) if n % 2 == 0 else part for n, part in enumerate(parts))


def with_outputs(page: str) -> str:
    """Return a page with what its commands say today, run one after the other in an empty folder.

    A command stands behind ``$``, its output below it; where that ends in ``…``, as many lines of it as stood there.
    A table under "Save this as `NAME`" is written first.
    """
    with tempfile.TemporaryDirectory() as folder:
        return re.sub(
            r"(?s)Save this as `(?P<name>[^`]+)`[^\n]*\n\n```csv\n(?P<table>.*?)```|```console\n(?P<lines>.*?)```",
            lambda found: _done(found, Path(folder)),
            page,
        )


def _done(found: re.Match[str], folder: Path) -> str:
    if found["name"]:
        (folder / found["name"]).write_text(found["table"], encoding="utf-8")
        return found[0]
    shown = []
    for command, *before in (part.splitlines() for part in re.split(r"(?m)^(?=\$ )", found["lines"]) if part):
        words = shlex.split(command.removeprefix("$ "))
        assert words[0] == "bodytest"
        program = [sys.executable, "-m", *words]
        said = subprocess.run(
            program, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
        )
        assert said.returncode in (0, 1), said.stdout
        after = said.stdout.rstrip("\n").splitlines()
        if before and before[-1] == "…":
            after = [*after[: len(before) - 1], "…"]
        shown += [command, *map(str.rstrip, after)]
    return "\n".join(["```console", *shown, "```"])


MADE_PAGES = {"methods.md": methods, "findings.md": findings, "results-document.md": results_document}
WRITTEN_PAGES = ("tutorial.md", *(f"how-to/{path.name}" for path in sorted((DOCS / "how-to").glob("*.md"))))

if __name__ == "__main__":
    for name in sys.argv[1:] or (*MADE_PAGES, *WRITTEN_PAGES):
        path = DOCS / name
        made = MADE_PAGES[name]() if name in MADE_PAGES else with_outputs(path.read_text(encoding="utf-8"))
        path.write_text(made, encoding="utf-8")
