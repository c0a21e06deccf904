"""The outline that a flat cut through a mesh leaves, as closed curves."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.solid.mesh.ring_mesh import RingMesh

ASIDE_MM: Final = 1.37e-6
"""The cut is moved by this, so that it goes through no vertex: an odd number far under anything made or drawn."""


def section_curves(mesh: RingMesh, normal: Floats, offset_mm: float = 0.0) -> list[Floats]:
    """Closed curves where the plane `normal . x = offset_mm` cuts a closed mesh.

    Returns (n, 3) places for each curve, in order round it, the first not repeated; longest curves first.
    Raises: InputError where the mesh is not closed.
    """
    if not mesh.closed:
        raise InputError("an open mesh has no section", "Mend the mesh first")
    unit = np.asarray(normal, dtype=np.float64) / np.linalg.norm(normal)
    height = mesh.vertices @ unit - (offset_mm + ASIDE_MM)
    height[height == 0.0] = ASIDE_MM
    above = (height > 0.0)[mesh.faces]
    cut = np.flatnonzero(above.any(axis=1) & ~above.all(axis=1))
    ends = [_crossed_edge(mesh.faces[cut], above[cut], upwards) for upwards in (False, True)]
    keys = [np.minimum(low, high) * len(mesh.vertices) + np.maximum(low, high) for low, high in ends]
    low, high = ends[0]
    share = height[low] / (height[low] - height[high])
    place = mesh.vertices[low] + share[:, None] * (mesh.vertices[high] - mesh.vertices[low])
    curves = [place[order] for order in _chained(keys[0], keys[1])]
    return sorted(curves, key=_length, reverse=True)


def enclosed_area(curves: list[Floats], normal: Floats) -> float:
    """Area between the curves of one section, holes taken off, mm2: by the shoelace formula.

    All curves of a section run round the metal the same way, so that holes come out negative.
    """
    unit = np.asarray(normal, dtype=np.float64) / np.linalg.norm(normal)
    return abs(sum(float(np.sum(np.cross(c, np.roll(c, -1, axis=0)) @ unit)) for c in curves)) / 2.0


def _length(curve: Floats) -> float:
    return float(np.sum(np.linalg.norm(curve - np.roll(curve, 1, axis=0), axis=1)))


def _crossed_edge(
    faces: NDArray[np.int32], above: NDArray[np.bool_], upwards: bool
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Of each cut triangle the vertices of the edge that goes up (or down) through the plane, in its own order."""
    start_above, end_above = above, np.roll(above, -1, axis=1)
    chosen = (~start_above & end_above) if upwards else (start_above & ~end_above)
    corner = np.argmax(chosen, axis=1)
    row = np.arange(len(faces))
    return faces[row, corner].astype(np.int64), faces[row, (corner + 1) % 3].astype(np.int64)


def _chained(entry: NDArray[np.int64], leaving: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """Segments in rows, each beginning on the edge where the one before it ends."""
    order = np.argsort(entry)
    following = order[np.searchsorted(entry[order], leaving)].tolist()
    seen = [False] * len(following)
    rows = []
    for first in range(len(following)):
        row = []
        at = first
        while not seen[at]:
            seen[at] = True
            row.append(at)
            at = following[at]
        if row:
            rows.append(np.array(row))
    return rows
