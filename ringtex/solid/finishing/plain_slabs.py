"""Plain places as bodies: plateaus to join, and recesses to cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints
from ringtex.basics.caches import cached
from ringtex.relief.plain_options import MAX_PLACES, PlainPlace
from ringtex.relief.plain_outline import POLE_SHARE, PlaceMap, half_width_at, place_map
from ringtex.solid.mesh.booleans import as_manifold, from_manifold, join, without_loose_slivers
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.strip.strip_map import StripMap

if TYPE_CHECKING:
    from manifold3d import Manifold


UNDER_MM = 0.03
"""A place at the ground lies this far under it: two faces in one place would leave the cut to rounding."""

OVER_MM = 0.03
"""A place at the top lies this far over it; stones' collars stand 0.05 over it, so that the two never coincide."""

BURIED_MM = 0.3
"""How far a plateau reaches under the relief's ground."""

CLEAR_MM = 1.0
"""How far a recess's body reaches out over the relief, and past the band's edges."""

INSIDE_EDGE_MM = 0.02
"""A plateau ends this far inside the band's edges, so as not to coincide with its sides."""


@cached(2 * MAX_PLACES)
def plateau(strip: StripMap, place: PlainPlace, top_mm: float, ground_mm: float, chord_mm: float) -> Manifold:
    """The body to join for a plain place at the top of the relief; kept for the next ring, as a union takes seconds.

    Parameters:
        strip: the strip map.
        place: the plain place.
        top_mm, ground_mm: how far the relief reaches over and under the outer face, mm.
        chord_mm: chord tolerance, mm.
    Returns: the body.
    """
    slab = plain_slab(strip, place, -ground_mm - BURIED_MM, top_mm + OVER_MM, chord_mm, -INSIDE_EDGE_MM)
    return as_manifold(slab, "plain")


@cached(2 * MAX_PLACES)
def recess(strip: StripMap, place: PlainPlace, top_mm: float, ground_mm: float, chord_mm: float) -> Manifold:
    """The body to cut for a plain place at the ground; where the place reaches over an edge, so does the body.

    It is kept for the next ring.

    Parameters:
        strip: the strip map.
        place: the plain place.
        top_mm, ground_mm: how far the relief reaches over and under the outer face, mm.
        chord_mm: chord tolerance, mm.
    Returns: the body.
    """
    slab = plain_slab(strip, place, -ground_mm - UNDER_MM, top_mm + CLEAR_MM, chord_mm, CLEAR_MM)
    return as_manifold(slab, "plain")


def plain_slab(
    strip: StripMap, place: PlainPlace, low: float, high: float, chord_mm: float, past_edge_mm: float
) -> RingMesh:
    """The body over a plain place.

    Parameters:
        strip: the strip map.
        place: the plain place.
        low, high: heights over the outer face, mm.
        chord_mm: chord tolerance, mm.
        past_edge_mm: how far beyond the band's edges it ends.
    Returns: a closed mesh.
    """
    lengths = place_map(strip, place)
    x, y = grid_places(strip, place, chord_mm, past_edge_mm)
    u, v = lengths.to_strip(x.ravel(), y.ravel())
    upper, lower = (_offset(strip, u, v, height).reshape(*x.shape, 3) for height in (high, low))
    trimmed = _trimmed(upper, lower)
    if np.any(_turned_over(upper, trimmed)):
        beyond = np.any(((v < 0.0) | (v > strip.width)).reshape(x.shape), axis=1)
        return _united(upper, lower, beyond[1:] | beyond[:-1])
    return _grid_slab(upper, trimmed)


def _grid_slab(upper: Floats, lower: Floats) -> RingMesh:
    """The closed mesh between two faces, (rows, columns, 3) each."""
    rows, columns = upper.shape[:2]
    faces, rim = _grid(rows, columns)
    return RingMesh(np.concatenate((upper, lower)).reshape(-1, 3), _closed(faces, rim, rows * columns))


def _turned_over(upper: Floats, lower: Floats) -> Bools:
    """(rows - 1, columns - 1) where one of a quad's two triangles faces the other way below than above."""

    def normals(face: Floats) -> Floats:
        edge, diagonal, side = (
            face[:-1, 1:] - face[:-1, :-1],
            face[1:, 1:] - face[:-1, :-1],
            face[1:, :-1] - face[:-1, :-1],
        )
        return np.stack((np.cross(edge, diagonal), np.cross(diagonal, side)))

    agreement = np.sum(normals(upper) * normals(lower), axis=-1)
    return np.asarray(np.min(agreement, axis=0) <= 0.0)


