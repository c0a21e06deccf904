"""The hollow under the head: what can be taken out from the bore side and still leave the wall thickness everywhere."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.arrays import Bools, Floats, Ints
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.mesh.ring_mesh import RingMesh

if TYPE_CHECKING:
    from scipy.spatial import cKDTree


FINE_MM = 0.3
"""Distance of the hollow's grid lines on a finished ring; its corners have radii of 0.5 as a rule."""

DRAFT_MM = 0.7
"""The same while a value is dragged."""

BELOW_BORE_MM = 1.0
"""How far the tool reaches into the finger hole, so that it cuts through the bore cleanly."""

MIN_DEEP_MM = 0.2
"""A hollow that is nowhere deeper than this is refused: it would save nothing."""

LEVEL_FRACTION = 0.01
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

    No point of it is nearer than the wall to the outer face less the ground, or to the sides: beside the opening the
    metal is as wide as the lip or the wall, whichever is wider.

    Parameters:
        band, options: the band and its hollow.
        ground_mm: how far the relief's ground lies below the outer face, mm (0 for raised forms).
        progress: where cancelling is looked for.
        grid_mm: distance of its grid lines.
    Returns: a closed mesh.
    Raises: InputError where the band is too thin for any hollow.
    """
    ceiling = hollow_ceiling(band, options, ground_mm, progress, grid_mm)
    deepest = float(np.max(ceiling.radius - band.bore_radius_mm))
    if deepest < MIN_DEEP_MM + (options.floor_mm or 0.0):
        message = f"a wall of {options.wall_mm:g} mm leaves no room for a hollow"
        raise InputError(message, "Make the head higher, or the wall thinner, or leave the ring full", "hollow.wall")
    return _closed_body(ceiling, band.bore_radius_mm - BELOW_BORE_MM)


def hollow_ceiling(
    band: Band, options: HollowOptions, ground_mm: float, progress: Progress, grid_mm: float
) -> HollowCeiling:
    """The hollow's outer boundary, its corners rounded by a ball rolling inside it.

    First the points that are the wall and the ball's radius away from the outer face, then all that a ball round those
    covers: a ball of that radius touches everywhere, and the wall is exact. The sides are respected by the columns. The
    facets of a finished ring lie inside its true faces, by a tolerance; twisted ones, as of sides that taper, by up to
    two. A draft allows no more than that, so that it never reports a thicker wall than there will be.

    Parameters:
        band, options: the band and its hollow.
        ground_mm: how far the relief's ground lies below the outer face, mm.
        progress: where cancelling is looked for.
        grid_mm: distance of its grid lines.
    Returns: the boundary over a grid.
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
    # The band and the columns are symmetric about the plane z = 0.
    lower = plan.z.shape[1] // 2 + 1
    at = np.nonzero(plan.round[:, :lower])
    centre[at] = face.out_to(keep, plan.theta[at[0]], plan.z[at], lowest, progress)
    centre[:, lower:] = centre[:, lower - 2 :: -1]
    rolled = _rolling_ball_envelope(plan.theta, plan.z, centre, corner, progress)
    return HollowCeiling(plan.theta, plan.z, np.maximum(rolled, floor))


def _rolling_ball_envelope(theta: Floats, z: Floats, centre: Floats, ball_mm: float, progress: Progress) -> Floats:
    """Outer boundary (a, w) of all balls centred at the radii `centre` (a, w), or inside; columns at -inf have none."""
    best = np.full(centre.shape, -np.inf)
    lowest = float(np.min(centre[np.isfinite(centre)], initial=np.inf))
    level = LEVEL_FRACTION * ball_mm**2
    reach = ball_mm * math.sqrt(1.0 + LEVEL_FRACTION)
    for here, there in _shifted_slices(range(1 - len(theta), len(theta)), len(theta)):
        turn = (theta[there] - theta[here])[:, None]
        if float(np.min(np.abs(np.sin(turn)))) * lowest > reach:
            continue
        progress.check()
        with np.errstate(invalid="ignore"):
            out, aside = centre[there] * np.cos(turn), np.square(centre[there] * np.sin(turn))
        _cover(best[here], z[here], z[there], (out, aside), (ball_mm, reach, level))
    return best


