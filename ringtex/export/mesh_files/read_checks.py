"""What every mesh that is read must satisfy before the rest of the program sees it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.errors import InputError
from ringtex.solid.mesh.ring_mesh import RingMesh

MAX_MM: Final = 1e5
"""Coordinates beyond 100 m are no ring in any unit; they would only drown the arithmetic."""

_AGAIN = "Export the mesh again from the program that made it"


def checked_mesh(vertices: NDArray[np.floating], faces: NDArray[np.integer]) -> RingMesh:
    """The mesh of vertices (n, 3) in mm and faces (m, 3), counted from 0.

    Raises InputError: no triangles, a coordinate is not finite or absurd, a triangle names a vertex that is not there.
    """
    if len(faces) == 0 or len(vertices) == 0:
        raise InputError("The file holds no triangles", _AGAIN)
    if not np.all(np.isfinite(vertices)):
        bad = int(np.flatnonzero(~np.all(np.isfinite(vertices), axis=1))[0]) + 1
        raise InputError(f"A coordinate is not a finite number (vertex {bad})", _AGAIN)
    if float(np.abs(vertices).max()) > MAX_MM:
        raise InputError("The mesh is larger than 100 m", "Check the file's unit; a ring is some 25 mm across")
    if int(faces.min()) < 0 or int(faces.max()) >= len(vertices):
        bad = int(np.flatnonzero(np.any((faces < 0) | (faces >= len(vertices)), axis=1))[0]) + 1
        raise InputError(f"Triangle {bad} names a vertex that is not in the file", _AGAIN)
    return RingMesh(
        np.ascontiguousarray(vertices, dtype=np.float64),
        np.ascontiguousarray(faces, dtype=np.int32),
    )