def _united(upper: Floats, lower: Floats, beyond: Bools) -> RingMesh:
    """The union of all lines between two faces where one turns over and rows cannot be moved: a hull for each quad.

    Every place on a line from the upper face to its offset is no farther from the face than the offset: the union is
    what lies so near, as far as the faces reach.

    Parameters:
        upper, lower: (rows, columns, 3) points of both faces.
        beyond: (rows - 1,) steps between rows that reach beyond the band's edges, where the face is only continued.
    Returns: a closed mesh.
    """
    import manifold3d

    apart = beyond | np.any(_turned_over(upper, lower), axis=1)
    bodies = []
    bounds = np.flatnonzero(np.diff(np.concatenate(([True], apart, [True]))))
    for first, end in bounds.reshape(-1, 2):
        bodies.append(as_manifold(_grid_slab(upper[first : end + 1], lower[first : end + 1]), "plain"))
    # One step more on both sides: pieces that only touch could be left apart by rounding.
    near = apart.copy()
    near[1:] |= apart[:-1]
    near[:-1] |= apart[1:]
    rows, column = np.flatnonzero(near), np.arange(upper.shape[1] - 1)
    quads = [
        face[rows[:, None] + i, column + j].reshape(-1, 3) for face in (upper, lower) for i in (0, 1) for j in (0, 1)
    ]
    bodies += [manifold3d.Manifold.hull_points(points) for points in np.stack(quads, axis=1)]
    united = from_manifold(join(bodies[0], bodies[1:]))
    # Faces of hulls that coincide but for rounding leave parts without volume.
    unknown = np.zeros(len(united.faces), dtype=np.int32)
    return without_loose_slivers(united, unknown, unknown)[0]


def _trimmed(upper: Floats, lower: Floats) -> Floats:
    """The lower face (rows, columns, 3) of a slab where no column of it turns back.

    Under a place that is rounder than the slab is deep, columns of an offset turn back and cross themselves, or the
    slab's end. Rows that do are moved onto the lines from the crossing to the rows before and after.
    """
    trimmed = lower.copy()
    ahead = np.diff(_side_view(upper), axis=0)
    for _ in range(len(lower)):
        steps = np.diff(_side_view(trimmed), axis=0)
        back = np.flatnonzero(np.any(np.einsum("rci,rci->rc", steps, ahead) < 0.0, axis=1))
        if len(back) == 0:
            break
        # The upper face's ends stand before and after the lower rows, so that steps count from 1.
        column = np.concatenate((upper[:1], trimmed, upper[-1:]))
        first = int(back[0]) + 1
        last = first + int(np.argmax(np.append(np.diff(back) > 1, True)))
        start, end, corner = _corner(column, first, last)
        low, high = (corner if start == 0 else column[start]), (corner if end == len(lower) else column[end + 1])
        middle = start + 1 if start == 0 else end if end == len(lower) else (start + end + 1) // 2
        for row in range(start + 1, end + 1):
            if row <= middle:
                trimmed[row - 1] = low + (row - start) / (middle - start) * (corner - low)
            else:
                trimmed[row - 1] = corner + (row - middle) / (end + 1 - middle) * (high - corner)
    return trimmed


