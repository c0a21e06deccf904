"""One period of the relief of own motifs or growth rings: outlines, their offset curves and the ridges of domed shapes
are edges, and the height of every vertex follows its true distance to the outline."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.pattern.grown.varied_offsets import VariedOutlines
from ringtex.relief.distance_profile import distance_profile
from ringtex.relief.make_relief import Relief
from ringtex.relief.relief_options import FLANKED
from ringtex.solid.free_form.constrained_delaunay import ConstrainedDelaunay
from ringtex.solid.free_form.distance_field import line_segments, segments_of
from ringtex.solid.free_form.free_points import free_points
from ringtex.solid.free_form.inset_curves import InsetCurves, inset_seconds
from ringtex.solid.free_form.periodic_plane import GRID_MM, PeriodicPlane
from ringtex.solid.free_form.shape_outlines import (
    OUTLINE_FRACTION,
    ROUGH_OUTLINE_FRACTION,
    ShapeOutlines,
)
from ringtex.solid.free_form.true_offsets import SAME_SCALE, local_scale, scale_varies
from ringtex.solid.mesh.chord_length import chord_length
from ringtex.solid.mesh.strip_triangulation import segments_of_sides
from ringtex.strip.strip_map import StripMap

PROFILE_FRACTION: Final = 0.4
"""Of the chord tolerance for the profile's rounded corner; where it is steep the other shares hardly count."""

REFINEMENTS: Final = (6, 16)
"""Rounds of new points where the mesh is off the relief, in a draft and in a finished ring."""

DOMED_REFINEMENTS: Final = 64
"""The same of domed shapes, whose offset curves lie further apart; leaves take 8 to 20."""

HEIGHT_FRACTION: Final = 0.5
"""Of the chord tolerance for heights over the middle of an edge."""

ON_OUTLINE_MM: Final = 1e-4
"""Points nearer than this lie on the outline: a few steps of the grid."""

ON_CURVE: Final = 0.45
"""Points nearer to an offset curve than this much of the chord tolerance lie on it, so that tops are level to their
edges."""

BEND_FRACTION: Final = 0.75
"""The same for the roll of the band's edge."""

NEAR_EDGE_MM: Final = 0.4
"""Nearer to the band's edges its face may roll over with a radius of hundredths of a millimetre."""

MIN_EDGE: Final = 400
"""Shorter edges, in steps (8 micrometres), are not halved."""

ROUGH_SCALE: Final = 1.3
"""In drafts of growth rings one distance does for outlines whose scale varies by less: their flanks are off by a
seventh of their width, as much as the draft's tolerance, and their heights are not."""

MIN_STEP_MM: Final = (0.006, 0.05)
"""Offset curves nearer than this to the one before are left out: less than a seventh of a printer's 0.04 mm pixel. In
rough meshes rounded corners of the profile become chamfers."""

RIDGE_CLEAR_MM: Final = 0.04
"""Offset curves end so far from ridges, which they would meet at their corners: needles between two such edges, flat on
the strip, turn over on a dome."""

RIDGE_STEP: Final = 1.2
"""Longest edges along ridges over the reach and the root of the tolerance over the depth: with 2 the middle of one
would be off by the tolerance."""


@dataclass(frozen=True, eq=False)
class PeriodMesh:
    """Triangles of one period: points (n, 2) in steps, places (n, 2) where they lie, mm, faces (m, 3); partner (n,) is
    the point at the period's start of each one at its end, -1 for all others; inward (n,) the distance from the
    outline, mm on the ring."""

    points: Longs
    places: Floats
    faces: Ints
    partner: Longs
    inward: Floats


