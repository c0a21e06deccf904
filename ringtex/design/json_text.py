"""JSON text of small files: read with every fault said in a sentence, and written as a person would lay it out."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any, Final

from ringtex.basics.errors import InputError
from ringtex.basics.guarded_files import read_ordinary_file, shown_path

MAX_BYTES: Final = 4_000_000
"""A design is about 1 kB, with an own picture at most 3 MB; anything larger is not even read."""

MAX_LEVELS: Final = 32
"""A design nests four levels; brackets deeper than this are refused before anything walks down them."""


def read_json_file(path: Path) -> dict[str, Any]:
    """The one JSON object in a file.

    Raises: InputError (where = the path) for a file that is missing, a folder, unreadable, empty, too big, not text,
    not JSON, or not an object; for NaN and infinite numbers, for a key given twice and for nesting beyond reason.
    """
    return parse_json(read_ordinary_file(path, MAX_BYTES, "design"), shown_path(path))


def parse_json(content: bytes, where: str) -> dict[str, Any]:
    """The one JSON object in the bytes; `where` names them in errors.

    Raises: InputError, as `read_json_file`.
    """
    text = _text(content, where)
    _refuse_deep_nesting(text, where)
    try:
        value = json.loads(
            text,
            parse_constant=_refuse_constant,
            parse_float=_finite_float,
            parse_int=_short_int,
            object_pairs_hook=_unique_keys,
        )
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        advice = "Compare that line with a file from demo_patterns, or start again with `ringtex new`"
        raise InputError(f"this is not valid JSON at {place} ({error.msg})", advice, where) from None
    except InputError as error:
        raise InputError(error.message, error.advice, where) from None
    if not isinstance(value, dict):
        advice = "A design file is one object: it starts with { and ends with }"
        raise InputError(f"the file holds {json_kind(value)} where an object was expected", advice, where)
    return value


def json_kind(value: object) -> str:
    """What a JSON value is, in words: "a number (54)", "a text ('x')", "a list", "an object", "true", "null"."""
    if value is None or isinstance(value, bool):
        return "null" if value is None else str(value).lower()
    if isinstance(value, str):
        shown = value if len(value) <= 30 else value[:27] + "..."
        return f"a text ({shown!r})"
    if isinstance(value, int | float):
        return f"a number ({value})"
    return "a list" if isinstance(value, list) else "an object"


def _text(content: bytes, where: str) -> str:
    if not content.strip():
        raise InputError("this file is empty", "Start a design with `ringtex new --out FILE`", where)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        advice = "A design is a text file in UTF-8; check that this is the right file"
        raise InputError("this file is not text", advice, where)
    return text


def _refuse_deep_nesting(text: str, where: str) -> None:
    depth = deepest = 0
    inside_text = False
    # Only brackets and quotes matter; a quote after a backslash does not end a text.
    for character in text.replace("\\\\", "").replace('\\"', ""):
        if character == '"':
            inside_text = not inside_text
        elif not inside_text and character in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif not inside_text and character in "]}":
            depth -= 1
    if deepest > MAX_LEVELS:
        advice = "A design nests four levels; check that this is the right file"
        raise InputError(f"brackets are nested {deepest} deep", advice, where)


def _refuse_constant(text: str) -> float:
    raise InputError(f"{text} is not a number that a ring can have", "Write an ordinary number")


def _finite_float(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise InputError(f"the number {text[:30]} is too large", "Write an ordinary number")
    return number


def _short_int(text: str) -> int:
    if len(text) > 20:
        raise InputError(f"the number {text[:20]}... is too large", "Write an ordinary number")
    return int(text)


def _unique_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise InputError(f"the key {key[:60]!r} is given twice", "Keep one of the two")
        found[key] = value
    return found


WIDTH: Final = 110
"""Longest line that is kept whole."""


def laid_out(value: dict[str, Any]) -> str:
    """The text of a file: the top object one key a line, keys in the order given, a newline at the end."""
    return _broken(value, "") + "\n"


def _compact(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _laid(value: object, indent: str, used: int) -> str:
    line = _compact(value)
    if used + len(line) <= WIDTH or not isinstance(value, dict | list) or not value:
        return line
    return _broken(value, indent)


def _broken(value: dict[str, Any] | list[Any], indent: str) -> str:
    inner = indent + "  "
    if isinstance(value, dict):
        heads = [f"{inner}{_compact(key)}: " for key in value]
        items = list(value.values())
    else:
        heads, items = [inner] * len(value), list(value)
    rows = [head + _laid(item, inner, len(head) + 1) for head, item in zip(heads, items, strict=True)]
    opening, closing = ("{", "}") if isinstance(value, dict) else ("[", "]")
    return opening + "\n" + ",\n".join(rows) + f"\n{indent}{closing}"
