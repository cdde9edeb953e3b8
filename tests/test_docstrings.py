"""Every public function in lab and stats says what it takes, in which unit, from which source, with a worked value."""

import ast
import dataclasses
import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import pytest

import bodytest.lab
import bodytest.stats

SOURCE_HEADING = re.compile(r"^Reference: ", re.MULTILINE)


def public_functions():
    for package in (bodytest.lab, bodytest.stats):
        for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            module = importlib.import_module(found.name)
            for name, function in inspect.getmembers(module, inspect.isfunction):
                if function.__module__ == found.name and not name.startswith("_"):
                    yield pytest.param(function, id=f"{found.name.removeprefix('bodytest.')}.{name}")


PUBLIC_FUNCTIONS = list(public_functions())


def described(parameter: str, docstring: str) -> str:
    """Return what the docstring says of a parameter, up to the next parameter or the end of the list."""
    entry = rf"^(?P<indent>\s+)\*{{0,2}}`*{re.escape(parameter)}`*\s*:(?P<text>.*(?:\n(?P=indent)[ ]+.+)*)"
    match = re.search(entry, docstring, re.MULTILINE)
    return match.group("text") if match else ""


def needs_no_unit(parameter: inspect.Parameter) -> bool:
    """Tell whether a parameter is yes or no, or a dataclass of the package, whose fields are described there."""
    return parameter.annotation is bool or dataclasses.is_dataclass(parameter.annotation)


@pytest.mark.parametrize("function", PUBLIC_FUNCTIONS)
def test_each_parameter_is_described_with_its_unit(function):
    docstring = inspect.getdoc(function) or ""
    parameters = inspect.signature(function).parameters.values()
    told = {p.name: described(p.name, docstring) for p in parameters}
    assert [name for name, text in told.items() if not text.strip()] == []
    wanted = [p.name for p in parameters if not needs_no_unit(p)]
    # The unit stands in brackets, or in the function that the text points to.
    assert [name for name in wanted if not re.search(r"\[.+\]|as in `[\w.]+`", told[name])] == []


@pytest.mark.parametrize("function", PUBLIC_FUNCTIONS)
def test_a_source_and_a_worked_value_are_given(function):
    docstring = inspect.getdoc(function) or ""
    assert SOURCE_HEADING.search(docstring)
    assert ">>>" in docstring


@pytest.mark.parametrize("function", PUBLIC_FUNCTIONS)
def test_the_first_line_is_one_sentence(function):
    first = (inspect.getdoc(function) or "").splitlines()[0]
    assert re.fullmatch(r"[A-Z].*\.", first)


@pytest.mark.parametrize("module", sorted(Path(bodytest.lab.__file__).parents[1].rglob("*.py")), ids=lambda m: m.stem)
def test_docstrings_speak_one_dialect(module):
    """Sections are Parameters, Returns, Raises, Equation, Reference and Notes; the quotes close the last of them."""
    texts = [
        ast.get_docstring(node) or ""
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
    ]
    foreign = re.compile(r"^(Args|Arguments|Attributes|Yields|Sources?|References|Note|Warns):", re.MULTILINE)
    assert [found.group() for text in texts if (found := foreign.search(text))] == []


@pytest.mark.parametrize("module", sorted(Path(bodytest.lab.__file__).parents[1].rglob("*.py")), ids=lambda m: m.stem)
def test_a_docstring_ends_with_its_last_line(module):
    assert not re.search(r'\n[ \t]*\n[ \t]*"""\n', module.read_text(encoding="utf-8"))
