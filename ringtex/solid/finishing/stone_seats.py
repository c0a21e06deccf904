"""Seats for round stones: a plain collar joined to the ring, then the seat and its hole cut through the whole wall."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import BoundedCache
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.plain_slabs import plain_slab
from ringtex.solid.finishing.stone_options import Stone
from ringtex.solid.mesh.booleans import as_manifold, from_manifold, marked
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.strip.strip_map import Jacobian, StripMap

if TYPE_CHECKING:
    from manifold3d import Manifold


PROUD_MM = 0.05
"""A collar stands this much over the highest relief: two faces in one place would leave the join to rounding."""

BURIED_MM = 0.4
"""How far a collar reaches under the relief's ground."""

CLEAR_MM = 1.0
"""How far a cutter reaches out of the metal at both ends."""

MAX_PLATE_MM = 60.0
"""The plate that a collar is cut from is no wider than a plain place may be, which no ring's stone needs."""

MIN_RADIAL = 0.2
"""An axis whose direction square to the ring's own axis is less than this share runs along the finger, not to it."""

PAST_BORE_MM = 0.2
"""An axis that passes the finger hole's middle line by its radius less this would only graze the hole."""

BORE_ROUNDS = 6
"""Rounds to meet a comfort bore: each leaves less than a fifth of the error, since the bore rises gently."""

RIM_PLACES = 24
"""Places round a girdle at which the height of the metal is taken: it rises and falls twice round a stone."""

RIM_ROUNDS = 12
"""Rounds to meet a place beside a stone, at most: each leaves a few per cent of the error."""

SEGMENTS = 72
"""Segments of a full circle: within 0.0025 mm of it at the radius of a 5 mm stone."""


@dataclass(frozen=True, eq=False)
class StonePlace:
    """The seat's position: the middle of the table (3,), the outward axis (3,), and the length of its hole, mm.

    rim_mm: height over the table of the metal beside the girdle, at its lowest and highest; negative under it.
    lowered_mm: how far the table lies under the face at the stone's middle; negative over it.
    through is False where the axis does not meet the finger hole. metal_mm: from the table along the axis to the finger
    hole (as far as the hole goes where it is not met).
    """

    table: Floats
    axis: Floats
    hole_mm: float
    through: bool
    metal_mm: float
    rim_mm: tuple[float, float] = (0.0, 0.0)
    lowered_mm: float = 0.0


@dataclass(frozen=True, eq=False)
class SetStone:
    """A stone in its seat; body is the stone itself, as a solid of revolution, for showing and for export apart."""

    stone: Stone
    place: StonePlace
    body: RingMesh


_SET_STONES: BoundedCache[tuple[StripMap, Stone, float], SetStone] = BoundedCache(256)


def set_stones(strip: StripMap, stones: Sequence[Stone], top_mm: float) -> tuple[SetStone, ...]:
    """The stones in their seats; cached one by one, so that dragging one stone does not place the others anew.

    Parameters:
        strip: the strip map.
        stones: their sizes and positions.
        top_mm: how far the highest relief reaches over the outer face, mm.
    Returns: the position and the body of each.
    """
    known = {stone: _SET_STONES.get((strip, stone, top_mm)) for stone in stones}
    new = [stone for stone, each in known.items() if each is None]
    for stone, place in zip(new, _stone_places(strip, new, top_mm), strict=True):
        known[stone] = each = SetStone(stone, place, stone_body(stone, place))
        _SET_STONES.put((strip, stone, top_mm), each)
    return tuple(each for each in (known[stone] for stone in stones) if each is not None)


def _stone_places(strip: StripMap, stones: list[Stone], top_mm: float) -> list[StonePlace]:
    """The positions of the seats; all at once, as most of the time goes by calls."""
    if not stones:
        return []
    frame = strip.jacobian(*_on_strip(strip, stones))
    middles = frame.point + (top_mm + PROUD_MM) * frame.normal
    rims = _rim_heights(strip, stones, frame, middles, top_mm + PROUD_MM)
    return [
        _stone_place(strip, stone, axis, middle, rim)
        for stone, axis, middle, rim in zip(stones, frame.normal, middles, rims, strict=True)
    ]


