"""The hollow under the head: what can be taken out from the bore side and still leave the wall everywhere."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.solid.hollow_options import HollowOptions
from ringtex.solid.ring_mesh import RingMesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

FINE_MM = 0.3
"""Distance of the hollow's grid lines on a finished ring; its corners have radii of 0.5 as a rule."""

DRAFT_MM = 0.7
"""The same while the hand moves."""

BELOW_BORE_MM = 1.0
"""How far the tool reaches into the finger hole, so that it cuts through the bore cleanly."""

LEAST_DEEP_MM = 0.2
"""A hollow that is nowhere deeper than this is refused: it would save nothing."""

STEPS = 12
"""Steps outwards from the bore until the wall is met; most columns need five."""

LEVEL_SHARE = 0.01
"""Places level with a ball's middle count as covered up to 0.5 per cent of its radius beyond it: there the hollow's
straight sides begin, and the columns stand where the balls of the hollow's own middle end."""

MET_MM = 0.002
"""The wall counts as met within this distance: a fifth of the 0.01 that the wall is measured to."""


@dataclass(frozen=True, eq=False)
class HollowCeiling:
    """How far out the hollow goes: radius (a, w) over theta (a,) and z (a, w); NaN-free, below the bore where full."""

    theta: Floats
    z: Floats
    radius: Floats


def hollow_tool(
    band: Band, options: HollowOptions, ground_mm: float, progress: Progress, grid_mm: float = FINE_MM
) -> RingMesh:
    """The closed body to take out of the ring, reaching into the finger hole.

    Parameters: band; options; ground_mm, how far the relief's ground lies below the outer face (0 for raised forms);
    progress; grid_mm, distance of its grid lines.
    Raises: InputError where the band is too thin for any hollow.
    Guarantees: no point of it is nearer than the wall to the outer face less the ground, or to the sides.
    """
    ceiling = hollow_ceiling(band, options, ground_mm, progress, grid_mm)
    deepest = float(np.max(ceiling.radius - band.bore_radius_mm))
    if deepest < LEAST_DEEP_MM + (options.floor_mm or 0.0):
        message = f"a wall of {options.wall_mm:g} mm leaves no room for a hollow"
        raise InputError(message, "Make the head higher, or the wall thinner, or leave the ring full", "hollow.wall")
    return _box(ceiling, band.bore_radius_mm - BELOW_BORE_MM)


def hollow_ceiling(
    band: Band, options: HollowOptions, ground_mm: float, progress: Progress, grid_mm: float
) -> HollowCeiling:
    """The hollow's outer boundary, its corners rounded by rolling a ball inside it.

    First the places that keep the wall and the ball's radius from every surface, then all that a ball round those
    covers: a ball of that radius touches everywhere, and the wall is kept exactly.
    """
    corner = _corner(band, options, grid_mm)
    keep = options.wall_mm + ground_mm + corner
    end = _out_to_wall(band, np.array([np.deg2rad(options.reach_deg)]), np.zeros(1), keep, progress)
    # The ball at each end reaches just as far round as the hollow shall.
    bend = math.asin(min(corner / float(end[0]), 1.0))
    theta, z = _columns(band, options, corner, bend, grid_mm)
    inner = np.abs(z) <= np.abs(z[:, -1:]) - corner + 1e-9
    inner &= (np.abs(theta) <= theta[-1] - bend + 1e-12)[:, None]
    radius = np.full(z.shape, band.bore_radius_mm - BELOW_BORE_MM + 0.1)
    progress.check()
    at = np.nonzero(inner)
    radius[at] = _out_to_wall(band, theta[at[0]], z[at], keep, progress)
    rolled = _ball_cover(theta, z, np.where(inner, radius, -np.inf), corner, progress)
    floor = band.bore_radius_mm - 0.5 * BELOW_BORE_MM
    return HollowCeiling(theta, z, np.maximum(rolled, floor))


