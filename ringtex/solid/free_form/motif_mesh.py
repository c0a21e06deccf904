"""The relief of own motifs and growth rings as one triangulation of the whole strip: outlines and their offset curves
are edges, and the height of every vertex follows its true distance to the outline."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.caches import BoundedCache
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM, LEVEL_MM
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.relief.make_relief import Relief
from ringtex.relief.relief_options import FLANKED
from ringtex.solid.free_form.cell_depths import depth_fractions
from ringtex.solid.free_form.moved_flanks import CurvePoints, curve_points, moved_places, near_depth
from ringtex.solid.free_form.period_mesh import Period, PeriodMesh
from ringtex.solid.free_form.periodic_plane import PeriodicPlane
from ringtex.solid.free_form.relief_contours import ReliefContours
from ringtex.solid.free_form.ring_outlines import ring_widths
from ringtex.solid.free_form.shape_outlines import (
    CACHED_OUTLINES,
    is_rough,
    shape_outlines,
)
from ringtex.strip.strip_map import StripMap


@dataclass(frozen=True, eq=False)
class FreeFormSurface:
    """The relief between the rails.

    positions  (n, 3) strip coordinates (u, v, h), mm.
    faces      (m, 3) counter-clockwise.
    cell       (m,) the repeat that each lies in.
    lower, upper  vertices along the two borders, in the order of u.
    floor      (m,) which triangles lie on a level top or floor; None where there are no outlines.
    contours   what it was built from; None where there are no outlines.
    """

    positions: Floats
    faces: Ints
    cell: Ints
    lower: Ints
    upper: Ints
    floor: Bools | None = None
    contours: ReliefContours | None = None


def motif_surface(
    strip: StripMap, layout: MotifLayout | GrowthRings, relief: Relief, chord_mm: float, progress: Progress
) -> FreeFormSurface:
    """Triangulate the strip between its rails.

    On a band that is the same all round only one period is triangulated, and repeated by index.

    Parameters:
        strip: the strip map.
        layout: the repeats.
        relief: profile and depth of each repeat.
        chord_mm: chord tolerance, mm.
        progress: told how long offset curves will take, where that is long.
    Returns: the relief, closed round the ring by index.
    Raises: Cancelled.
    """
    times = 1
    if isinstance(layout, MotifLayout) and strip.band.is_revolution:
        times = layout.around // layout.columns
    if isinstance(layout, GrowthRings):
        progress.expect(SECONDS_A_CELL[chord_mm < DRAFT_CHORD_MM] * len(relief.depth_share))
    plane = PeriodicPlane(layout.part.length / times, layout.part.lower, layout.part.upper)
    widths = ring_widths(strip, layout, relief.options) if isinstance(layout, GrowthRings) else None
    outlines = shape_outlines(strip, layout, plane, widths, chord_mm)
    rough = is_rough(layout, chord_mm) and relief.options.form in FLANKED
    period = Period(strip, plane, outlines, relief, chord_mm, rough)
    mesh = _mesh_of_near_depth(period, relief, progress) if rough or period.is_domed else period.triangulated(progress)
    height = period.profile.height_mm[-1] * relief.depth_share
    contours = ReliefContours(outlines.parts, plane.period, period.profile.level_mm, height, layout.cells_at)
    return replace(_repeated(strip, layout, relief, period, mesh, times), contours=contours)


_domed_meshes: Final[BoundedCache[tuple[Any, ...], PeriodMesh]] = BoundedCache(CACHED_OUTLINES)


def _mesh_of_near_depth(period: Period, relief: Relief, progress: Progress) -> PeriodMesh:
    """The mesh of the nearest depth that is triangulated. Over domed shapes only the heights hang on the depth itself;
    elsewhere offset curves are moved."""
    options = near_depth(relief.options)
    outlines = period.outlines
    near = Period(
        period.strip, period.plane, outlines, replace(relief, options=options), period.chord_mm, period.is_rough
    )
    if not period.is_domed:
        return _moved_mesh(period, near, progress)
    key = (outlines, options.form == "peak", options.depth_mm, period.chord_mm)
    return _domed_meshes.found_or_made(key, lambda: near.triangulated(progress))


_rough_meshes: Final[BoundedCache[tuple[Any, ...], tuple[PeriodMesh, CurvePoints]]] = BoundedCache(CACHED_OUTLINES)


def _moved_mesh(period: Period, near: Period, progress: Progress) -> PeriodMesh:
    """The mesh of a near depth, its offset curves moved to where the period's lie."""
    outlines = period.outlines
    knots, wanted = near.profile.inward_mm, period.profile.inward_mm
    if len(knots) != len(wanted):
        return period.triangulated(progress)

    def made() -> tuple[PeriodMesh, CurvePoints]:
        mesh = near.triangulated(progress)
        at_end = mesh.points[:, 0] % period.plane.size[0] == 0
        return mesh, curve_points(mesh.places, mesh.inward, knots, outlines.field, at_end)

    mesh, points = _rough_meshes.found_or_made((outlines, knots.tobytes(), period.chord_mm), made)
    ratio = np.where(knots > 0.0, wanted / np.where(knots > 0.0, knots, 1.0), 1.0)
    inward = mesh.inward.copy()
    inward[points.number] = wanted[points.knot]
    return replace(mesh, places=moved_places(mesh.places, mesh.faces, points, ratio), inward=inward)


