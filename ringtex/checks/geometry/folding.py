"""Does the relief fold over itself?

A surface offset by h along its outward normal stays free of folds where 1 + h k > 0 for both principal curvatures (k
positive where the face is convex outwards), and the relief does where, besides, every triangle lies the right way
round in the flat strip. Both are tested at every vertex and triangle. Not covered: two distant parts of the ring that
meet in space. Source: Porumbescu et al. 2005, Shell maps (a shell map is one to one while the offset surface does not
fold).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.tolerances import FOLDED_AREA_MM2, SAME_PLACE_MM
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.ring_position import as_place, words_for
from ringtex.checks.strip_geometry import StripView
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.mesh.strip_triangulation import double_areas

NEAR_FOLD = 0.2
"""Under this 1 + h k the relief is shrunk to a fifth of its width on the strip: near to a fold."""


@dataclass(frozen=True)
class FoldMargin:
    """How far the relief is from folding.

    margin is the smallest 1 + h k (1 where the relief has no height), place its vertex. backward counts the triangles
    that run the wrong way in the strip, backward_place is a corner of the first (None if there is none).
    """

    margin: float
    place: Floats
    backward: int
    backward_place: Floats | None


def measure_folding(solid: RingSolid, strip: StripView) -> FoldMargin:
    """Measure both; where the relief has no height its margin is 1 by definition."""
    u, v, h = solid.strip_positions.T
    margin = np.ones(len(h))
    raised = np.flatnonzero(np.abs(h) > SAME_PLACE_MM)
    if len(raised):
        first, second = strip.curvatures(u[raised], v[raised])
        height = h[raised]
        margin[raised] += np.minimum(np.minimum(height * first, height * second), 0.0)
    worst = int(np.argmin(margin))
    backward = _backward_triangles(solid, strip.length)
    vertices, faces = solid.mesh.vertices, relief_faces(solid)
    first_place = vertices[faces[backward[0], 0]] if len(backward) else None
    return FoldMargin(float(margin[worst]), vertices[worst], len(backward), first_place)


def relief_faces(solid: RingSolid) -> NDArray[np.int32]:
    """(m, 3) the triangles of cells and rails whose corners all lie on the outer face."""
    faces = solid.mesh.faces[: solid.face_ranges["rails"].stop]
    outer = len(solid.strip_positions)
    if int(np.max(faces, initial=-1)) < outer:
        return faces
    return faces[(faces[:, 0] < outer) & (faces[:, 1] < outer) & (faces[:, 2] < outer)]


def _backward_triangles(solid: RingSolid, length: float) -> NDArray[np.int64]:
    areas = double_areas(solid.strip_positions, relief_faces(solid), length)
    return np.flatnonzero(areas < -2.0 * FOLDED_AREA_MM2)


def check_folding(fold: FoldMargin) -> list[Finding]:
    """A fold is an error; nearly folding is a warning."""
    found = []
    if fold.backward and fold.backward_place is not None:
        message = f"{fold.backward} triangles of the relief run backwards: neighbouring walls cross each other"
        advice = "Make the ridges or grooves narrower, the flank steeper or the cells larger"
        found.append(
            _finding(Level.ERROR, message, advice, float(fold.backward), 0.0, "triangles", fold.backward_place)
        )
    if fold.margin <= 0.0:
        message = "The relief is deeper than the band's curvature allows, so that it folds over itself"
        advice = "Make the relief shallower, or the band rounder there (a larger corner, a lower fullness)"
        found.append(_finding(Level.ERROR, message, advice, fold.margin, 0.0, "", fold.place))
    elif fold.margin < NEAR_FOLD:
        message = "The relief is nearly as deep as the band's curvature allows, so that its cells are pinched"
        advice = "Make the relief shallower, or the band rounder there"
        found.append(_finding(Level.WARNING, message, advice, fold.margin, NEAR_FOLD, "", fold.place))
    return found


def _finding(
    level: Level, message: str, advice: str, measured: float, limit: float, unit: str, place: Floats
) -> Finding:
    where = words_for(place)
    return Finding(Kind.FOLDED_RELIEF, level, message, advice, measured, limit, unit, where, as_place(place))
