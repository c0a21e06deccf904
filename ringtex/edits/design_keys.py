"""A design's values by the keys of its file, such as "relief.depth" or "band.stations[0].width"."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping
from dataclasses import fields, replace
from typing import Any, Final, cast

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions
from ringtex.band.bore import BoreOptions
from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.basics.limits import key_of
from ringtex.design.alternative_keys import one_wall_width
from ringtex.design.design import Design
from ringtex.edits.pattern_ties import tied_to_pattern

USUAL_RISE_MM: Final = 0.3
"""What a bore rises by when it is first made a comfort bore (common practice, no source)."""

Part = str | int


@cached(1024)
def parts_of(key: str) -> tuple[Part, ...]:
    """The names and places along a key: ("band", "stations", 0, "width")."""
    found = re.findall(r"([a-z_]+)|\[(\d+)\]", key)
    return tuple(name or int(place) for name, place in found)


def has_key(design: Design, key: str) -> bool:
    """Whether the design has a value of that key, None included."""
    try:
        value_at(design, key)
    except (AttributeError, IndexError, TypeError):
        return False
    return True


def value_at(design: Design, key: str) -> Any:
    """The value of a key. Raises: AttributeError, IndexError where the design has none."""
    return _at(design, parts_of(key))


def unit_of(design: Design, key: str) -> str:
    """ "mm" or "°" as the name of the key's field says; nothing for other keys, and for those the design lacks."""
    *outer, last = parts_of(key)
    if isinstance(last, int):
        return ""
    try:
        name = _field(type(_at(design, tuple(outer))), last)
    except (AttributeError, IndexError, TypeError):
        return ""
    return "mm" if name.endswith("_mm") else "°" if name.endswith("_deg") else ""


def with_values(design: Design, changes: Mapping[str, Any]) -> Design:
    """The design with other values of these keys, changed together. Raises: InputError where they cannot be had."""
    changed: Design = _changed(design, {parts_of(key): value for key, value in changes.items()})
    return changed


def checked(design: Design, before: Design) -> Design:
    """The same design. Raises: InputError where no band can be made of it, if that was touched since `before`."""
    if (design.size, design.band, design.bore) != (before.size, before.band, before.bore):
        band_of(design)
    return design


def band_of(design: Design) -> Band:
    """The design's band, made once for all that draw it. Raises: InputError where none can be made."""
    return _band(design.size.diameter_mm / 2.0, design.bore, design.band)


@cached(8)
def _band(radius_mm: float, bore: BoreOptions, options: BandOptions) -> Band:
    return Band(radius_mm, bore, options)


def with_one(design: Design, key: str, value: Any) -> Design:
    """The design with one value changed, and with it whatever the core ties to it.

    Tied are: wall width and top size (one is always empty); the bore's shape and rise; height and edge height of a flat
    section, which has no edge of its own; a hollow's floor and its drains; what even cells ask of the pattern.

    Parameters:
        design: the design before the change.
        key: of the value in the design file.
        value: the new value.
    Returns: the changed design.
    Raises: InputError where it cannot be had.
    """
    return checked(with_all(design, {key: value}), design)


def with_all(design: Design, changes: Mapping[str, Any]) -> Design:
    """The design with other values of these keys, and with them whatever the core ties to each and is not among them.

    Raises: InputError where they cannot be had.
    """
    tied: dict[str, Any] = {}
    for key, value in changes.items():
        tied |= {name: own for name, own in _tied(design, key, value).items() if name == key or name not in changes}
    return with_values(design, {**changes, **tied})