SECONDS_A_CELL: Final = (0.003, 0.009)
"""Processor time of growth rings for each cell, in a draft and in a finished ring, on a band that varies; measured."""


def _repeated(
    strip: StripMap, layout: MotifLayout | GrowthRings, relief: Relief, period: Period, mesh: PeriodMesh, times: int
) -> FreeFormSurface:
    """The period as often as it fits round the ring."""
    plane, distance = period.plane, mesh.inward
    own = mesh.partner < 0
    number = np.cumsum(own) - 1
    count = int(np.count_nonzero(own))
    turn = np.arange(times)[:, None]
    ids = np.where(own, number + turn * count, number[np.where(own, 0, mesh.partner)] + (turn + 1) % times * count)
    faces = ids[:, mesh.faces].reshape(-1, 3).astype(np.int32)
    places = mesh.places[own]
    u = (places[:, 0] + turn * plane.period).ravel()
    v = np.tile(places[:, 1], times)
    # Where the scale varies round the ring the period is the whole strip.
    inward = np.tile(distance[own], times)
    height = period.profile.heights(inward)
    raised = np.flatnonzero(inward > 0.0)
    height[raised] *= _depth_fractions(
        layout, relief, period, np.column_stack((u, v))[raised], places, raised % count, plane
    )
    middle = mesh.places[mesh.faces].mean(axis=1)
    middles = np.column_stack(((middle[:, 0] + turn * plane.period).ravel(), np.tile(middle[:, 1], times)))
    borders = []
    for level in (0, plane.size[1]):
        on = np.flatnonzero(own & (mesh.points[:, 1] == level))
        on = on[np.argsort(mesh.points[on, 0], kind="stable")]
        borders.append((number[on] + turn * count).ravel().astype(np.int32))
    floor = np.all(inward[faces] >= period.profile.inward_mm[-1] - LEVEL_MM, axis=1)
    cell = layout.cells_at(middles).astype(np.int32)
    return FreeFormSurface(np.column_stack((u, v, height)), faces, cell, borders[0], borders[1], floor)


def _depth_fractions(
    layout: MotifLayout | GrowthRings,
    relief: Relief,
    period: Period,
    at: Floats,
    places: Floats,
    own: Longs,
    plane: PeriodicPlane,
) -> Floats:
    """(n,) depth at raised vertices: that of the repeat which most of their shape belongs to; on growth rings, which
    may go all round the ring, one between those of the cells."""
    share = relief.depth_share
    if isinstance(layout, GrowthRings):
        return np.broadcast_to(depth_fractions(layout, relief, at[:, 0], at[:, 1]), len(at))
    if np.all(share == share[0]):
        return np.full(len(at), float(share[0]))
    tree = shapely.STRtree(period.parts)
    base, inverse = np.unique(own, return_inverse=True)
    point, part = tree.query(shapely.points(places[base]), predicate="intersects")
    part_of = np.zeros(len(base), dtype=np.int64)
    part_of[point] = part
    middle = period.middles[part_of[inverse]]
    middle[:, 0] += at[:, 0] - places[own, 0]
    return share[layout.cells_at(middle)]
