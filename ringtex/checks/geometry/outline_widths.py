"""How wide the gaps between free-form outlines are, and what lies inside of them: own motifs and growth rings.

A width is twice a critical value of the distance from the outlines: a neck, where two points of outlines face each
other and are nearer than their neighbours, or the largest disc of a piece without a neck (the least of them is the
weak feature size; Chazal and Lieutier 2005). Tips that taper off have no width, like corners of cells. Necks are looked
for among the edges of a Delaunay triangulation of points on the outlines; those hardly narrower than what lies on both
sides of them (by merging the pieces from the widest neck down: persistence; Edelsbrunner, Letscher and Zomorodian 2002)
count where a stroke goes on as wide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Protocol

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats, Longs, inverse_permutation, nearest_ratio, next_in_loops
from ringtex.basics.polygon_rings import ring_points
from ringtex.basics.tolerances import SAME_PLACE_MM
from ringtex.checks.strip_geometry import ShellView
from ringtex.solid.free_form.distance_field import DistanceField
from ringtex.solid.free_form.relief_contours import ReliefContours
from ringtex.solid.free_form.true_offsets import ScaleView, local_scale

STEP_MM: Final = 0.05
"""Between points on an outline."""

SLANT: Final = 0.01
"""Two outlines whose directions differ by less than this many radians count as parallel."""

PROMINENT: Final = 0.02
PROMINENT_MM: Final = 0.008
"""A neck is narrower than what lies on both sides of it by so much of its width, and by two chord errors of both
sides."""

EVEN: Final = 0.985
"""What is narrower by less beside a neck is as wide: sides that run together by under 2 degrees."""

STROKES_AT_ONCE: Final = 100

SEARCHES: Final = 12
DIRECTIONS: Final = 8
"""A disc's middle is moved in so many directions as long as the disc grows, then half as far, so many times."""


class RingView(ShellView, ScaleView, Protocol):
    """The strip's way on to the ring, and its scale."""


@dataclass(frozen=True)
class OutlineWidths:
    """The narrowest gap between outlines and the narrowest level top or floor inside of them, mm; None without any.
    Places are points (3,) on the ring.
    """

    wall_mm: float | None
    inside_mm: float | None
    wall_place: Floats | None = None
    inside_place: Floats | None = None


def outline_widths(strip: RingView, contours: ReliefContours) -> OutlineWidths:
    """Measure all outlines of one period.

    Parameters:
        strip: the strip that they lie on.
        contours: the outlines.
    Returns: the narrowest gap and the narrowest inside.
    """
    if not len(contours.parts):
        return OutlineWidths(None, None)
    ends, is_inside = _facing_points(strip, contours)
    middle = ends.mean(axis=1)
    height = contours.height[contours.cells_at(middle)]
    own = (middle[:, 0] >= 0.0) & (middle[:, 0] < contours.period) & (height != 0.0)
    gaps, tops = (np.flatnonzero(own & (is_inside == each)) for each in (False, True))
    wall = _straight(strip, ends[gaps], np.zeros(len(gaps)))
    level = height[tops] if contours.inset_mm > 0.0 else np.zeros(len(tops))
    inside = _straight(strip, _moved_inwards(strip, ends[tops], contours.inset_mm), level)
    found: list[Any] = []
    for number, width in ((gaps, wall), (tops, inside)):
        least = int(np.argmin(width)) if len(width) else None
        at = None if least is None else strip.shell_map(middle[number[[least]], 0], middle[number[[least]], 1], 0.0)[0]
        found.append((None if least is None else float(width[least]), at))
    return OutlineWidths(found[0][0], found[1][0], found[0][1], found[1][1])


def _straight(strip: RingView, ends: Floats, height: Floats) -> Floats:
    """(n,) distances through space between ends (n, 2, 2) at heights (n,) over the face, mm."""
    start, end = (strip.shell_map(ends[:, each, 0], ends[:, each, 1], height) for each in (0, 1))
    return np.asarray(np.linalg.norm(end - start, axis=1))


def _moved_inwards(strip: RingView, ends: Floats, inset_mm: float) -> Floats:
    """Ends (n, 2, 2) nearer to each other by a distance on the ring, until they meet."""
    scale = local_scale(strip, ends.reshape(-1, 2)).reshape(-1, 2, 1)
    along = ends[:, ::-1] - ends
    length = np.maximum(np.linalg.norm(along, axis=2, keepdims=True), 1e-12)
    return np.asarray(ends + along * np.minimum(inset_mm / (scale * length), 0.5))


