"""The wall between the hollow and the outside, measured on the finished mesh."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.limits import MakingLimits
from ringtex.checks.nearest_triangle import nearest_distances
from ringtex.checks.ring_place import as_place, words_for
from ringtex.solid.finish import FinishedRing
from ringtex.solid.ring_mesh import RingSolid

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

ADDED: Final = ("collar", "plain")
"""Parts that lie on the ring's outside beside its own faces."""


@dataclass(frozen=True)
class HollowWall:
    """Thinnest metal between the hollow and the outside, mm, and its place on the hollow's side.

    floor_mm, floor_place: the same between a closed hollow and the finger hole, inscriptions included; None where open.
    """

    wall_mm: float
    place: Floats
    floor_mm: float | None = None
    floor_place: Floats | None = None


def measure_hollow_wall(finished: FinishedRing, solid: RingSolid) -> HollowWall | None:
    """Nearest distance from the hollow's own faces to the ring's outer face, relief and sides; None without a hollow.

    Exact between the hollow's vertices and the outer triangles. The hollow bulges outwards everywhere, so that its own
    faces are no nearer than their vertices. Edges of seats and drains, where the wall ends by design, do not count; nor
    does the opening to the finger.
    """
    if finished.hollow is None:
        return None
    own = finished.part == part_number("hollow")
    vertices, faces = finished.mesh.vertices, finished.mesh.faces
    bounded = np.zeros(len(vertices), dtype=bool)
    bounded[faces[~own]] = True
    inner = np.unique(faces[own])
    inner = inner[~bounded[inner]]
    if len(inner) == 0:
        return None
    wall, place = _thinnest(finished, inner, outer_faces(finished, solid))
    if not finished.hollow_closed:
        return HollowWall(wall, place)
    return HollowWall(wall, place, *_thinnest(finished, inner, _bore_faces(finished, solid)))


def _thinnest(finished: FinishedRing, inner: NDArray[np.int32], faces: Ints) -> tuple[float, Floats]:
    vertices = finished.mesh.vertices
    distance = nearest_distances(vertices[inner], vertices, faces, least_only=True)
    worst = int(np.argmin(distance))
    return float(distance[worst]), vertices[inner[worst]]


def part_number(name: str) -> int:
    """The number of a part in `FinishedRing.part`."""
    from ringtex.solid.booleans import PARTS

    return PARTS.index(name)


def outer_faces(finished: FinishedRing, solid: RingSolid) -> Ints:
    """(k, 3) triangles of the finished mesh that lie on the outer face, its relief and the sides."""
    before_bore = solid.parts["sides"].stop
    outside = (finished.part == part_number("ring")) & (finished.source < before_bore)
    for name in ADDED:
        outside |= finished.part == part_number(name)
    return np.asarray(finished.mesh.faces[outside])


def _bore_faces(finished: FinishedRing, solid: RingSolid) -> Ints:
    bore = (finished.part == part_number("ring")) & (finished.source >= solid.parts["bore"].start)
    return np.asarray(finished.mesh.faces[bore | (finished.part == part_number("inscription"))])


def check_hollow_wall(wall: HollowWall | None, limits: MakingLimits) -> list[Finding]:
    """A wall or a floor that is thin to cast and to wear."""
    if wall is None:
        return []
    found = _judged(wall.wall_mm, wall.place, limits, "the outside", "Make the hollow's wall or lip")
    if wall.floor_mm is not None and wall.floor_place is not None:
        found += _judged(wall.floor_mm, wall.floor_place, limits, "the finger", "Make the hollow's floor")
    return found


def _judged(measured: float, place: Floats, limits: MakingLimits, side: str, advice: str) -> list[Finding]:
    limit = limits.hollow_wall_mm
    level = limit.judge(measured)
    if level is None:
        return []
    least = limit.least if level is Level.ERROR else limit.near
    message = f"Only {measured:.2f} mm of metal between the hollow and {side}"
    where, at = words_for(place), as_place(place)
    advice = f"{advice} {least:g} mm or more"
    return [Finding(Kind.THIN_METAL, level, message, advice, measured, least, where=where, place=at)]
