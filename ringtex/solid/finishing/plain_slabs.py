"""Plain places as bodies: plateaus to join, and recesses to cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ringtex.basics.arrays import Floats, Ints
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import PlaceMap, half_width_at, place_map
from ringtex.solid.finishing.plain_rows import rows_and_columns
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
    """The body to join for a place at the top of the relief."""
    slab = plain_slab(strip, place, -ground_mm - BURIED_MM, top_mm + OVER_MM, chord_mm, -INSIDE_EDGE_MM)
    return as_manifold(slab, "plain")


def recess(strip: StripMap, place: PlainPlace, top_mm: float, ground_mm: float, chord_mm: float) -> Manifold:
    """The body to cut for a place at the ground; where the place reaches over an edge, so does the body."""
    slab = plain_slab(strip, place, -ground_mm - UNDER_MM, top_mm + CLEAR_MM, chord_mm, CLEAR_MM)
    return as_manifold(slab, "plain")


def plain_slab(
    strip: StripMap, place: PlainPlace, low: float, high: float, chord_mm: float, past_edge_mm: float
) -> RingMesh:
    """The body over a place, from height low to high over the outer face, ending past_edge_mm beyond the edges."""
    lengths = place_map(strip, place)
    ends = lengths.y[0] - past_edge_mm, lengths.y[-1] + past_edge_mm
    flat, upper, rim = _by_rows(strip, place, lengths, chord_mm, ends)
    u, v = lengths.to_strip(flat[:, 0], flat[:, 1])
    places = [_offset(strip, u, v, height) for height in (high, low)]
    return RingMesh(np.concatenate(places), _closed(upper, rim, len(flat)))


def _by_rows(
    strip: StripMap, place: PlainPlace, lengths: PlaceMap, chord_mm: float, ends: tuple[float, float]
) -> tuple[Floats, Ints, Ints]:
    """A place as rows of points (n, 2), its triangles, and the points round its rim, counter-clockwise."""
    y, columns = rows_and_columns(strip, place, lengths, chord_mm, ends)
    share = np.linspace(-1.0, 1.0, columns)
    x = half_width_at(place, y)[:, None] * share
    number = np.arange(len(y) * columns, dtype=np.int32).reshape(len(y), columns)
    quads = np.stack((number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]), axis=-1).reshape(-1, 4)
    upper = np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]))
    rim = np.concatenate((number[0, :-1], number[:-1, -1], number[-1, :0:-1], number[:0:-1, 0]))
    return np.column_stack((x.ravel(), np.repeat(y, columns))), upper, rim


def _offset(strip: StripMap, u: Floats, v: Floats, height: float) -> Floats:
    """Places at a height over the outer face, which runs on straight beyond its edges."""
    within = np.clip(v, 0.0, strip.width)
    found = strip.offset(u, within, np.full(len(u), height))
    out = np.flatnonzero(v != within)
    if len(out):
        d_v = strip.frame(u[out], within[out]).d_v
        found[out] += (v - within)[out, None] * d_v
    return found


def _closed(upper: Ints, rim: Ints, count: int) -> Ints:
    """Triangles of a face, of the same face `count` places under it, and of the wall between along its rim."""
    after = np.roll(rim, -1)
    walls = (
        np.column_stack((rim, rim + count, after + count)),
        np.column_stack((rim, after + count, after)),
    )
    return np.concatenate((upper, upper[:, ::-1] + count, *walls)).astype(np.int32)
