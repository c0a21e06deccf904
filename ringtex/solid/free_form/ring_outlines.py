"""Growth rings between their grooves, ended where they would be too narrow to make."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import SAME_PLACE_MM
from ringtex.pattern.grown.growth_rings import ring_areas
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.grown.varied_offsets import Distance, VariedOutlines, offset_areas
from ringtex.relief.distance_profile import distance_profile
from ringtex.relief.relief_options import FLANKED, ReliefOptions
from ringtex.solid.free_form.moved_flanks import near_depth
from ringtex.solid.free_form.true_offsets import local_scale
from ringtex.strip.strip_map import StripMap

WALL_FRACTION: Final = 0.1
"""Of the chord tolerance for what walls are simplified by."""

RAIL_STEP_MM: Final = 0.5
"""Longest straight piece of a groove along a rail."""

MIN_GROOVE_MM: Final = 0.02
"""Grooves of growth rings, also where none are asked for: half a printer's pixel."""

QUADRANT: Final = 8
"""Pieces of a quarter circle."""

MIN_LEVEL_MM: Final = 0.37
"""Tops, or floors of sunk rings, end where they are narrower: a little over the 0.35 that casting and printing ask for
(`making_limits.py`), for the rounding of outlines."""

OPENED: Final = (0.6, 0.35)
"""Of a ring of mean width less its groove: the most that its ends may ask for, and the least, towards which rings go
that would need more. Too little of these would be left, so they are ended where they nearly vanish, and what is thin
then is a finding."""

SLIT: Final = 0.93
"""Two ends nearer to each other than this much of a groove are cut back."""

KEPT: Final = 0.9
"""Necks that are wider than this much of the least width stay: their tops are little narrower than 0.35 mm."""

NEAR: Final = 1.5
"""What hangs together within so many times as far is no end: two arms of a ring where it turns."""

ROUNDS: Final = 3
"""A cut may leave ends that are near to others."""

SLOT: Final = 3.0
"""The length of such a cut, in least widths: across any end, which is little wider."""

TOUCH_MM: Final = 1e-4
"""Pieces nearer to an area than this were cut from it."""

OVERLAP: Final = 1.02
"""Of a groove's half width: how far rings that are no rings of their own reach out to the next one."""

SMALL_MM2: Final = 1e-3
"""What lies between walls and rails by rounding is less."""

CORNER_MM2: Final = 1e-4
"""Smaller corners stay round."""


@dataclass(frozen=True)
class RingWidths:
    """What rings are cut to, mm on the ring: width of the grooves between them, and the least of their own at the
    foot of their flanks."""

    groove_mm: float
    least_mm: float


def ring_widths(strip: StripMap, rings: GrowthRings, options: ReliefOptions) -> RingWidths:
    """Widths of grooves and of what ends.

    Rings end alike for depths that are near to each other, so that a drag of the depth leaves their outlines as they
    are.

    Parameters:
        strip: the strip map.
        rings: the rings.
        options: of the relief; a top size is that of a ring of mean width.
    Returns: the widths.
    """
    width = _mean_width(strip, rings)
    groove = options.wall_width_mm
    if groove is None:
        assert options.top_size is not None
        flank = options.depth_mm / np.tan(np.radians(options.flank_deg)) if options.form in FLANKED else 0.0
        groove = (1.0 - options.top_size) * width - 2.0 * float(flank)
    groove = max(groove, MIN_GROOVE_MM)
    inset = distance_profile(near_depth(options), 1.0, MIN_GROOVE_MM).level_mm
    left = max(width - groove, MIN_GROOVE_MM)
    needed, (most, least) = (MIN_LEVEL_MM + 2.0 * inset) / left, OPENED
    return RingWidths(groove, left * (needed if needed <= most else max(2.0 * most - needed, least)))


def _mean_width(strip: StripMap, rings: GrowthRings) -> float:
    """Of a ring from wall to wall, mm on the ring."""
    if rings.density is not None:
        return rings.width
    part = rings.part
    u, v = (each.ravel() for each in np.meshgrid(*(np.linspace(*ends, 16) for ends in (
        (0.0, part.length), (part.lower, part.upper)
    ))))  # fmt: skip
    return rings.width * float(np.mean(local_scale(strip, np.column_stack((u, v)))))


