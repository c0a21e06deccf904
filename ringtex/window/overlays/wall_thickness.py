"""How much metal lies under each place of the outside: down to the finger hole, the hollow, or letters in the bore."""

from __future__ import annotations

from threading import Lock
from typing import Final
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats
from ringtex.checks.making.thickness import ADDED, metal_to_bore
from ringtex.make_ring import ShapedRing
from ringtex.solid.mesh.booleans import original_number
from ringtex.solid.mesh.triangle_distance import PAIRS_AT_ONCE, squared_distances

INNER_PARTS: Final = ("hollow", "inscription")
"""Parts of a finished ring that take metal away from inside; a drain lies under a hollow."""

TRIANGLES: Final = 32
"""Of the triangles with the nearest middles, so many are measured: the nearest is among them but for some hundredths
of a millimetre, though a hollow's triangles are long. The exact search takes ten seconds on a fine mesh."""

_ONE_AT_A_TIME: Final = Lock()
_KNOWN: Final[WeakKeyDictionary[ShapedRing, Floats]] = WeakKeyDictionary()


def wall_thickness(built: ShapedRing) -> Floats:
    """(n,) for each vertex of the finished ring, mm; NaN where it is not on the outside. Slow: for a worker.

    The same measures as the checks': the bore's true surface, and the triangles of hollow and letters. Negative where
    the relief has gone through the bore. Both views ask for it: the second waits, and gets what the first worked out.
    """
    with _ONE_AT_A_TIME:
        if built not in _KNOWN:
            _KNOWN[built] = _measured(built)
        return _KNOWN[built].copy()


def _measured(built: ShapedRing) -> Floats:
    vertices, inner = built.finished.mesh.vertices, _inner_faces(built)
    metal = metal_over_bore(built)
    if len(inner):
        outside = np.flatnonzero(np.isfinite(metal))
        metal[outside] = _to_inner_faces(vertices[outside], vertices[inner], metal[outside])
    return metal


def metal_over_bore(built: ShapedRing) -> Floats:
    """The same as far as the finger hole alone goes."""
    vertices = built.finished.mesh.vertices
    metal = np.full(len(vertices), np.nan)
    outside = np.flatnonzero(_on_outside(built))
    metal[outside], _ = metal_to_bore(vertices[outside], built.strip.band)
    return metal


def _to_inner_faces(places: Floats, triangles: Floats, at_most: Floats) -> Floats:
    """(n,) distance of places from the nearest of triangles (k, 3, 3), or at_most where that is less."""
    from scipy.spatial import cKDTree

    middle = triangles.mean(axis=1)
    reach = float(np.sqrt(np.max(np.sum((triangles - middle[:, None]) ** 2, axis=2))))
    count = min(TRIANGLES, len(triangles))
    away, number = cKDTree(middle).query(places, k=count, distance_upper_bound=float(np.max(at_most)) + reach)
    away, number = away.reshape(len(places), count), number.reshape(len(places), count)
    place, column = np.nonzero(away < (at_most + reach)[:, None])
    triangle, least = number[place, column], np.square(at_most)
    for start in range(0, len(place), PAIRS_AT_ONCE):
        part = slice(start, start + PAIRS_AT_ONCE)
        np.minimum.at(least, place[part], squared_distances(places[place[part]], triangles[triangle[part]]))
    return np.where(at_most < 0.0, at_most, np.sqrt(least))


def _on_outside(built: ShapedRing) -> Bools:
    """(n,) the vertex is of a triangle of the outer face, of a collar or of a plain place."""
    finished = built.finished
    chosen = (finished.original_id == 0) & (finished.face_id < built.solid.face_ranges["sides"].start)
    for name in ADDED:
        chosen |= finished.original_id == original_number(name)
    found = np.zeros(len(finished.mesh.vertices), dtype=bool)
    found[finished.mesh.faces[chosen]] = True
    return found


def _inner_faces(built: ShapedRing) -> NDArray[np.int32]:
    """(k, 3) triangles that bound the metal from inside, other than the bore's own."""
    finished = built.finished
    inner = np.isin(finished.original_id, [original_number(name) for name in INNER_PARTS])
    return np.asarray(finished.mesh.faces[inner])
