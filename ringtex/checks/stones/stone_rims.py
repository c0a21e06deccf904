"""Where the seats of stones meet the hollow, read off the finished mesh."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.checks.making.hollow_wall import original_number
from ringtex.solid.finishing.finish import FinishedRing

BEYOND_HOLE_MM: Final = 0.02
"""A rim this much wider than the hole lies on the bearing: ten times what the hole's facets take off its circle."""

REACH_MM: Final = 1.0
"""A seat's own faces end within this of its hole's ends."""


@dataclass(frozen=True)
class StoneRims:
    """How the seat of one stone meets the hollow.

    rims: closed lines along which seat and hollow meet; a hole through a roof has one, through roof and floor two.
    meets_bore: the seat's hole also ends in the finger hole's own face. on_bearing_mm: how far a rim reaches out on to
    the bearing that carries the stone, over the hole's radius; 0 where all rims lie in the hole.
    """

    rims: int
    meets_bore: bool
    on_bearing_mm: float


def stone_rims(finished: FinishedRing, first_bore_face: int) -> list[StoneRims]:
    """For every stone, in order. first_bore_face: number of the first bore face of the ring before it was finished."""
    part, faces = finished.original_id, finished.mesh.faces
    seat, hollow = part == original_number("seat"), part == original_number("hollow")
    bore = (part == original_number("ring")) & (finished.face_id >= first_bore_face)
    vertices = finished.mesh.vertices
    edges = _shared_edges(faces[seat], faces[hollow], len(vertices))
    ends = np.column_stack(np.divmod(edges, len(vertices)))
    bore_ends = np.intersect1d(faces[seat], faces[bore])
    owner, radius = _nearest_stone(finished, vertices[ends[:, 0]])
    bore_owner, _ = _nearest_stone(finished, vertices[bore_ends])
    found = []
    for number, each in enumerate(finished.stones):
        mine = owner == number
        hole = 0.5 * each.stone.hole * each.stone.diameter_mm
        out = float(np.max(radius[mine] - hole, initial=0.0))
        reaches = out if out > BEYOND_HOLE_MM else 0.0
        found.append(StoneRims(_loops(ends[mine]), bool(np.any(bore_owner == number)), reaches))
    return found


def _shared_edges(first: NDArray[np.int32], second: NDArray[np.int32], count: int) -> Longs:
    """Edges, low vertex * count + high vertex, that triangles of both groups have."""

    def edges(faces: NDArray[np.int32]) -> Longs:
        start = faces.astype(np.int64)
        end = start[:, [1, 2, 0]]
        return np.asarray((np.minimum(start, end) * count + np.maximum(start, end)).ravel())

    return np.intersect1d(edges(first), edges(second))


def _nearest_stone(finished: FinishedRing, places: Floats) -> tuple[Longs, Floats]:
    """(n,) the stone whose axis each place is nearest to, and its distance from that axis."""
    if len(finished.stones) == 0 or len(places) == 0:
        return np.zeros(len(places), dtype=np.int64), np.zeros(len(places))
    table = np.array([each.place.table for each in finished.stones])
    axis = np.array([each.place.axis for each in finished.stones])
    away = places[:, None, :] - table
    along = np.sum(away * axis, axis=2)
    off = np.linalg.norm(away - along[..., None] * axis, axis=2)
    # Beyond the hole's ends lies the other side of the ring.
    depth = np.array([each.place.hole_mm for each in finished.stones])
    off = np.where((along <= REACH_MM) & (along >= -depth - REACH_MM), off, np.inf)
    # By their own holes' radii: the rim of a wide hole comes near to the axis of a narrow one beside it.
    owner = np.argmin(off / [each.stone.hole * each.stone.diameter_mm for each in finished.stones], axis=1)
    return owner, off[np.arange(len(places)), owner]


def _loops(ends: Longs) -> int:
    """Number of connected lines that edges (e, 2) make."""
    if len(ends) == 0:
        return 0
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    names, numbered = np.unique(ends, return_inverse=True)
    a, b = numbered.reshape(ends.shape).T
    links = coo_matrix((np.ones(len(a)), (a, b)), shape=(len(names), len(names)))
    return int(connected_components(links, directed=False)[0])
