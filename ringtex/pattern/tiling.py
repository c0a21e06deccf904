"""The tiling: cells that share walls and close round the strip by index."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ringtex.basics.arrays import Floats, Ints
from ringtex.basics.tolerances import COVER_SHARE, SAME_PLACE_MM


@dataclass(frozen=True, eq=False)
class Tiling:
    """Cells covering the strip's patterned part [0, length) x [lower, upper], periodic in u.

    Cells are polygons, counter-clockwise in (u, v) (so seen from outside the ring); corner h of the flat corner list
    starts the half wall from corner h to the next corner of the same cell. A T-junction is a corner of 180 degrees.

    vertices      (n, 2) float64: u in [0, length), v in [lower, upper]; each place once, the seam's too.
    cell_start    (c + 1,) int32: the corners of cell i are cell_start[i] : cell_start[i + 1].
    corner_vertex (m,) int32: the vertex at each corner.
    corner_turn   (m,) int32: turns to add, so that a cell is in one piece: u = vertices[corner_vertex, 0] + length *
                  turn.
    twin          (m,) int32: the half wall on the other side, which runs the other way; -1 on the lower and upper
                  border.

    Guarantees, asserted by `problems`: exact cover, no overlap, every inner wall shared by two cells, closed by index,
    and every cell star-shaped (some point sees all of it).
    """

    length: float
    lower: float
    upper: float
    vertices: Floats
    cell_start: Ints
    corner_vertex: Ints
    corner_winding: Ints
    twin: Ints

    @property
    def cells(self) -> int:
        """Number of cells."""
        return len(self.cell_start) - 1

    @cached_property
    def corner_cell(self) -> Ints:
        """(m,) the cell of each corner."""
        return np.repeat(np.arange(self.cells, dtype=np.int32), np.diff(self.cell_start))

    @cached_property
    def next_corner(self) -> Ints:
        """(m,) the corner that follows in the same cell."""
        following = np.arange(1, len(self.corner_vertex) + 1, dtype=np.int32)
        following[self.cell_start[1:] - 1] = self.cell_start[:-1]
        return following

    @cached_property
    def previous_corner(self) -> Ints:
        """(m,) the corner that comes before in the same cell."""
        before = np.empty_like(self.next_corner)
        before[self.next_corner] = np.arange(len(before), dtype=np.int32)
        return before

    @cached_property
    def corners(self) -> Floats:
        """(m, 2) the place of each corner, unwrapped so that each cell is in one piece."""
        places = self.vertices[self.corner_vertex]
        places[:, 0] += self.length * self.corner_winding
        return places

    @cached_property
    def areas(self) -> Floats:
        """(c,) signed area of each cell on the strip, mm2."""
        start, end = self.corners, self.corners[self.next_corner]
        cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
        return 0.5 * np.add.reduceat(cross, self.cell_start[:-1])

    @cached_property
    def kernel(self) -> tuple[Floats, Floats]:
        """(c, 2) a point of each cell that sees all of it, unwrapped like its corners, and (c,) its least distance to a
        wall's line, mm; see `kernel_points`.
        """
        from ringtex.pattern.cell_kernel import kernel_points

        return kernel_points(self)

    def problems(self) -> list[str]:
        """Every broken guarantee as a sentence; empty for a sound tiling."""
        return [*self._shape_problems(), *self._wall_problems(), *self._cover_problems()]

    def _shape_problems(self) -> list[str]:
        found = []
        if np.any(np.diff(self.cell_start) < 3):
            found.append("a cell has fewer than three corners")
        if not np.all(np.isfinite(self.vertices)):
            found.append("a vertex is not finite")
        if np.any(self.areas <= 0.0):
            found.append(f"{int(np.sum(self.areas <= 0.0))} cells have no area or run clockwise")
        u = self.vertices[:, 0]
        if np.any((u < 0.0) | (u >= self.length)):
            found.append("a vertex lies outside one turn of the strip")
        ends = self.corners[self.next_corner] - self.corners
        if np.any(np.hypot(ends[:, 0], ends[:, 1]) <= SAME_PLACE_MM):
            found.append("a wall has no length")
        hidden = int(np.sum(~(self.kernel[1] > 0.0)))
        if hidden:
            found.append(f"{hidden} cells are not star-shaped")
        return found

    def _wall_problems(self) -> list[str]:
        found = []
        inner = np.flatnonzero(self.twin >= 0)
        mate = self.twin[inner]
        if np.any(self.twin[mate] != inner):
            found.append("a wall is shared by other than two cells")
        if np.any(self.corner_vertex[self.next_corner[mate]] != self.corner_vertex[inner]):
            found.append("two halves of a wall start and end at different vertices")
        if np.any(self.corner_vertex[mate] != self.corner_vertex[self.next_corner[inner]]):
            found.append("two halves of a wall run the same way")
        border = np.flatnonzero(self.twin < 0)
        v, v_end = self.corners[border, 1], self.corners[self.next_corner[border], 1]
        on_lower = (v == self.lower) & (v_end == self.lower)
        on_upper = (v == self.upper) & (v_end == self.upper)
        if not np.all(on_lower | on_upper):
            found.append("a border wall lies inside the pattern")
        if len(np.unique(self.corner_vertex)) != len(self.vertices):
            found.append("a vertex belongs to no cell")
        return found

    def _cover_problems(self) -> list[str]:
        wanted = self.length * (self.upper - self.lower)
        found = []
        if abs(float(np.sum(self.areas)) - wanted) > COVER_SHARE * wanted:
            found.append("the cells do not cover the patterned part exactly")
        # A band closed round the ring has Euler number 0: vertices - walls + cells.
        walls = (len(self.twin) + int(np.sum(self.twin < 0))) // 2
        if len(self.vertices) - walls + self.cells != 0:
            found.append("the pattern does not close once round the ring")
        return found
