"""No module writes a file but those of ``bodytest/files``: they know inputs, our own files and the lock."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "bodytest"
OUTSIDE = [module for module in sorted(PACKAGE.rglob("*.py")) if module.parent != PACKAGE / "files"]
WRITING_METHODS = {
    "write_text", "write_bytes", "mkdir", "unlink", "rmdir", "touch", "symlink_to", "hardlink_to", "chmod", "rename",
    "mkstemp", "mkdtemp", "NamedTemporaryFile", "TemporaryFile", "to_excel", "to_parquet", "to_pickle", "tofile",
}  # fmt: skip
"""Methods and functions that make, change or remove files, whatever they are called on."""
SYSTEM = {"replace", "rename", "remove", "link", "symlink", "truncate", "makedirs", "mkfifo", "write", "removedirs"}
"""Functions of ``os`` that do."""
INTO_MEMORY = {"io.BytesIO()", "io.StringIO()", "BytesIO()", "StringIO()"}


def writes(tree: ast.Module) -> list[str]:
    """Return the calls that write to a file, with their lines."""
    memory = {
        target.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign) and ast.unparse(node.value) in INTO_MEMORY
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom)]
    modules = {name for node in imports for name in [getattr(node, "module", None), *(a.name for a in node.names)]}
    found = [f"{call.lineno}: {ast.unparse(call)[:80]}" for call in calls if is_writing(call, memory)]
    return found + [f"import {name}" for name in modules & {"shutil", "tempfile"}]


def is_writing(call: ast.Call, memory: set[str]) -> bool:
    function = ast.unparse(call.func)
    owner, _, name = function.rpartition(".")
    words = [ast.unparse(argument) for argument in (*call.args, *(k.value for k in call.keywords))]
    if "os.devnull" in words:
        return False
    if name == "open":
        modes = [word.strip("'") for word in words if word.startswith("'") and set(word.strip("'")) <= set("rwxabt+")]
        return any(set(mode) & set("wxa+") for mode in modes) or any("O_WR" in w or "O_RDWR" in w for w in words)
    if name in {"ZipFile", "PdfPages", "savefig", "save", "to_csv", "to_json"}:
        reading = name == "ZipFile" and "'w'" not in words and "'a'" not in words and "'x'" not in words
        drawn = name == "savefig" and owner == "pdf"  # a page of the PDF that is opened in memory
        ours = owner == "" and name in {"to_csv", "to_json"}  # our own functions, which return text
        return not (reading or drawn or ours or (words and words[0] in memory))
    return (owner != "" and name in WRITING_METHODS) or (owner == "os" and name in SYSTEM)


@pytest.mark.parametrize("module", OUTSIDE, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_no_module_writes_a_file_elsewhere(module: Path) -> None:
    assert writes(ast.parse(module.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    "line",
    [
        "open(path, 'w')", "path.open('xb')", "open(path, mode='a')", "io.open(p, 'r+')", "os.open(p, os.O_WRONLY)",
        "path.write_text('')", "path.write_bytes(b'')", "os.replace(a, b)", "path.rename(b)", "import shutil",
        "from tempfile import mkstemp", "figure.savefig('a.svg')", "book.save(path)", "zipfile.ZipFile(path, 'w')",
        "frame.to_csv(path)", "path.unlink()", "PdfPages(path)",
    ],
)  # fmt: skip
def test_the_rule_sees_each_way_of_writing(line: str) -> None:
    assert writes(ast.parse(line))


@pytest.mark.parametrize(
    "line",
    ["open(path)", "path.open('rb')", "open(os.devnull, 'w')", "text.replace('a', 'b')", "to_csv(results)",
     "file = io.BytesIO()\nbook.save(file)", "zipfile.ZipFile(file)"],
)  # fmt: skip
def test_the_rule_lets_reading_and_memory_pass(line: str) -> None:
    assert writes(ast.parse(line)) == []
