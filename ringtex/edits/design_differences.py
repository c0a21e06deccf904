"""What differs between two designs, one sentence a key."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from ringtex.design.design import Design
from ringtex.design.design_file import design_to_json
from ringtex.edits.design_keys import has_key, unit_of

_NAMES: Final = {
    "relief.top_size": "top size",
    "relief.depth": "relief depth",
    "relief.flank": "flank",
    "relief.rounding": "rounding",
    "pattern.around": "around",
    "pattern.across": "across",
    "rails.lower": "lower rail",
    "rails.upper": "upper rail",
    "hollow.wall": "hollow wall",
    "hollow.floor": "hollow floor",
}
MAX_SAID: Final = 60
"""Letters of a text that are shown: outlines and pictures of own motifs have up to three million."""

_PLACES: Final = {"band.stations": "station", "stones": "stone", "hollow.drains": "drain"}


@dataclass(frozen=True)
class Change:
    """One key of the design file that differs: its path, both values, and a short sentence for a person.

    name: the key in words; unit: "mm", "°", or empty for numbers and words without one.
    """

    key: str
    before: object
    after: object
    text: str
    name: str = ""
    unit: str = ""

    @property
    def values(self) -> tuple[str, str]:
        """Both values as words, without the unit."""
        return _said(self.before), _said(self.after)


def design_changes(before: Design, after: Design) -> list[Change]:
    """Every difference, in the order of the design file."""
    old, new = _flat(design_to_json(before), ""), _flat(design_to_json(after), "")
    keys = [*old, *(key for key in new if key not in old)]
    wall = {"relief.wall_width": f"{after.relief.wall_name} width"}
    changed = [key for key in keys if old.get(key) != new.get(key)]
    units = {key: unit_of(after if has_key(after, key) else before, key) for key in changed}
    return [_change(key, old.get(key), new.get(key), wall.get(key) or _name(key), units[key]) for key in changed]


def _change(key: str, before: object, after: object, name: str, unit: str) -> Change:
    return Change(key, before, after, f"{name} {_said(before)} -> {_said(after)}", name, unit)


def _flat(value: Any, path: str) -> dict[str, object]:
    if isinstance(value, dict):
        parts = [(f"{path}.{key}" if path else key, item) for key, item in value.items()]
    elif isinstance(value, list):
        parts = [(f"{path}[{place}]", item) for place, item in enumerate(value)]
    else:
        return {path: value}
    return {key: item for name, part in parts for key, item in _flat(part, name).items()}


def _name(key: str) -> str:
    """Such as "relief depth", "station 1 height", or the key in words."""
    if key in _NAMES:
        return _NAMES[key]
    for start, name in _PLACES.items():
        if key.startswith(f"{start}["):
            number, _, rest = key[len(start) + 1 :].partition("].")
            return f"{name} {int(number) + 1} {rest.rsplit('.', 1)[-1].replace('_', ' ')}"
    return key.replace(".", " ").replace("_", " ")


def _said(value: object) -> str:
    if value is None:
        return "none"
    if isinstance(value, str) and len(value) > MAX_SAID:
        return f"{value[:MAX_SAID]} ..."
    return f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else str(value)
