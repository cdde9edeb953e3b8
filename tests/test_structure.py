"""The shape of the code, held by measuring it: small modules, short functions, empty package files."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "bodytest"
MODULES = sorted(PACKAGE.rglob("*.py"))
DISCOURAGED = {"utils", "helpers", "common", "core", "base", "misc", "manager", "handler", "process", "statistics"}

SAME_THING = {
    "bars": ("intake, report/charts, report/sections, rules", "test bars: their table, chart, section, and all checks"),
    "certainty": ("analysis, report/sections", "what limits a mean, and the section that shows it"),
    "comparisons": ("analysis, report/sections", "the comparisons, and the section that shows them"),
    "control_bars": ("analysis, stats", "the statistics of control bars, and which bars they are taken from"),
    "firings": ("intake, report/sections", "the Firings table, and the table of firings on a page"),
    "kit": ("cli, trial", "the kit for the bench, and the command that writes it"),
    "loads": ("analysis, report/sections", "which loads are of one programme, and the section that shows them"),
    "names": (", intake", "which spellings are one name, and one spelling taken for all"),
    "pieces": ("analysis, cli, intake", "real pieces: table, comparison and command"),
    "programmes": ("analysis, intake", "one spelling for each programme, and what its bars show"),
    "quantities": (", report/sections", "the quantities, and the table of all of them on a page"),
    "release": ("analysis, cli", "a batch held against its limits, and the command"),
    "response": ("analysis, report/charts, report/sections", "the response to firing, its chart and its section"),
    "results": (", cli", "the results, and the command that writes them"),
    "ruler": ("cli, plan", "the shrinkage ruler, and the command that draws it"),
    "sizes": ("plan, report/sections", "sizes to make, and the size helper of a page"),
    "stages": (
        "analysis, plan, report/charts, report/sections",
        "how long a bar is at each stage, and what sizes follow at each",
    ),
    "timeline": ("analysis, cli, report/charts, report/sections", "batches over time, command, chart and section"),
}
"""Names that several modules share: the folders that they stand in, and the one thing that they are about."""


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


def test_where_a_module_name_stands_twice_it_is_one_thing_in_several_layers():
    places: dict[str, list[str]] = {}
    for module in MODULES:
        if not module.stem.startswith("__"):
            folder = module.parent.relative_to(PACKAGE).as_posix().removeprefix(".")
            places.setdefault(module.stem, []).append(folder)
    shared = {name: ", ".join(sorted(folders)) for name, folders in places.items() if len(folders) > 1}
    assert shared == {name: folders for name, (folders, _) in SAME_THING.items()}


def test_sentences_stand_in_modules_of_one_ending():
    assert [module.name for module in MODULES if module.stem.endswith("_wording")] == []