def ring_outlines(strip: StripMap, rings: GrowthRings, widths: RingWidths, chord_mm: float) -> Any:
    """The growth rings between their grooves.

    A ring ends where it would be too narrow; what is left of it is round at its ends, and cut cleanly along the rails.
    What is too small to be a ring belongs to the one round it.

    Parameters:
        strip: the strip map.
        rings: the rings.
        widths: of grooves and of what ends.
        chord_mm: chord tolerance, mm.
    Returns: (k,) polygons, mm on the strip, from a margin before the seam to one behind the end of the turn.
    Raises: InputError where none is left.
    """
    half, least = (_on_strip(strip, rings, 0.5 * each) for each in (widths.groove_mm, widths.least_mm))
    whole = ring_areas(rings)
    whole = shapely.simplify(whole, WALL_FRACTION * chord_mm / local_scale(strip, _points_in(whole)))
    between = _between_rails(rings, half)
    cut = _polygons(shapely.intersection(offset_areas(whole, lambda places: -half(places), QUADRANT), between))
    cores = offset_areas(cut, lambda places: -least(places), QUADRANT)
    for _ in range(ROUNDS):
        slots, bridges = (_repeated(each, rings) for each in _necks(cut, cores, half, least))
        if not slots:
            break
        cores = _polygons(shapely.difference(cores, shapely.union_all(slots)))
    if not len(cores):
        advice = "Make the grooves narrower, or give fewer repeats around or rows across, so that rings are wider"
        raise InputError("the grooves leave nothing of the growth rings between them", advice, "relief.wall_width")
    low, high = shapely.bounds(between)[[1, 3]]
    bottom, top = shapely.bounds(cores).reshape(-1, 4).T[[1, 3]]
    reach = 2.0 * float(np.max(least(shapely.get_coordinates(between))))
    at_rail = (bottom < low + reach) | (top > high - reach)
    reached, cornered = (_grown(cores[at_rail], least, mitred) for mitred in (False, True))
    parts = np.concatenate((_grown(cores[~at_rail], least), _with_corners(reached, cornered, cut, between, half)))
    if bridges:
        bridge = shapely.union_all(bridges)
        near = shapely.intersects(parts, bridge)
        parts = np.concatenate((parts[~near], _polygons(shapely.union_all([*parts[near], bridge]))))
    return _with_small_rings(parts, cores, rings, whole, half)


def _on_strip(strip: StripMap, rings: GrowthRings, length_mm: float) -> Distance:
    """A length on the ring, as it is at positions on the strip."""
    part = rings.part

    def at(places: Floats) -> Floats:
        inside = np.column_stack((places[:, 0], np.clip(places[:, 1], part.lower, part.upper)))
        return length_mm / local_scale(strip, inside)

    return at


def _between_rails(rings: GrowthRings, half: Distance) -> Any:
    """The strip without the grooves along its rails."""
    part = rings.part
    u = np.linspace(-rings.margin, part.length + rings.margin, math.ceil(part.length / RAIL_STEP_MM))
    lower, upper = (half(np.column_stack((u, np.full(len(u), v)))) for v in (part.lower, part.upper))
    border = np.concatenate((np.column_stack((u, part.lower + lower)), np.column_stack((u, part.upper - upper))[::-1]))
    return shapely.Polygon(border)