class Period:
    """One period: its shapes, their distances, and the curves that become edges."""

    def __init__(
        self,
        strip: StripMap,
        plane: PeriodicPlane,
        outlines: ShapeOutlines,
        relief: Relief,
        chord_mm: float,
        is_rough: bool,
    ) -> None:
        self.strip, self.plane, self.chord_mm, self.is_rough = strip, plane, chord_mm, is_rough
        self.outlines = outlines
        self.is_domed = relief.options.form not in FLANKED
        none: tuple[Any, float] = (np.zeros(0, dtype=object), 0.0)
        self.ridges, reach = outlines.medial if self.is_domed else none
        self.profile = distance_profile(relief.options, reach, PROFILE_FRACTION * chord_mm)
        self.refinements = DOMED_REFINEMENTS if self.is_domed else REFINEMENTS[chord_mm < DRAFT_CHORD_MM]
        self.ridge_mm = RIDGE_STEP * reach * (chord_mm / relief.options.depth_mm) ** 0.5
        self.parts, self.middles, self.lines = outlines.parts, outlines.middles, outlines.lines
        # Outlines of neighbours have no edges here.
        own = outlines.own
        self.even_scale = outlines.median_scale if self.is_domed and outlines.alike else None
        scale = outlines.scale if self.even_scale is None else np.full(len(outlines.scale), self.even_scale)
        self.own_parts, self.own_scale = outlines.parts[own], scale[own]
        self.width = self.profile.width_mm
        apart = np.diff(self.profile.creases_mm, prepend=0.0)
        self.on_curve_mm = min(ON_CURVE * chord_mm, 0.3 * float(np.min(apart, initial=np.inf)))
        self.field = outlines.field.within(1.2 * self.width / float(np.min(scale, initial=1.0)))

    def _scale(self, places: Floats) -> Floats:
        """(n,) mm of distance from an outline for a millimetre of strip: those on the ring, but for domed repeats."""
        return local_scale(self.strip, places) if self.even_scale is None else np.full(len(places), self.even_scale)

    def triangulated(self, progress: Progress) -> PeriodMesh:
        """The mesh, refined where its edges are off the relief."""
        segments, depth = self._edges(progress)
        points, ends = free_points(self.strip, self.plane, self.chord_mm)
        points = points[self._clear_of_curves(points)]
        taken = np.sort(segments[segments[:, :, 0] % self.plane.size[0] == 0][:, 1])
        ends = ends[_apart(ends, taken, 0.3 * self.chord_mm**0.5)] if len(taken) else ends
        ends = self._refined_ends(np.concatenate((ends, taken)))
        mesh = self.plane.triangulated(segments, points, ends)
        inward = self._inward_by_curves(mesh, segments, depth) if self.is_rough else self._refine(mesh)
        points, faces = mesh.vertices_and_faces()
        inward = np.delete(inward, mesh.far)
        partner = self.plane.partners(points)
        inward = np.where(partner >= 0, inward[partner], inward)
        return PeriodMesh(points, self.plane.to_strip(points), faces, partner, inward)

    def _edges(self, progress: Progress) -> tuple[Longs, Floats]:
        """(k, 2, 2) outlines and offset curves as segments of the period, and (k,) how far inwards each lies, mm on the
        ring."""
        found, depth = [self._wrapped(self.lines)], [0.0]
        before = 0.0
        distances = self.profile.creases_mm / np.min(self.own_scale, initial=1.0)
        progress.expect(inset_seconds(self.own_parts, segments_of(self.own_parts), distances))
        insets = self._insets()
        slope = float(np.max(np.abs(self.profile.slopes(self.profile.inward_mm))))
        ridges = self._ridge_lines(slope)
        beside = shapely.union_all(shapely.buffer(ridges, max(RIDGE_CLEAR_MM, 2.0 * self.chord_mm), quad_segs=2))
        for distance in self.profile.creases_mm.tolist():
            if distance - before < MIN_STEP_MM[self.is_rough] and distance != self.width:
                continue
            # Arcs round inner corners may be off by what their heights may be off.
            arc = 2.0 * np.arccos(max(0.0, 1.0 - self.chord_mm / max(slope, 1.0) / max(distance, 1e-3)))
            quadrant = int(np.clip(np.ceil(0.5 * np.pi / max(arc, 1e-2)), 1, 16))
            # The heights of a rough mesh are its curves', wherever these lie.
            off_mm = ROUGH_OUTLINE_FRACTION * self.chord_mm if self.is_rough else 0.3 * self.chord_mm / max(slope, 1.0)
            tolerance = min(off_mm, 0.3 * (distance - before))
            for lines in insets(distance, quadrant, tolerance):
                found.append(self._wrapped(shapely.difference(lines, beside) if len(ridges) else lines))
                depth.append(distance)
            before = distance
            progress.check()
        found.append(self._wrapped(ridges))
        depth.append(np.nan)
        return np.concatenate(found), np.repeat(depth, [len(each) for each in found])

    def _ridge_lines(self, slope: float) -> Any:
        """Ridges in the period, mm on the strip: straight pieces short enough for heights to follow them."""
        if not len(self.ridges):
            return self.ridges
        scale = float(np.min(self.own_scale, initial=1.0))
        tolerance = OUTLINE_FRACTION * self.chord_mm / max(slope, 1.0) / scale
        merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(self.ridges)))
        lines = self.plane.lines(merged, np.full(len(merged), tolerance))
        middle = shapely.get_coordinates(shapely.line_interpolate_point(lines, 0.5, normalized=True))
        return shapely.segmentize(lines, self.ridge_mm / self._scale(middle))

    def _inward_by_curves(self, mesh: ConstrainedDelaunay, segments: Longs, depth: Floats) -> Floats:
        """(n,) how far inwards points lie, mm on the ring: those of outlines and offset curves as their curves."""
        rows = self.plane.size[1] + 1
        inward = np.full(len(mesh.points), np.nan)
        # The points come sorted, the far corners last.
        key = mesh.points[: mesh.far[0], 0] * rows + mesh.points[: mesh.far[0], 1]
        at = np.searchsorted(key, segments[..., 0] * rows + segments[..., 1])
        # A point of several curves is one of the outermost.
        inward[at[::-1]] = depth[::-1, None]
        unknown = np.isnan(inward)
        inward[unknown] = self._inward(mesh.points[unknown])
        return inward

    def _insets(self) -> Callable[[float, int, float], Iterator[Any]]:
        """From a distance inwards, mm on the ring, edges of a quarter turn and a tolerance, mm on the ring, to lines in
        the period, first of the outlines whose scale hardly varies, then of the others."""
        parts, scale = self.own_parts, self.own_scale
        varied = np.zeros(len(parts), dtype=bool)
        if self.even_scale is None:
            varied = scale_varies(self.strip, parts, scale, ROUGH_SCALE if self.is_rough else SAME_SCALE)
        even, others = InsetCurves(parts[~varied]), VariedOutlines(parts[varied])
        scale_there = local_scale(self.strip, others.points)

        def lines(distance: float, quadrant: int, tolerance_mm: float) -> Iterator[Any]:
            curves, part = even.at(distance / scale[~varied], quadrant)
            yield self.plane.lines(shapely.boundary(curves), tolerance_mm / scale[~varied][part])
            curves = shapely.get_rings(others.moved(-distance / scale_there, quadrant))
            start = shapely.get_coordinates(shapely.get_point(curves, 0))
            yield self.plane.lines(curves, tolerance_mm / local_scale(self.strip, start))

        return lines

    def _wrapped(self, lines: Any) -> Longs:
        ends = self._pieces(*line_segments(lines))
        start, end = self.plane.joined_at_ends(*(self.plane.to_grid(places) for places in ends))
        own = np.any(start != end, axis=1)
        return self.plane.wrapped(start[own], end[own])

    def _pieces(self, start: Floats, end: Floats) -> tuple[Floats, Floats]:
        """(n, 2), (n, 2) the ends of segments cut into even pieces that are as short as the band's bend there asks."""
        middle = 0.5 * (start + end)
        e, _, g = self.strip.metric(middle[:, 0], middle[:, 1])
        lengths = [chord_length(self.strip, at[:, 0], at[:, 1], self.chord_mm) for at in (start, middle, end)]
        longest = np.min(lengths, axis=0) / np.sqrt(np.maximum(e, g))
        count = np.ceil(np.maximum(np.hypot(*(end - start).T) / longest, 1.0)).astype(np.int64)
        segment, number = segments_of_sides(count)
        way = (end - start)[segment] / count[segment, None]
        last = number + 1 == count[segment]
        after = np.where(last[:, None], end[segment], start[segment] + (number + 1)[:, None] * way)
        return start[segment] + number[:, None] * way, after

    def _clear_of_curves(self, points: Longs) -> Bools:
        """(n,) free points that do not crowd the curves."""
        places = self.plane.to_strip(points)
        inside = self.field.signed(places)
        scale = local_scale(self.strip, places)
        gap = 0.4 * chord_length(self.strip, places[:, 0], places[:, 1], self.chord_mm)
        on_border = points[:, 1] % self.plane.size[1] == 0
        # Domed shapes have no open part inside, but need points where the band bends.
        deepest = gap if self.is_domed else self.width + gap
        crowded = (inside * scale > -gap) & (inside * scale < deepest)
        # An outline that runs along a border has points of its own; beside it the border must follow the band's bend.
        return ~np.where(on_border, np.abs(inside) * scale < np.minimum(0.3 * gap, MIN_STEP_MM[0]), crowded)

    def _refine(self, mesh: ConstrainedDelaunay) -> Floats:
        """Halve edges whose middle is off the relief, or off the roll of the band's edge; returns how far inwards every
        point lies."""
        inward = self._inward(mesh.points)
        for _ in range(self.refinements):
            # Edges beside a long one that is off would be halved for ever.
            tri, corner = mesh.changed_edges(segments=self.is_domed)
            p, q = mesh.ends(tri, corner)
            low, high = np.minimum(inward[p], inward[q]), np.maximum(inward[p], inward[q])
            long = np.max(np.abs(mesh.points[p] - mesh.points[q]), axis=1) > MIN_EDGE
            rolled = self._off_edge_roll(mesh.points[p], mesh.points[q], inward[p], inward[q])
            over = rolled > BEND_FRACTION * self.chord_mm
            chosen = np.flatnonzero((((low >= 0.0) & (low < self.width)) | over) & long)
            tri, corner, p, q = (each[chosen] for each in (tri, corner, p, q))
            high, rolled = high[chosen], rolled[chosen]
            middle = (mesh.points[p] + mesh.points[q]) // 2
            # No edge crosses an outline, so that only between two points of outlines it may lie outside.
            inner = np.where(high > 0.0, self._away(middle), 0.0)
            doubtful = high == 0.0
            inner[doubtful] = self._inward(middle[doubtful])
            off = self._off(inner, inward[p], inward[q])
            off = np.maximum(off, rolled * (HEIGHT_FRACTION / BEND_FRACTION))
            bad = off > HEIGHT_FRACTION * self.chord_mm
            if not np.any(bad):
                break
            mesh.split(tri[bad], corner[bad], -off[bad])
            inward = np.concatenate((inward, self._inward(mesh.points[len(inward) :])))
        return inward

    def _off_edge_roll(self, p: Longs, q: Longs, one: Floats, other: Floats) -> Floats:
        """How far the band's face lies off the middle of straight edges of finished rings near the band's edges, where
        no length of edges follows it.

        Parameters:
            p, q: (n, 2) their ends, in steps.
            one, other: (n,) how far inwards these lie, mm.
        Returns: (n,) mm; 0 elsewhere.
        """
        off: Floats = np.zeros(len(p))
        if self.chord_mm >= DRAFT_CHORD_MM:
            return off
        start, end = self.plane.to_strip(p), self.plane.to_strip(q)
        v = np.sort(np.stack((start[:, 1], end[:, 1])), axis=0)
        near = np.flatnonzero((v[0] < NEAR_EDGE_MM) | (v[1] > self.strip.width - NEAR_EDGE_MM))
        start, end = (
            np.column_stack((places[near], self.profile.heights(inward[near])))
            for places, inward in ((start, one), (end, other))
        )
        a, b, middle = (self.strip.shell_map(*each.T) for each in (start, end, 0.5 * (start + end)))
        way = (b - a) / np.maximum(np.linalg.norm(b - a, axis=1), 1e-12)[:, None]
        away = middle - a
        off[near] = np.linalg.norm(away - np.sum(away * way, axis=1)[:, None] * way, axis=1)
        return off

    def _refined_ends(self, ends: Longs) -> Longs:
        """(n,) places across of the points at the period's ends, with more of them where the edges between two are off
        the relief: those edges cannot be halved later, for both ends have the same points."""
        ends = np.unique(np.concatenate((ends, [0, self.plane.size[1]])))
        for _ in range(self.refinements):
            middle = (ends[1:] + ends[:-1]) // 2
            inward, inner = (self._inward(np.column_stack((np.zeros_like(each), each))) for each in (ends, middle))
            off = self._off(inner, inward[1:], inward[:-1])
            bad = (off > HEIGHT_FRACTION * self.chord_mm) & (np.diff(ends) > MIN_EDGE)
            if not np.any(bad):
                break
            ends = np.unique(np.concatenate((ends, middle[bad])))
        return ends

    def _off(self, middle: Floats, one: Floats, other: Floats) -> Floats:
        """(n,) distances of the relief from the middles of edges, mm, by how far inwards these and the ends lie."""
        heights = self.profile.heights
        # The surface is nearer than the height says where it is steep.
        off = np.abs(heights(middle) - 0.5 * (heights(one) + heights(other)))
        return np.asarray(off / np.hypot(1.0, self.profile.slopes(middle)))

    def _inward(self, points: Longs) -> Floats:
        """(n,) distance of points, in steps, inwards from the outline, mm on the ring; 0 or less outside."""
        away = self._away(points)
        return np.where(self.field.inside(self.plane.to_strip(points)) | (away == 0.0), away, -away)

    def _away(self, points: Longs) -> Floats:
        """(n,) distance of points, in steps, from the outline, mm on the ring."""
        places = self.plane.to_strip(points)
        found = self.field.unsigned(places) * self._scale(places)
        # Points of outlines are off by the grid's rounding, those of offset curves by what these were simplified by.
        curves = self.profile.creases_mm
        if len(curves):
            curve = curves[np.searchsorted(curves[:-1] + 0.5 * np.diff(curves), found)]
            found = np.where(np.abs(found - curve) < self.on_curve_mm, curve, found)
        return np.where(found < ON_OUTLINE_MM, 0.0, found)


def _apart(values: Longs, taken: Longs, gap_mm: float) -> Bools:
    """(n,) values further than a gap from all taken ones, which are sorted."""
    at = np.searchsorted(taken, values)
    low, high = taken[np.maximum(at - 1, 0)], taken[np.minimum(at, len(taken) - 1)]
    return np.asarray(np.minimum(np.abs(values - low), np.abs(values - high)) > gap_mm / GRID_MM)
