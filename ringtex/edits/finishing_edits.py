"""Stones and plain places moved, added and removed: each a design in, a changed design out.

Places are given in millimetres on a strip of known length and width. Raises InputError, as the options do, where the
change cannot be made.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any, Final, NamedTuple

from ringtex.design.design import Design
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.hollow_options import Drain
from ringtex.solid.finishing.stone_options import Stone, StoneRow

FIRST_DIAMETER_MM: Final = 2.0
FIRST_PLAIN_MM: Final = 4.0
SIZE_STEP_MM: Final = 0.05
"""A size that is pulled snaps to this."""

MIN_PLAIN_MM, MAX_PLAIN_MM = 0.5, 60.0


class StripSize(NamedTuple):
    """Length and width of a strip, mm."""

    length: float
    width: float


class Entry(NamedTuple):
    """An entry of the design: its list, "stones" or "plain", and its place there."""

    kind: str
    number: int

    @property
    def key(self) -> str:
        """Its key, such as "stones[1]"."""
        return f"{self.kind}[{self.number}]"


def entry_of(key: str | None) -> Entry | None:
    """The entry that a key names or lies in; None for keys of anything else."""
    found = re.match(r"(stones|plain)\[(\d+)\]", key or "")
    return Entry(found[1], int(found[2])) if found else None


def entry_in(design: Design, entry: Entry) -> Any:
    """The entry's options; None where the design has no such entry."""
    entries = getattr(design, entry.kind)
    return entries[entry.number] if entry.number < len(entries) else None


def shares(size: StripSize, u: float, v: float) -> tuple[float, float]:
    """Shares of the strip, u of any turn, v held on it; rounded to a micrometre or so.

    Parameters:
        size: of the strip.
        u: position round the ring, mm, of any turn.
        v: position across, mm.
    Returns: fractions of length and width.
    """
    return round(u / size.length % 1.0, 6) % 1.0, round(min(max(v / size.width, 0.0), 1.0), 6)


def with_stone_at(design: Design, size: StripSize, u: float, v: float) -> Design:
    """One more stone, like the last one.

    Parameters:
        design: the design before the change.
        size: of the strip.
        u: position round the ring, mm, of any turn.
        v: position across, mm.
    Returns: the changed design.
    """
    last = design.stones[-1] if design.stones else None
    like = last.stone if isinstance(last, StoneRow) else last or Stone(0.5, 0.5, FIRST_DIAMETER_MM)
    at_u, at_v = shares(size, u, v)
    return replace(design, stones=(*design.stones, replace(like, u=at_u, v=at_v)))


def with_plain_at(design: Design, size: StripSize, u: float, v: float) -> Design:
    """One more plain place, like the last one.

    Parameters:
        design: the design before the change.
        size: of the strip.
        u: position round the ring, mm, of any turn.
        v: position across, mm.
    Returns: the changed design.
    """
    held = min(FIRST_PLAIN_MM, 0.6 * size.width)
    like = design.plain[-1] if design.plain else PlainPlace(0.5, 0.5, round(held, 1))
    at_u, at_v = shares(size, u, v)
    return replace(design, plain=(*design.plain, replace(like, u=at_u, v=at_v)))


def with_entry(design: Design, entry: Entry, options: Any) -> Design:
    """The entry with other options.

    Parameters:
        design: the design before the change.
        entry: which stone or plain place.
        options: its new options.
    Returns: the changed design.
    """
    entries = list(getattr(design, entry.kind))
    entries[entry.number] = options
    return _with_entries(design, entry.kind, tuple(entries))


def without_entry(design: Design, entry: Entry) -> Design:
    """The design without an entry."""
    entries = getattr(design, entry.kind)
    return _with_entries(design, entry.kind, entries[: entry.number] + entries[entry.number + 1 :])


def _with_entries(design: Design, kind: str, entries: tuple[Any, ...]) -> Design:
    return replace(design, stones=entries) if kind == "stones" else replace(design, plain=entries)


