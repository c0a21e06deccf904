"""How large the cells are on the ring, measured on the mesh's own triangles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.solid.mesh.ring_mesh import RingSolid


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


def measure_cell_areas(solid: RingSolid, face: FaceView, cells: int) -> CellAreas:
    """Add up each cell's triangles, laid on the outer face.

    Independent of how the cells were made even. Chords make it low by at most the square of a triangle's share of the
    curvature's radius.
    """
    base = face.point(solid.strip_positions[:, 0], solid.strip_positions[:, 1])
    faces = solid.mesh.faces[solid.face_ranges["cells"]]
    a, b, c = (base[faces[:, corner]] for corner in range(3))
    triangles = 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)
    areas = np.bincount(solid.face_cell, weights=triangles, minlength=cells)
    mean = float(areas.mean())
    return CellAreas(float(areas.min()), mean, float(areas.max()), float(areas.std()) / mean)
