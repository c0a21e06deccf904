"""JSON as a person would lay it out: short objects on one line, long ones broken, equal bytes for equal values."""

from __future__ import annotations

import json
from typing import Any, Final

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
