"""Offsets of outlines by distances that are true on the ring, also where the strip's scale varies along an outline."""

from __future__ import annotations

import math
from typing import Any, Final, Protocol

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.errors import InputError
from ringtex.pattern.grown.growth_rings import ring_areas
from ringtex.pattern.grown.ring_layout import PINCH, GrowthRings
from ringtex.pattern.grown.varied_offsets import VariedOutlines, offset_areas
from ringtex.relief.relief_options import FLANKED, ReliefOptions
from ringtex.strip.strip_map import StripMap

SAME_SCALE: Final = 1.08
"""Outlines whose scale varies by less, from the least to the largest, are offset by one distance."""

WALL_FRACTION: Final = 0.1
"""Of the chord tolerance for what walls are simplified by."""

RAIL_STEP_MM: Final = 0.5
"""Longest straight piece of a groove along a rail."""

ON_RAIL_MM: Final = 1e-3
"""Rings nearer to a rail's groove than this may end in it."""

MIN_GROOVE_MM: Final = 0.02
"""Grooves of growth rings, also where none are asked for: half a printer's pixel."""

QUADRANT: Final = 8
"""Pieces of a quarter circle."""

THIN: Final = 0.1
"""What rails leave of a ring is left out where it is narrower than twice this, in mean widths of a ring."""


class ScaleView(Protocol):
    """The strip's scale."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """E, F, G of the outer face at strip positions (n,), (n,), mm."""


def local_scale(strip: ScaleView, places: Floats) -> Floats:
    """(n,) mm on the ring for a millimetre of strip: the root of the scale of areas."""
    e, f, g = strip.metric(places[:, 0], places[:, 1])
    return np.asarray(np.maximum(e * g - f * f, 1e-12) ** 0.25)


def groove_mm(strip: StripMap, rings: GrowthRings, options: ReliefOptions) -> float:
    """Width of the grooves between rings, mm on the ring.

    Parameters:
        strip: the strip map.
        rings: the rings.
        options: of the relief; a top size is that of a ring of mean width.
    Returns: mm.
    """
    if options.wall_width_mm is not None:
        return max(options.wall_width_mm, MIN_GROOVE_MM)
    assert options.top_size is not None
    part = rings.part
    u, v = (each.ravel() for each in np.meshgrid(*(np.linspace(*ends, 16) for ends in (
        (0.0, part.length), (part.lower, part.upper)
    ))))  # fmt: skip
    ring = rings.width
    if rings.density is None:
        ring *= float(np.mean(local_scale(strip, np.column_stack((u, v)))))
    flank = options.depth_mm / np.tan(np.radians(options.flank_deg)) if options.form in FLANKED else 0.0
    return max(float((1.0 - options.top_size) * ring - 2.0 * flank), MIN_GROOVE_MM)


def ring_outlines(strip: StripMap, rings: GrowthRings, groove_mm: float, chord_mm: float) -> Any:
    """The growth rings between their grooves.

    A ring ends where it would be too narrow; what is left of it is round at its ends, and cut cleanly along the rails.

    Parameters:
        strip: the strip map.
        rings: the rings.
        groove_mm: width of the grooves, mm on the ring.
        chord_mm: chord tolerance, mm.
    Returns: (k,) polygons, mm on the strip, from a margin before the seam to one behind the end of the turn.
    Raises: InputError where none is left.
    """
    part = rings.part

    def half(places: Floats) -> Floats:
        inside = np.column_stack((places[:, 0], np.clip(places[:, 1], part.lower, part.upper)))
        return 0.5 * groove_mm / local_scale(strip, inside)

    whole = ring_areas(rings)
    whole = shapely.simplify(whole, WALL_FRACTION * chord_mm / local_scale(strip, _points_in(whole)))
    cores = VariedOutlines(offset_areas(whole, lambda places: -half(places) - rings.on_strip(PINCH, places), QUADRANT))
    # Back by what was taken at the walls, whose scale is another one.
    taken = (half(cores.points) + rings.on_strip(PINCH, cores.points))[:, None]
    back = np.min([rings.on_strip(PINCH, cores.points + taken * way) for way in cores.outward], axis=0)
    whole = cores.moved(back, QUADRANT)
    u = np.linspace(-rings.margin, part.length + rings.margin, math.ceil(part.length / RAIL_STEP_MM))
    lower, upper = (half(np.column_stack((u, np.full(len(u), v)))) for v in (part.lower, part.upper))
    between = np.concatenate((np.column_stack((u, part.lower + lower)), np.column_stack((u, part.upper - upper))[::-1]))
    cut = shapely.get_parts(shapely.intersection(whole, shapely.Polygon(between)))
    cut = cut[(shapely.get_type_id(cut) == 3) & ~shapely.is_empty(cut)]
    low, high = shapely.bounds(cut).reshape(-1, 4).T[[1, 3]]
    at_rail = (low < part.lower + np.max(lower) + ON_RAIL_MM) | (high > part.upper - np.max(upper) - ON_RAIL_MM)
    wide = offset_areas(cut[at_rail], lambda places: -rings.on_strip(THIN, places), QUADRANT)
    wide = offset_areas(wide, lambda places: rings.on_strip(THIN, places), QUADRANT, mitred=True)
    ended = shapely.get_parts(shapely.intersection(shapely.multipolygons(cut[at_rail]), shapely.multipolygons(wide)))
    parts = np.concatenate((cut[~at_rail], ended[shapely.get_type_id(ended) == 3]))
    if not len(parts):
        advice = "Make the grooves narrower, or give fewer repeats around or rows across, so that rings are wider"
        raise InputError("the grooves leave nothing of the growth rings between them", advice, "relief.wall_width")
    return parts


def _points_in(areas: Any) -> Floats:
    """(n, 2) a point in each."""
    return np.asarray(shapely.get_coordinates(shapely.point_on_surface(areas)).reshape(-1, 2))


def scale_varies(strip: StripMap, parts: Any, scale: Floats, ratio: float) -> Bools:
    """Which outlines cannot be offset by one distance.

    Parameters:
        strip: the strip map.
        parts: (k,) polygons, mm on the strip.
        scale: (k,) mm on the ring for a millimetre of strip at a point of each.
        ratio: from the least scale to the largest that is let pass.
    Returns: (k,).
    """
    points, owner = shapely.get_coordinates(parts, return_index=True)
    at = local_scale(strip, points) / scale[owner]
    low, high = np.ones(len(parts)), np.ones(len(parts))
    np.minimum.at(low, owner, at)
    np.maximum.at(high, owner, at)
    return np.asarray(high > ratio * low)