def _corner(line: Floats, first: int, last: int) -> tuple[int, int, Floats]:
    """Where columns whose steps first to last turn back cross themselves.

    Parameters:
        line: (rows, columns, 3) points of all columns.
        first, last: the steps.
    Returns: the least and largest step that cross each other in any column, and where (columns, 3).
    """
    crossing = _crossings(_side_view(line))
    crossing = crossing[(crossing[:, 0] <= last) & (crossing[:, 1] >= first)]
    rows = len(line)
    if len(crossing) == 0:
        # The row where they turn, which then is the slab's end, or stands for the rows that turn back.
        start, end = (
            (0, last + 1) if first == 1 else (first - 1, rows - 2) if last == rows - 3 else (first - 1, last + 1)
        )
        return start, end, line[last + 1 if first == 1 else first].copy()
    start, end = int(np.min(crossing[:, 0])), int(np.max(crossing[:, 1]))
    corner = line[min(max((start + end + 1) // 2, 1), rows - 2)].copy()
    before, column = crossing[:, [0, 2]].T.astype(np.int64)
    corner[column] = line[before, column] + crossing[:, 3:] * (line[before + 1, column] - line[before, column])
    return start, end, corner


def _side_view(points: Floats) -> Floats:
    """(..., 2) radius and z of points (..., 3)."""
    return np.stack((np.hypot(points[..., 0], points[..., 1]), points[..., 2]), axis=-1)


def _crossings(line: Floats) -> Floats:
    """(n, 4) where lines (rows, columns, 2) cross themselves: both steps, the column, and how far along the first."""
    start, step = line[:-1], np.diff(line, axis=0)
    first, second = np.triu_indices(len(start), 2)

    def cross(a: Floats, b: Floats) -> Floats:
        return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])

    between, turn = start[second] - start[first], cross(step[first], step[second])
    with np.errstate(divide="ignore", invalid="ignore"):
        s, t = cross(between, step[second]) / turn, cross(between, step[first]) / turn
    pair, column = np.nonzero((s >= 0.0) & (s <= 1.0) & (t >= 0.0) & (t <= 1.0))
    return np.column_stack((first[pair], second[pair], column, s[pair, column]))


def _grid(rows: int, columns: int) -> tuple[Ints, Ints]:
    """Triangles of rows of points, and the points round their rim, counter-clockwise."""
    number = np.arange(rows * columns, dtype=np.int32).reshape(rows, columns)
    quads = np.stack((number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]), axis=-1).reshape(-1, 4)
    rim = np.concatenate((number[0, :-1], number[:-1, -1], number[-1, :0:-1], number[:0:-1, 0]))
    return np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]])), rim


def _offset(strip: StripMap, u: Floats, v: Floats, height: float) -> Floats:
    """Points at a height over the outer face, which is continued straight beyond its edges."""
    within = np.clip(v, 0.0, strip.width)
    points = strip.shell_map(u, within, np.full(len(u), height))
    beyond = np.flatnonzero(v != within)
    if len(beyond):
        d_v = strip.jacobian(u[beyond], within[beyond]).d_v
        points[beyond] += (v - within)[beyond, None] * d_v
    return points


def _closed(upper: Ints, rim: Ints, count: int) -> Ints:
    """Triangles of a face, of the same face `count` vertices further on, and of the wall between along its rim."""
    after = np.roll(rim, -1)
    walls = (
        np.column_stack((rim, rim + count, after + count)),
        np.column_stack((rim, after + count, after)),
    )
    return np.concatenate((upper, upper[:, ::-1] + count, *walls)).astype(np.int32)


MAX_CACHED_ROWS: Final = 256
"""Places, and the plates of stones' collars, whose rows are remembered."""

MAX_MM: Final = 1.0
"""Longest step where the face is flat."""

SAMPLES: Final = 400
"""Places along a line at which its bend is measured."""

LINES: Final = 3
"""Lines that are measured each way."""

MEASURED_SHARE: Final = 0.9
"""Shares of the half width or height between which they lie."""

LONG_LINES: Final = 25
"""The same on a place with columns of one x: so long a one crosses unlike sections."""

LONG_FRACTION: Final = 0.3
"""Share of the tolerance that each direction may take there, where the face is twisted too."""

TOLERANCE_FRACTION: Final = 0.42
"""Share of the tolerance that each direction may take: a quad takes both."""

BORDER_BEND_SHARE: Final = 2.0
"""Of the bend of lines of one y, the least bend of an ellipse's border at its top and bottom for rows of one y: under
0.6 they were seen to cross it."""

MIN_UNCUT_SHARE: Final = 0.1
"""Of its half height, how far from its middle an ellipse with columns of one x may be cut off at the nearest."""

LOW_SHARE: Final = 0.2
"""Of its width, the height under which an ellipse that the band's edges cut off may have columns of one x: higher ones
were off by up to 20 times the tolerance at the edges, which are lines of one y, or crossed themselves."""

BORDER_FRACTION: Final = 0.75
"""Share of the tolerance that the steps of a round border may take."""


