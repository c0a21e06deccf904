"""The wall between the hollow and the outside, measured on the finished mesh."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.geometry.least_distance import least_distance
from ringtex.checks.making.making_limits import MakingLimits
from ringtex.checks.ring_position import as_place, words_for
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.mesh.ring_mesh import RingSolid

ADDED: Final = ("collar", "plain")
"""Parts that lie on the ring's outside beside its own faces."""


SPACING_MM: Final = 0.5
"""Distance of the places along an edge at which a wall is measured: by Pythagoras a wall of 0.7 is at most 0.05 thinner
halfway between two, and that only over a needle's point. A hollow lies level with the outside."""

MAX_PARTS: Final = 64
"""Parts of one edge: a hollow's longest, from roof to bore, is some 10 mm."""


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

    Exact to the outer triangles from places all over the hollow's faces, their rims and insides included. Seats, drains
    and the opening to the finger are no part of the outside, so that a wall that ends at them by design is not thin.
    """
    own = finished.original_id == original_number("hollow")
    if finished.hollow is None or not np.any(own):
        return None
    vertices = finished.mesh.vertices
    places = _spread(vertices, finished.mesh.faces[own])
    wall, place = least_distance(places, vertices[outer_faces(finished, solid)])
    if not finished.hollow_closed:
        return HollowWall(wall, place)
    return HollowWall(wall, place, *least_distance(places, vertices[_bore_faces(finished, solid)]))


def _spread(vertices: Floats, faces: Ints) -> Floats:
    """(p, 3) places all over faces (n, 3): their corners and middles, and along every edge at most SPACING_MM apart."""
    sides = np.sort(np.concatenate((faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]])), axis=1)
    ends = vertices[np.unique(sides, axis=0)]
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    parts = np.clip(np.ceil(length / SPACING_MM), 1, MAX_PARTS).astype(np.int64)
    places = [vertices[np.unique(faces)], vertices[faces].mean(axis=1)]
    for count in np.unique(parts[parts > 1]):
        share = (np.arange(1, count) / count)[None, :, None]
        start, end = ends[parts == count, :1], ends[parts == count, 1:]
        places.append((start + share * (end - start)).reshape(-1, 3))
    return np.concatenate(places)


def original_number(name: str) -> int:
    """The number of a part in `FinishedRing.original_id`."""
    from ringtex.solid.mesh.booleans import ORIGINALS

    return ORIGINALS.index(name)


def outer_faces(finished: FinishedRing, solid: RingSolid) -> Ints:
    """(k, 3) triangles of the finished mesh that lie on the outer face, its relief and the sides."""
    before_bore = solid.face_ranges["sides"].stop
    outside = (finished.original_id == original_number("ring")) & (finished.face_id < before_bore)
    for name in ADDED:
        outside |= finished.original_id == original_number(name)
    return np.asarray(finished.mesh.faces[outside])


def _bore_faces(finished: FinishedRing, solid: RingSolid) -> Ints:
    bore = (finished.original_id == original_number("ring")) & (finished.face_id >= solid.face_ranges["bore"].start)
    return np.asarray(finished.mesh.faces[bore | (finished.original_id == original_number("inscription"))])


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