def _corner(band: Band, options: HollowOptions, grid_mm: float) -> float:
    """The corners' radius: as asked, or less in an opening too narrow for it. Raises: InputError for no opening."""
    reach = np.deg2rad(options.reach_deg)
    half = band.half_width(np.linspace(-reach, reach, 181)) - options.lip_mm
    if np.any(half < 2.0 * grid_mm):
        message = f"lips of {options.lip_mm:g} mm leave no opening within {options.reach_deg:g} degrees of the head"
        raise InputError(message, "Make the lips narrower or the reach smaller", "hollow.lip")
    return min(options.corner_mm, 0.9 * float(np.min(half)))


def _columns(band: Band, options: HollowOptions, corner: float, bend: float, grid_mm: float) -> tuple[Floats, Floats]:
    """Grid columns: theta (a,) to each side of the head, z (a, w) between the lips."""
    theta = _places(np.deg2rad(options.reach_deg), bend, grid_mm / band.bore_radius_mm)
    half = band.half_width(theta) - options.lip_mm
    widest = _places(float(np.max(half)), corner, grid_mm)
    # In a narrower column the inner places move together; those under the rounded corners stay as far from the side.
    side = np.sign(widest) * np.maximum(np.abs(widest) - (np.max(half) - corner), 0.0)
    inner = (widest - side) / max(float(np.max(half)) - corner, 1e-9)
    return theta, inner * (half[:, None] - corner) + side


def _places(half: float, corner: float, grid: float) -> Floats:
    """Places from -half to half: even ones up to where the middles of the corners' balls stand, and some under each
    corner's arc.
    """
    flat = max(half - corner, 0.0)
    middle = np.linspace(-flat, flat, 2 * max(1, int(np.ceil(flat / grid))) + 1)
    arcs = np.arange(1, int(np.clip(np.ceil(2.0 * corner / grid), 2, 4)) + 1)
    rim = flat + (half - flat) * np.sin(0.5 * np.pi * arcs / len(arcs))
    return np.concatenate((-rim[::-1], middle, rim))


def _out_to_wall(band: Band, theta: Floats, z: Floats, keep_mm: float, progress: Progress) -> Floats:
    """For each column the largest radius that is keep_mm from the outer face and the sides, found to MET_MM.

    From the bore outwards by the room that is free, with secant steps once the room is seen to shrink slower; columns
    that are too close already at the bore stay where they began.
    """
    from scipy.spatial import cKDTree

    points, normals = _outer_samples(band)
    tree = cKDTree(points)

    def room(column: NDArray[np.intp], radius: Floats) -> Floats:
        place = _on_ring(theta[column], radius, z[column])
        nearest, sample = tree.query(place)
        # The tangent plane at the nearest sample is nearer than the sample itself, and as near as the surface to 1e-3.
        under = np.einsum("ij,ij->i", points[sample] - place, normals[sample])
        inside = np.minimum(nearest, np.maximum(under, 0.5 * nearest))
        return np.asarray(np.where(under > 0.0, inside, -nearest) - keep_mm - MET_MM)

    radius = np.full(len(theta), band.bore_radius_mm - BELOW_BORE_MM)
    walking = np.arange(len(theta))
    free = room(walking, radius)
    walking, last = walking[free > 0.0], free[free > 0.0]
    slope = np.ones(len(walking))
    clear = radius.copy()
    for _ in range(STEPS):
        progress.check()
        if len(walking) == 0:
            break
        step = last / slope
        radius[walking] += step
        now = room(walking, radius[walking])
        slope = np.clip((last - now) / np.where(step == 0.0, 1.0, step), 0.3, 1.0)
        inside = walking[now >= -MET_MM]
        clear[inside] = np.maximum(clear[inside], radius[inside])
        going = np.abs(now) > MET_MM
        walking, last, slope = walking[going], now[going], slope[going]
    # Where the steps did not settle, the furthest place that was clear is kept: less is taken out, never too much.
    radius[walking] = clear[walking]
    return radius