def _necks(cut: Any, cores: Any, half: Distance, least: Distance) -> tuple[list[Any], list[Any]]:
    """Where two ends of a ring would be nearer to each other than a groove, or hang together by less than a disc.

    Parameters:
        cut: (k,) polygons, the rings before they are ended.
        cores: (m,) polygons, where discs of the least width have their middles.
        half: a groove's half width, mm on the strip.
        least: half the least width of rings, mm on the strip.
    Returns: polygons that part the middles so far that the ends are a groove apart; polygons of rings that stay in
        one piece, as they are nearly as wide as asked for.
    """
    pieces = _polygons(_quarters(cores))
    places = _points_in(pieces)
    inside, ring = shapely.STRtree(cut).query(shapely.points(places), predicate="intersects")
    owner = np.full(len(pieces), -1)
    owner[inside] = ring
    reach = 2.0 * float(np.max(half(places) + least(places), initial=0.0))
    one, other = shapely.STRtree(pieces).query(pieces, predicate="dwithin", distance=1.1 * reach)
    pair = (one < other) & (owner[one] == owner[other])
    one, other = one[pair], other[pair]
    lines = shapely.shortest_line(pieces[one], pieces[other])
    gap = shapely.length(lines)
    middle = shapely.get_coordinates(shapely.line_interpolate_point(lines, 0.5, normalized=True)).reshape(-1, 2)
    asked = 2.0 * (least(middle) + SLIT * half(middle))
    slots: list[Any] = []
    bridges: list[Any] = []
    for number in np.flatnonzero((gap > SAME_PLACE_MM) & (gap < asked)).tolist():
        line, whole = lines[number], cut[owner[one[number]]]
        ends = shapely.points(shapely.get_coordinates(line))
        around = shapely.buffer(shapely.Point(middle[number]), NEAR * reach)
        joined = _polygons(shapely.intersection(shapely.multipolygons(cores), around))
        if np.any(np.all(shapely.dwithin(joined[:, None], ends, SAME_PLACE_MM), axis=1)):
            continue
        disc = float(least(middle[[number]])[0])
        if shapely.distance(shapely.boundary(whole), shapely.Point(middle[number])) > KEPT * disc:
            bridges.append(shapely.intersection(whole, shapely.buffer(line, 1.2 * disc)))
        else:
            wide = 2.0 * (disc + float(half(middle[[number]])[0]))
            slots.append(shapely.intersection(_slot(shapely.get_coordinates(line), wide, disc), whole))
    return slots, bridges


def _repeated(pieces: list[Any], rings: GrowthRings) -> list[Any]:
    """Pieces with their middles in the turn, and the same before the seam and behind its end: they are found from what
    lies round them, of which less is there at the ends of the margins."""
    found = []
    for piece in pieces:
        if not piece.is_empty and 0.0 <= piece.centroid.x < rings.part.length:
            found += [shapely.transform(piece, lambda at, by=by: at + np.array([by, 0.0])) for by in _turns(rings)]
    return found


def _turns(rings: GrowthRings) -> tuple[float, float, float]:
    return -rings.part.length, 0.0, rings.part.length


def _quarters(areas: Any) -> Any:
    """(4 k,) each area in four pieces, so that two ends of a bent one are pieces of their own."""
    low_u, low_v, high_u, high_v = shapely.bounds(areas).reshape(-1, 4).T
    u, v = 0.5 * (low_u + high_u), 0.5 * (low_v + high_v)
    boxes = [shapely.box(*each) for each in (
        (low_u, low_v, u, v), (u, low_v, high_u, v), (low_u, v, u, high_v), (u, v, high_u, high_v)
    )]  # fmt: skip
    return np.concatenate([shapely.intersection(areas, box) for box in boxes])


def _slot(line: Floats, wide: float, disc: float) -> Any:
    """A rectangle so wide over the middle of a line (2, 2), square to it."""
    middle, way = line.mean(axis=0), line[1] - line[0]
    way = way / max(float(np.hypot(*way)), SAME_PLACE_MM)
    along, across = 0.5 * wide * way, SLOT * disc * np.array([-way[1], way[0]])
    return shapely.Polygon(middle + np.array([-along - across, along - across, along + across, across - along]))


def _ends(pieces: Any, areas: Any) -> list[Any]:
    """Polygons where areas touch each of the pieces between them."""
    piece, area = shapely.STRtree(areas).query(pieces, predicate="dwithin", distance=2.0 * TOUCH_MM)
    around = shapely.buffer(pieces, 3.0 * TOUCH_MM)
    return [
        _polygons(shapely.intersection(areas[area[piece == number]], around[number])) for number in range(len(pieces))
    ]