def _cover(best: Floats, z: Floats, middle_z: Floats, middle: tuple[Floats, Floats], ball: tuple[float, ...]) -> None:
    """Raise `best` (a, w) at columns z (a, w) to what balls of another row cover.

    Parameters:
        best: changed in place.
        z: of the columns.
        middle_z: (a, w) of the balls' middles.
        middle: (a, w) how far out they are, seen along the columns, and the square of how far aside.
        ball: radius, how far a ball covers, mm, and what its square may be short of, mm2.
    """
    radius, reach, level = ball
    out, aside = middle
    count = z.shape[1]
    for shifts, way in ((range(count), 1.0), (range(-1, -count, -1), -1.0)):
        for to, by in _shifted_slices(shifts, count):
            across = middle_z[:, by] - z[:, to]
            if float(np.min(way * across)) > reach:
                # Columns lie in order: all further ones are further away.
                break
            # Columns without a ball are infinitely far aside, or as far as is not known.
            left = radius**2 - across**2 - aside[:, by]
            cover = out[:, by] + np.sqrt(np.maximum(left, 0.0))
            np.maximum(best[:, to], np.where(left >= -level, cover, -np.inf), out=best[:, to])


def _shifted_slices(shifts: range, count: int) -> Iterator[tuple[slice, slice]]:
    """Pairs of equally long slices of a row, one shifted against the other by each of the steps."""
    for shift in shifts:
        yield slice(max(0, -shift), count - max(0, shift)), slice(max(0, shift), count - max(0, -shift))


def _closed_body(ceiling: HollowCeiling, floor_mm: float) -> RingMesh:
    """The closed body between the ceiling and a floor of constant radius, with straight walls."""
    rows, columns = ceiling.z.shape
    theta, z = np.repeat(ceiling.theta, columns), ceiling.z.ravel()
    number = np.arange(rows * columns, dtype=np.int32).reshape(rows, columns)
    quads = np.stack((number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]), axis=-1).reshape(-1, 4)
    upper = np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]))
    # Round the rim, counter-clockwise seen from outside: theta grows along the first edge.
    rim = np.concatenate((number[:-1, 0], number[-1, :-1], number[:0:-1, -1], number[0, :0:-1]))
    top = on_ring(theta, ceiling.radius.ravel(), z)
    bottom = on_ring(theta[rim], np.full(len(rim), floor_mm), z[rim])
    under = np.zeros(rows * columns, dtype=np.int32)
    under[rim] = rows * columns + np.arange(len(rim))
    after = np.roll(rim, -1)
    # Where the opening widens its walls are twisted: a diagonal from the wider column's top runs inside, not outside.
    narrows = np.abs(z[rim]) >= np.abs(z[after])
    walls = np.concatenate(
        (
            np.stack((rim, under[rim], np.where(narrows, under[after], after)), axis=1),
            np.stack((np.where(narrows, rim, under[rim]), under[after], after), axis=1),
        )
    )
    lower = under[_across_rows(number)]
    return RingMesh(np.concatenate((top, bottom)), np.concatenate((upper, lower, walls)).astype(np.int32))


def _across_rows(number: Ints) -> Ints:
    """(k, 3) triangles from end to end of the rows of a grid (a, w), and along its first and last row: the floor is
    straight along its rows, and most of a boolean's time goes by its triangles."""
    left, right = number[:, 0], number[:, -1]
    first, last = number[0], number[-1]
    return np.concatenate(
        (
            np.stack((left[1:-2], right[1:-2], right[2:-1]), axis=1),
            np.stack((left[1:-2], right[2:-1], left[2:-1]), axis=1),
            np.stack((first[:-1], first[1:], np.full(len(first) - 1, left[1])), axis=1),
            [[right[0], right[1], left[1]]],
            np.stack((last[1:], last[:-1], np.full(len(last) - 1, left[-2])), axis=1),
            [[right[-2], right[-1], left[-2]]],
        )
    )


ANGLES = 1440
"""Angles at which the sides are looked at: some 0.04 mm apart on the bore, which finds a distance of 0.4 to 0.0005."""

MIN_HALF_MM = 0.6
"""Half the width of the narrowest opening: a slot narrower than 1.2 is neither filled with investment nor cleaned
(common practice, no source)."""