def _outer_samples(band: Band) -> tuple[Floats, Floats]:
    """Places on the outer face and the sides (n, 3), and their normals."""
    theta = np.linspace(-np.pi, np.pi, 288, endpoint=False)
    across = np.sin(np.linspace(-0.5 * np.pi, 0.5 * np.pi, 73))
    frame = band.outer(*(grid.ravel() for grid in np.meshgrid(theta, across, indexing="ij")))
    share = np.linspace(0.0, 1.0, 16)
    half = band.half_width(theta)
    low, high = band.bore_radius_at(theta, half), band.edge_radius(theta)
    radius = (low[:, None] + (high - low)[:, None] * share).ravel()
    angle, width = np.repeat(theta, len(share)), np.repeat(half, len(share))
    up = np.tile([0.0, 0.0, 1.0], (len(angle), 1))
    places = (frame.point, _on_ring(angle, radius, width), _on_ring(angle, radius, -width))
    return np.concatenate(places), np.concatenate((frame.normal, up, -up))


def _ball_cover(theta: Floats, z: Floats, radius: Floats, ball_mm: float, progress: Progress) -> Floats:
    """Outer boundary of all balls whose centres lie at or inside `radius` (columns at -inf have none)."""
    rows, columns = radius.shape
    narrowest = float(np.min(np.diff(z, axis=1)))
    # Columns stand closest at the bore.
    closest = float(np.min(np.diff(theta))) * float(np.min(radius[np.isfinite(radius)], initial=np.inf))
    across = int(np.ceil(ball_mm / narrowest))
    around = int(np.ceil(ball_mm / closest))
    best = np.full(radius.shape, -np.inf)
    for i in range(-around, around + 1):
        progress.check()
        here = slice(max(0, -i), rows - max(0, i))
        there = slice(max(0, i), rows - max(0, -i))
        turn = (theta[there] - theta[here])[:, None]
        for j in range(-across, across + 1):
            to = slice(max(0, -j), columns - max(0, j))
            by = slice(max(0, j), columns - max(0, -j))
            centre = radius[there, by]
            with np.errstate(invalid="ignore"):
                left = ball_mm**2 - (z[there, by] - z[here, to]) ** 2 - (centre * np.sin(turn)) ** 2
                cover = centre * np.cos(turn) + np.sqrt(np.maximum(left, 0.0))
            covered = np.where((left >= -LEVEL_SHARE * ball_mm**2) & np.isfinite(centre), cover, -np.inf)
            np.maximum(best[here, to], covered, out=best[here, to])
    return best


def _on_ring(theta: Floats, radius: Floats, z: Floats) -> Floats:
    return np.stack((-radius * np.sin(theta), radius * np.cos(theta), z), axis=1)


def _box(ceiling: HollowCeiling, floor_mm: float) -> RingMesh:
    """The closed body between the ceiling and a floor of constant radius, with straight walls."""
    rows, columns = ceiling.z.shape
    theta = np.repeat(ceiling.theta, columns)
    top = _on_ring(theta, ceiling.radius.ravel(), ceiling.z.ravel())
    bottom = _on_ring(theta, np.full(rows * columns, floor_mm), ceiling.z.ravel())
    number = np.arange(rows * columns, dtype=np.int32).reshape(rows, columns)
    quads = np.stack((number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]), axis=-1).reshape(-1, 4)
    upper = np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]))
    # Round the rim, counter-clockwise seen from outside: theta grows along the first edge.
    rim = np.concatenate((number[:-1, 0], number[-1, :-1], number[:0:-1, -1], number[0, :0:-1]))
    rim_next, under = np.roll(rim, -1), rows * columns
    walls = np.concatenate(
        (np.stack((rim, rim + under, rim_next + under), axis=1), np.stack((rim, rim_next + under, rim_next), axis=1))
    )
    return RingMesh(
        np.concatenate((top, bottom)), np.concatenate((upper, upper[:, ::-1] + under, walls)).astype(np.int32)
    )
