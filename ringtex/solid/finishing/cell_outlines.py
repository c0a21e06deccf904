"""The outlines of what is cut through a pierced ring's cells, or shapes: the borders of their level floors."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, next_in_loops
from ringtex.basics.tolerances import LEVEL_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.make_relief import Relief
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.half_edges import half_edges, is_border, paired_half_edges
from ringtex.solid.mesh.strip_triangulation import StripMesh

MIN_DEPTH_FRACTION = 0.5
"""Cells shallower than this fraction of the relief's depth (faded, scattered or changed by hand) are left whole."""

MIN_REACH_MM = 0.02
"""Floors whose sides are nearer to their centre are left whole: narrower than a printer's pixel of 0.04 mm."""

MIN_BREADTH_MM = 0.05
"""Shapes of less than twice this area over their length round are left whole: a printer's pixel of 0.04 mm, and twice
the tolerance of a draft, by which twisted walls of a narrower hole cross."""


class Whole(IntEnum):
    """Why a cell is left whole: it lies under a stone's collar or a plain place; it is not deep enough; its floor is
    too narrow, or in pieces; its hole would meet another or an edge of the band, or is folded; its floor runs round
    metal, or all round the ring; it is a shape too long round the ring to be cut in one piece."""

    NOT = 0
    COVERED = 1
    SHALLOW = 2
    NARROW = 3
    MEETING = 4
    LOOSE = 5
    LONG = 6


@dataclass(frozen=True, eq=False)
class CellOutlines:
    """Closed lines, counter-clockwise on the strip, one for each cell that is to be pierced. Of own motifs and growth
    rings every floor by itself is a cell here.

    start      (n + 1,) outline i has the positions start[i] : start[i + 1].
    positions  (k, 2) u (unwrapped, each outline in one piece) and v, mm on the strip.
    centre     (n, 2) a position inside.
    cell       (n,) the cell of each.
    vertex     (k,) the mesh's vertex at each position.
    whole      (cells,) int8, the `Whole` of every cell of the ring; NOT for level cells too.
    floor      (m,) the cell whose floor each triangle of the relief is, -1 for the others.
    """

    start: Longs
    positions: Floats
    centre: Floats
    cell: Longs
    vertex: Longs
    whole: NDArray[np.int8]
    floor: Longs

    @property
    def number(self) -> Longs:
        """(k,) the outline of each position."""
        return np.repeat(np.arange(len(self.cell)), np.diff(self.start))

    @property
    def following(self) -> Longs:
        """(k,) the next position of the same outline."""
        return next_in_loops(self.start)

    def without(self, outlines: NDArray[np.bool_], why: Whole) -> CellOutlines:
        """Those that are not marked (n,)."""
        mask = ~outlines
        length = np.diff(self.start)
        start = np.concatenate(([0], np.cumsum(length[mask])))
        point = mask[self.number]
        whole = self.whole.copy()
        whole[self.cell[outlines]] = why
        return replace(
            self,
            start=start,
            positions=self.positions[point],
            centre=self.centre[mask],
            cell=self.cell[mask],
            vertex=self.vertex[point],
            whole=whole,
        )

    def containing(self, u: float, v: float, length: float) -> NDArray[np.bool_]:
        """Which outlines run round a point of the strip.

        Parameters:
            u, v: the point, mm.
            length: the strip's length, mm.
        Returns: (n,) True where the point is inside.
        """
        turn = np.rint((self.centre[self.number, 0] - u) / length) * length
        a, b = self.positions - [u, v], self.positions[self.following] - [u, v]
        a[:, 0] -= turn
        b[:, 0] -= turn
        spans = (a[:, 1] > 0.0) != (b[:, 1] > 0.0)
        rise = np.where(spans, b[:, 1] - a[:, 1], 1.0)
        crosses = spans & (a[:, 0] - a[:, 1] * (b[:, 0] - a[:, 0]) / rise > 0.0)
        return np.asarray(np.bincount(self.number, crosses, minlength=len(self.cell)) % 2 == 1)


