"""Pieces of the relief's mesh on the strip, and the flat list of all segments of the cells' sides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling
from ringtex.solid.mesh.strip_triangulation import spread


@dataclass(frozen=True, eq=False)
class StripMesh:
    """Part of the relief's mesh on the strip: places (n, 3) as (u, v, h), faces (m, 3), and each face's cell (m,)."""

    places: Floats
    faces: Ints
    cell: Ints


class SideRows:
    """A row of points round every cell: point p is the start of segment number[p] of side[p], part[p] of the way along.

    count (half walls,) segments of each side. start (half walls,) each side's first point; a side without segments
    starts where the next one of its cell does.
    """

    def __init__(self, tiling: Tiling, count: Longs) -> None:
        self.count = count
        self.side, self.number = spread(count)
        self.part = self.number / count[self.side]
        self.first = np.cumsum(count) - count
        cell_first = self.first[tiling.cell_start[:-1]]
        total = np.add.reduceat(count, tiling.cell_start[:-1])
        cell = tiling.corner_cell
        self.start = cell_first[cell] + (self.first - cell_first[cell]) % np.maximum(total[cell], 1)
        # The side that really begins at each side's start: itself, or the next one that has segments.
        self.living = self.side[np.minimum(self.start, max(len(self.side) - 1, 0))] if len(self.side) else self.first

    def __len__(self) -> int:
        return len(self.side)

    def places(self, tiling: Tiling, corner: Floats) -> Floats:
        """(points, 2) every point of the row, given the place (half walls, 2) where each side starts."""
        run = corner[self.living[tiling.next_corner]] - corner
        places: Floats = corner[self.side] + self.part[:, None] * run[self.side]
        return places


def joined(places: list[Floats], faces: list[Ints], cells: list[Ints]) -> StripMesh:
    """The pieces as one, without triangles that have shrunk to a line by index, nor points that only those used."""
    all_faces, cell = np.concatenate(faces), np.concatenate(cells)
    a, b, c = all_faces.T
    same = (a == b) | (b == c) | (a == c)
    all_places = np.concatenate(places)
    if np.any(same):
        all_faces, cell = all_faces[~same], cell[~same]
        used = np.zeros(len(all_places), dtype=bool)
        used[all_faces] = True
        renumbered = np.cumsum(used, dtype=np.int32) - 1
        all_faces, all_places = renumbered[all_faces], all_places[used]
    return StripMesh(all_places, all_faces, cell.astype(np.int32))
