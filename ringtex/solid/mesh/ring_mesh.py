"""The triangle mesh of a ring, which checks itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints, Longs, crosses, dots

if TYPE_CHECKING:
    from ringtex.solid.cells.offset_loops import OffsetLoops
    from ringtex.solid.cells.rounded_cells import RoundedCells
    from ringtex.solid.finishing.cell_outlines import CellOutlines
    from ringtex.solid.free_form.relief_contours import ReliefContours


@dataclass(frozen=True, eq=False)
class RingMesh:
    """A triangle mesh in millimetres.

    vertices (n, 3) float64; faces (m, 3) int32, counter-clockwise seen from outside.
    """

    vertices: Floats
    faces: Ints

    @cached_property
    def _edges(self) -> tuple[Longs, Longs, Longs]:
        """Undirected edges as low vertex and, in the lowest `_vertex_bits`, high vertex, sorted; with `edge_uses`."""
        directed = self._sorted_sides()
        # In a closed, oriented mesh each edge comes once each way.
        back = directed[::2]
        if np.array_equal(back | 1, directed[1::2]) and not np.any(back & 1) and np.all(back[1:] != back[:-1]):
            two, none = (np.broadcast_to(np.int64(number), len(back)) for number in (2, 0))
            return back >> 1, two, none
        undirected = directed >> 1
        first = np.flatnonzero(undirected[1:] != undirected[:-1]) + 1
        first = np.concatenate((np.zeros(min(len(directed), 1), dtype=np.int64), first))
        uses = np.diff(first, append=len(directed))
        direction = np.add.reduceat(2 * (directed & 1) - 1, first) if len(first) else uses
        return undirected[first], uses, direction

    @property
    def _vertex_bits(self) -> int:
        return len(self.vertices).bit_length()

    def _sorted_sides(self) -> Longs:
        """(3 m,) the sides of all triangles, sorted: an edge as in `_edges`, and in the lowest bit whether it is run
        from its low vertex, so that one plain sort (faster than an argsort) carries the direction along."""
        columns = np.ascontiguousarray(self.faces.T)
        sides = np.empty(columns.shape, dtype=np.int64)
        for side, start, end in zip(sides, columns, columns[[1, 2, 0]], strict=True):
            np.minimum(start, end, out=side)
            side <<= self._vertex_bits
            side |= np.maximum(start, end)
            side <<= 1
            side |= start < end
        keys = sides.ravel()
        keys.sort()
        return keys

    @property
    def edge_uses(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Undirected edges: how often each is used, and the sum of its directions (0 where the two uses oppose)."""
        return self._edges[1:]

    @property
    def unmatched_edges(self) -> NDArray[np.int64]:
        """(e, 2) vertices of the edges that are not shared by exactly two triangles; empty for a closed mesh."""
        return self._edge_ends(self._edges[1] != 2)

    @property
    def misdirected_edges(self) -> NDArray[np.int64]:
        """(e, 2) vertices of the edges whose two triangles look different ways; empty for an oriented mesh."""
        return self._edge_ends((self._edges[1] == 2) & (self._edges[2] != 0))

    def _edge_ends(self, chosen: NDArray[np.bool_]) -> NDArray[np.int64]:
        return np.column_stack(self._low_and_high(self._edges[0][chosen]))

    def _low_and_high(self, edges: Longs) -> tuple[Longs, Longs]:
        """(e,) low and (e,) high vertices of edges (e,) as in `_edges`."""
        return edges >> self._vertex_bits, edges & ((1 << self._vertex_bits) - 1)

    @cached_property
    def closed(self) -> bool:
        """Every edge is shared by exactly two triangles."""
        return len(self.faces) > 0 and bool(np.all(self.edge_uses[0] == 2))

    @cached_property
    def oriented(self) -> bool:
        """Every edge is run once each way, so all triangles look outwards or all inwards."""
        return self.closed and bool(np.all(self.edge_uses[1] == 0))

    @cached_property
    def is_used(self) -> NDArray[np.bool_]:
        """(n,) the vertex belongs to a triangle."""
        used = np.zeros(len(self.vertices), dtype=bool)
        used[self.faces] = True
        return used

    @cached_property
    def vertex_body(self) -> NDArray[np.int64]:
        """(n,) the lowest vertex of the connected part that each vertex belongs to.

        Each round every part hooks onto a neighbour with a lower number and pointers are then doubled: 20 to 50 ms for
        500 thousand triangles. Source: Shiloach and Vishkin 1982, An O(log n) parallel connectivity algorithm.
        """
        part = np.arange(len(self.vertices))
        low, high = self._low_and_high(self._edges[0])
        while len(low):
            hook = np.arange(len(self.vertices))
            hook[high] = low
            doubled = hook.take(hook)
            while not np.array_equal(doubled, hook):
                hook, doubled = doubled, doubled.take(doubled)
            part, start, end = hook.take(part), hook.take(low), hook.take(high)
            apart = np.flatnonzero(start != end)
            start, end = start.take(apart), end.take(apart)
            low, high = np.minimum(start, end), np.maximum(start, end)
        return part

    @cached_property
    def bodies(self) -> int:
        """Number of connected parts (through shared vertices; unused vertices are not counted)."""
        own = self.vertex_body == np.arange(len(self.vertices))
        return int(np.sum(own & self.is_used))

    @cached_property
    def euler(self) -> int:
        """Vertices (used ones) - edges + triangles."""
        return int(np.sum(self.is_used)) - len(self._edges[0]) + len(self.faces)

    @property
    def genus(self) -> int:
        """Holes through the closed body or bodies: bodies - euler / 2. A plain ring has 1."""
        return self.bodies - self.euler // 2

    @cached_property
    def _measures(self) -> tuple[Floats, float, Floats]:
        """Normals (3, m), volume, and its first moment (mm4), by the divergence theorem about the mesh's own middle."""
        middle = self.vertices.mean(axis=0)
        from_middle = np.ascontiguousarray((self.vertices - middle).T)
        corners = np.ascontiguousarray(self.faces.T, dtype=np.intp)
        a, b, c = (from_middle.take(corner, axis=1) for corner in corners)
        sums = np.empty((len(self.faces), 3))
        np.add(a + b, c, out=sums.T)
        b -= a
        c -= a
        normals = crosses(b, c)
        six_volumes = dots(a, normals)
        volume = float(np.sum(six_volumes)) / 6.0
        moment = six_volumes @ sums / 24.0
        return normals, volume, moment + volume * middle

    @property
    def face_normals(self) -> Floats:
        """(3, m) normal of each triangle by the right-hand rule, not unit: its length is twice the area, mm2."""
        return self._measures[0]

    @property
    def volume(self) -> float:
        """Signed volume, mm3; positive when the triangles look outwards."""
        return self._measures[1]

    @property
    def centre_of_mass(self) -> Floats:
        """(3,) centre of mass of the uniform body, mm."""
        return self._measures[2] / self._measures[1]

    @cached_property
    def triangle_areas(self) -> Floats:
        """(m,) area of each triangle, mm2."""
        nx, ny, nz = self.face_normals
        areas: Floats = 0.5 * np.sqrt(nx * nx + ny * ny + nz * nz)
        return areas

    @property
    def area(self) -> float:
        """Surface area, mm2."""
        return float(np.sum(self.triangle_areas))

    def problems(self, genus: int = 1) -> list[str]:
        """Every broken promise as a sentence; empty for a sound ring.

        The promises: closed, oriented, one body, the genus, volume > 0.
        """
        if len(self.faces) == 0:
            return ["the mesh has no triangles"]
        if not np.all(np.isfinite(self.vertices)):
            return ["a vertex is not finite"]
        if not self.closed:
            return [f"{int(np.sum(self.edge_uses[0] != 2))} edges are not shared by exactly two triangles"]
        found = [] if self.oriented else ["neighbouring triangles look different ways"]
        if self.bodies != 1:
            found.append(f"the mesh is in {self.bodies} parts instead of one")
        elif self.genus != genus:
            found.append(f"the mesh has {self.genus} holes through it instead of {genus}")
        if self.volume <= 0.0:
            found.append("the mesh is inside out")
        return found


