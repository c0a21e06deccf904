"""What flattening does to the cells: areas on the ring, stretches and changed angles, and the map's own extremes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Bools, Floats, crosses, lengths
from ringtex.pattern.tiling import Tiling
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.strip.distortion import Distortion, distortion_of

PARTS: Final = 6
"""Each triangle from a cell's middle to a wall is split into 36: chords make areas low by about 3 in 10,000."""

CROSS_MM: Final = 1e-4
"""Half a cross: far under any cell, far over rounding (1e-14 mm)."""

_AROUND: Final = 360
_ACROSS: Final = 33
"""A look at every degree and 33 places across: the map is smooth, so that its extremes lie close to these."""


class FaceView(Protocol):
    """The band's outer face under the strip."""

    def point(self, u: Floats, v: Floats) -> Floats:
        """(n, 3) places on the outer face, mm."""


@dataclass(frozen=True)
class CellAreas:
    """Areas of the cells on the band's outer face (without the relief), mm2; cv is their deviation over their mean."""

    smallest: float
    mean: float
    largest: float
    cv: float


def measure_cell_areas(solid: RingSolid, face: FaceView, cells: int, level: Bools | None = None) -> CellAreas:
    """Add up each cell's triangles, laid on the outer face.

    Independent of how the cells were made even. Chords make it low by at most the square of a triangle's share of the
    curvature's radius.

    Parameters:
        solid: the ring before finishing.
        face: the outer face.
        cells: how many cells there are.
        level: (cells,) which are veins or frames and not measured; None: none.
    Returns: the cells' areas on the ring.
    """
    base = np.ascontiguousarray(face.point(solid.strip_positions[:, 0], solid.strip_positions[:, 1]).T)
    corners = np.ascontiguousarray(solid.mesh.faces[solid.face_ranges["cells"]].T, dtype=np.intp)
    a, b, c = (base.take(corner, axis=1) for corner in corners)
    normals = crosses(b - a, c - a)
    triangles = 0.5 * lengths(normals)
    areas = np.bincount(solid.face_cell, weights=triangles, minlength=cells)
    areas = areas if level is None else areas[~level]
    mean = float(areas.mean())
    return CellAreas(float(areas.min()), mean, float(areas.max()), float(areas.std()) / mean)


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


def measure_cell_distortion(
    tiling: Tiling, face: FaceView, parts: int = PARTS, level: Bools | None = None
) -> CellDistortion:
    """Lay every cell on the outer face as small flat triangles and add up their areas; compare small crosses in the
    middle of each with theirs on the strip.

    Uses nothing of the map but places, so that it is independent of how cells were made even. Right at an upright edge
    crosses lie a little inside, so that a stretch beyond all bounds there reads as large, not infinite.

    Parameters:
        tiling: the cells.
        face: the outer face.
        parts: triangles a side of each cell.
        level: (cells,) which are veins and left out; None: none.
    Returns: areas, stretches and changed angles of the cells.
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
    own = np.arange(tiling.cells) if level is None else np.flatnonzero(~level)
    return CellDistortion(
        np.add.reduceat(total, start)[own],
        np.maximum.reduceat(most, start)[own],
        np.minimum.reduceat(least, start)[own],
        np.maximum.reduceat(angle, start)[own],
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


class MapView(Protocol):
    """The strip's length and its distortion."""

    @property
    def length(self) -> float:
        """Length of one turn, mm."""

    def distortion(self, u: Floats, v: Floats) -> Distortion:
        """The map's distortion at places of the strip."""


@dataclass(frozen=True)
class StripStretch:
    """Extremes over the patterned part: mm2 on the ring for 1 mm2 of strip, and the largest change of an angle."""

    area_min: float
    area_max: float
    angle_error_deg: float


def measure_stretch(strip: MapView, lower: float, upper: float) -> StripStretch:
    """Look at a grid over [0, length) x [lower, upper].

    Parameters:
        strip: the map to the ring.
        lower: lower border of the patterned part, mm.
        upper: its upper border, mm.
    Returns: the extreme area factors and the largest angle error.
    """
    around = np.linspace(0.0, strip.length, _AROUND, endpoint=False)
    u, v = np.meshgrid(around, np.linspace(lower, upper, _ACROSS))
    found = strip.distortion(u.ravel(), v.ravel())
    return StripStretch(float(found.area.min()), float(found.area.max()), float(found.angle_error_deg.max()))