def _on_strip(strip: StripMap, stones: list[Stone]) -> tuple[Floats, Floats]:
    """(n,) u and (n,) v of the stones, mm."""
    u, v = np.array([(stone.u, stone.v) for stone in stones]).T
    return u * strip.length, v * strip.width


def _stone_place(
    strip: StripMap, stone: Stone, axis: Floats, middle: Floats, rim_mm: tuple[float, float]
) -> StonePlace:
    """The position of a stone's seat.

    Parameters:
        strip: the strip map.
        stone: its size and position.
        axis: (3,) outward.
        middle: (3,) where the axis meets the highest relief, and a little over it, mm.
        rim_mm: least and greatest height over `middle` of the metal round the girdle.
    Returns: table, axis and depth of the hole.
    """
    low, high = rim_mm
    crown = stone.diameter_mm * stone.proportions.crown_height
    lowered = {"table": 0.0, "rim": -low, "girdle": -low - crown}[stone.flush]
    table, rim = middle - lowered * axis, (low + lowered, high + lowered)
    bore = strip.band.bore_radius_mm
    radial = math.hypot(axis[0], axis[1])
    axial = float(table[0] * axis[0] + table[1] * axis[1]) / max(radial, 1e-9)
    off_axis = math.sqrt(max(float(table[0] ** 2 + table[1] ** 2) - axial**2, 0.0))
    if radial < MIN_RADIAL or off_axis >= bore - PAST_BORE_MM:
        blind = stone.depth_mm + 2.0
        return StonePlace(table, axis, blind, False, blind, rim, lowered)
    inside = axial - math.sqrt(bore**2 - off_axis**2)
    metal = _comfort_bore_depth(strip, table, axis, inside / radial, axial, off_axis)
    return StonePlace(table, axis, inside / radial + CLEAR_MM, True, metal, rim, lowered)


def _rim_heights(
    strip: StripMap, stones: list[Stone], frame: Jacobian, middles: Floats, height_mm: float
) -> list[tuple[float, float]]:
    """Least and greatest height over each stone's middle, along its axis, of the shell at height_mm round the girdle.

    Beyond the band's edges the shell's own edge stands for it.

    Parameters:
        strip, stones: the strip map, and the stones.
        frame: the outer face at each of them.
        middles: (n, 3) over each of them, mm.
        height_mm: over the outer face.
    Returns: both heights of each, mm.
    """
    sides = np.array([square_to(axis) for axis in frame.normal])
    others = np.cross(frame.normal, sides)
    angle = 2.0 * np.pi * np.arange(RIM_PLACES) / RIM_PLACES
    radii = np.array([0.5 * stone.diameter_mm for stone in stones])
    wanted = radii[:, None, None] * np.column_stack((np.cos(angle), np.sin(angle)))
    tangents, directions = np.stack((frame.d_u, frame.d_v), axis=1), np.stack((sides, others), axis=2)
    inverse = np.linalg.inv(tangents @ directions)
    u, v = (np.repeat(each, RIM_PLACES) for each in _on_strip(strip, stones))

    def away() -> Floats:
        """(n, RIM_PLACES, 3) from the middles to the shell."""
        return strip.shell_map(u, v, height_mm).reshape(len(stones), RIM_PLACES, 3) - middles[:, None]

    for _ in range(RIM_ROUNDS):
        change = ((wanted - away() @ directions) @ inverse).reshape(-1, 2)
        u, v = u + change[:, 0], np.clip(v + change[:, 1], 0.0, strip.width)
    found = (away() @ frame.normal[:, :, None])[..., 0]
    return [(float(each.min()), float(each.max())) for each in found]


def square_to(axis: Floats) -> Floats:
    """(3,) a unit vector square to an axis (3,)."""
    side = np.cross(axis, [0.0, 0.0, 1.0] if abs(axis[2]) < 0.9 else [1.0, 0.0, 0.0])
    return np.asarray(side / np.linalg.norm(side))


