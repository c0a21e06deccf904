"""Stones: how near to each other, to the band's edges and to the hollow they sit, and how much metal carries them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.checks.geometry.nearest_triangle import nearest_distances
from ringtex.checks.making.hollow_wall import original_number
from ringtex.checks.stones.stone_holes import hole_gap
from ringtex.checks.stones.stone_rims import StoneRims, stone_rims
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.finishing.stone_options import Stone
from ringtex.solid.finishing.stone_seats import SetStone
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid

AROUND = 96
"""Places on a girdle's circle: distances between two such circles of 5 mm are right to 0.002 mm."""


@dataclass(frozen=True)
class StoneSeating:
    """One stone as it sits; lengths mm, infinity where there is nothing near.

    gap_mm: metal to the nearest other stone's girdle. hole_gap_mm: metal between its hole and another's inside the
    ring, save for holes that have come together where they end.
    edge_mm: from girdle, or from its hole in the finger hole, to the
    band's side. culet_mm: from the culet to the finger hole, along the stone's axis. seat_mm: metal between girdle and
    hollow. rims: how its seat meets the hollow.
    """

    gap_mm: float
    hole_gap_mm: float
    edge_mm: float
    culet_mm: float
    seat_mm: float
    rims: StoneRims


def measure_stones(finished: FinishedRing, solid: RingSolid) -> list[StoneSeating]:
    """Every stone's seating, in the order of the stones; between meshes exact, save for AROUND."""
    if not finished.stones:
        return []
    circles = np.array([_circle(each, each.stone.diameter_mm, _girdle(each.stone)) for each in finished.stones])
    exits = np.array(
        [_circle(each, each.stone.hole * each.stone.diameter_mm, -each.place.metal_mm) for each in finished.stones]
    )
    sides = solid.mesh.faces[solid.face_ranges["sides"]]
    edge = np.minimum(_least(circles, solid.mesh, sides), _least(exits, solid.mesh, sides))
    hollow = finished.mesh.faces[finished.original_id == original_number("hollow")]
    seat = _least(circles, finished.mesh, hollow)
    rims = stone_rims(finished, solid.face_ranges["bore"].start)
    return [
        StoneSeating(
            _gap(finished.stones, circles, number),
            hole_gap(finished.stones, number),
            float(edge[number]),
            each.place.metal_mm - each.stone.depth_mm,
            float(seat[number]),
            rims[number],
        )
        for number, each in enumerate(finished.stones)
    ]


def _girdle(stone: Stone) -> float:
    """Height of the girdle's lower edge over the table: below it."""
    return -stone.diameter_mm * (stone.proportions.crown_height + stone.proportions.girdle)


def _circle(each: SetStone, diameter: float, height: float) -> Floats:
    """(AROUND, 3) places on a circle about a stone's axis."""
    axis = each.place.axis
    side = np.cross(axis, [0.0, 0.0, 1.0] if abs(axis[2]) < 0.9 else [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    angle = 2.0 * np.pi * np.arange(AROUND)[:, None] / AROUND
    spoke = np.cos(angle) * side + np.sin(angle) * np.cross(axis, side)
    return np.asarray(each.place.table + height * axis + 0.5 * diameter * spoke)


def _least(circles: Floats, mesh: RingMesh, faces: NDArray[np.int32]) -> Floats:
    """(stones,) least distance of each circle from the triangles."""
    distance = nearest_distances(circles.reshape(-1, 3), mesh.vertices, faces)
    return np.asarray(np.min(distance.reshape(len(circles), AROUND), axis=1))


def _gap(stones: tuple[SetStone, ...], circles: Floats, number: int) -> float:
    """From one girdle to the nearest other, negative by how far two of them overlap."""
    from scipy.spatial import cKDTree

    middle = circles.mean(axis=1)
    radius = np.array([0.5 * each.stone.diameter_mm for each in stones])
    apart = np.linalg.norm(middle - middle[number], axis=1) - radius - radius[number]
    apart[number] = np.inf
    near = np.flatnonzero(apart < 1.0)
    if len(near) == 0:
        return float(np.min(apart))
    clear = near[apart[near] > 0.0]
    if len(clear) < len(near):
        return float(np.min(apart[near]))
    # Tilted girdles come nearer than their middles tell.
    return float(np.min(cKDTree(circles[clear].reshape(-1, 3)).query(circles[number])[0]))
