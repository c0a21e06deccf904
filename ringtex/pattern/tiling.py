"""The tiling: cells that share walls and close round the strip by index."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs, inverse_permutation, next_in_loops, sorted_unique
from ringtex.basics.tolerances import COVER_SHARE, SAME_PLACE_MM

MAX_STEPS: Final = 60
"""Projections before a cell counts as not star-shaped; cells as they come from tilings need none or a few."""

WANTED_SHARE: Final = 0.02
"""A point is good when it keeps this share of the cell's size from every wall's line: far over rounding, far under the
clearance of any cell fit to carry a relief."""


@dataclass(frozen=True, eq=False)
class Tiling:
    """Cells covering the strip's patterned part [0, length) x [lower, upper], periodic in u.

    Cells are polygons, counter-clockwise in (u, v) (so seen from outside the ring); corner h of the flat corner list
    starts the half-edge from corner h to the next corner of the same cell. A T-junction is a corner of 180 degrees.

    vertices      (n, 2) float64: u in [0, length), v in [lower, upper]; each place once, the seam's too.
    cell_start    (c + 1,) int32: the corners of cell i are cell_start[i] : cell_start[i + 1].
    corner_vertex (m,) int32: the vertex at each corner.
    corner_winding (m,) int32: turns to add, so that a cell is in one piece: u = vertices[corner_vertex, 0] + length *
                  turn.
    twin          (m,) int32: the half-edge on the other side, which runs the other way; -1 on the lower and upper
                  border, and beside a gap.
    gaps          plain strips between zones, from the lowest up: (v from, v to), mm; cells leave them out.

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
    gaps: tuple[tuple[float, float], ...] = ()

    @property
    def zone_borders(self) -> tuple[tuple[float, float], ...]:
        """The intervals of v that cells cover, from the lowest up."""
        inner = [v for gap in self.gaps for v in gap]
        bounds = (self.lower, *inner, self.upper)
        return tuple(zip(bounds[::2], bounds[1::2], strict=True))

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
        return next_in_loops(self.cell_start).astype(np.int32)

    @cached_property
    def previous_corner(self) -> Ints:
        """(m,) the corner that comes before in the same cell."""
        return inverse_permutation(self.next_corner).astype(np.int32)

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
    def centroids(self) -> Floats:
        """(c, 2) centroid of each cell's area, unwrapped like its corners."""
        first = self.cell_start[:-1]
        base = self.corners[first]
        start = self.corners - base[self.corner_cell]
        end = start[self.next_corner]
        cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
        total = np.add.reduceat(cross, first)
        moment = np.add.reduceat((start + end) * cross[:, None], first, axis=0)
        return np.asarray(base + moment / (3.0 * np.where(total == 0.0, 1.0, total))[:, None], dtype=np.float64)

    @cached_property
    def kernel(self) -> tuple[Floats, Floats]:
        """(c, 2) a point of each cell that sees all of it, unwrapped like its corners, and (c,) its least distance to a
        wall's line, mm, on the inner side; zero or less: the cell is not star-shaped.

        The point is the centroid where that is good enough, else found by relaxation (Motzkin and Schoenberg 1954: step
        through the wall most violated).
        """
        return _kernel_points(self)

    def seen_from(self, points: Floats) -> Tiling:
        """The same cells with points (c, 2) as those that see all of each, if they do, with what they keep clear."""
        clearance = _clearance(self, points, _inner_normals(self))
        same = replace(self)
        same.__dict__["kernel"] = (points, clearance)
        return same

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
        if not np.all((v == v_end) & np.isin(v, self.zone_borders)):
            found.append("a border wall lies inside the pattern")
        if len(sorted_unique(self.corner_vertex)) != len(self.vertices):
            found.append("a vertex belongs to no cell")
        return found

    def _cover_problems(self) -> list[str]:
        wanted = self.length * sum(upper - lower for lower, upper in self.zone_borders)
        found = []
        if abs(float(np.sum(self.areas)) - wanted) > COVER_SHARE * wanted:
            found.append("the cells do not cover the patterned part exactly")
        # A band closed round the ring has Euler number 0: vertices - walls + cells.
        walls = (len(self.twin) + int(np.sum(self.twin < 0))) // 2
        if len(self.vertices) - walls + self.cells != 0:
            found.append("the pattern does not close once round the ring")
        return found


