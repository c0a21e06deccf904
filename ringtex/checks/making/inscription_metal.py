"""The metal that letters in the bore leave under the relief."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.geometry.least_distance import least_distance
from ringtex.checks.making.hollow_wall import original_number, outer_faces
from ringtex.checks.making.making_limits import MakingLimits
from ringtex.checks.ring_position import as_place, words_for
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.mesh.ring_mesh import RingSolid


@dataclass(frozen=True)
class LettersMetal:
    """Thinnest metal between the letters and the outside, mm, and its place on the letters."""

    metal_mm: float
    place: Floats


def measure_letters(finished: FinishedRing, solid: RingSolid) -> LettersMetal | None:
    """The nearest distance from the letters to the outside on the finished mesh; None without an inscription.

    Letters that stand into the finger hole leave more than the bore does.
    """
    own = finished.original_id == original_number("inscription")
    if not np.any(own):
        return None
    vertices = finished.mesh.vertices
    letters = vertices[np.unique(finished.mesh.faces[own])]
    return LettersMetal(*least_distance(letters, vertices[outer_faces(finished, solid)]))


def check_inscription(letters: LettersMetal | None, limits: MakingLimits) -> list[Finding]:
    """Thin metal between the letters and the outside."""
    level = limits.metal_mm.judge(letters.metal_mm) if letters is not None else None
    if letters is None or level is None:
        return []
    limit = limits.metal_mm.least if level is Level.ERROR else limits.metal_mm.near
    message = f"Only {letters.metal_mm:.2f} mm of metal between the inscription and the relief"
    advice = "Make the letters shallower, or the band higher there"
    where, place = words_for(letters.place), as_place(letters.place)
    return [Finding(Kind.THIN_METAL, level, message, advice, letters.metal_mm, limit, where=where, place=place)]