def nearest_allowed(design: Design, key: str, wanted: float, low: float, high: float, decimals: int) -> float | None:
    """The value nearest to `wanted` that the design can have; None where none was found.

    The design's own value is allowed, `wanted` is not: the limit between them is found by bisection, then rounded to
    `decimals` on the allowed side.

    Parameters:
        design: the design before the change.
        key: of the value in the design file.
        wanted: the value that was refused.
        low: lower limit.
        high: upper limit.
        decimals: to round to.
    Returns: the nearest value that the design can have, or None.
    """

    def is_allowed(value: float) -> bool:
        try:
            with_one(design, key, int(value) if decimals == 0 else value)
        except InputError:
            return False
        return True

    held = min(max(wanted, low), high)
    if is_allowed(held):
        return held
    now = value_at(design, key)
    if not isinstance(now, int | float) or not is_allowed(now):
        return None
    return _nearest_allowed(float(now), held, decimals, is_allowed)


def _nearest_allowed(good: float, bad: float, decimals: int, is_allowed: Callable[[float], bool]) -> float:
    """By bisection between an allowed value and one that is not."""
    step = 10.0**-decimals
    first = good
    while abs(bad - good) > step / 4.0:
        middle = (good + bad) / 2.0
        good, bad = (middle, bad) if is_allowed(_tidy(middle, decimals)) else (good, middle)
    for value in (
        _tidy(bad, decimals),
        _tidy(good, decimals),
        _tidy(good + (step if first > bad else -step), decimals),
    ):
        if is_allowed(value):
            return value
    return first


def _tidy(value: float, decimals: int) -> float:
    return round(value, decimals) if decimals else float(round(value))


def _at(value: Any, parts: tuple[Part, ...]) -> Any:
    for part in parts:
        value = value[part] if isinstance(part, int) else getattr(value, _field(type(value), part))
    return value


@cached(1024)
def _field(kind: Any, part: str) -> str:
    for field in fields(cast(Any, kind)):
        if part in (field.name, key_of(field.name)):
            return field.name
    raise AttributeError(part)


def _changed(value: Any, changes: Mapping[tuple[Part, ...], Any]) -> Any:
    """A copy of frozen options, or of a tuple, with inner values replaced."""
    if () in changes:
        return changes[()]
    inner: dict[Part, dict[tuple[Part, ...], Any]] = {}
    for parts, new in changes.items():
        inner.setdefault(parts[0], {})[parts[1:]] = new
    if isinstance(value, tuple):
        return tuple(_changed(item, inner[at]) if at in inner else item for at, item in enumerate(value))
    named = {_field(cast(Hashable, type(value)), str(part)): below for part, below in inner.items()}
    return replace(value, **{name: _changed(getattr(value, name), below) for name, below in named.items()})


def _tied(design: Design, key: str, value: Any) -> dict[str, Any]:
    if key in ("relief.wall_width", "relief.top_size"):
        return {f"relief.{name}": given for name, given in one_wall_width({key[7:]: value}).items()}
    if key == "bore.shape":
        rise = design.bore.rise_mm or USUAL_RISE_MM
        return {"bore.rise": 0.0 if value == "straight" else rise}
    if key.startswith("band.stations[") and key.endswith(".height") and design.band.section == "flat":
        edge = key.removesuffix("height") + "edge_height"
        return {edge: min(value_at(design, edge), value)}
    if key == "hollow.floor":
        return {"hollow.drains": _drains(design, value)}
    zone = re.match(r"((?:zones|panels)\[\d+\])\.pattern\.", key)
    if zone is not None:
        inner = replace(design, pattern=value_at(design, f"{zone[1]}.pattern"), zones=(), panels=())
        tied = tied_to_pattern(inner, key[zone.end() - len("pattern.") :], value, is_part=True)
        return {f"{zone[1]}.{name}": given for name, given in tied.items() if name.startswith("pattern.")}
    return tied_to_pattern(design, key, value) if key.startswith("pattern.") else {}


def _drains(design: Design, floor_mm: float | None) -> tuple[Any, ...]:
    """A closed hollow needs a drain and an open one has none."""
    from ringtex.solid.finishing.hollow_options import Drain

    if floor_mm is None:
        return ()
    return value_at(design, "hollow.drains") or (Drain(0.0),)