@cached(MAX_CACHED_ROWS)
def grid_places(strip: StripMap, place: PlainPlace, chord_mm: float, past_edge_mm: float) -> tuple[Floats, Floats]:
    """The points of a plain place's grid from its middle; cached, as they are the same whatever the depth.

    Rows of one y, as wide as the place is there; rows stand denser where the face is more curved across the band. A
    wide low ellipse, whose border at its top and bottom bends less than lines of one y do on the ring, has columns of
    one x instead: there rows would cross the border.

    Parameters:
        strip, place: the strip map and the plain place.
        chord_mm: chord tolerance, mm.
        past_edge_mm: how far beyond the band's edges it ends.
    Returns: (rows, columns) x, and y, mm.
    """
    lengths = place_map(strip, place)
    half_x, half_y = place.half_mm
    ends = lengths.y[0] - past_edge_mm, lengths.y[-1] + past_edge_mm
    low, high = max(-half_y, ends[0]), min(half_y, ends[1])
    y = np.linspace(low, high, SAMPLES)
    corners = _corner_rows(place, chord_mm)
    whole = ends[0] < -half_y and half_y < ends[1]
    suited = whole or (half_y < LOW_SHARE * half_x and min(-ends[0], ends[1]) > MIN_UNCUT_SHARE * half_y)
    if (
        place.shape == "round"
        and suited
        and half_y / half_x**2 < BORDER_BEND_SHARE * _line_bend(strip, lengths, half_x, half_y)
    ):
        density, count = _densities(strip, lengths, half_x, y, LONG_LINES, LONG_FRACTION * chord_mm)
        columns = _merge_rows(np.linspace(-half_x, half_x, count), corners * (half_x / half_y))
        return _columns_of_one_x(place, y, density, columns, ends)
    density, count = _densities(strip, lengths, half_x, y, LINES, TOLERANCE_FRACTION * chord_mm)
    rows = _merge_rows(_graded_rows(y, density), corners[(corners > low) & (corners < high)])
    return half_width_at(place, rows)[:, None] * np.linspace(-1.0, 1.0, count), np.repeat(rows[:, None], count, axis=1)


def _densities(
    strip: StripMap, lengths: PlaceMap, half_x: float, y: Floats, lines: int, limit_mm: float
) -> tuple[Floats, int]:
    """Rows to the mm that a place needs at y (n,), and how many even columns; `lines` are measured each way."""
    fraction = np.linspace(-MEASURED_SHARE, MEASURED_SHARE, lines)
    x = np.linspace(-half_x, half_x, len(y))
    middle, half_extent = 0.5 * (y[0] + y[-1]), 0.5 * (y[-1] - y[0])
    # All lines at once: first those across the band, then those round it.
    across = np.broadcast_arrays(half_x * fraction[:, None], y)
    round_it = np.broadcast_arrays(x, (middle + half_extent * fraction)[:, None])
    bends = _curvatures(strip, lengths, *(np.concatenate(each) for each in zip(across, round_it, strict=True)))
    over, around = np.max(bends[:lines], axis=0), float(np.max(bends[lines:]))
    step = min(MAX_MM, float(np.sqrt(8.0 * limit_mm / max(around, 1e-6))))
    return np.sqrt(over / (8.0 * limit_mm)), max(2, int(np.ceil(2.0 * half_x / step)) + 1)


def _columns_of_one_x(
    place: PlainPlace, y: Floats, density: Floats, x: Floats, ends: tuple[float, float]
) -> tuple[Floats, Floats]:
    """(rows, columns) x and y of a round place's columns at x (columns,); in each the rows are at the same shares of
    its height, dense enough for that column where they are to be densest: so many to the mm at y (n,)."""
    half_x, half_y = place.half_mm
    # Where the place is cut off its border has corners.
    cut = [half_x * np.sqrt(1.0 - (end / half_y) ** 2) for end in ends if abs(end) < half_y]
    x = np.unique(np.concatenate((x, *([-each, each] for each in cut))))
    reach = half_y * np.sqrt(np.maximum(1.0 - (x / half_x) ** 2, POLE_SHARE**2))
    low, high = np.maximum(-reach, ends[0]), np.minimum(reach, ends[1])
    share = np.linspace(0.0, 1.0, SAMPLES)
    every = np.linspace(0, len(x) - 1, min(len(x), 64)).astype(np.int64)
    places = low[every] + share[:, None] * (high - low)[every]
    needed = np.max(np.interp(places, y, density) * (high - low)[every], axis=1)
    rows = _graded_rows(share, needed, float(np.max(high - low)) / MAX_MM)
    return np.repeat(x[None, :], len(rows), axis=0), low + rows[:, None] * (high - low)


