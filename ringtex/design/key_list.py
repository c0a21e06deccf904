"""Every key of a design file, with what it takes and means: read from the options' own fields, types and docstrings."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from typing import Annotated, Any, Final, Literal, get_args, get_origin, get_type_hints

from ringtex.band.finger_size import SCALES, FingerSize
from ringtex.basics.limits import Within, key_of
from ringtex.checks.making.alloys import ALLOYS
from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.making.making_limits import Process
from ringtex.design.design import Design
from ringtex.relief.relief_options import FORMS, ReliefOptions

NAMES: Final[dict[tuple[type, str], Iterable[str]]] = {
    (FingerSize, "scale"): SCALES,
    (ReliefOptions, "form"): FORMS,
    (MakeOptions, "alloy"): ALLOYS,
    (MakeOptions, "process"): [process.value for process in Process],
}
"""The closed lists of names that fields of text take; families have a list of their own."""

_ENTRY: Final = re.compile(r"^ {4}(\w+(?:, \w+)*) {2,}(\S.*)$")
_UNIT: Final = re.compile(r"\b(\w+)_(?:mm|deg)\b")
_INSIDE: Final = re.compile(r" \(`[^`]+`\)")
"""References into the program, which stand in brackets."""


@dataclass(frozen=True)
class KeyEntry:
    """One key: its path ("stones[].diameter"), what it takes ("0.8 to 12 mm"), what holds where it is left out (""
    where it must be given), and what it means.
    """

    path: str
    takes: str
    default: str
    meaning: str


def design_keys() -> list[KeyEntry]:
    """Every key, in the order of the file; the keys of one kind of object stand where it comes first."""
    return _entries(Design, "", {})


def field_meanings(kind: type) -> dict[str, str]:
    """What an options' class says of its fields in its docstring, by the fields' names.

    An entry is a line "name, other  text", and what follows further to the right.
    """
    meanings: dict[str, list[str]] = {}
    names: list[str] = []
    for line in (kind.__doc__ or "").splitlines():
        entry = _ENTRY.match(line)
        if entry:
            names = entry[1].split(", ")
            meanings.update({name: [entry[2]] for name in names})
        elif names and line.startswith(" " * 5):
            for name in names:
                meanings[name].append(line.strip())
        else:
            names = []
    return {name: _for_files(" ".join(lines)) for name, lines in meanings.items()}


def _for_files(text: str) -> str:
    """A docstring's words as they hold for files."""
    return _UNIT.sub(r"\1", _INSIDE.sub("", text)).replace("None", "null").replace("`", "")


def _entries(kind: Any, path: str, seen: dict[Any, str]) -> list[KeyEntry]:
    seen[kind] = path
    hints, meanings = get_type_hints(kind, include_extras=True), field_meanings(kind)
    found = []
    for field in fields(kind):
        inner = f"{path}.{key_of(field.name)}" if path else key_of(field.name)
        hint, meaning = hints[field.name], meanings.get(field.name, "")
        names = NAMES.get((kind, field.name))
        takes = ", ".join(names) if names else takes_words(hint)
        objects = list(_objects(hint, inner))
        again = sorted({seen[each] for each, _ in objects if each in seen})
        if again:
            meaning += f" Its keys are those of {' and '.join(again)}."
        found.append(KeyEntry(inner, takes, _default(field), meaning.strip()))
        for each, where in objects:
            if each not in seen:
                found += _entries(each, where, seen)
    return found


def _objects(hint: Any, path: str) -> Iterable[tuple[Any, str]]:
    """The options' classes in a type, and the paths of their objects."""
    if is_dataclass(hint) and isinstance(hint, type):
        yield hint, path
    for part in get_args(hint):
        yield from _objects(part, f"{path}[]" if get_origin(hint) is tuple else path)


def takes_words(hint: Any) -> str:
    """What a field's type takes, in words: "0.05 to 1 mm", "3 to 2000, whole", "a list", "null"."""
    origin, parts = get_origin(hint), get_args(hint)
    if origin is Annotated:
        limits = next(part for part in parts[1:] if isinstance(part, Within))
        if parts[0] is int:
            return f"{limits.low:.0f} to {limits.high:.0f}, whole"
        return f"{limits.low:g} to {limits.high:g} {limits.unit}".strip()
    if origin is Literal:
        return " or ".join(f'"{choice}"' for choice in parts)
    if origin is tuple:
        inner = parts[:1] if parts[-1] is Ellipsis else parts
        words = ", ".join(takes_words(part) for part in inner)
        return f"a list of any number: {words}" if parts[-1] is Ellipsis else f"[{words}]"
    if parts:
        return " or ".join(dict.fromkeys(takes_words(part) for part in parts))
    if is_dataclass(hint):
        return "an object"
    return {float: "a number", int: "a whole number", str: "a text", bool: "true or false", type(None): "null"}[hint]


def _default(field: Field[Any]) -> str:
    """What holds where the key is left out; "" where it must be given."""
    if field.default_factory is not MISSING:
        return "its own defaults"
    if field.default is MISSING:
        return ""
    value = field.default
    if value is None or isinstance(value, bool):
        return "null" if value is None else str(value).lower()
    if isinstance(value, tuple):
        return f"[{', '.join(f'{each:g}' for each in value)}]"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"
