"""The shape of the code, held by measuring it: small modules, short functions, empty package files."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "bodytest"
MODULES = sorted(PACKAGE.rglob("*.py"))
DISCOURAGED = {"utils", "helpers", "common", "core", "base", "misc", "manager", "handler", "process", "statistics"}


def tree_of(module: Path) -> ast.Module:
    return ast.parse(module.read_text(encoding="utf-8"))


def functions(module: Path) -> list[ast.FunctionDef]:
    return [node for node in ast.walk(tree_of(module)) if isinstance(node, ast.FunctionDef)]


def body_lines(function: ast.FunctionDef) -> int:
    """Count the lines from the first statement after the docstring to the end."""
    statements = function.body[1:] if ast.get_docstring(function) else function.body
    return (function.end_lineno or 0) - statements[0].lineno + 1 if statements else 0


def whole_lines(function: ast.FunctionDef) -> int:
    """Count the lines from the docstring to the end."""
    return (function.end_lineno or 0) - function.body[0].lineno + 1


def code_lines(module: Path) -> int:
    """Count the lines that are not docstrings or the texts that document a field."""
    texts = [n for n in ast.walk(tree_of(module)) if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant)]
    documented = sum((n.end_lineno or 0) - n.lineno + 1 for n in texts)
    return len(module.read_text(encoding="utf-8").splitlines()) - documented


def is_command(module: Path) -> bool:
    return module.parent.name == "cli"


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_a_module_stays_small_and_has_a_docstring_and_a_plain_name(module):
    assert code_lines(module) <= 250
    assert ast.get_docstring(tree_of(module))
    assert module.stem not in DISCOURAGED


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_a_function_stays_short(module):
    too_long = {f.name: body_lines(f) for f in functions(module) if body_lines(f) > 32}
    assert too_long == {}
    with_docstring = {f.name: whole_lines(f) for f in functions(module) if whole_lines(f) > 40}
    assert with_docstring == {}


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_a_function_takes_at_most_six_arguments_unless_it_is_a_command(module):
    if is_command(module):
        pytest.skip("a command's options are its arguments")
    crowded = [f.name for f in functions(module) if len(f.args.args) + len(f.args.kwonlyargs) > 7]
    assert crowded == []


@pytest.mark.parametrize("package", [m for m in MODULES if m.name == "__init__.py" and m.parent != PACKAGE], ids=str)
def test_a_folder_teaches_in_its_docstring_and_holds_no_code(package):
    tree = tree_of(package)
    assert ast.get_docstring(tree)
    assert len(tree.body) == 1


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_only_the_command_line_prints(module):
    if is_command(module):
        pytest.skip("the command line is the printer")
    calls = [n for n in ast.walk(tree_of(module)) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)]
    assert [c.lineno for c in calls if c.func.id in {"print", "input"}] == []
