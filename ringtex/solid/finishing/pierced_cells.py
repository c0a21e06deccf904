"""Pierced cells: which cells are cut through the whole wall, and where, each square to the ring's axis."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import distance_outside, place_map
from ringtex.solid.finishing.cell_outlines import CellOutlines
from ringtex.solid.finishing.stone_seats import SetStone
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid
from ringtex.strip.strip_map import StripMap

CLEAR_MM = 1.0
"""How far a prism reaches out of the metal, on the outside and into the finger hole."""

BEYOND_MM = 0.02
"""Prisms reach so far beyond their outlines: two faces in one place would leave the cut to rounding."""

WEB_MM = 0.3
"""Cells that come nearer than this to a stone's collar or a plain place are left whole."""

LEVEL_FRACTIONS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
"""Where between bore and outer face a prism's distance from a stone's hole is looked at, as fractions of the wall."""

MAX_HALF_ANGLE_RAD = math.radians(70.0)
"""Half the angle round the ring that a pierced cell may take: beyond, its prism's flat end would cut into the metal."""


@dataclass(frozen=True, eq=False)
class PiercedCells:
    """What is cut through: the outlines, and where they run: theta (k,) radians, unwrapped, and z (k,) mm.

    Every prism is radial: from each point it runs straight to the ring's axis, so its outline in (theta, z) is the same
    at every radius, and two prisms never meet.
    """

    outlines: CellOutlines
    theta: Floats
    z: Floats

    @property
    def count(self) -> int:
        """How many cells are pierced."""
        return len(self.outlines.cell)

    def without(self, outlines: NDArray[np.bool_]) -> PiercedCells:
        """Those that are not marked (n,)."""
        point = ~outlines[self.outlines.number]
        return PiercedCells(self.outlines.without(outlines), self.theta[point], self.z[point])


def pierced_cells(
    strip: StripMap, solid: RingSolid, stones: tuple[SetStone, ...], plain: tuple[PlainPlace, ...]
) -> PiercedCells | None:
    """The cells that are pierced: all that have an outline, except those under a stone's collar or a plain place.

    Parameters:
        strip: the strip map.
        solid: with the outlines of all cells.
        stones, plain: what cells are left whole for.
    Returns: the outlines that are cut, on the ring; None for a relief of another form.
    Raises: InputError where a cell is too long round the ring to be cut in one piece.
    """
    if solid.outlines is None:
        return None
    outlines = solid.outlines.without(_covered(strip, solid.outlines, stones, plain))
    points = solid.mesh.vertices[outlines.vertex]
    middle = _theta(strip.shell_map(outlines.centre[:, 0], outlines.centre[:, 1], np.zeros(len(outlines.centre))))
    off = _theta(points) - middle[outlines.number]
    off -= 2.0 * np.pi * np.rint(off / (2.0 * np.pi))
    if np.any(np.abs(off) > MAX_HALF_ANGLE_RAD):
        message = "a cell is too long round the ring to be pierced in one piece"
        raise InputError(message, "Use more cells around, or another relief form", "pattern.around")
    return PiercedCells(outlines, middle[outlines.number] + off, points[:, 2])


def prisms(strip: StripMap, pierced: PiercedCells) -> RingMesh:
    """Prisms somewhat larger than all cuts, from above the outer face into the bore, as one mesh of separate bodies to
    cut out of what is joined to the ring's inside."""
    outlines, band = pierced.outlines, strip.band
    number, after = outlines.number, outlines.following
    centre = strip.shell_map(outlines.centre[:, 0], outlines.centre[:, 1], np.zeros(pierced.count))
    middle = _theta(centre)
    spokes = np.column_stack((band.bore_radius_mm * _wrapped(pierced.theta - middle[number]), pierced.z))
    spokes[:, 1] -= centre[number, 2]
    longer = 1.0 + BEYOND_MM / np.maximum(np.linalg.norm(spokes, axis=1), BEYOND_MM)
    theta = middle[number] + longer * spokes[:, 0] / band.bore_radius_mm
    z = centre[number, 2] + longer * spokes[:, 1]
    spread = np.maximum.reduceat(np.abs(_wrapped(theta - middle[number])), outlines.start[:-1])
    crown = np.max(band.crown_radius(np.linspace(-np.pi, np.pi, 361)))
    high = (crown + CLEAR_MM) / np.cos(spread)
    low = np.full(pierced.count, band.bore_radius_mm - CLEAR_MM)
    rings = [on_ring(radius[number], theta, z) for radius in (high, low)]
    middles = [on_ring(radius, middle, centre[:, 2]) for radius in (high, low)]
    size = len(number)
    point = np.arange(size)
    hub_up, hub_low = 2 * size + number, 2 * size + pierced.count + number
    faces = [
        np.column_stack((point, point[after], hub_up)),
        np.column_stack((size + after, size + point, hub_low)),
        np.column_stack((size + point, size + after, point[after])),
        np.column_stack((size + point, point[after], point)),
    ]
    return RingMesh(np.concatenate((*rings, *middles)), np.concatenate(faces).astype(np.int32))


def _covered(
    strip: StripMap, outlines: CellOutlines, stones: tuple[SetStone, ...], plain: tuple[PlainPlace, ...]
) -> NDArray[np.bool_]:
    """(n,) the outline comes under a collar or a plain place, or runs round it."""
    covered = np.zeros(len(outlines.cell), dtype=bool)
    near = np.zeros(len(outlines.positions), dtype=bool)
    u, v = outlines.positions.T
    points = strip.shell_map(u, v, np.zeros(len(u)))
    # A prism runs to the ring's axis, and a stone's hole along the stone's: they may meet further in.
    radius = np.hypot(points[:, 0], points[:, 1])
    inwards = [
        on_ring(strip.band.bore_radius_mm * (1.0 - s) + radius * s, _theta(points), points[:, 2])
        for s in LEVEL_FRACTIONS
    ]
    for each in stones:
        limit = 0.5 * each.stone.diameter_mm + each.stone.collar_mm + WEB_MM
        for level in inwards:
            offset = level - each.place.table
            along = offset @ each.place.axis
            off = np.linalg.norm(offset - along[:, None] * each.place.axis, axis=1)
            near |= (off < limit) & (np.abs(along) < each.place.hole_mm)
        covered |= outlines.containing(each.stone.u * strip.length, each.stone.v * strip.width, strip.length)
    for place in plain:
        near |= distance_outside(place, *place_map(strip, place).from_strip(u, v)) < WEB_MM
        covered |= outlines.containing(place.u * strip.length, place.v * strip.width, strip.length)
    covered |= np.bincount(outlines.number, near, minlength=len(covered)) > 0
    return covered


def _theta(points: Floats) -> Floats:
    return np.arctan2(-points[:, 0], points[:, 1])


def _wrapped(angle: Floats) -> Floats:
    return np.asarray(angle - 2.0 * np.pi * np.rint(angle / (2.0 * np.pi)))


def on_ring(radius: Floats, theta: Floats, z: Floats) -> Floats:
    """(n, 3) points at radii, angles from the head and heights along the axis.

    Parameters:
        radius, theta, z: (n,) mm, radians and mm.
    Returns: (n, 3) mm.
    """
    return np.column_stack((-radius * np.sin(theta), radius * np.cos(theta), z))
