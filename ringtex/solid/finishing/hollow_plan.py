"""The hollow seen from the finger: how wide it may be at each angle, and the columns it is worked out in."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.errors import InputError
from ringtex.solid.finishing.hollow_options import HollowOptions

ANGLES = 1440
"""Angles at which the sides are looked at: some 0.04 mm apart on the bore, which finds a distance of 0.4 to 0.0005."""

MIN_HALF_MM = 0.6
"""Half the width of the narrowest opening: a slot narrower than 1.2 is neither filled with investment nor cleaned
(common practice, no source)."""

ROOM_SHARE = 0.9
"""A corner's radius is at most this share of half its opening, so that a roof is left between two corners."""


@dataclass(frozen=True, eq=False)
class HollowPlan:
    """Columns theta (a,) to each side of the head, z (a, w) across; round (a, w): a corner's ball may be centred there.

    Guarantees: every place between the columns is at least the lip, in width, and the wall, in any direction, from the
    sides. corner_mm: the corners' radius.
    """

    theta: Floats
    z: Floats
    round: Bools
    corner_mm: float


def hollow_corner(band: Band, options: HollowOptions) -> float:
    """The corners' radius: as asked, or as much as the opening has room for. Raises: InputError for no opening."""
    reach = np.deg2rad(options.reach_deg)
    angle, half = _half_openings(band, options.lip_mm, options.wall_mm)
    narrowest = float(np.min(half[np.abs(angle) <= reach]))
    if narrowest < MIN_HALF_MM:
        within = f"leave no opening within {options.reach_deg:g} degrees of the head"
        if options.lip_mm >= options.wall_mm:
            message, key = f"lips of {options.lip_mm:g} mm {within}", "lip"
        else:
            message, key = f"walls of {options.wall_mm:g} mm at the sides {within}", "wall"
        raise InputError(message, f"Make the {key}s narrower or the reach smaller", f"hollow.{key}")
    along = band.bore_radius_mm * math.sin(min(reach, 0.5 * math.pi))
    return min(options.corner_mm, ROOM_SHARE * narrowest, ROOM_SHARE * along)


def hollow_plan(
    band: Band, options: HollowOptions, corner_mm: float, end_mm: float, grid_mm: float, facets_mm: float
) -> HollowPlan:
    """The columns of a hollow.

    Parameters: band; options; corner_mm from `hollow_corner`; end_mm, the radius at which the ball stands that rounds
    an end of the hollow; grid_mm, distance of the columns; facets_mm, how far the ring's mesh may lie inside its sides.
    """
    reach = math.radians(options.reach_deg)
    # The ball at each end reaches just as far round as the hollow shall.
    bend = min(math.asin(min(corner_mm / end_mm, 1.0)), ROOM_SHARE * reach)
    theta = _places(reach, bend, grid_mm / band.bore_radius_mm)
    half = _inside(theta, *_half_openings(band, options.lip_mm, options.wall_mm + facets_mm))
    widest = float(np.max(half))
    even = _places(widest, corner_mm, grid_mm)
    # In a narrower column the inner places move together; those under the rounded corners stay as far from the side.
    side = np.sign(even) * np.maximum(np.abs(even) - (widest - corner_mm), 0.0)
    inner = (even - side) / (widest - corner_mm)
    z = inner * (half[:, None] - corner_mm) + side
    centred = np.abs(z) <= half[:, None] - corner_mm + 1e-9
    return HollowPlan(theta, z, centred & (np.abs(theta) <= reach - bend + 1e-12)[:, None], corner_mm)


def _half_openings(band: Band, lip_mm: float, wall_mm: float) -> tuple[Floats, Floats]:
    """Angles (n,) all round, a few of them twice, and half the opening's width there, which may be negative.

    The sides slant where the band tapers, most steeply at the bore, where a turn is shortest.
    """
    angle = 2.0 * np.pi * (np.arange(ANGLES + 1) / ANGLES - 0.5)
    side = band.half_width(angle[:-1])
    half = side - lip_mm
    step = np.arange(ANGLES // 2)
    apart = 2.0 * band.bore_radius_mm * np.sin(np.pi * step / ANGLES)
    for turn in step[apart < wall_mm]:
        off = math.sqrt(wall_mm**2 - apart[turn] ** 2)
        np.minimum(half, np.minimum(np.roll(side, turn), np.roll(side, -turn)) - off, out=half)
    return angle, np.append(half, half[0])


def _inside(theta: Floats, angle: Floats, half: Floats) -> Floats:
    """(a,) widths at theta whose straight lines from one to the next lie nowhere outside `half` over `angle`."""
    at = np.interp(theta, angle, half)
    within = (angle > theta[0]) & (angle < theta[-1])
    over = np.maximum(np.interp(angle[within], theta, at) - half[within], 0.0)
    after = np.searchsorted(theta, angle[within])
    lower = np.zeros(len(theta))
    np.maximum.at(lower, after, over)
    np.maximum.at(lower, after - 1, over)
    return np.asarray(at - lower)


def _places(half: float, corner: float, grid: float) -> Floats:
    """Places from -half to half: even ones up to where the middles of the corners' balls stand, and some under each
    corner's arc.
    """
    flat = half - corner
    middle = np.linspace(-flat, flat, 2 * max(1, int(np.ceil(flat / grid))) + 1)
    arcs = np.arange(1, int(np.clip(np.ceil(2.0 * corner / grid), 2, 4)) + 1)
    rim = flat + corner * np.sin(0.5 * np.pi * arcs / len(arcs))
    return np.concatenate((-rim[::-1], middle, rim))