def floor_faces(heights: Floats, faces: Ints, cell: Ints, level_mm: Floats) -> Bools:
    """The triangles of the level floors of cells.

    Parameters:
        heights: (n,) of all vertices over the band's face, mm.
        faces: (m, 3) triangles.
        cell: (m,) the cell of each.
        level_mm: (cells,) height of each floor; NaN where a cell has none.
    Returns: (m,) True for those triangles.
    """
    off = np.abs(heights[faces] - level_mm[cell][:, None])
    return np.asarray(np.all(off <= LEVEL_MM, axis=1))


def floor_levels(loops: OffsetLoops, tiling: Tiling, relief: Relief) -> tuple[Floats, NDArray[np.int8]]:
    """The floors of the cells that are deep and wide enough to be pierced.

    Parameters:
        loops: the offset loops.
        tiling: the cells that they are those of.
        relief: its form and depths.
    Returns: (cells,) heights over the band's face, mm, NaN where a cell is left whole; (cells,) why, as `CellOutlines`
        has it.
    """
    narrow = np.minimum.reduceat(loops.inner_distance, tiling.cell_start[:-1]) <= MIN_REACH_MM
    shallow = relief.depth_share < MIN_DEPTH_FRACTION
    level = np.where(shallow | narrow, np.nan, loops.height[:, -1])
    whole = np.where(shallow, Whole.SHALLOW, np.where(narrow, Whole.NARROW, Whole.NOT)).astype(np.int8)
    if relief.level is not None:
        whole[relief.level] = Whole.NOT
    return level, whole


def cell_outlines(
    mesh: StripMesh, centre: Floats, floors: tuple[Floats, NDArray[np.int8]], length: float
) -> CellOutlines:
    """The border of the floor of every cell that is to be pierced.

    Parameters:
        mesh: the relief's triangles.
        centre: (cells, 2) a position inside each cell's last offset loop, mm.
        floors: from `floor_levels`.
        length: of the strip, mm.
    Returns: the outlines, without those of floors in several pieces.
    """
    level_mm, whole = floors
    floor = np.where(floor_faces(mesh.positions[:, 2], mesh.faces, mesh.cell, level_mm), mesh.cell, -1).astype(np.int64)
    cells, start, vertex = _borders(mesh, floor)
    missed = np.isfinite(level_mm)
    missed[cells] = False
    whole = np.where(missed, np.int8(Whole.NARROW), whole)
    positions = _near_centres(mesh, start, vertex, centre[cells], length)
    return CellOutlines(start, positions, centre[cells], cells, vertex, whole, floor)


def floor_outlines(
    mesh: StripMesh, on_floor: Bools, is_shallow: Callable[[Floats], Bools], length: float
) -> CellOutlines:
    """The border of every floor that is to be pierced, of shapes that need not be cells.

    Parameters:
        mesh: the relief's triangles.
        on_floor: (m,) which of them are floor.
        is_shallow: from (n, 2) positions on the strip to which lie where the relief is too shallow to be pierced.
        length: of the strip, mm.
    Returns: the outlines, without those of floors that run round metal.
    """
    floor = _parts(mesh, on_floor)
    count = int(np.max(floor, initial=-1)) + 1
    cells, start, vertex = _borders(mesh, floor)
    middles = _middles(mesh, floor, count, length)
    whole = np.full(count, Whole.LOOSE, dtype=np.int8)
    positions = _near_centres(mesh, start, vertex, middles[cells], length)
    after = next_in_loops(start)
    number = np.repeat(np.arange(len(cells)), np.diff(start))
    around = np.bincount(number, np.hypot(*(positions[after] - positions).T), len(cells))
    u, v = positions.T
    area = 0.5 * np.bincount(number, u * v[after] - u[after] * v, len(cells))
    whole[cells] = np.where(2.0 * area <= MIN_BREADTH_MM * around, Whole.NARROW, Whole.NOT)
    whole[is_shallow(middles)] = Whole.SHALLOW
    outlines = CellOutlines(start, positions, middles[cells], cells, vertex, np.zeros(count, dtype=np.int8), floor)
    found = outlines.without(whole[cells] != Whole.NOT, Whole.LOOSE)
    return replace(found, whole=whole)