def _grown(cores: Any, least: Distance, mitred: bool = False) -> Any:
    """What discs round these middles reach, or that with corners that are not too sharp."""
    outlines = VariedOutlines(cores)
    # Back by what was taken at the outlines, whose scale is another one.
    taken = least(outlines.points)[:, None]
    back = np.zeros(0)
    if len(taken):
        back = np.min([least(outlines.points + taken * way) for way in outlines.outward], axis=0)
    return outlines.moved(back, QUADRANT, mitred)


def _with_corners(reached: Any, cornered: Any, cut: Any, between: Any, half: Distance) -> Any:
    """Round areas with the corners that rails cut, but for those that two areas would reach out to each other.

    Parameters:
        reached: (k,) polygons with round corners.
        cornered: (k,) the same with sharp ones.
        cut: polygons which both stay in.
        between: the strip without the grooves along its rails.
        half: a groove's half width, mm on the strip.
    Returns: (n,) polygons.
    """
    if not len(reached):
        return reached
    cornered = shapely.intersection(shapely.multipolygons(cut), shapely.multipolygons(cornered))
    corners = _polygons(shapely.difference(cornered, shapely.multipolygons(reached)))
    corners = corners[shapely.area(corners) > CORNER_MM2]
    is_wrong = shapely.distance(corners, shapely.boundary(between)) > TOUCH_MM
    groove = 2.0 * half(_points_in(corners))
    one, other = shapely.STRtree(corners).query(corners, predicate="dwithin", distance=SLIT * groove)
    is_wrong[one[(one != other) & ~is_wrong[one] & ~is_wrong[other]]] = True
    left, _, right, _ = shapely.bounds(corners).reshape(-1, 4).T
    long = np.flatnonzero(~is_wrong & (right - left > SLIT * groove))
    is_wrong[long] = [len(ends) > 1 for ends in _ends(corners[long], reached)]
    if np.any(is_wrong):
        cornered = shapely.difference(cornered, shapely.union_all(shapely.buffer(corners[is_wrong], TOUCH_MM)))
    return _polygons(cornered)


def _with_small_rings(parts: Any, cores: Any, rings: GrowthRings, whole: Any, half: Distance) -> Any:
    """Parts together with what of rings is too small to be made, and lies beside one of them only: a pith, what a rail
    leaves of a ring that hardly reaches it.

    Parameters:
        parts: (k,) polygons.
        cores: (m,) the middles of discs in them.
        rings: the rings.
        whole: (n,) rings from wall to wall.
        half: a groove's half width, mm on the strip.
    Returns: (l,) polygons.
    """
    left, _, right, _ = shapely.total_bounds(whole)
    small = _polygons(shapely.intersection(whole, shapely.box(left, rings.part.lower, right, rings.part.upper)))
    is_small = shapely.area(small) > SMALL_MM2
    is_small[shapely.STRtree(small).query(cores, predicate="intersects")[1]] = False
    # Of what the ends of the margins cut the rest is not known.
    low, _, high, _ = shapely.bounds(small).reshape(-1, 4).T
    small = small[is_small & (low > left) & (high < right)]
    grown = offset_areas(small, lambda places: OVERLAP * half(places), QUADRANT)
    grown = _polygons(shapely.intersection(grown, _between_rails(rings, half)))
    tree = shapely.STRtree(parts)
    alone = np.bincount(tree.query(grown, predicate="intersects")[0], minlength=len(grown)) == 1
    grown = np.concatenate(
        [shapely.transform(grown[alone], lambda at, by=by: at + np.array([by, 0.0])) for by in _turns(rings)]
    )
    piece, part = tree.query(grown, predicate="intersects")
    if not len(piece):
        return parts
    joined = shapely.union_all([*parts[np.unique(part)], *grown[np.unique(piece)]])
    return np.concatenate((np.delete(parts, np.unique(part)), _polygons(joined)))


def _polygons(shapes: Any) -> Any:
    """(n,) the polygons among the parts of shapes."""
    parts = shapely.get_parts(shapes)
    return parts[(shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)]


def _points_in(areas: Any) -> Floats:
    """(n, 2) a point in each."""
    return np.asarray(shapely.get_coordinates(shapely.point_on_surface(areas)).reshape(-1, 2))
