"""Plain places as bodies: plateaus to join, and recesses to cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import PlaceMap, half_width_at, place_map
from ringtex.solid.mesh.booleans import as_manifold
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


def plateau(strip: StripMap, place: PlainPlace, top_mm: float, ground_mm: float, chord_mm: float) -> Manifold:
    """The body to join for a plain place at the top of the relief.

    Parameters:
        strip: the strip map.
        place: the plain place.
        top_mm, ground_mm: how far the relief reaches over and under the outer face, mm.
        chord_mm: chord tolerance, mm.
    Returns: the body.
    """
    slab = plain_slab(strip, place, -ground_mm - BURIED_MM, top_mm + OVER_MM, chord_mm, -INSIDE_EDGE_MM)
    return as_manifold(slab, "plain")


def recess(strip: StripMap, place: PlainPlace, top_mm: float, ground_mm: float, chord_mm: float) -> Manifold:
    """The body to cut for a plain place at the ground; where the place reaches over an edge, so does the body.

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
    ends = lengths.y[0] - past_edge_mm, lengths.y[-1] + past_edge_mm
    flat, upper, rim = _by_rows(strip, place, lengths, chord_mm, ends)
    u, v = lengths.to_strip(flat[:, 0], flat[:, 1])
    positions = [_offset(strip, u, v, height) for height in (high, low)]
    return RingMesh(np.concatenate(positions), _closed(upper, rim, len(flat)))


def _by_rows(
    strip: StripMap, place: PlainPlace, lengths: PlaceMap, chord_mm: float, ends: tuple[float, float]
) -> tuple[Floats, Ints, Ints]:
    """A plain place as rows of points (n, 2), its triangles, and the points round its rim, counter-clockwise."""
    y, columns = rows_and_columns(strip, place, lengths, chord_mm, ends)
    fraction = np.linspace(-1.0, 1.0, columns)
    x = half_width_at(place, y)[:, None] * fraction
    number = np.arange(len(y) * columns, dtype=np.int32).reshape(len(y), columns)
    quads = np.stack((number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]), axis=-1).reshape(-1, 4)
    upper = np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]))
    rim = np.concatenate((number[0, :-1], number[:-1, -1], number[-1, :0:-1], number[:0:-1, 0]))
    return np.column_stack((x.ravel(), np.repeat(y, columns))), upper, rim


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


MAX_MM: Final = 1.0
"""Longest step where the face is flat."""

SAMPLES: Final = 400
"""Places along a line at which its bend is measured."""

LINES: Final = (-0.9, 0.0, 0.9)
"""Lines that are measured, as shares of the half width or height."""

TOLERANCE_FRACTION: Final = 0.5
"""Share of the tolerance that each direction may take: a quad takes both."""


def rows_and_columns(
    strip: StripMap, place: PlainPlace, lengths: PlaceMap, chord_mm: float, ends: tuple[float, float]
) -> tuple[Floats, int]:
    """Rows of a plain place, denser where the face is more curved across the band, and the columns of each row.

    Parameters:
        strip: the strip map.
        place, lengths: the plain place and its map.
        chord_mm: chord tolerance, mm.
        ends: y where the region is cut off, mm.
    Returns: y (n,) of the rows, and the number of columns.
    """
    half_x, half_y = place.half_mm
    low, high = max(-half_y, ends[0]), min(half_y, ends[1])
    y = np.linspace(low, high, SAMPLES)
    curvatures = [_curvature(strip, lengths, np.full(SAMPLES, fraction * half_x), y) for fraction in LINES]
    rows = _graded_rows(y, np.sqrt(np.max(curvatures, axis=0) / (8.0 * TOLERANCE_FRACTION * chord_mm)))
    x = np.linspace(-half_x, half_x, SAMPLES)
    middle, half_extent = 0.5 * (low + high), 0.5 * (high - low)
    around = max(
        float(np.max(_curvature(strip, lengths, x, np.full(SAMPLES, middle + s * half_extent)))) for s in LINES
    )
    step = min(MAX_MM, float(np.sqrt(8.0 * TOLERANCE_FRACTION * chord_mm / max(around, 1e-6))))
    corners = _corner_rows(place, chord_mm)
    corners = corners[(corners > low) & (corners < high)]
    return _merge_rows(rows, corners), max(2, int(np.ceil(2.0 * half_x / step)) + 1)


def _curvature(strip: StripMap, lengths: PlaceMap, x: Floats, y: Floats) -> Floats:
    """(n,) how fast the normal turns along a line of points, 1/mm; 0 beyond the edges, where the face is straight."""
    u, v = lengths.to_strip(x, y)
    frame = strip.jacobian(u, np.clip(v, 0.0, strip.width))
    turn = np.linalg.norm(np.diff(frame.normal, axis=0), axis=1)
    step_length = np.linalg.norm(np.diff(frame.point, axis=0), axis=1)
    bend = np.where(step_length > 1e-9, turn / np.maximum(step_length, 1e-9), 0.0)
    # A sample counts on both of its sides.
    return np.asarray(np.maximum(np.append(bend, 0.0), np.insert(bend, 0, 0.0)))


def _graded_rows(y: Floats, density: Floats) -> Floats:
    """Positions along y, so many to the millimetre, and never sparser than MAX_MM."""
    dense = np.maximum(density, 1.0 / MAX_MM)
    count = np.concatenate(([0.0], np.cumsum(0.5 * (dense[1:] + dense[:-1]) * np.diff(y))))
    pieces = max(2, int(np.ceil(count[-1])))
    return np.asarray(np.interp(np.linspace(0.0, count[-1], pieces + 1), count, y))


def _corner_rows(place: PlainPlace, chord_mm: float) -> Floats:
    """Rows that rounded corners need, or a whole round border, their ends included."""
    radius, half_y = place.rounding_mm, place.half_mm[1]
    if place.shape == "round":
        curvatures = max(8, int(np.ceil(0.5 * np.pi / np.sqrt(8.0 * chord_mm / max(place.half_mm)))))
        return half_y * np.sin(0.5 * np.pi * np.arange(-curvatures + 1, curvatures) / curvatures)
    curvatures = max(4, int(np.ceil(0.5 * np.pi / np.sqrt(8.0 * chord_mm / radius))))
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
