"""Outlines of own motifs and growth rings in one period of the strip, with their distances and the lines along their
middles."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.caches import BoundedCache
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.solid.free_form.distance_field import DistanceField, line_segments
from ringtex.solid.free_form.medial_lines import medial_lines, usual_reach
from ringtex.solid.free_form.periodic_plane import PeriodicPlane
from ringtex.solid.free_form.ring_outlines import RingWidths, ring_outlines
from ringtex.solid.free_form.true_offsets import local_scale
from ringtex.strip.strip_map import StripMap

OUTLINE_FRACTION, ROUGH_OUTLINE_FRACTION = 0.3, 0.6
"""Of the chord tolerance for what an outline is simplified by, also in drafts of growth rings; the rest is for its
curves on the ring."""

CACHED_OUTLINES: Final = 3
"""A draft, a final mesh and the one before."""

MIN_REACH_MM: Final = 0.02
"""Shapes are at least so far from side to middle, as pillows."""


@dataclass(frozen=True, eq=False)
class ShapeOutlines:
    """What depends on motif, band and tolerance alone, so that a change of the relief need not make it anew.

    parts    (k,) polygons, mm on the strip, simplified.
    middles  (k, 2) a point in each.
    scale    (k,) mm on the ring for a millimetre of strip there.
    lines    their outlines in one period, simplified.
    field    distances from them, without a limit.
    plane    the period.
    strip    the strip map.
    alike    repeats of one drawing, which lie over as much of the strip everywhere, however large they are on the ring.
    """

    parts: Any
    middles: Floats
    scale: Floats
    lines: Any
    field: DistanceField
    plane: PeriodicPlane
    strip: StripMap
    alike: bool

    @property
    def own(self) -> Bools:
        """(k,) the parts that reach into the period."""
        low, _, high, _ = shapely.bounds(self.parts).reshape(-1, 4).T
        return np.asarray((high >= 0.0) & (low <= self.plane.period))

    @cached_property
    def median_scale(self) -> float:
        """Of the period's parts: that of all heights over repeats, so that each is as high at its middle."""
        return float(np.median(self.scale[self.own])) if len(self.scale) else 1.0

    @cached_property
    def medial(self) -> tuple[Any, float]:
        """The middles of the period's shapes as lines, mm on the strip, and their usual distance from the outline, mm
        on the ring."""
        lines, away = medial_lines(self.parts[self.own])
        if not len(lines):
            return lines, MIN_REACH_MM
        middle = shapely.get_coordinates(shapely.line_interpolate_point(lines, 0.5, normalized=True))
        scale = np.full(len(lines), self.median_scale) if self.alike else local_scale(self.strip, middle)
        return lines, max(usual_reach(away * scale, shapely.length(lines) * scale), MIN_REACH_MM)


_outlines: Final[BoundedCache[tuple[Any, ...], ShapeOutlines]] = BoundedCache(CACHED_OUTLINES)


def shape_outlines(
    strip: StripMap, layout: MotifLayout | GrowthRings, plane: PeriodicPlane, widths: RingWidths | None, chord_mm: float
) -> ShapeOutlines:
    """The outlines of a period and its neighbours, kept for the next relief over them.

    Parameters:
        strip: the strip map.
        layout: the repeats, or the growth rings.
        plane: the period.
        widths: what growth rings are cut to; None for motifs.
        chord_mm: chord tolerance, mm.
    Returns: the outlines.
    """
    if isinstance(layout, MotifLayout):
        own: Any = (layout.part, layout.options, layout.around, layout.across, layout.slide)
    else:
        own = (layout, widths)
    key = (strip, own, plane, chord_mm)
    return _outlines.found_or_made(key, lambda: _made_outlines(strip, layout, plane, widths, chord_mm))


def _made_outlines(
    strip: StripMap, layout: MotifLayout | GrowthRings, plane: PeriodicPlane, widths: RingWidths | None, chord_mm: float
) -> ShapeOutlines:
    if isinstance(layout, MotifLayout):
        reach = 2 + layout.reach[0]
        shapes = layout.shapes(range(-reach, round(plane.period / layout.tile[0]) + reach))
        parts = shapely.get_parts(shapely.union_all(shapely.get_parts(shapes)))
        parts = parts[(shapely.get_type_id(parts) == 3)]
    else:
        assert widths is not None
        parts = ring_outlines(strip, layout, widths, chord_mm)
    middles = shapely.get_coordinates(shapely.point_on_surface(parts)).reshape(-1, 2)
    scale = local_scale(strip, middles)
    fraction = ROUGH_OUTLINE_FRACTION if is_rough(layout, chord_mm) else OUTLINE_FRACTION
    tolerance = fraction * chord_mm / np.maximum(scale, 0.1)
    lines = plane.lines(shapely.boundary(parts), tolerance)
    parts = shapely.simplify(parts, tolerance)
    field = DistanceField(shapely.multipolygons(parts), np.inf, _all_sides(lines, parts, plane))
    alike = isinstance(layout, MotifLayout)
    return ShapeOutlines(parts, middles, scale, lines, field, plane, strip, alike)


def _all_sides(lines: Any, parts: Any, plane: PeriodicPlane) -> tuple[Floats, Floats]:
    """(n, 2), (n, 2) both ends of the sides of one period's lines, and of its neighbours' as far as the parts go."""
    start, end = line_segments(lines)
    if not len(start):
        return start, end
    low, _, high, _ = shapely.total_bounds(parts)
    first, last = int(np.floor(low / plane.period)), int(np.floor(high / plane.period))
    shifts = np.array([(turn * plane.period, 0.0) for turn in range(first, last + 1)])
    start, end = ((each + shifts[:, None]).reshape(-1, 2) for each in (start, end))
    near = (np.maximum(start[:, 0], end[:, 0]) >= low) & (np.minimum(start[:, 0], end[:, 0]) <= high)
    return start[near], end[near]


def is_rough(layout: MotifLayout | GrowthRings, chord_mm: float) -> bool:
    """Whether the mesh is not refined: outlines as smooth as growth rings hardly need it, and it doubles the time."""
    return isinstance(layout, GrowthRings) and chord_mm >= DRAFT_CHORD_MM
