"""Frozen options to and from plain JSON values, by their fields and types alone.

A key is the field's name without its unit (`wall_mm` is "wall", `flank_deg` is "flank"): files are in millimetres and
degrees throughout. Nothing here knows any particular options, so a new field in a stage's options is at once a key
of the file.
"""

from __future__ import annotations

import types
from dataclasses import MISSING, Field, fields, is_dataclass
from typing import Any, Final, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import nearest_name
from ringtex.basics.limits import key_of
from ringtex.design.json_text import json_kind

Options = TypeVar("Options")

ALIKE_KEYS: Final = 0.5
"""Least similarity of a key that is offered: an object has few keys, and one of them was meant."""


def options_to_json(options: object) -> dict[str, Any]:
    """Every field as key and plain value, in the fields' order.

    Whole floats become whole numbers, so that equal options give equal text.
    """
    every = [(field, getattr(options, field.name)) for field in _fields(type(options))]
    written = [(field, value) for field, value in every if value or "left_out_when_empty" not in field.metadata]
    return {key_of(field.name): _plain(value) for field, value in written}


def options_from_json(kind: type[Options], value: object, where: str) -> Options:
    """The options of type `kind` from a JSON object; `where` is the path of its key.

    A missing key that has no default is null where that is allowed.

    Parameters:
        kind: the options' class.
        value: of the JSON object.
        where: path of the key, for messages.
    Returns: the options.
    Raises: InputError with the path of the key and what was expected: for unknown keys (with the nearest known one),
        missing keys, wrong types, and values that the options themselves refuse.
    """
    if not isinstance(value, dict):
        raise InputError(f"an object was expected, not {json_kind(value)}", _keys_advice(kind), where)
    known = {key_of(field.name): field for field in _fields(kind)}
    refuse_unknown_keys(value, list(known), where)
    hints = _hints(kind)
    given = {
        field.name: _value(hints[field.name], value[key], _path(where, key))
        for key, field in known.items()
        if key in value
    }
    for key, field in known.items():
        if field.name in given or field.default is not MISSING or field.default_factory is not MISSING:
            continue
        if type(None) in _members(hints[field.name]):
            given[field.name] = None
        else:
            advice = f"Add it; {_words(hints[field.name])} is expected"
            raise InputError("this key is missing", advice, _path(where, key))
    try:
        return kind(**given)
    except InputError as error:
        raise InputError(error.message, error.advice, _rooted(error.where, where)) from None


def refuse_unknown_keys(value: dict[str, Any], known: list[str], where: str) -> None:
    """

    Parameters:
        value: the JSON object.
        known: the keys that it may have.
        where: path of the key, for messages.
    Raises: InputError for the first key that is not among the known ones, naming the nearest of them.
    """
    for key in value:
        if key not in known:
            near = nearest_name(key, known, alike=ALIKE_KEYS)
            advice = f"Did you mean {near!r}?" if near else f"The keys here are {', '.join(known)}"
            raise InputError("there is no such key", advice, _path(where, key[:60]))


def _path(where: str, key: str) -> str:
    shown = key.encode("utf-8", "backslashreplace").decode()
    return f"{where}.{shown}" if where else shown


def _rooted(inner: str, where: str) -> str:
    """The place that the options named, below the place where they stand."""
    if not where or inner == where or inner.startswith((f"{where}.", f"{where}[")):
        return inner or where
    return f"{where}.{inner.rsplit('.', 1)[-1]}" if inner else where


def _fields(kind: Any) -> tuple[Field[Any], ...]:
    return fields(kind)


def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _keys_advice(kind: type) -> str:
    return f"Its keys are {', '.join(key_of(field.name) for field in _fields(kind))}"


def _plain(value: object) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return options_to_json(value)
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value)
    return value


def _value(hint: Any, value: object, where: str) -> Any:
    members = [member for member in _members(hint) if _fits(member, value)]
    if members:
        return _converted(_best(members, value), value, where)
    words = [word for member in _members(hint) if get_origin(member) is Literal for word in get_args(member)]
    near = nearest_name(value, words)
    advice = f"Did you mean {near!r}?" if near else "Correct this value"
    raise InputError(f"{_words(hint)} was expected, not {json_kind(value)}", advice, where)


def _best(members: list[Any], value: object) -> Any:
    """Of several kinds of object the first that knows the most of the value's keys; of other types the first."""
    if not isinstance(value, dict):
        return members[0]
    known = [{key_of(field.name) for field in _fields(member)} for member in members]
    return max(zip(members, known, strict=True), key=lambda pair: len(pair[1] & value.keys()))[0]


def _members(hint: Any) -> tuple[Any, ...]:
    return get_args(hint) if get_origin(hint) in (Union, types.UnionType) else (hint,)


def _fits(hint: Any, value: object) -> bool:
    """Whether the value is of the JSON kind that the type asks for; what lies inside is looked at by `_converted`."""
    if get_origin(hint) is Literal:
        return isinstance(value, str) and value in get_args(hint)
    if get_origin(hint) is tuple:
        return isinstance(value, list)
    if is_dataclass(hint):
        return isinstance(value, dict)
    if hint is type(None):
        return value is None
    if hint is float:
        return isinstance(value, int | float) and not isinstance(value, bool)
    return isinstance(value, hint) and isinstance(value, bool) == (hint is bool)


def _converted(hint: Any, value: Any, where: str) -> Any:
    if get_origin(hint) is tuple:
        return _row(hint, value, where)
    if is_dataclass(hint):
        return options_from_json(cast(type, hint), value, where)
    if hint is str and not value.isprintable():
        raise InputError("the text has characters that cannot be shown", "Use ordinary characters on one line", where)
    return float(value) if hint is float else value


def _row(hint: Any, value: list[Any], where: str) -> tuple[Any, ...]:
    inner = get_args(hint)
    if len(inner) == 2 and inner[1] is Ellipsis:
        inner = (inner[0],) * len(value)
    if len(value) != len(inner):
        raise InputError(f"a list of {len(inner)} was expected, not of {len(value)}", "Correct this list", where)
    return tuple(_value(part, item, f"{where}[{i}]") for i, (part, item) in enumerate(zip(inner, value, strict=True)))


def _words(hint: Any) -> str:
    """What a type asks for, in words."""
    return " or ".join(_member_words(member) for member in _members(hint))


def _member_words(hint: Any) -> str:
    if get_origin(hint) is Literal:
        return " or ".join(f'"{choice}"' for choice in get_args(hint))
    if get_origin(hint) is tuple:
        return "a list"
    if is_dataclass(hint):
        return "an object"
    names = {float: "a number", int: "a whole number", str: "a text", bool: "true or false", type(None): "null"}
    return names[hint]