def moved(design: Design, entry: Entry, size: StripSize, along: float, across: float) -> Design:
    """The entry moved by so many mm; a row moves as a whole.

    Parameters:
        design: the design before the change.
        entry: which stone or plain place.
        size: of the strip.
        along: mm round the ring.
        across: mm across it.
    Returns: the changed design.
    """
    options = entry_in(design, entry)
    inner = options.stone if isinstance(options, StoneRow) else options
    u, v = shares(size, inner.u * size.length + along, inner.v * size.width + across)
    placed = replace(inner, u=u, v=v)
    return with_entry(design, entry, replace(options, stone=placed) if isinstance(options, StoneRow) else placed)


def with_diameter(design: Design, entry: Entry, diameter_mm: float) -> Design:
    """A stone, or every stone of a row, of another size, held within what is set.

    Parameters:
        design: the design before the change.
        entry: which stone or plain place.
        diameter_mm: of the stone, mm.
    Returns: the changed design.
    """
    options = entry_in(design, entry)
    size = round(min(max(snapped(diameter_mm), 0.8), 12.0), 4)
    if isinstance(options, StoneRow):
        return with_entry(design, entry, replace(options, stone=replace(options.stone, diameter_mm=size)))
    return with_entry(design, entry, replace(options, diameter_mm=size))


def with_plain_size(design: Design, entry: Entry, width_mm: float | None, height_mm: float | None) -> Design:
    """A plain place of another width or height; None leaves it.

    Parameters:
        design: the design before the change.
        entry: which stone or plain place.
        width_mm: new width, or None.
        height_mm: new height, or None.
    Returns: the changed design.
    """
    place = entry_in(design, entry)
    if width_mm is not None:
        height = place.height_mm if place.height_mm is not None else place.width_mm
        return with_entry(design, entry, replace(place, width_mm=_plain_size(width_mm), height_mm=height))
    return with_entry(design, entry, replace(place, height_mm=_plain_size(height_mm or 0.0)))


def snapped(value: float) -> float:
    """On the steps of a pulled size."""
    return round(round(value / SIZE_STEP_MM) * SIZE_STEP_MM, 4)


def _plain_size(value: float) -> float:
    return min(max(snapped(value), MIN_PLAIN_MM), MAX_PLAIN_MM)


def with_size(design: Design, entry: Entry, grip: str, along: float, across: float) -> tuple[Design, float]:
    """An entry pulled at one of its grips, and the size that it then has.

    Parameters:
        design: the design.
        entry: a stone, a row or a plain place.
        grip: "diameter", "width" or "height".
        along: the size wanted along the ring, mm; for stones their diameter.
        across: the size wanted across it, mm.
    Returns: the changed design and the size, mm.
    """
    if grip == "diameter":
        made = with_diameter(design, entry, along)
        options = entry_in(made, entry)
        return made, getattr(options, "stone", options).diameter_mm
    made = with_plain_size(design, entry, along if grip == "width" else None, across)
    options = entry_in(made, entry)
    return made, options.width_mm if grip == "width" else options.height_mm


def new_stone(entries: tuple[Any, ...]) -> Stone:
    """At the head, or at the next free place to its sides."""
    taken = {entry.u for entry in entries if isinstance(entry, Stone)}
    free = (round(0.5 + side * 0.05 * step, 3) for step in range(10) for side in (1, -1))
    return Stone(next((u for u in free if u not in taken), 0.5), 0.5, 2.0)


def new_row(entries: tuple[Any, ...]) -> StoneRow:
    """Five stones at the head."""
    return StoneRow(5, Stone(0.5, 0.5, 1.5), spacing_mm=2.5)


def new_plain_place(entries: tuple[Any, ...]) -> PlainPlace:
    """At the palm, or at the next free place to its sides."""
    taken = {entry.u for entry in entries}
    free = (round((side * 0.1 * step) % 1.0, 3) for step in range(6) for side in (1, -1))
    return PlainPlace(next((u for u in free if u not in taken), 0.0), 0.5, 4.0, 3.0)


def new_drain(drains: tuple[Any, ...]) -> Drain:
    """At the head, or at the next free place to its sides."""
    taken = {drain.angle_deg for drain in drains}
    free = (float(angle) for angle in (0, 30, -30, 60, -60, 15, -15, 45, -45, *range(-90, 91)))
    return Drain(next((angle for angle in free if angle not in taken), 0.0))
