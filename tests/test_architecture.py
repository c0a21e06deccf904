"""The shape of the code: sizes of files and functions, layers, and a core that does without Qt."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SOURCES = sorted([*(ROOT / "ringtex").rglob("*.py"), ROOT / "dev.py"])
TESTS = sorted((ROOT / "tests").rglob("*.py"))
MAX_FILE = 500
MAX_FUNCTION = 40
BANNED_NAMES = {"utils", "util", "helpers", "helper", "common", "manager", "managers", "misc", "logic"}


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


def test_files_are_short() -> None:
    lengths = {named(path): len(path.read_text(encoding="utf-8").splitlines()) for path in [*SOURCES, *TESTS]}
    assert len(lengths) > 500
    assert {name: length for name, length in lengths.items() if length >= MAX_FILE} == {}


def test_functions_are_short() -> None:
    lengths = [(named(path), node.name, _code_lines(node)) for path in SOURCES for node in _functions(path)]
    assert len(lengths) > 2000
    assert [each for each in lengths if each[-1] >= MAX_FUNCTION] == []


def _functions(path: Path) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    return [node for node in nodes if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


def _code_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without its docstring."""
    docstring = node.body[0] if ast.get_docstring(node) is not None else None
    said = (docstring.end_lineno or 0) - docstring.lineno + 1 if docstring is not None else 0
    return (node.end_lineno or node.lineno) - node.lineno + 1 - said


def test_file_names_say_a_subject() -> None:
    assert [named(path) for path in [*SOURCES, *TESTS] if BANNED_NAMES & set(path.stem.split("_"))] == []


def test_test_file_names_are_unique() -> None:
    names = [path.name for path in TESTS if path.name != "conftest.py"]
    assert sorted(set(names)) == sorted(names)


def test_layers_hold() -> None:
    """The import contracts of pyproject.toml (imports inside functions count too)."""
    code = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    command = [sys.executable, "-X", "utf8", "-c", code]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stdout


def test_core_works_without_qt(environment: dict[str, str]) -> None:
    script = ROOT / "tests" / "core_without_qt.py"
    command = [sys.executable, str(script)]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_only_the_window_names_qt() -> None:
    """Also catches imports by name that the import contracts cannot see."""
    core = [path for path in SOURCES if "window" not in path.relative_to(ROOT).parts and path.name != "dev.py"]
    naming = [
        named(path) for path in core if any(qt in path.read_text(encoding="utf-8") for qt in ("PySide6", "pyqtgraph"))
    ]
    assert naming == []