MAX_CORNER_FRACTION = 0.9
"""A corner's radius is at most this fraction of half its opening, so that a roof is left between two corners."""


@dataclass(frozen=True, eq=False)
class HollowPlan:
    """The hollow seen from the finger: columns at theta (a,) to each side of the head, and z (a, w) across.

    round (a, w): a corner's ball may be centred there. corner_mm: the corners' radius. Guarantees: every point
    between the
    columns is at least the lip, in width, and the wall, in any direction, from the sides.
    """

    theta: Floats
    z: Floats
    round: Bools
    corner_mm: float


def hollow_corner(band: Band, options: HollowOptions) -> float:
    """The corners' radius: as asked, or as large as the opening allows. Raises: InputError for no opening."""
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
    return min(options.corner_mm, MAX_CORNER_FRACTION * narrowest, MAX_CORNER_FRACTION * along)


def hollow_plan(
    band: Band, options: HollowOptions, corner_mm: float, end_mm: float, grid_mm: float, facets_mm: float
) -> HollowPlan:
    """The columns of a hollow.

    Parameters:
        band, options: the band and its hollow.
        corner_mm: from `hollow_corner`.
        end_mm: radius at which the ball stands that rounds an end of the hollow.
        grid_mm: distance of the columns.
        facets_mm: how far the ring's mesh may lie inside its sides.
    Returns: the columns.
    """
    reach = math.radians(options.reach_deg)
    # The ball at each end reaches just as far round as the hollow shall.
    end_angle = min(math.asin(min(corner_mm / end_mm, 1.0)), MAX_CORNER_FRACTION * reach)
    theta = _grid_positions(reach, end_angle, grid_mm / band.bore_radius_mm)
    half = _inscribed_widths(theta, *_half_openings(band, options.lip_mm, options.wall_mm + facets_mm))
    widest = float(np.max(half))
    regular = _grid_positions(widest, corner_mm, grid_mm)
    # In a narrower column the inner points move together; those under the rounded corners stay as far from the side.
    side = np.sign(regular) * np.maximum(np.abs(regular) - (widest - corner_mm), 0.0)
    inner = (regular - side) / (widest - corner_mm)
    z = inner * (half[:, None] - corner_mm) + side
    centred = np.abs(z) <= half[:, None] - corner_mm + 1e-9
    return HollowPlan(theta, z, centred & (np.abs(theta) <= reach - end_angle + 1e-12)[:, None], corner_mm)


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


def _inscribed_widths(theta: Floats, angle: Floats, half: Floats) -> Floats:
    """(a,) widths at theta whose straight lines from one to the next lie nowhere outside `half` over `angle`."""
    at = np.interp(theta, angle, half)
    within = (angle > theta[0]) & (angle < theta[-1])
    over = np.maximum(np.interp(angle[within], theta, at) - half[within], 0.0)
    after = np.searchsorted(theta, angle[within])
    lower = np.zeros(len(theta))
    np.maximum.at(lower, after, over)
    np.maximum.at(lower, after - 1, over)
    return np.asarray(at - lower)


def _grid_positions(half: float, corner: float, grid: float) -> Floats:
    """Positions from -half to half: regular ones up to where the corners' balls are centred, and some under each
    corner's arc."""
    flat = half - corner
    middle = np.linspace(-flat, flat, 2 * max(1, int(np.ceil(flat / grid))) + 1)
    arcs = np.arange(1, int(np.clip(np.ceil(2.0 * corner / grid), 2, 4)) + 1)
    rim = flat + corner * np.sin(0.5 * np.pi * arcs / len(arcs))
    return np.concatenate((-rim[::-1], middle, rim))


MAX_STEPS = 14
"""Steps outwards until the wall is met; most columns need six."""

CLEARANCE_PRECISION_MM = 0.001
"""The wall counts as met within this distance: a tenth of the 0.01 that the wall is measured to."""

AROUND, ACROSS = 360, 91
"""Places on the outer face."""

LEAF_SAMPLES = 48
"""Samples in a leaf of the tree that is searched: measured, half the time of the usual 16."""


