"""What flattening did to each cell: areas, stretches and changed angles, measured on small triangles of the ring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.checks.geometry.cell_areas import CellAreas, FaceView
from ringtex.pattern.tiling import Tiling
from ringtex.strip.distortion import Distortion, distortion_of

PARTS: Final = 6
"""Each triangle from a cell's middle to a wall is split into 36: chords make areas low by about 3 in 10,000."""

CROSS_MM: Final = 1e-4
"""Half a cross: far under any cell, far over rounding (1e-14 mm)."""


@dataclass(frozen=True, eq=False)
class CellDistortion:
    """Per cell, (c,): area on the ring, mm2; largest and smallest stretch, mm on the ring for 1 mm of strip; worst
    changed angle, degrees. mean_angle_error_deg is over the ring's area.
    """

    area: Floats
    stretch_max: Floats
    stretch_min: Floats
    angle_error_deg: Floats
    mean_angle_error_deg: float

    @property
    def areas(self) -> CellAreas:
        """The areas in short."""
        mean = float(np.mean(self.area))
        return CellAreas(float(np.min(self.area)), mean, float(np.max(self.area)), float(np.std(self.area)) / mean)

    @property
    def worst_angle_error_deg(self) -> float:
        """Of all cells."""
        return float(np.max(self.angle_error_deg))


def measure_cell_distortion(tiling: Tiling, face: FaceView, parts: int = PARTS) -> CellDistortion:
    """Lay every cell on the outer face as small flat triangles and add up their areas; compare small crosses in the
    middle of each with theirs on the strip.

    Uses nothing of the map but places, so that it is independent of how cells were made even. Right at an upright edge
    crosses lie a little inside, so that a stretch beyond all bounds there reads as large, not infinite.
    """
    middle = tiling.kernel[0][tiling.corner_cell]
    first, second = tiling.corners - middle, tiling.corners[tiling.next_corner] - middle
    total, weighted = np.zeros(len(first)), 0.0
    most, least, angle = np.zeros(len(first)), np.full(len(first), np.inf), np.zeros(len(first))
    points = _points(middle, first, second, face, parts)
    for corners in _triangles(parts):
        a, b, c = (points[corner] for corner in corners)
        area = 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)
        i, j = np.mean(corners, axis=0) / parts
        found = _stretched(middle + i * first + j * second, face)
        total += area
        weighted += float(np.sum(area * found.angle_error_deg))
        np.maximum(most, found.stretch_max, out=most)
        np.minimum(least, found.stretch_min, out=least)
        np.maximum(angle, found.angle_error_deg, out=angle)
    start = tiling.cell_start[:-1]
    return CellDistortion(
        np.add.reduceat(total, start),
        np.maximum.reduceat(most, start),
        np.minimum.reduceat(least, start),
        np.maximum.reduceat(angle, start),
        weighted / float(np.sum(total)),
    )


def _points(middle: Floats, first: Floats, second: Floats, face: FaceView, parts: int) -> dict[tuple[int, int], Floats]:
    """(m, 3) places on the ring at middle + i/parts first + j/parts second."""
    found = {}
    for i in range(parts + 1):
        for j in range(parts + 1 - i):
            at = middle + (i / parts) * first + (j / parts) * second
            found[i, j] = face.point(at[:, 0], at[:, 1])
    return found


def _triangles(parts: int) -> list[list[tuple[int, int]]]:
    """Corners of the small triangles."""
    ahead = [[(i, j), (i + 1, j), (i, j + 1)] for i in range(parts) for j in range(parts - i)]
    behind = [[(i, j), (i - 1, j), (i, j - 1)] for i in range(1, parts) for j in range(1, parts + 1 - i)]
    return ahead + behind


def _stretched(places: Floats, face: FaceView) -> Distortion:
    """The map's distortion at strip places (m, 2), by central differences of places on the ring."""
    u, v = places.T
    d_u = (face.point(u + CROSS_MM, v) - face.point(u - CROSS_MM, v)) / (2.0 * CROSS_MM)
    d_v = (face.point(u, v + CROSS_MM) - face.point(u, v - CROSS_MM)) / (2.0 * CROSS_MM)
    return distortion_of(np.sum(d_u * d_u, axis=1), np.sum(d_u * d_v, axis=1), np.sum(d_v * d_v, axis=1))
