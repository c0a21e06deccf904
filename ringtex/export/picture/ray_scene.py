"""Rays against the ring's triangles (Embree on the processor; no display needed)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles
from ringtex.solid.mesh.ring_mesh import RingMesh


@dataclass(frozen=True, eq=False)
class Hits:
    """Where rays meet triangles: triangle (n,) int32, -1 for none; u, v (n,) weights of the second and third corner."""

    triangle: NDArray[np.int32]
    u: Singles
    v: Singles
    distance: Singles

    @cached_property
    def met(self) -> NDArray[np.intp]:
        """Numbers of the rays that met a triangle."""
        return np.flatnonzero(self.triangle >= 0)


class RayScene:
    """A mesh made ready for rays."""

    def __init__(self, mesh: RingMesh) -> None:
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene

        self._scene = EmbreeScene()
        vertices = np.ascontiguousarray(mesh.vertices, dtype=np.float32)
        self._triangles = TriangleMesh(self._scene, vertices, np.ascontiguousarray(mesh.faces, dtype=np.int32))

    def hits(self, origins: Singles, directions: Singles) -> Hits:
        """The first triangle on each ray: origins and directions (n, 3)."""
        found = self._scene.run(*_rows(origins, directions), output=True)
        return Hits(found["primID"], found["u"], found["v"], found["tfar"])

    def distances(self, origins: Singles, directions: Singles, farthest: float) -> Singles:
        """(n,) distance to the first triangle within `farthest`, else `farthest`."""
        reach = np.full(len(origins), farthest, dtype=np.float32)
        if len(origins) == 0:
            return reach
        found = self._scene.run(*_rows(origins, directions), reach, query="DISTANCE")
        near: Singles = np.minimum(found, np.float32(farthest))
        return near


def _rows(origins: Singles, directions: Singles) -> tuple[Singles, Singles]:
    return np.ascontiguousarray(origins, dtype=np.float32), np.ascontiguousarray(directions, dtype=np.float32)
