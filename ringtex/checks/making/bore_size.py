"""The finger size that the mesh really has."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.solid.mesh.ring_mesh import RingMesh

WARN_OFF_MM: Final = 0.2
"""Circumference off what was asked, from where on it is a warning: common practice, no source."""

WRONG_OFF_MM: Final = 0.5
"""Half an ISO size: from here on another size would be read."""


@dataclass(frozen=True)
class BoreSize:
    """The largest cylinder round the z axis that fits through the ring. Lengths mm."""

    radius_mm: float

    @property
    def circumference_mm(self) -> float:
        """What a size stick would read: the size of the biggest cylinder that goes in (EN ISO 8653:2014)."""
        return 2.0 * math.pi * self.radius_mm


def measure_bore(mesh: RingMesh, bore: slice | NDArray[np.bool_] = slice(None)) -> BoreSize:
    """Measure the bore's triangles (all triangles, if none are named; else a slice or a mask), chords and all.

    The nearest point of a triangle to the axis lies on one of its edges, seen along the axis, unless the axis goes
    through the triangle: then there is no bore and the radius is 0.
    """
    seen = mesh.vertices[:, :2].T.copy()
    corners = seen[:, mesh.faces[bore].T]
    following = corners[:, [1, 2, 0]]
    along = following - corners
    length2 = np.einsum("icm,icm->cm", along, along)
    share = -np.einsum("icm,icm->cm", corners, along) / np.where(length2 > 0.0, length2, 1.0)
    nearest = corners + np.clip(share, 0.0, 1.0) * along
    radius = math.sqrt(float(np.einsum("icm,icm->cm", nearest, nearest).min(initial=np.inf)))
    return BoreSize(0.0 if _axis_is_covered(corners, following) else radius)


def _axis_is_covered(corners: NDArray[np.float64], following: NDArray[np.float64]) -> bool:
    turn = corners[0] * following[1] - corners[1] * following[0]
    inside = np.all(turn > 0.0, axis=0) | np.all(turn < 0.0, axis=0)
    return bool(np.any(inside))


def check_size(size: BoreSize, expected_circumference_mm: float) -> list[Finding]:
    """Is the measured size the one that was asked for?"""
    if size.radius_mm == 0.0:
        advice = "Put the middle of the finger hole on the z axis, the axis along z"
        return [Finding(Kind.WRONG_SIZE, Level.ERROR, "No finger hole goes through along the z axis", advice)]
    off = size.circumference_mm - expected_circumference_mm
    if abs(off) <= WARN_OFF_MM:
        return []
    level = Level.ERROR if abs(off) > WRONG_OFF_MM else Level.WARNING
    wide = "wider" if off > 0.0 else "tighter"
    message = f"The ring measures {size.circumference_mm:.2f} mm round the finger, {abs(off):.2f} {wide} than asked"
    advice = "Build with a finer tolerance, or set the size again; published tables of a scale may differ too"
    return [Finding(Kind.WRONG_SIZE, level, message, advice, size.circumference_mm, expected_circumference_mm)]


def check_letters(size: BoreSize, letters: BoreSize | None) -> list[Finding]:
    """Do letters that stand into the finger hole make the ring tighter? size: the bore's own, without them."""
    tighter = size.circumference_mm - letters.circumference_mm if letters is not None else 0.0
    if letters is None or tighter <= WARN_OFF_MM:
        return []
    message = f"The raised letters make the ring {tighter:.2f} mm tighter round the finger"
    advice = f"Cut the letters into the bore, make them lower, or ask for a ring {tighter:.1f} mm wider round"
    measured, asked = letters.circumference_mm, size.circumference_mm
    return [Finding(Kind.WRONG_SIZE, Level.WARNING, message, advice, measured, asked)]