def _parts(mesh: StripMesh, on_floor: Bools) -> Longs:
    """(m,) numbers of connected floors, -1 for other triangles."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    chosen = np.flatnonzero(on_floor)
    start, end = half_edges(mesh.faces[chosen])
    one, other = paired_half_edges(start, end, len(mesh.positions))
    links = coo_matrix((np.ones(len(one)), (one // 3, other // 3)), shape=(len(chosen), len(chosen)))
    floor = np.full(len(mesh.faces), -1, dtype=np.int64)
    floor[chosen] = connected_components(links, directed=False)[1]
    return floor


def _middles(mesh: StripMesh, floor: Longs, count: int, length: float) -> Floats:
    """(count, 2) a position inside each floor: the middle of the triangle nearest to the middle of all of its own."""
    chosen = np.flatnonzero(floor >= 0)
    own, corners = floor[chosen], mesh.positions[mesh.faces[chosen], :2]
    first = np.full(count, -1)
    first[own[::-1]] = np.arange(len(own))[::-1]
    corners[..., 0] -= length * np.rint((corners[..., 0] - corners[first[own], :1, 0]) / length)
    middle = corners.mean(axis=1)
    size = np.bincount(own, minlength=count)
    mean = np.column_stack([np.bincount(own, middle[:, axis], count) / size for axis in (0, 1)])
    order = np.lexsort((np.hypot(*(middle - mean[own]).T), own))
    return np.asarray(middle[order[np.cumsum(size) - size]])


def _near_centres(mesh: StripMesh, start: Longs, vertex: Longs, centre: Floats, length: float) -> Floats:
    """(k, 2) positions of the lines' vertices, in one piece round the centre (n, 2) of each line."""
    number = np.repeat(np.arange(len(centre)), np.diff(start))
    positions = mesh.positions[vertex, :2]
    positions[:, 0] -= length * np.rint((positions[:, 0] - centre[number, 0]) / length)
    return positions


def _borders(mesh: StripMesh, floor: Longs) -> tuple[Longs, Longs, Longs]:
    """The borders of floors (m,), each of which is one closed line; floors with another border are left out.

    Returns: (n,) the floors, (n + 1,) where the line of each starts, (k,) the vertices of the lines.
    """
    own = np.flatnonzero(floor >= 0)
    cell = np.repeat(floor[own], 3)
    start, end = half_edges(mesh.faces[own])
    border = is_border(start, end)
    start, end, cell = start[border], end[border], cell[border]
    order = np.lexsort((start, cell))
    start, end, cell = start[order], end[order], cell[order]
    following = np.full(len(mesh.positions), -1)
    following[start] = end
    cells, first, sizes = np.unique(cell, return_index=True, return_counts=True)
    line = np.empty((len(cells), np.max(sizes, initial=0)), dtype=np.int64)
    for step in range(line.shape[1]):
        line[:, step] = start[first] if step == 0 else following[line[:, step - 1]]
    taken = np.arange(line.shape[1]) < sizes[:, None]
    last = line[np.arange(len(cells)), sizes - 1]
    # A line through all of a floor's border that ends where it began.
    ordered = np.sort(np.where(taken, line, -1 - np.arange(line.shape[1])), axis=1)
    sound = np.all(ordered[:, 1:] != ordered[:, :-1], axis=1) & (following[last] == start[first])
    return cells[sound], np.concatenate(([0], np.cumsum(sizes[sound]))), line[sound][taken[sound]]
