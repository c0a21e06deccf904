"""Pierced cells: which cells are cut through the whole wall, and where, each square to the ring's axis."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.errors import InputError
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import distance_outside, place_map
from ringtex.solid.finishing.cell_outlines import CellOutlines, Whole
from ringtex.solid.finishing.stone_seats import SetStone
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.strip.strip_map import StripMap

WEB_MM = 0.3
"""Cells that come nearer than this to a stone's collar or a plain place are left whole."""

LEVEL_FRACTIONS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
"""Where between bore and outer face a hole's distance from a stone's hole is looked at, as fractions of the wall."""

MAX_HALF_ANGLE_RAD = math.radians(70.0)
"""Half the angle round the ring that a pierced cell may take: its points' angles are told from its middle's."""

WHOLE_WORDS: Final = {
    Whole.COVERED: "under stones or plain places",
    Whole.SHALLOW: "too shallow",
    Whole.NARROW: "too narrow",
    Whole.MEETING: "whose holes would meet",
    Whole.LOOSE: "round metal that would come loose",
    Whole.LONG: "too long round the ring",
}
"""Of cells that are left whole, after their number."""


@dataclass(frozen=True, eq=False)
class PiercedCells:
    """What is cut through: the outlines, and where they run: theta (k,) radians, unwrapped, and z (k,) mm. noun:
    "cells", or "shapes" of own motifs and growth rings.

    Every hole is radial: from each point it runs straight to the ring's axis, so its outline in (theta, z) is the same
    at every radius, and two holes never meet.
    """

    outlines: CellOutlines
    theta: Floats
    z: Floats
    noun: str = "cells"

    @property
    def count(self) -> int:
        """How many cells are pierced."""
        return len(self.outlines.cell)

    def whole_cells(self, why: Whole) -> Longs:
        """(n,) the cells that are left whole for that reason."""
        return np.flatnonzero(self.outlines.whole == why)

    @property
    def cells(self) -> int:
        """How many cells could be pierced: all but level ones."""
        return self.count + int(np.count_nonzero(self.outlines.whole))

    @property
    def summary(self) -> str:
        """Such as "49 of 66 cells, left whole: 12 under stones or plain places"."""
        found = [(len(self.whole_cells(why)), words) for why, words in WHOLE_WORDS.items()]
        whole = ", ".join(f"{count} {words}" for count, words in found if count)
        return f"{self.count} of {self.cells} {self.noun}{f', left whole: {whole}' if whole else ''}"

    def without(self, outlines: NDArray[np.bool_]) -> PiercedCells:
        """Those that are not marked (n,) because their holes would meet."""
        point = ~outlines[self.outlines.number]
        left = self.outlines.without(outlines, Whole.MEETING)
        return replace(self, outlines=left, theta=self.theta[point], z=self.z[point])


def pierced_cells(
    strip: StripMap, solid: RingSolid, stones: tuple[SetStone, ...], plain: tuple[PlainPlace, ...]
) -> PiercedCells | None:
    """The cells that are pierced: all that have an outline, except those under a stone's collar or a plain place.

    Parameters:
        strip: the strip map.
        solid: with the outlines of all cells.
        stones, plain: what cells are left whole for.
    Returns: the outlines that are cut, on the ring; None for a relief of another form.
    Raises: InputError where a cell is too long round the ring to be cut in one piece; shapes that are stay whole.
    """
    if solid.outlines is None:
        return None
    outlines = solid.outlines.without(_covered(strip, solid.outlines, stones, plain), Whole.COVERED)
    if solid.loops is not None:
        # Those would be left whole if they were wide enough, too.
        narrow = np.flatnonzero(outlines.whole == Whole.NARROW)
        whole = outlines.whole.copy()
        whole[narrow[_near(strip, solid.loops.centre[narrow], stones, plain)]] = Whole.COVERED
        outlines = replace(outlines, whole=whole)
    points = solid.mesh.vertices[outlines.vertex]
    middle = _theta(strip.shell_map(outlines.centre[:, 0], outlines.centre[:, 1], np.zeros(len(outlines.centre))))
    off = _theta(points) - middle[outlines.number]
    off -= 2.0 * np.pi * np.rint(off / (2.0 * np.pi))
    far = np.abs(off) > MAX_HALF_ANGLE_RAD
    if np.any(far) and solid.contours is not None:
        is_long = np.bincount(outlines.number, far, len(outlines.cell)) > 0
        off, points = off[~is_long[outlines.number]], points[~is_long[outlines.number]]
        outlines, middle = outlines.without(is_long, Whole.LONG), middle[~is_long]
    elif np.any(far):
        message = "a cell is too long round the ring to be pierced in one piece"
        raise InputError(message, "Use more cells around, or another relief form", "pattern.around")
    noun = "cells" if solid.contours is None else "shapes"
    return PiercedCells(outlines, middle[outlines.number] + off, points[:, 2], noun)


def _covered(
    strip: StripMap, outlines: CellOutlines, stones: tuple[SetStone, ...], plain: tuple[PlainPlace, ...]
) -> NDArray[np.bool_]:
    """(n,) the outline comes under a collar or a plain place, or runs round it."""
    near = _near(strip, outlines.positions, stones, plain)
    covered = np.bincount(outlines.number, near, minlength=len(outlines.cell)) > 0
    for u, v in [*((each.stone.u, each.stone.v) for each in stones), *((place.u, place.v) for place in plain)]:
        covered |= outlines.containing(u * strip.length, v * strip.width, strip.length)
    return covered


def _near(
    strip: StripMap, positions: Floats, stones: tuple[SetStone, ...], plain: tuple[PlainPlace, ...]
) -> NDArray[np.bool_]:
    """(n,) the place (n, 2) on the strip is under a collar or a plain place, or nearly."""
    near = np.zeros(len(positions), dtype=bool)
    u, v = positions.T
    points = strip.shell_map(u, v, np.zeros(len(u)))
    # A pierced cell runs to the ring's axis, and a stone's hole along the stone's: they may meet further in.
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
    for place in plain:
        near |= distance_outside(place, *place_map(strip, place).from_strip(u, v)) < WEB_MM
    return near


def _theta(points: Floats) -> Floats:
    return np.arctan2(-points[:, 0], points[:, 1])


def on_ring(radius: Floats, theta: Floats, z: Floats) -> Floats:
    """(n, 3) points at radii, angles from the head and heights along the axis.

    Parameters:
        radius, theta, z: (n,) mm, radians and mm.
    Returns: (n, 3) mm.
    """
    return np.column_stack((-radius * np.sin(theta), radius * np.cos(theta), z))
