"""A stone's size may be given in carat instead of millimetres; designs keep the diameter."""

from __future__ import annotations

from typing import Any

from ringtex.basics.errors import InputError
from ringtex.design.json_options import options_from_json
from ringtex.design.json_text import json_kind
from ringtex.solid.finishing.stone_options import Proportions, diameter_of

MAX_CARAT = 20.0
"""More than the largest stone that is set (12 mm, 6.5 ct): only keeps the root sane; the diameter is judged itself."""


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
