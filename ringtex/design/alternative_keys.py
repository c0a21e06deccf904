"""Keys that a file gives in one of two ways: a relief's wall width or top size, a stone's diameter or carat."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from ringtex.basics.errors import InputError
from ringtex.design.json_options import options_from_json
from ringtex.design.json_text import json_kind
from ringtex.solid.finishing.stone_options import Proportions, diameter_of

MAX_CARAT = 20.0
"""More than the largest stone that is set (12 mm, 6.5 ct): only keeps the root sane; the diameter is judged itself."""


WALL_WIDTHS: Final = {"wall_width": "top_size", "top_size": "wall_width"}
"""For each way of giving the width of the walls the other one: just one of the two is given, the other is null."""


def one_wall_width(relief: Mapping[str, Any]) -> dict[str, Any]:
    """The keys of a relief, with null for the way of giving the wall's width that is not named; a copy.

    >>> one_wall_width({"top_size": 0.6})
    {'wall_width': None, 'top_size': 0.6}
    """
    unnamed = {other: None for key, other in WALL_WIDTHS.items() if relief.get(key) is not None and other not in relief}
    return {**unnamed, **relief}


def with_one_wall_width(body: dict[str, Any]) -> dict[str, Any]:
    """The body of a file of which the relief gives the wall's width in one way; the argument is untouched.

    Raises: InputError for the name that the key had in version 1.
    """
    relief = body.get("relief")
    if not isinstance(relief, dict):
        return body
    if "ridge" in relief:
        raise InputError("there is no such key", "Since version 2 it is called wall_width", "relief.ridge")
    return {**body, "relief": one_wall_width(relief)}


def diameters_given(body: dict[str, Any]) -> dict[str, Any]:
    """The body with "diameter" in place of every stone's "carat"; the argument is untouched.

    Raises: InputError where both are given, or the carat is no weight.
    """
    entries = body.get("stones")
    if not isinstance(entries, list):
        return body
    return {**body, "stones": [_entry(entry, f"stones[{i}]") for i, entry in enumerate(entries)]}


def _entry(entry: Any, where: str) -> Any:
    if isinstance(entry, dict) and isinstance(entry.get("stone"), dict):
        return {**entry, "stone": _entry(entry["stone"], f"{where}.stone")}
    if not isinstance(entry, dict) or "carat" not in entry:
        return entry
    if "diameter" in entry:
        raise InputError("both carat and diameter are given", "Keep one of the two", f"{where}.carat")
    carat = entry["carat"]
    if isinstance(carat, bool) or not isinstance(carat, int | float) or not 0.0 < carat <= MAX_CARAT:
        message = f"a weight up to {MAX_CARAT:g} carat was expected, not {json_kind(carat)}"
        raise InputError(message, "Correct this value", f"{where}.carat")
    proportions = options_from_json(Proportions, entry.get("proportions", {}), f"{where}.proportions")
    rest = {key: value for key, value in entry.items() if key != "carat"}
    return {**rest, "diameter": round(diameter_of(float(carat), proportions), 6)}