def _facing_points(strip: RingView, contours: ReliefContours) -> tuple[Floats, Bools]:
    """(n, 2, 2) pairs of points that face each other across a neck, or across the largest disc of a piece without one,
    mm on the strip; (n,) whether that lies inside of an outline."""
    shapes = shapely.multipolygons(contours.parts)
    points = _points_on(strip, contours.parts)
    links = _links(points, shapes)
    necks = np.flatnonzero(_are_necks(points, links))
    necks = necks[np.argsort(-links.width[necks], kind="stable")]
    pieces = _pieces(points, links, necks)
    sides = pieces.label[links.triangles[necks]]
    limit = links.width[necks] + np.maximum(PROMINENT * links.width[necks], PROMINENT_MM)
    discs = _Discs(strip, DistanceField(shapes))
    # A disc as wide as its widest neck is in a piece in any case.
    size = np.zeros(len(pieces.widest))
    np.maximum.at(size, sides, links.width[necks, None])
    wider = np.zeros(len(size))
    np.maximum.at(wider, sides, limit[:, None])
    large = np.flatnonzero(pieces.widest > wider)
    size[large] = np.maximum(size[large], discs.largest(pieces.middle[large])[1])
    counted, whole = _joined(sides, limit, size, pieces.is_open)
    middle, _, radius = discs.largest(pieces.middle[whole])
    # Triangles of points on one line are no pieces.
    real = radius > SAME_PLACE_MM
    middle, radius, whole = middle[real], radius[real], whole[real]
    angle = np.arange(DIRECTIONS // 2) * 2.0 * np.pi / DIRECTIONS
    across = np.column_stack((np.cos(angle), np.sin(angle)))[:, None] * np.array([-1.0, 1.0])[:, None]
    diameters = (middle[:, None, None] + radius[:, None, None, None] * across).reshape(-1, 2, 2)
    of_part = np.repeat(links.inside[pieces.triangle[whole]], len(across))
    chosen = np.concatenate((necks[counted], _strokes(strip, contours, links, np.delete(necks, counted), discs)))
    return (
        np.concatenate((links.ends[chosen], diameters)),
        np.concatenate((links.inside[links.triangles[chosen, 0]], of_part)),
    )


def _joined(sides: Longs, limit: Floats, size: Floats, is_open: Bools) -> tuple[Longs, Longs]:
    """Join pieces across their necks, the widest first.

    Parameters:
        sides: (k, 2) the pieces on both sides of each neck.
        limit: (k,) that both must be wider than for the neck to count, mm.
        size: (pieces,) diameter of their largest disc, mm.
        is_open: (pieces,) those without an end, whose largest disc is none.
    Returns: necks that count, or that close a way round; of what is joined without one of these, the pieces with the
        largest discs.
    """
    parent, open_ones, widths = list(range(len(size))), is_open.tolist(), size.tolist()
    has_neck = [False] * len(parent)

    def root(piece: int) -> int:
        while parent[piece] != piece:
            parent[piece] = parent[parent[piece]]
            piece = parent[piece]
        return piece

    counted = []
    for neck, ((one, other), least) in enumerate(zip(sides.tolist(), limit.tolist(), strict=True)):
        low, high = sorted((root(one), root(other)), key=widths.__getitem__)
        if low == high or widths[low] > least:
            counted.append(neck)
            has_neck[high] = True
        parent[low] = high
        open_ones[high] |= open_ones[low]
        has_neck[high] |= has_neck[low]
    whole = [each for each, above in enumerate(parent) if each == above and not open_ones[each] and not has_neck[each]]
    return np.array(counted, dtype=np.int64), np.array(whole, dtype=np.int64)


def _strokes(strip: RingView, contours: ReliefContours, links: _Links, necks: Longs, discs: _Discs) -> Longs:
    """Of necks within a part, and of those within a gap, the narrowest one on a stroke: what is as wide for a while on
    both sides, though it may end there."""
    found = []
    middle = links.ends[necks, :, 0].mean(axis=1)
    own = (middle >= 0.0) & (middle < contours.period)
    inside = links.inside[links.triangles[necks, 0]]
    for part in (True, False):
        # The narrowest come last.
        left = necks[own & (inside == part)][::-1]
        for first in range(0, len(left), STROKES_AT_ONCE):
            tried = left[first : first + STROKES_AT_ONCE]
            even = np.flatnonzero(discs.go_on(links.ends[tried]))
            if len(even):
                found.append(tried[even[0]])
                break
    return np.array(found, dtype=np.int64)


class _Discs:
    """The largest discs between outlines."""

    def __init__(self, strip: RingView, field: DistanceField) -> None:
        self._strip, self._field = strip, field

    def largest(self, middle: Floats) -> tuple[Floats, Floats, Floats]:
        """From middles (n, 2) of discs that nearly are the largest about there to the largest ones' middles, their
        diameters, mm on the ring, and their radii, mm on the strip."""
        radius = self._field.unsigned(middle)
        angle, row = np.arange(DIRECTIONS) * 2.0 * np.pi / DIRECTIONS, np.arange(len(middle))
        ways, step = np.column_stack((np.cos(angle), np.sin(angle))), 0.25 * radius
        for _ in range(SEARCHES):
            tried = middle[:, None] + step[:, None, None] * ways
            size = self._field.unsigned(tried.reshape(-1, 2)).reshape(-1, DIRECTIONS)
            best = np.argmax(size, axis=1) if len(row) else row
            grown = size[row, best] > radius
            middle = np.where(grown[:, None], tried[row, best], middle)
            radius = np.where(grown, size[row, best], radius)
            step = np.where(grown, step, 0.5 * step)
        return middle, 2.0 * radius * local_scale(self._strip, middle), radius

    def go_on(self, ends: Floats) -> Bools:
        """(n,) necks with these ends (n, 2, 2) where it is as wide on both sides, as far away as it is wide."""
        middle, across = ends.mean(axis=1), ends[:, 1] - ends[:, 0]
        along = np.column_stack((-across[:, 1], across[:, 0]))
        # Strokes that bend come out a little to a side.
        to_side = np.linspace(-0.4, 0.4, 33)[:, None] * across[:, None]
        radius = 0.5 * np.linalg.norm(across, axis=1)
        even = np.ones(len(ends), dtype=bool)
        for steps in (-1.0, -0.5, 0.5, 1.0):
            size = self._field.unsigned((middle[:, None] + steps * along[:, None] + to_side).reshape(-1, 2))
            even &= np.max(size.reshape(len(ends), -1), axis=1) > EVEN * radius
        return even


@dataclass(frozen=True, eq=False)
class _Points:
    """Points on outlines: (n, 2) on the strip and (n, 3) on the ring, mm, and (n,) the points before and after each."""

    flat: Floats
    ring: Floats
    before: Longs
    after: Longs


def _points_on(strip: RingView, parts: Any) -> _Points:
    flat, start = ring_points(shapely.segmentize(shapely.get_rings(parts), STEP_MM))
    after = next_in_loops(start)
    return _Points(flat, strip.shell_map(flat[:, 0], flat[:, 1], 0.0), inverse_permutation(after), after)


@dataclass(frozen=True, eq=False)
class _Links:
    """Edges of the triangulation that two triangles of the same part or gap share.

    corners    (m, 3) points of the triangles; inside (m,) those of parts; at_border (m,) those at the convex hull.
    triangles  (k, 2) on both sides of each link.
    width      (k,) least distance between the outlines there, mm on the ring.
    nearest    (k,) the point from which it is measured; to (k,) the point behind which its other end lies on its
               outline; ratio (k,) how far from that to the next one.
    ends       (k, 2, 2) both its ends, mm on the strip.
    """

    corners: Longs
    inside: Bools
    at_border: Bools
    triangles: Longs
    width: Floats
    nearest: Longs
    to: Longs
    ratio: Floats
    ends: Floats


def _links(points: _Points, shapes: Any) -> _Links:
    from scipy.spatial import Delaunay

    mesh = Delaunay(points.flat)
    corners, beyond = mesh.simplices.astype(np.int64), mesh.neighbors
    inside = np.asarray(shapely.contains_xy(shapes, *points.flat[corners].mean(axis=1).T))
    one, corner = np.nonzero(beyond > np.arange(len(corners))[:, None])
    other = beyond[one, corner]
    a, b = corners[one, (corner + 1) % 3], corners[one, (corner + 2) % 3]
    linked = (points.after[a] != b) & (points.after[b] != a) & (inside[one] == inside[other])
    one, other, a, b = one[linked], other[linked], a[linked], b[linked]
    width, ratio = np.full(len(a), np.inf), np.zeros(len(a))
    nearest, to = a.copy(), b.copy()
    for point, across in ((a, b), (b, a)):
        for start in (points.before[across], across):
            away, part = _to_segments(points.ring[point], points.ring[start], points.ring[points.after[start]])
            nearer = away < width
            width[nearer], ratio[nearer], nearest[nearer], to[nearer] = (
                each[nearer] for each in (away, part, point, start)
            )
    start = points.flat[to]
    foot = start + ratio[:, None] * (points.flat[points.after[to]] - start)
    ends = np.stack((points.flat[nearest], foot), axis=1)
    at_border = np.any(beyond < 0, axis=1)
    return _Links(corners, inside, at_border, np.column_stack((one, other)), width, nearest, to, ratio, ends)


def _to_segments(points: Floats, start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """(n,) distances of points from segments, and (n,) the ratio of the way along each where it is nearest."""
    away, edge = points - start, end - start
    ratio = nearest_ratio(away, edge)
    return np.linalg.norm(away - ratio[:, None] * edge, axis=1), ratio


def _are_necks(points: _Points, links: _Links) -> Bools:
    """(k,) links at whose two ends the outlines run square to them, or turn away."""
    ring, after = points.ring, points.after
    start = ring[links.to]
    way = start + links.ratio[:, None] * (ring[after[links.to]] - start) - ring[links.nearest]

    def turns_away(at: Longs, way: Floats) -> Bools:
        edges = [ring[beside[at]] - ring[at] for beside in (points.before, after)]
        size = SLANT * np.linalg.norm(way, axis=1)
        away = [np.sum(way * edge, axis=1) <= size * np.linalg.norm(edge, axis=1) for edge in edges]
        return np.asarray(away[0] & away[1])

    # In the middle of a segment it is square to the way.
    at_end = np.where(links.ratio <= 0.0, links.to, after[links.to])
    between = (links.ratio > 0.0) & (links.ratio < 1.0)
    return np.asarray(turns_away(links.nearest, way) & (between | turns_away(at_end, -way)))


@dataclass(frozen=True, eq=False)
class _Pieces:
    """What cuts along all necks leave.

    label     (triangles,) the piece of each.
    widest    (pieces,) diameter of their largest circumcircle, mm on the ring, which no disc in them exceeds.
    triangle  (pieces,) whose circumcircle that is; middle (pieces, 2) its middle, mm on the strip.
    is_open   (pieces,) gaps that reach the convex hull.
    """

    label: Longs
    widest: Floats
    triangle: Longs
    middle: Floats
    is_open: Bools


def _pieces(points: _Points, links: _Links, necks: Longs) -> _Pieces:
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    kept = np.ones(len(links.triangles), dtype=bool)
    kept[necks] = False
    size, pairs = len(links.corners), links.triangles[kept]
    graph = coo_matrix((np.ones(len(pairs), dtype=bool), (pairs[:, 0], pairs[:, 1])), shape=(size, size))
    count, label = connected_components(graph, directed=False)
    a, b, c = (points.ring[links.corners[:, corner]] for corner in range(3))
    twice = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    diameter = np.prod([np.linalg.norm(side, axis=1) for side in (b - a, c - b, a - c)], axis=0)
    diameter /= np.maximum(twice, 1e-12)
    order = np.lexsort((-diameter, label))
    triangle = order[np.searchsorted(label[order], np.arange(count))]
    is_open = np.zeros(count, dtype=bool)
    is_open[label[links.at_border & ~links.inside]] = True
    middle = _circumcentres(points.flat[links.corners[triangle]])
    return _Pieces(label.astype(np.int64), diameter[triangle], triangle, middle, is_open)


def _circumcentres(corners: Floats) -> Floats:
    """(n, 2) of triangles (n, 3, 2); the middle of those that are nearly flat."""
    b, c = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    twice = 2.0 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    bb, cc = np.sum(b * b, axis=1), np.sum(c * c, axis=1)
    away = np.column_stack((c[:, 1] * bb - b[:, 1] * cc, b[:, 0] * cc - c[:, 0] * bb))
    flat = (np.abs(twice) < 1e-3 * (bb + cc))[:, None]
    return np.where(flat, corners.mean(axis=1), corners[:, 0] + away / np.where(flat, 1.0, twice[:, None]))
