"""Rows of stones spread out over the ring, by true distances."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.solid.finishing.stone_options import Stone, StoneRow
from ringtex.strip.strip_map import StripMap

MAX_STONES: Final = 300
"""Each has a seat to be cut; a ring set all over with stones of 1 mm has about as many."""

STEPS: Final = 4096
"""Steps of the table of lengths along a line of the strip: right to 1e-4 mm."""

ACROSS_SPACING: Final = 1.5
"""Diameters from middle to middle in a row across, where none is given."""


def placed_stones(strip: StripMap, entries: tuple[Stone | StoneRow, ...]) -> tuple[Stone, ...]:
    """Every stone by itself, in the order of the design.

    Raises: InputError where a row is longer than the ring or the band has room for, or there are too many stones.
    """
    stones: list[Stone] = []
    for number, entry in enumerate(entries):
        stones += [entry] if isinstance(entry, Stone) else _row(strip, entry, f"stones[{number}]")
    if len(stones) > MAX_STONES:
        raise InputError(f"{len(stones)} stones are more than are set", f"Use at most {MAX_STONES}", "stones")
    return tuple(stones)


def _row(strip: StripMap, row: StoneRow, where: str) -> list[Stone]:
    offset = np.arange(row.count, dtype=np.float64) - 0.5 * (row.count - 1)
    if row.direction == "across":
        v = _across(strip, row, offset, where)
        stones = [replace(row.stone, v=float(share)) for share in v]
    else:
        u = _around(strip, row, offset, where)
        stones = [replace(row.stone, u=float(share)) for share in u]
    if row.also_opposite:
        stones += [replace(stone, u=(stone.u + 0.5) % 1.0) for stone in stones]
    return stones


def _around(strip: StripMap, row: StoneRow, offset: Floats, where: str) -> Floats:
    """(count,) u of each stone as a share of the strip's length."""
    u = np.linspace(0.0, strip.length, STEPS + 1)
    e = strip.metric(u, np.full(len(u), row.stone.v * strip.width))[0]
    length = _lengths(u, np.sqrt(e))
    spacing = length[-1] / row.count if row.spacing_mm is None else row.spacing_mm
    if spacing * row.count > length[-1] * (1.0 + 1e-9):
        raise InputError(
            f"{row.count} stones {spacing:g} mm apart are longer than the {length[-1]:.1f} mm round the ring there",
            "Use fewer stones or a smaller spacing",
            f"{where}.spacing",
        )
    middle = np.interp(row.stone.u * strip.length, u, length)
    return np.asarray(np.interp((middle + offset * spacing) % length[-1], length, u) / strip.length % 1.0)


def _across(strip: StripMap, row: StoneRow, offset: Floats, where: str) -> Floats:
    """(count,) v of each stone as a share of the strip's width."""
    v = np.linspace(0.0, strip.width, STEPS + 1)
    g = strip.metric(np.full(len(v), row.stone.u * strip.length), v)[2]
    length = _lengths(v, np.sqrt(g))
    spacing = ACROSS_SPACING * row.stone.diameter_mm if row.spacing_mm is None else row.spacing_mm
    place = np.interp(row.stone.v * strip.width, v, length) + offset * spacing
    if place[0] < 0.0 or place[-1] > length[-1]:
        raise InputError(
            f"{row.count} stones {spacing:g} mm apart do not fit across the {length[-1]:.1f} mm of the band there",
            "Use fewer stones or a smaller spacing",
            f"{where}.spacing",
        )
    return np.asarray(np.interp(place, length, v) / strip.width)


def _lengths(place: Floats, scale: Floats) -> Floats:
    """Length on the ring from the first place to each, by the trapezium rule."""
    return np.concatenate(([0.0], np.cumsum(0.5 * (scale[1:] + scale[:-1]) * np.diff(place))))