def _kernel_points(tiling: Tiling) -> tuple[Floats, Floats]:
    """Points that see their whole cell.

    Returns: (c, 2) points, unwrapped like the cell's corners, and (c,) each point's least distance to the line of a
    wall, mm, on the inner side. The point is the centroid where that is good enough, else found by relaxation
    (Motzkin and Schoenberg 1954: step through the wall most violated). A distance of zero or less: the cell is not
    star-shaped.
    """
    normal = _inner_normals(tiling)
    size = np.sqrt(np.maximum(tiling.areas, 0.0))
    points = tiling.centroids.copy()
    clearance = _clearance(tiling, points, normal)
    wrong = np.flatnonzero(~(clearance >= WANTED_SHARE * size))
    if len(wrong):
        points[wrong], clearance[wrong] = _relax(tiling, wrong, points[wrong], normal, WANTED_SHARE * size[wrong])
    return points, clearance


def _inner_normals(tiling: Tiling) -> Floats:
    along = tiling.corners[tiling.next_corner] - tiling.corners
    length = np.hypot(along[:, 0], along[:, 1])
    return np.column_stack([-along[:, 1], along[:, 0]]) / np.where(length == 0.0, 1.0, length)[:, None]


def _clearance(tiling: Tiling, points: Floats, normal: Floats) -> Floats:
    away = _distances(points[tiling.corner_cell], tiling.corners, normal)
    return np.asarray(np.minimum.reduceat(away, tiling.cell_start[:-1]))


def _distances(points: Floats, start: Floats, normal: Floats) -> Floats:
    return np.asarray(np.sum((points - start) * normal, axis=1), dtype=np.float64)


def _relax(tiling: Tiling, cells: Longs, points: Floats, normal: Floats, wanted: Floats) -> tuple[Floats, Floats]:
    """Step each point through its most violated wall until it keeps the wanted distance; the best place seen is
    kept."""
    sizes = np.diff(tiling.cell_start)[cells]
    first = np.cumsum(sizes) - sizes
    corner = np.arange(int(np.sum(sizes))) - np.repeat(first - tiling.cell_start[cells], sizes)
    owner = np.repeat(np.arange(len(cells)), sizes)
    best, best_clearance = points.copy(), np.full(len(cells), -np.inf)
    for _ in range(MAX_STEPS):
        distance = _distances(points[owner], tiling.corners[corner], normal[corner])
        clearance = np.minimum.reduceat(distance, first)
        better = clearance > best_clearance
        best[better], best_clearance[better] = points[better], clearance[better]
        if np.all(best_clearance >= wanted):
            break
        lowest = np.flatnonzero(~(distance > clearance[owner]))
        worst = lowest[np.searchsorted(owner[lowest], np.arange(len(cells)))]
        step = np.maximum(1.5 * wanted - clearance, 0.0)
        points = points + step[:, None] * normal[corner[worst]]
    return best, best_clearance


def tiling_of_loops(
    bounds: tuple[float, float, float], positions: Floats, loops: Sequence[tuple[Longs, Longs]]
) -> Tiling:
    """Cells from their corners.

    Parameters:
        bounds: length, lower and upper border of the strip, mm.
        positions: (n, 2) vertices, mm.
        loops: of each cell, counter-clockwise, the vertices at its corners and the turns to add to each.
    Returns: the tiling, its vertices as given and its walls' twins found by their ends.
    """
    length, lower, upper = bounds
    vertex, winding = (np.concatenate(each) for each in zip(*loops, strict=True))
    start = np.concatenate([[0], np.cumsum([len(ids) for ids, _ in loops])])
    return Tiling(
        length=length, lower=lower, upper=upper, vertices=positions,
        cell_start=start.astype(np.int32), corner_vertex=vertex.astype(np.int32),
        corner_winding=winding.astype(np.int32), twin=twins_between(vertex, winding, start),
    )  # fmt: skip


def twins_between(vertex: Longs | Ints, winding: Longs | Ints, start: Longs | Ints) -> Ints:
    """The half-edge between the same two vertices, with the same turns between them, the other way; -1 for none.

    Parameters:
        vertex, winding: (m,) the vertex at each corner and how many turns on it lies.
        start: (cells + 1,) first corner of each cell, and their number.
    Returns: (m,) the twins.
    """
    following = next_in_loops(start)
    end = vertex[following]
    step = winding[following] - winding
    order = np.lexsort((np.where(vertex < end, step, -step), np.maximum(vertex, end), np.minimum(vertex, end)))
    one, other = order[:-1], order[1:]
    pair = (vertex[one] == end[other]) & (end[one] == vertex[other]) & (step[one] == -step[other])
    twin = np.full(len(vertex), -1, dtype=np.int32)
    twin[one[pair]], twin[other[pair]] = other[pair], one[pair]
    return twin


def orientation(a: Floats, b: Floats, c: Floats) -> Floats:
    """Twice the area of triangles, above 0 where their corners run counter-clockwise.

    Parameters:
        a, b, c: (..., 2) corners.
    Returns: (...) areas.
    """
    first, second = b - a, c - a
    return np.asarray(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0], dtype=np.float64)
