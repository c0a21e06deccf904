"""The hollow under the head: what can be taken out from the bore side and still leave the wall everywhere."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.solid.finishing.hollow_clearance import OuterFace, on_ring
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.finishing.hollow_plan import hollow_corner, hollow_plan
from ringtex.solid.mesh.ring_mesh import RingMesh

FINE_MM = 0.3
"""Distance of the hollow's grid lines on a finished ring; its corners have radii of 0.5 as a rule."""

DRAFT_MM = 0.7
"""The same while the hand moves."""

BELOW_BORE_MM = 1.0
"""How far the tool reaches into the finger hole, so that it cuts through the bore cleanly."""

MIN_DEEP_MM = 0.2
"""A hollow that is nowhere deeper than this is refused: it would save nothing."""

LEVEL_SHARE = 0.01
"""Places level with a ball's middle count as covered up to 0.5 per cent of its radius beyond it: there the hollow's
straight sides begin, and the columns stand where the balls of the hollow's own middle end."""


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
    Guarantees: no point of it is nearer than the wall to the outer face less the ground, or to the sides: beside the
    opening the metal is as wide as the lip or the wall, whichever is wider.
    """
    ceiling = hollow_ceiling(band, options, ground_mm, progress, grid_mm)
    deepest = float(np.max(ceiling.radius - band.bore_radius_mm))
    if deepest < MIN_DEEP_MM + (options.floor_mm or 0.0):
        message = f"a wall of {options.wall_mm:g} mm leaves no room for a hollow"
        raise InputError(message, "Make the head higher, or the wall thinner, or leave the ring full", "hollow.wall")
    return _box(ceiling, band.bore_radius_mm - BELOW_BORE_MM)


def hollow_ceiling(
    band: Band, options: HollowOptions, ground_mm: float, progress: Progress, grid_mm: float
) -> HollowCeiling:
    """The hollow's outer boundary, its corners rounded by rolling a ball inside it.

    First the places that keep the wall and the ball's radius from the outer face, then all that a ball round those
    covers: a ball of that radius touches everywhere, and the wall is kept exactly. The sides are kept by the columns.
    A finished ring's facets lie inside its true faces, by a tolerance; twisted ones, as of sides that taper, by up to
    two. A draft keeps no more than that, so that its wall is never told thicker than it will be.
    """
    corner = hollow_corner(band, options)
    keep = options.wall_mm + ground_mm + FINAL_CHORD_MM + corner
    floor = band.bore_radius_mm - 0.5 * BELOW_BORE_MM
    # A ball that stands lower covers nothing over the floor.
    lowest = floor - corner
    face = OuterFace(band)
    end = face.out_to(keep, np.array([np.deg2rad(options.reach_deg)]), np.zeros(1), lowest, progress)
    plan = hollow_plan(band, options, corner, max(float(end[0]), floor), grid_mm, 2.0 * FINAL_CHORD_MM)
    centre = np.full(plan.z.shape, -np.inf)
    at = np.nonzero(plan.round)
    centre[at] = face.out_to(keep, plan.theta[at[0]], plan.z[at], lowest, progress)
    rolled = _ball_cover(plan.theta, plan.z, centre, corner, progress)
    return HollowCeiling(plan.theta, plan.z, np.maximum(rolled, floor))


def _ball_cover(theta: Floats, z: Floats, centre: Floats, ball_mm: float, progress: Progress) -> Floats:
    """Outer boundary (a, w) of all balls centred at the radii `centre` (a, w), or inside; columns at -inf have none."""
    best = np.full(centre.shape, -np.inf)
    lowest = float(np.min(centre[np.isfinite(centre)], initial=np.inf))
    reach = ball_mm * math.sqrt(1.0 + LEVEL_SHARE)
    for here, there in _shifts(len(theta)):
        turn = (theta[there] - theta[here])[:, None]
        if float(np.min(np.abs(np.sin(turn)))) * lowest > reach:
            continue
        progress.check()
        for to, by in _shifts(z.shape[1]):
            across = z[there, by] - z[here, to]
            if float(np.min(np.abs(across))) > reach:
                continue
            middle = centre[there, by]
            with np.errstate(invalid="ignore"):
                left = ball_mm**2 - across**2 - (middle * np.sin(turn)) ** 2
                cover = middle * np.cos(turn) + np.sqrt(np.maximum(left, 0.0))
            covered = np.where((left >= -LEVEL_SHARE * ball_mm**2) & np.isfinite(middle), cover, -np.inf)
            np.maximum(best[here, to], covered, out=best[here, to])
    return best


def _shifts(count: int) -> Iterator[tuple[slice, slice]]:
    """Pairs of equally long parts of a row of so many places, one shifted against the other by every possible step."""
    for shift in range(1 - count, count):
        yield slice(max(0, -shift), count - max(0, shift)), slice(max(0, shift), count - max(0, -shift))


def _box(ceiling: HollowCeiling, floor_mm: float) -> RingMesh:
    """The closed body between the ceiling and a floor of constant radius, with straight walls."""
    rows, columns = ceiling.z.shape
    theta = np.repeat(ceiling.theta, columns)
    top = on_ring(theta, ceiling.radius.ravel(), ceiling.z.ravel())
    bottom = on_ring(theta, np.full(rows * columns, floor_mm), ceiling.z.ravel())
    number = np.arange(rows * columns, dtype=np.int32).reshape(rows, columns)
    quads = np.stack((number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]), axis=-1).reshape(-1, 4)
    upper = np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]))
    # Round the rim, counter-clockwise seen from outside: theta grows along the first edge.
    rim = np.concatenate((number[:-1, 0], number[-1, :-1], number[:0:-1, -1], number[0, :0:-1]))
    after, under = np.roll(rim, -1), rows * columns
    # Where the opening widens its walls are twisted: a diagonal from the wider column's top runs inside, not outside.
    wide = np.abs(ceiling.z.ravel())
    narrows = wide[rim] >= wide[after]
    walls = np.concatenate(
        (
            np.stack((rim, rim + under, np.where(narrows, after + under, after)), axis=1),
            np.stack((np.where(narrows, rim, rim + under), after + under, after), axis=1),
        )
    )
    return RingMesh(
        np.concatenate((top, bottom)), np.concatenate((upper, upper[:, ::-1] + under, walls)).astype(np.int32)
    )
