"""The triangle mesh of a ring, which checks itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class RingMesh:
    """A triangle mesh in millimetres.

    vertices (n, 3) float64; faces (m, 3) int32, counter-clockwise seen from outside.
    """

    vertices: Floats
    faces: Ints

    @cached_property
    def edge_uses(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Undirected edges: how often each is used, and the sum of its directions (0 where the two uses oppose)."""
        start = self.faces.ravel().astype(np.int64)
        end = np.roll(self.faces, -1, axis=1).ravel().astype(np.int64)
        low, high = np.minimum(start, end), np.maximum(start, end)
        key = low * len(self.vertices) + high
        order = np.argsort(key, kind="stable")
        key = key[order]
        first = np.flatnonzero(np.concatenate(([True], key[1:] != key[:-1])))
        uses = np.diff(np.append(first, len(key)))
        direction = np.where(start < end, 1, -1)[order]
        return uses, np.add.reduceat(direction, first)

    @cached_property
    def closed(self) -> bool:
        """Every edge is shared by exactly two triangles."""
        return len(self.faces) > 0 and bool(np.all(self.edge_uses[0] == 2))

    @cached_property
    def oriented(self) -> bool:
        """Every edge is run once each way, so all triangles look outwards or all inwards."""
        return self.closed and bool(np.all(self.edge_uses[1] == 0))

    @cached_property
    def bodies(self) -> int:
        """Number of connected parts (through shared vertices; unused vertices are not counted)."""
        from scipy.sparse import coo_array
        from scipy.sparse.csgraph import connected_components

        used = np.zeros(len(self.vertices), dtype=bool)
        used[self.faces] = True
        start = np.concatenate((self.faces[:, 0], self.faces[:, 1]))
        end = np.concatenate((self.faces[:, 1], self.faces[:, 2]))
        size = len(self.vertices)
        graph = coo_array((np.ones(len(start), dtype=np.int8), (start, end)), shape=(size, size))
        count, _ = connected_components(graph, directed=False)
        return int(count) - int(np.sum(~used))

    @cached_property
    def euler(self) -> int:
        """Vertices (used ones) - edges + triangles."""
        used = np.zeros(len(self.vertices), dtype=bool)
        used[self.faces] = True
        return int(np.sum(used)) - len(self.edge_uses[0]) + len(self.faces)

    @property
    def genus(self) -> int:
        """Holes through the closed body or bodies: bodies - euler / 2. A plain ring has 1."""
        return self.bodies - self.euler // 2

    @cached_property
    def _moments(self) -> tuple[float, Floats]:
        """Volume, and its first moment (mm4), by the divergence theorem about the mesh's own middle."""
        middle = self.vertices.mean(axis=0)
        a, b, c = (self.vertices[self.faces[:, i]] - middle for i in range(3))
        six_volumes = np.einsum("ij,ij->i", a, np.cross(b, c))
        volume = float(np.sum(six_volumes)) / 6.0
        moment = (six_volumes[:, None] * (a + b + c)).sum(axis=0) / 24.0
        return volume, moment + volume * middle

    @property
    def volume(self) -> float:
        """Signed volume, mm3; positive when the triangles look outwards."""
        return self._moments[0]

    @property
    def centre_of_mass(self) -> Floats:
        """(3,) centre of mass of the uniform body, mm."""
        return self._moments[1] / self._moments[0]

    @cached_property
    def triangle_areas(self) -> Floats:
        """(m,) area of each triangle, mm2."""
        a, b, c = (self.vertices[self.faces[:, i]] for i in range(3))
        return 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)

    @property
    def area(self) -> float:
        """Surface area, mm2."""
        return float(np.sum(self.triangle_areas))

    def problems(self, genus: int = 1) -> list[str]:
        """Every broken promise as a sentence; empty for a sound ring: closed, oriented, one body, the genus, volume > 0."""
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


@dataclass(frozen=True, eq=False)
class RingSolid:
    """A ring's mesh with what the checks and the window need to know about where each part came from.

    mesh         the whole ring.
    strip_places (k, 3) float64: strip coordinates (u, v, h) of vertices 0 .. k - 1, all that lie on the outer face or its
                 relief; the other vertices belong to the sides and the bore.
    parts        faces of each part as a slice: "cells", "rails", "sides", "bore" (in this order, covering all faces).
    face_cell    (f,) int32: the cell of each triangle of parts["cells"].
    squeezed     (cells,) bool: the cell is too small for its ridge and was given a smaller one.
    wall_widths  (half walls,) float64: width on the ring, in mm, of the level strip along each half wall (half a ridge or
                 groove), at its narrowest; measured between the mesh's own vertices.
    top_widths   (cells,) float64: narrowest width across the inside of each cell's flank, mm on the ring.
    """

    mesh: RingMesh
    strip_places: Floats
    parts: dict[str, slice]
    face_cell: Ints
    squeezed: NDArray[np.bool_]
    wall_widths: Floats
    top_widths: Floats
    cell_depths: Floats = field(default_factory=lambda: np.zeros(0))
