"""The directed sides of triangles, and which of them are a border."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Bools, Ints, Longs, contained


def half_edges(faces: Ints | Longs) -> tuple[Longs, Longs]:
    """(3 m,) first and last vertex of the sides of triangles (m, 3), one triangle after the other."""
    return faces.ravel().astype(np.int64), faces[:, [1, 2, 0]].ravel().astype(np.int64)


def is_border(start: Longs, end: Longs) -> Bools:
    """(e,) which directed edges have none among them that runs the other way."""
    count = int(np.max(start, initial=0)) + int(np.max(end, initial=0)) + 1
    return ~contained(start * count + end, np.sort(end * count + start))
