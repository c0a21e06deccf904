"""A relief's ridge and top size are two ways to say one thing; a file need only give one of them."""

from __future__ import annotations

from typing import Any


def ridge_or_top(body: dict[str, Any]) -> dict[str, Any]:
    """The body with `relief.ridge` null where only `relief.top_size` was given; the argument is untouched."""
    relief = body.get("relief")
    if not isinstance(relief, dict) or "ridge" in relief or relief.get("top_size") is None:
        return body
    return {**body, "relief": {**relief, "ridge": None}}
