"""Docstrings tell the truth: parameters as the signature has them, and examples that run."""

from __future__ import annotations

import ast
import doctest
import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
SOURCES = sorted((ROOT / "ringtex").rglob("*.py"))
MIN_PARAMETERS = 3
"""Public functions with so many parameters or more describe each of them."""
ENTRY = re.compile(r"^(\s+)(\*{0,2}\w+(?:, \*{0,2}\w+)*): \S")
Function = ast.FunctionDef | ast.AsyncFunctionDef


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


def parameters_of(node: Function) -> list[str]:
    """The parameters' names, without self and cls."""
    arguments = node.args
    listed = [*arguments.posonlyargs, *arguments.args, arguments.vararg, *arguments.kwonlyargs, arguments.kwarg]
    names = [argument.arg for argument in listed if argument is not None]
    return names[1:] if names[:1] in (["self"], ["cls"]) else names


def described(docstring: str) -> list[str] | None:
    """The names that the section `Parameters:` describes; None without that section.

    An entry is `name: text` or `first, second: text`; further lines of an entry stand further right.
    """
    lines = docstring.splitlines()
    starts = [number for number, line in enumerate(lines) if line.strip() == "Parameters:"]
    if not starts:
        return None
    indent = len(lines[starts[0]]) - len(lines[starts[0]].lstrip())
    found: list[str] = []
    depth = 0
    for line in lines[starts[0] + 1 :]:
        if line.strip() and len(line) - len(line.lstrip()) <= indent:
            break
        entry = ENTRY.match(line)
        if entry and (not depth or len(entry[1]) == depth):
            depth = len(entry[1])
            found += [name.lstrip("*") for name in entry[2].split(", ")]
    return found


def functions(path: Path) -> list[tuple[str, Function, bool]]:
    """Every function and method: its qualified name, its node, and whether it is public."""
    found: list[tuple[str, Function, bool]] = []

    def visit(node: ast.AST, owner: str, public: bool) -> None:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.ClassDef):
                visit(child, f"{owner}{child.name}.", public and not child.name.startswith("_"))
            elif isinstance(child, Function):
                found.append((owner + child.name, child, public and not child.name.startswith("_")))
                visit(child, f"{owner}{child.name}.", False)

    visit(ast.parse(path.read_text(encoding="utf-8")), "", True)
    return found


def faults(path: Path) -> list[str]:
    """What is wrong with the docstrings of a file, one sentence each."""
    told = []
    for name, node, public in functions(path):
        docstring = ast.get_docstring(node) or ""
        names, taken = described(docstring), parameters_of(node)
        overload = any("overload" in ast.dump(decorator) for decorator in node.decorator_list)
        if names is None:
            if public and len(taken) >= MIN_PARAMETERS and not overload:
                told.append(f"{name} has {len(taken)} parameters and describes none")
            continue
        if sorted(names) != sorted(taken):
            told.append(f"{name} describes {sorted(names)} and takes {sorted(taken)}")
        nothing = node.returns is None or ast.unparse(node.returns) in ("None", "Never", "NoReturn")
        if not nothing and not re.search(r"^\s*(Returns|Yields): \S", docstring, re.MULTILINE):
            told.append(f"{name} does not say what it returns")
    return told


def test_described_parameters_are_those_of_the_signature() -> None:
    assert [f"{named(path)}: {fault}" for path in SOURCES for fault in faults(path)] == []


@pytest.mark.parametrize("path", [path for path in SOURCES if ">>> " in path.read_text(encoding="utf-8")], ids=named)
def test_examples_run(path: Path) -> None:
    module = importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))
    assert doctest.testmod(module).failed == 0


def test_the_reader_of_sections_sees_what_is_there() -> None:
    text = "Sum.\n\nParameters:\n    a, b: numbers,\n        one and: more\n    *rest: others.\nReturns: a number."
    assert described(text) == ["a", "b", "rest"]
    assert described("Sum of Parameters: none.") is None