def _line_bend(strip: StripMap, lengths: PlaceMap, half_x: float, half_y: float) -> float:
    """How far lines of one y bend sideways on the ring at a place's top and bottom, at most, 1/mm (their geodesic
    curvature)."""
    x, y = np.meshgrid(np.linspace(-half_x, half_x, SAMPLES), (-half_y, half_y))
    u, v = lengths.to_strip(x.ravel(), y.ravel())
    frame = strip.jacobian(u, np.clip(v, 0.0, strip.width))
    point, d_u, normal = (each.reshape(*x.shape, 3) for each in (frame.point, frame.d_u, frame.normal))
    tangent = d_u / np.linalg.norm(d_u, axis=2)[..., None]
    turn = np.abs(np.sum(np.diff(tangent, axis=1) * np.cross(normal, tangent)[:, 1:], axis=2))
    # A place as long as the ring has lines that end at its other side.
    length = np.linalg.norm(np.diff(point, axis=1), axis=2)
    return float(np.max(np.where(length > 1e-9, turn / np.maximum(length, 1e-9), 0.0)))


def _curvatures(strip: StripMap, lengths: PlaceMap, x: Floats, y: Floats) -> Floats:
    """(k, n) how fast the normal turns along k lines, 1/mm; 0 beyond the edges, where the face is straight."""
    u, v = lengths.to_strip(x.ravel(), y.ravel())
    frame = strip.band.outer(*strip.to_band(u, np.clip(v, 0.0, strip.width)))
    turn, length = (
        np.linalg.norm(np.diff(each.reshape(*x.shape, 3), axis=1), axis=2) for each in (frame.normal, frame.point)
    )
    bend = np.where(length > 1e-9, turn / np.maximum(length, 1e-9), 0.0)
    # A sample counts on both of its sides.
    level = np.zeros((len(x), 1))
    return np.asarray(np.maximum(np.hstack((bend, level)), np.hstack((level, bend))))


def _graded_rows(y: Floats, density: Floats, least: float = 1.0 / MAX_MM) -> Floats:
    """Positions along y, so many to its unit, and never fewer than `least`."""
    dense = np.maximum(density, least)
    count = np.concatenate(([0.0], np.cumsum(0.5 * (dense[1:] + dense[:-1]) * np.diff(y))))
    pieces = max(2, int(np.ceil(count[-1])))
    return np.asarray(np.interp(np.linspace(0.0, count[-1], pieces + 1), count, y))


def _corner_rows(place: PlainPlace, chord_mm: float) -> Floats:
    """Rows that rounded corners need, or a whole round border, their ends included."""
    radius, half_y, border_mm = place.rounding_mm, place.half_mm[1], BORDER_FRACTION * chord_mm
    if place.shape == "round":
        curvatures = max(8, int(np.ceil(0.5 * np.pi / np.sqrt(8.0 * border_mm / max(place.half_mm)))))
        return half_y * np.sin(0.5 * np.pi * np.arange(-curvatures + 1, curvatures) / curvatures)
    curvatures = max(4, int(np.ceil(0.5 * np.pi / np.sqrt(8.0 * border_mm / radius))))
    arc = half_y - radius + radius * np.sin(0.5 * np.pi * np.arange(curvatures) / curvatures)
    return np.concatenate((-arc, arc))


def _merge_rows(rows: Floats, corners: Floats) -> Floats:
    """All rows together, less those of `rows` that lie much nearer to a corner's than they do to each other."""
    if len(corners) == 0:
        return rows
    inner = rows[1:-1]
    distance = np.min(np.abs(inner[:, None] - corners), axis=1)
    step = np.minimum(np.diff(rows)[1:], np.diff(rows)[:-1])
    corners = corners[np.minimum(corners - rows[0], rows[-1] - corners) > 1e-3]
    return np.unique(np.concatenate((rows[[0, -1]], inner[distance > 0.3 * step], corners)))
