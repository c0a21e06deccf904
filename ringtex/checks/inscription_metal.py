"""The metal that letters in the bore leave under the relief."""

from __future__ import annotations

import numpy as np

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.hollow_wall import outer_faces, part_number
from ringtex.checks.limits import MakingLimits
from ringtex.checks.nearest_triangle import nearest_distances
from ringtex.checks.ring_place import as_place, words_for
from ringtex.solid.finish import FinishedRing
from ringtex.solid.ring_mesh import RingSolid


def check_inscription(finished: FinishedRing, solid: RingSolid, limits: MakingLimits) -> list[Finding]:
    """Thin metal between the letters and the outside: the nearest distance on the finished mesh.

    Letters that stand into the finger hole leave more than the bore does, so that they are never found.
    """
    own = finished.part == part_number("inscription")
    if not np.any(own):
        return []
    vertices = finished.mesh.vertices
    letters = np.unique(finished.mesh.faces[own])
    distance = nearest_distances(vertices[letters], vertices, outer_faces(finished, solid), least_only=True)
    worst = int(np.argmin(distance))
    least_mm, place = float(distance[worst]), vertices[letters[worst]]
    level = limits.metal_mm.judge(least_mm)
    if level is None:
        return []
    limit = limits.metal_mm.least if level is Level.ERROR else limits.metal_mm.near
    message = f"Only {least_mm:.2f} mm of metal between the inscription and the relief"
    advice = "Make the letters shallower, or the band higher there"
    where = words_for(place)
    return [Finding(Kind.THIN_METAL, level, message, advice, least_mm, limit, where=where, place=as_place(place))]