@dataclass(frozen=True, eq=False)
class OuterFace:
    """Distances from inside the band to its outer face."""

    band: Band

    def clearance(self, positions: Floats) -> Floats:
        """(n,) distance of positions (n, 3) from the outer face, mm; negative outside it."""
        points, normals, along = self._samples
        below = np.column_stack((positions[:, :2], -np.abs(positions[:, 2])))
        nearest, sample = self._tree.query(below)
        offset = points[sample] - below
        # The tangent plane at the nearest sample is nearer than the sample itself, and as near as the surface to 1e-3.
        under = np.einsum("ij,ij->i", offset, normals[sample])
        # At an edge the face ends: there it is the edge's own tangent line.
        on_edge = ~np.isnan(along[sample, 0])
        run = np.einsum("ij,ij->i", offset[on_edge], along[sample[on_edge]])
        level = np.maximum(under, 0.5 * nearest)
        level[on_edge] = np.sqrt(np.maximum(nearest[on_edge] ** 2 - run**2, 0.0))
        return np.asarray(np.where(under > 0.0, np.minimum(nearest, level), -nearest))

    @cached_property
    def _tree(self) -> cKDTree:
        from scipy.spatial import cKDTree

        # Positions far inside are about equally far from many samples: compact nodes take three times as long there.
        return cKDTree(self._samples[0], leafsize=LEAF_SAMPLES, compact_nodes=False, balanced_tree=False)

    @cached_property
    def _samples(self) -> tuple[Floats, Floats, Floats]:
        """Points (n, 3), their normals, and the edges' directions at the points on an edge (NaN at the others); those
        at z <= 0, as the band is symmetric."""
        theta = np.linspace(-np.pi, np.pi, AROUND, endpoint=False)
        across = np.sin(np.linspace(-0.5 * np.pi, 0.5 * np.pi, ACROSS)[: ACROSS // 2 + 1])
        frame = self.band.outer(theta[:, None], across)
        along = np.full(frame.point.shape, np.nan)
        edge = frame.d_theta[:, 0]
        along[:, 0] = edge / np.linalg.norm(edge, axis=1)[:, None]
        return frame.point.reshape(-1, 3), frame.normal.reshape(-1, 3), along.reshape(-1, 3)

    def out_to(self, keep_mm: float, theta: Floats, z: Floats, start_mm: float, progress: Progress) -> Floats:
        """Largest radius in each column with a clearance from the outer face, at most CLEARANCE_PRECISION_MM too small.

        Steps outwards by the free clearance, with secant steps once the clearance is seen to shrink slower.

        Parameters:
            keep_mm: the clearance, mm.
            theta, z: (n,) the columns.
            start_mm: radius to start from; columns that are too close already there get -infinity.
            progress: where cancelling is looked for.
        Returns: (n,) radii, mm.
        """

        def free_at(column: NDArray[np.intp], radius: Floats) -> Floats:
            return self.clearance(on_ring(theta[column], radius, z[column])) - keep_mm - CLEARANCE_PRECISION_MM

        radius = np.full(len(theta), start_mm)
        active = np.arange(len(theta))
        free = free_at(active, radius)
        radius[free <= 0.0] = -np.inf
        active, free_before = active[free > 0.0], free[free > 0.0]
        slope = np.ones(len(active))
        clear = radius.copy()
        for _ in range(MAX_STEPS):
            progress.check()
            if len(active) == 0:
                break
            step = free_before / slope
            radius[active] += step
            new_free = free_at(active, radius[active])
            slope = np.clip((free_before - new_free) / np.where(step == 0.0, 1.0, step), 0.3, 1.0)
            inside = active[new_free >= -CLEARANCE_PRECISION_MM]
            clear[inside] = np.maximum(clear[inside], radius[inside])
            moving = np.abs(new_free) > CLEARANCE_PRECISION_MM
            active, free_before, slope = active[moving], new_free[moving], slope[moving]
        # Where the steps did not settle, the furthest radius that was clear is used: never too much is taken out.
        radius[active] = clear[active]
        return radius


def on_ring(theta: Floats, radius: Floats, z: Floats) -> Floats:
    """Points in space from cylinder coordinates.

    Parameters:
        theta, radius, z: (n,) angle from the head in radians, distance from the ring's axis and position along it, mm.
    Returns: (n, 3) mm.
    """
    return np.stack((-radius * np.sin(theta), radius * np.cos(theta), z), axis=1)
