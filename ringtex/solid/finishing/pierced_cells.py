"""Pierced cells: prisms through the whole wall, each square to the ring's axis."""

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
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.strip.strip_map import StripMap

CLEAR_MM = 1.0
"""How far a prism reaches out of the metal, on the outside and into the finger hole."""

BESIDE_MM = 0.1
"""Rows of a prism's sides that end its part in the metal lie so far outside of it: nearer, they would cut needles."""

TWIST_FRACTION = 0.7
"""Fraction of the chord tolerance that a twisted side may take."""

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


def pierced_cells(
    strip: StripMap, outlines: CellOutlines, stones: tuple[SetStone, ...], plain: tuple[PlainPlace, ...]
) -> PiercedCells:
    """The cells that are pierced: all that have an outline, except those under a stone's collar or a plain place.

    Parameters:
        strip: the strip map.
        outlines: those of all cells.
        stones, plain: what cells are left whole for.
    Returns: the outlines that are cut, on the ring.
    Raises: InputError where a cell is too long round the ring to be cut in one piece.
    """
    outlines = outlines.without(_covered(strip, outlines, stones, plain))
    points = strip.shell_map(outlines.positions[:, 0], outlines.positions[:, 1], np.zeros(len(outlines.positions)))
    middle = _theta(strip.shell_map(outlines.centre[:, 0], outlines.centre[:, 1], np.zeros(len(outlines.centre))))
    off = _theta(points) - middle[outlines.number]
    off -= 2.0 * np.pi * np.rint(off / (2.0 * np.pi))
    if np.any(np.abs(off) > MAX_HALF_ANGLE_RAD):
        message = "a cell is too long round the ring to be pierced in one piece"
        raise InputError(message, "Use more cells around, or another relief form", "pattern.around")
    return PiercedCells(outlines, middle[outlines.number] + off, points[:, 2])


def prisms(strip: StripMap, pierced: PiercedCells, top_mm: float, chord_mm: float) -> RingMesh:
    """All prisms as one mesh of separate bodies, from above the relief into the bore.

    Parameters:
        strip: the strip map.
        pierced: the cells.
        top_mm: how far the relief reaches over the outer face, mm.
        chord_mm: chord tolerance, mm.
    Returns: the bodies to cut out.
    """
    outlines, band = pierced.outlines, strip.band
    number, after = outlines.number, outlines.following
    centre = strip.shell_map(outlines.centre[:, 0], outlines.centre[:, 1], np.zeros(pierced.count))
    middle = _theta(centre)
    spread = np.maximum.reduceat(np.abs(_wrapped(pierced.theta - middle[number])), outlines.start[:-1])
    crown = np.max(band.crown_radius(np.linspace(-np.pi, np.pi, 361)))
    high = (crown + top_mm + CLEAR_MM) / np.cos(spread)
    low = np.full(pierced.count, band.bore_radius_mm - CLEAR_MM)
    rings = [
        _on_ring(radius, pierced.theta, pierced.z) for radius in _radii(strip, pierced, (low, high), top_mm, chord_mm)
    ]
    middles = [_on_ring(radius, middle, centre[:, 2]) for radius in (high, low)]
    size, rows = len(number), len(rings)
    point = np.arange(size)
    last = (rows - 1) * size
    hub_up, hub_low = rows * size + number, rows * size + pierced.count + number
    faces = [
        np.column_stack((point, point[after], hub_up)),
        np.column_stack((last + after, last + point, hub_low)),
    ]
    for row in range(rows - 1):
        upper, lower = row * size + point, (row + 1) * size + point
        faces.append(np.column_stack((lower, lower[after], upper[after])))
        faces.append(np.column_stack((lower, upper[after], upper)))
    return RingMesh(np.concatenate((*rings, *middles)), np.concatenate(faces).astype(np.int32))


def _radii(
    strip: StripMap, pierced: PiercedCells, ends: tuple[Floats, Floats], top_mm: float, chord_mm: float
) -> list[Floats]:
    """Radii (k,) of each row of the prisms' sides, from the outside in; ends: the (n,) lowest and highest of each.

    A side between two points of unequal z and theta is a twisted surface, which two triangles miss by a quarter of the
    twist: where that is too much, rows divide it inside the metal.
    """
    number, after = pierced.outlines.number, pierced.outlines.following
    low, high = (each[number] for each in ends)
    u, v = pierced.outlines.positions.T
    inner = strip.band.bore_radius_at(pierced.theta, pierced.z) - BESIDE_MM
    outer = np.hypot(*strip.shell_map(u, v, np.zeros(len(u)))[:, :2].T) + top_mm + BESIDE_MM

    def missed(first: Floats, second: Floats) -> float:
        """Largest distance of the middle of a side from its diagonal, square to the side, mm."""
        a, d = (_on_ring(radius, pierced.theta, pierced.z) for radius in (first, second))
        b, c = a[after], d[after]
        normal = np.cross(c - a, d - b)
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
        return float(np.max(np.abs(np.sum((a + c - b - d) * normal, axis=1)), initial=0.0)) / 4.0

    if missed(low, high) <= TWIST_FRACTION * chord_mm:
        return [high, low]
    pieces = int(np.ceil(missed(inner, outer) / (TWIST_FRACTION * chord_mm)))
    fractions = np.linspace(1.0, 0.0, pieces + 1)
    return [high, *(inner + fraction * (outer - inner) for fraction in fractions), low]


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
        _on_ring(strip.band.bore_radius_mm * (1.0 - s) + radius * s, _theta(points), points[:, 2])
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


def _on_ring(radius: Floats, theta: Floats, z: Floats) -> Floats:
    return np.column_stack((-radius * np.sin(theta), radius * np.cos(theta), z))
