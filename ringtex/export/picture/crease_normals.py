"""Normals for shading: smooth over a curved face, broken at creases."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles
from ringtex.solid.mesh.ring_mesh import RingMesh

CREASE_DEG: Final = 30.0
"""Triangles of a vertex that differ by more than this do not share a normal: curved faces made to a chord error of
0.02 mm turn less from one triangle to the next, flanks turn more."""


class CreaseNormals:
    """Normals of one mesh's triangles (m, 3), `faces`, and smooth ones at the corners of any of them.

    A corner's normal is the mean over the vertex's triangles, weighted by their angle there (Thuermer and Wuethrich,
    Computing vertex normals from polygonal facets, 1998), of those within the crease angle of its own triangle.
    """

    def __init__(self, mesh: RingMesh) -> None:
        self.faces, angles = _faces_and_angles(mesh)
        self._mesh = mesh
        self._known = np.zeros(len(mesh.faces), dtype=bool)
        self._corners = np.empty((len(mesh.faces), 3, 3), dtype=np.float32)
        corner_vertex = mesh.faces.ravel()
        order = np.argsort(corner_vertex, kind="stable")
        self._count = np.bincount(corner_vertex, minlength=len(mesh.vertices))
        self._first = np.cumsum(self._count) - self._count
        self._around = (order // 3).astype(np.int32)  # the triangles round each vertex in turn, and their angles there
        self._angle = angles.ravel()[order]

    def corners(self, triangles: NDArray[np.integer]) -> Singles:
        """(k, 3, 3) unit normals at the corners of triangles (k,); zero where one has no area. They are made once."""
        wanted = np.zeros(len(self._known), dtype=bool)
        wanted[triangles] = True
        new = np.flatnonzero(wanted & ~self._known)
        self._corners[new] = self._made(new)
        self._known[new] = True
        corners: Singles = self._corners[triangles]
        return corners

    def _made(self, triangles: NDArray[np.intp]) -> Singles:
        """(k, 3, 3) normals at the corners of triangles (k,)."""
        vertex = self._mesh.faces[triangles].ravel()
        own = np.repeat(self.faces[triangles], 3, axis=0)
        total = np.zeros_like(own)
        limit = np.float32(np.cos(np.radians(CREASE_DEG)))
        first, count = self._first[vertex], self._count[vertex]
        rows = np.arange(len(vertex))
        for step in range(int(count.max()) if len(count) else 0):  # the step-th triangle of every vertex at once
            rows = rows[count[rows] > step]
            at = first[rows] + step
            other = self.faces[self._around[at]]
            weight = self._angle[at] * (np.einsum("ij,ij->i", own[rows], other) >= limit)
            total[rows] += weight[:, None] * other
        length = np.sqrt(np.einsum("ij,ij->i", total, total))
        flat = length < np.float32(1e-9)
        total[flat], length[flat] = own[flat], 1.0
        normals: Singles = (total / length[:, None]).reshape(-1, 3, 3)
        return normals


def _faces_and_angles(mesh: RingMesh) -> tuple[Singles, Singles]:
    """(m, 3) unit normals, (m, 3) angles at the corners in radians."""
    vertices = mesh.vertices.astype(np.float32)
    a, b, c = (vertices[mesh.faces[:, i]].T for i in range(3))
    sides = (b - a, c - b, a - c)
    (ux, uy, uz), (vx, vy, vz) = sides[0], -sides[2]
    normals = np.stack((uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx), axis=1)
    length = np.sqrt(np.einsum("ij,ij->i", normals, normals))
    normals /= np.where(length > 0.0, length, np.float32(1.0))[:, None]
    # Its square is still a float32, so that triangles without area, which cuts leave, get some angle.
    tiny = np.float32(1e-18)
    lengths = [np.sqrt(np.einsum("ij,ij->j", side, side)) + tiny for side in sides]
    angles = np.empty((len(mesh.faces), 3), dtype=np.float32)
    for corner in range(2):
        cosine = -np.einsum("ij,ij->j", sides[corner], sides[corner - 1]) / (lengths[corner] * lengths[corner - 1])
        angles[:, corner] = np.arccos(np.clip(cosine, -1.0, 1.0))
    angles[:, 2] = np.maximum(np.float32(np.pi) - angles[:, 0] - angles[:, 1], 0.0)
    return normals, angles