def _comfort_bore_depth(
    strip: StripMap, table: Floats, axis: Floats, straight_mm: float, axial: float, off_axis: float
) -> float:
    """From the table along -axis to a bore that rises towards its edges, given the depth of a straight one."""
    band, radial, depth = strip.band, math.hypot(axis[0], axis[1]), straight_mm
    for _ in range(BORE_ROUNDS):
        at = table - depth * axis
        theta = np.array([math.atan2(-at[0], at[1])])
        half = float(band.half_width(theta)[0])
        radius = float(band.bore_radius_at(theta, np.array([np.clip(at[2], -half, half)]))[0])
        depth = (axial - math.sqrt(max(radius**2 - off_axis**2, 0.0))) / radial
    return depth


def seat_cutter(stone: Stone, place: StonePlace) -> Manifold:
    """The body to cut out for a stone: opening, bearing and a hole through the whole wall."""
    half = 0.5 * (stone.diameter_mm - stone.undersize_mm)
    hole = 0.5 * stone.hole * stone.diameter_mm
    girdle = -stone.diameter_mm * (stone.proportions.crown_height + stone.proportions.girdle)
    bearing = girdle - (half - hole) * math.tan(math.radians(stone.bearing_deg))
    end = -max(place.hole_mm, -bearing + 0.5)
    top = CLEAR_MM + max(0.0, place.lowered_mm, place.rim_mm[1])
    profile = [(0.0, end), (hole, end), (hole, bearing), (half, girdle), (half, top), (0.0, top)]
    return marked(_revolved(profile, place), "seat")


def collar(
    strip: StripMap, stone: Stone, place: StonePlace, top_mm: float, ground_mm: float, chord_mm: float
) -> Manifold:
    """The plain round plate under a stone, from BURIED_MM under the relief's ground to just over its top.

    Parameters:
        strip: the strip map.
        stone, place: the stone and its seat.
        top_mm, ground_mm: how far the relief reaches over and under the outer face, mm.
        chord_mm: chord tolerance, mm.
    Returns: the body to join.
    """
    radius = 0.5 * stone.diameter_mm + stone.collar_mm
    depth = ground_mm + BURIED_MM
    wide = PlainPlace(stone.u, stone.v, min(3.2 * radius, MAX_PLATE_MM), shape="round")
    plate = plain_slab(strip, wide, -depth, top_mm + PROUD_MM, chord_mm, 0.0)
    return marked(as_manifold(plate) ^ _column(stone, place, depth + top_mm), "collar")


def collar_column(stone: Stone, place: StonePlace, relief_mm: float) -> Manifold:
    """A round column about a stone's axis, as wide as its collar and longer than the relief is deep.

    Parameters:
        stone, place: the stone and its seat.
        relief_mm: depth of the relief, mm.
    Returns: the body.
    """
    return marked(_column(stone, place, relief_mm), "plain")


def _column(stone: Stone, place: StonePlace, relief_mm: float) -> Manifold:
    radius = 0.5 * stone.diameter_mm + stone.collar_mm
    half_length = relief_mm + radius + CLEAR_MM + abs(place.lowered_mm)
    return _revolved([(0.0, -half_length), (radius, -half_length), (radius, half_length), (0.0, half_length)], place)


def stone_body(stone: Stone, place: StonePlace) -> RingMesh:
    """The stone itself, as a solid of revolution, for showing and for export apart."""
    shape, size = stone.proportions, stone.diameter_mm
    crown, girdle = shape.crown_height * size, shape.girdle * size
    profile = [
        (0.0, -shape.depth * size),
        (0.5 * size, -crown - girdle),
        (0.5 * size, -crown),
        (0.5 * shape.table * size, 0.0),
        (0.0, 0.0),
    ]
    return from_manifold(_revolved(profile, place))


def _revolved(profile: list[tuple[float, float]], place: StonePlace) -> Manifold:
    """A profile of (radius, height over the table) revolved about the stone's axis."""
    import manifold3d

    outline = np.array([point for i, point in enumerate(profile) if i == 0 or point != profile[i - 1]])
    body = manifold3d.CrossSection([outline]).revolve(SEGMENTS)
    side = square_to(place.axis)
    frame = np.column_stack((side, np.cross(place.axis, side), place.axis, place.table))
    return body.transform(frame)