def without_unused_vertices(vertices: Floats, faces: Ints | Longs) -> RingMesh:
    """The mesh of some triangles (m, 3) of vertices (n, 3), without the vertices that no triangle uses."""
    used = np.zeros(len(vertices), dtype=bool)
    used[faces] = True
    renumbered = np.cumsum(used, dtype=np.int32) - 1
    return RingMesh(vertices[used], renumbered[faces].astype(np.int32))


@dataclass(frozen=True, eq=False)
class RingSolid:
    """A ring's mesh with what the checks and the window need to know about where each region came from.

    mesh             the whole ring.
    strip_positions  (k, 3) strip coordinates (u, v, h) of vertices 0 .. k - 1, all that lie on the outer face or its
                     relief; the other vertices belong to the sides and the bore.
    face_ranges      faces of each region as a slice: "cells", "rails", "sides", "bore" (in this order, covering all).
    face_cell        (f,) the cell of each triangle of face_ranges["cells"].
    shrunk           (cells,) the cell is too small for its ridge or groove, which was made narrower.
    cell_depths      (cells,) depth of each cell's relief, mm; empty where it is not known.
    outlines         where the cells of a pierced ring are to be cut through; None for the other forms.
    loops            the offset loops that the cells were made of; None where they are not known.
    rounded          the rounded outlines, whose half-edges the loops are those of; None where loops begin at the walls.
    contours         the outlines of an own motif or of growth rings; None for cells and pictures.
    """

    mesh: RingMesh
    strip_positions: Floats
    face_ranges: dict[str, slice]
    face_cell: Ints
    shrunk: NDArray[np.bool_]
    cell_depths: Floats = field(default_factory=lambda: np.zeros(0))
    outlines: CellOutlines | None = None
    loops: OffsetLoops | None = None
    rounded: RoundedCells | None = None
    contours: ReliefContours | None = None
