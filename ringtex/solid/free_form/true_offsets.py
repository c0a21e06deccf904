"""Offsets of outlines by distances that are true on the ring, also where the strip's scale varies along an outline."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.errors import InputError
from ringtex.pattern.grown.growth_rings import ring_walls
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.strip.strip_map import StripMap

SAME_SCALE: Final = 1.08
"""Outlines whose scale varies by less, from the least to the largest, are offset by one distance."""

SAME_DISTANCE: Final = 1.02
"""Lines that are to be widened by distances nearer to each other than this are widened by one."""

GROOVE_STEP: Final = 0.6
OFFSET_STEP: Final = 0.2
"""Where it varies more, grooves and offset curves have distances in steps of so much of the chord tolerance."""

QUADRANT: Final = 8
"""Pieces of a quarter circle."""

THIN: Final = 0.1
"""What rails leave of a ring is left out where it is narrower than twice this, in mean widths of a ring."""

MITRE: Final = 10.0

Distance = Callable[[Floats], Floats]
"""From (n, 2) positions on the strip to (n,) distances there, mm on the strip."""


def local_scale(strip: StripMap, places: Floats) -> Floats:
    """(n,) mm on the ring for a millimetre of strip: the root of the scale of areas."""
    e, f, g = strip.metric(places[:, 0], places[:, 1])
    return np.asarray(np.maximum(e * g - f * f, 1e-12) ** 0.25)


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
    part, margin, pinch = rings.part, rings.margin, rings.pinch

    def half(places: Floats) -> Floats:
        inside = np.column_stack((places[:, 0], np.clip(places[:, 1], part.lower, part.upper)))
        return 0.5 * groove_mm / local_scale(strip, inside)

    low, high = -margin, part.length + margin
    frame = shapely.box(low, part.lower - margin, high, part.upper + margin)
    walls = widened(ring_walls(rings), lambda places: half(places) + pinch, GROOVE_STEP * chord_mm, QUADRANT)
    whole = shapely.buffer(shapely.difference(frame, walls), pinch, quad_segs=QUADRANT)
    rails = shapely.linestrings([[(low, v), (high, v)] for v in (part.lower, part.upper)])
    between = shapely.difference(
        shapely.box(low, part.lower, high, part.upper),
        widened(shapely.segmentize(rails, 0.5), half, GROOVE_STEP * chord_mm, QUADRANT),
    )
    cut, thin = shapely.intersection(whole, between), THIN * rings.width
    wide = shapely.buffer(shapely.buffer(cut, -thin), thin, join_style="mitre", mitre_limit=MITRE)
    parts = shapely.get_parts(shapely.intersection(cut, wide))
    parts = parts[(shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)]
    if not len(parts):
        advice = "Make the grooves narrower, or give fewer repeats around or rows across, so that rings are wider"
        raise InputError("the grooves leave nothing of the growth rings between them", advice, "relief.wall_width")
    return parts


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


def inset(strip: StripMap, part: Any, distance_mm: float, chord_mm: float, quadrant: int) -> Any:
    """An outline moved inwards.

    Parameters:
        strip: the strip map.
        part: polygon, mm on the strip.
        distance_mm: mm on the ring.
        chord_mm: chord tolerance, mm.
        quadrant: pieces of a quarter circle round inner corners.
    Returns: an area.
    """
    lines = shapely.get_parts(shapely.boundary(part))
    taken = widened(lines, lambda places: distance_mm / local_scale(strip, places), OFFSET_STEP * chord_mm, quadrant)
    return shapely.difference(part, taken)


def widened(lines: Any, distance: Distance, step_mm: float, quadrant: int) -> Any:
    """The area nearer to lines than a distance that varies along them.

    Parameters:
        lines: (n,) lines, mm.
        distance: at positions on them.
        step_mm: in steps of which it varies.
        quadrant: pieces of a quarter circle.
    Returns: one area.
    """
    points, owner = shapely.get_coordinates(lines, return_index=True)
    if not len(points):
        return shapely.Polygon()
    away = distance(points)
    if np.max(away) < SAME_DISTANCE * np.min(away):
        return shapely.union_all(shapely.buffer(lines, float(np.mean(away)), quad_segs=quadrant))
    changed = np.abs(np.diff(away, prepend=away[0]))
    changed[np.diff(owner, prepend=owner[0]) != 0] = 0.0
    run = np.floor(np.cumsum(changed) / step_mm)
    # A run of points, and the first one of the next on the same line.
    first = np.flatnonzero((np.diff(run, prepend=-1.0) != 0.0) | (np.diff(owner, prepend=-1) != 0))
    last = np.append(first[1:], len(points) - 1)
    last = np.where(owner[last] == owner[first], last, last - 1)
    keep = last > first
    first, last = first[keep], last[keep]
    count = last - first + 1
    number = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
    runs = shapely.linestrings(
        points[np.repeat(first, count) + number], indices=np.repeat(np.arange(len(first)), count)
    )
    middle = (first + last) // 2
    return shapely.union_all(shapely.buffer(runs, away[middle], quad_segs=quadrant))
