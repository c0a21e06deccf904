"""The facets of round brilliants in their places, to be drawn."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Singles
from ringtex.solid.finishing.stone_options import Proportions
from ringtex.solid.finishing.stone_seats import SetStone, square_to

STAR_SHARE: Final = 0.5
"""How far a star facet reaches from the table to the girdle; half is usual (from memory)."""
LOWER_SHARE: Final = 0.78
"""How far a lower half facet reaches from the girdle to the culet; about four fifths is usual (from memory)."""
_EIGHTH: Final = math.pi / 4.0


@lru_cache(maxsize=16)
def facets(shape: Proportions) -> Floats:
    """(k, 3, 3) triangles of a brilliant of 1 mm, its table's middle at the origin and its axis along +z.

    Main facets lie at the angles of the proportions; the others follow from where they meet.
    """
    crown, pavilion = np.tan(np.radians(shape.crown_deg)), np.tan(np.radians(shape.pavilion_deg))
    top, low = -shape.crown_height, -shape.crown_height - shape.girdle
    half, table = math.cos(_EIGHTH / 2.0), 0.5 * shape.table
    star = table * half + STAR_SHARE * (0.5 - table * half)
    lower = 0.5 * (1.0 - LOWER_SHARE)
    main = np.asarray(np.arange(8) * _EIGHTH, dtype=np.float64)
    between: Floats = main + 0.5 * _EIGHTH
    corner = _ring(table, main, 0.0)
    mid = _ring(star, between, top + crown * (0.5 - star * half))
    rim, rim_between = _ring(0.5, main, top), _ring(0.5, between, top)
    base, base_between = _ring(0.5, main, low), _ring(0.5, between, low)
    deep = _ring(lower, between, low - pavilion * (0.5 - lower * half))
    culet = np.tile([0.0, 0.0, low - 0.5 * pavilion], (8, 1))
    middle = np.zeros((8, 3))

    def after(ring: Floats) -> Floats:
        return np.roll(ring, -1, axis=0)

    def before(ring: Floats) -> Floats:
        return np.roll(ring, 1, axis=0)

    triangles = (
        (middle, corner, after(corner)),
        (corner, mid, after(corner)),
        (corner, before(mid), rim), (corner, rim, mid),
        (mid, rim, rim_between), (mid, rim_between, after(rim)),
        (rim, base, rim_between), (rim_between, base, base_between),
        (rim_between, base_between, after(rim)), (after(rim), base_between, after(base)),
        (base, deep, base_between), (base_between, deep, after(base)),
        (base, before(deep), culet), (base, culet, deep),
    )  # fmt: skip
    return np.concatenate([np.stack(triangle, axis=1) for triangle in triangles])


def _ring(radius: float, angle: Floats, height: float) -> Floats:
    return np.column_stack((radius * np.cos(angle), radius * np.sin(angle), np.full(len(angle), height)))


def stone_triangles(stones: tuple[SetStone, ...]) -> tuple[Singles, Singles]:
    """(3 k, 3) corners of every stone's facets in their places, mm, and (3 k, 3) their facets' outward normals."""
    found = []
    for each in stones:
        axis = each.place.axis
        side = square_to(axis)
        frame = np.stack((side, np.cross(axis, side), axis))
        found.append(each.stone.diameter_mm * facets(each.stone.proportions) @ frame + each.place.table)
    if not found:
        return np.zeros((0, 3), np.float32), np.zeros((0, 3), np.float32)
    corners = np.concatenate(found)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    return corners.reshape(-1, 3).astype(np.float32), np.repeat(normal, 3, axis=0).astype(np.float32)
