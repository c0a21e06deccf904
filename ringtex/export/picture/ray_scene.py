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
    def rays(self) -> NDArray[np.intp]:
        """Indices of the rays that meet a triangle."""
        return np.flatnonzero(self.triangle >= 0)

    def interpolated(self, corner_values: Singles) -> Singles:
        """(k, 3) values where the rays meet triangles, from the values (k, 3, 3) at those triangles' corners."""
        u, v = self.u[self.rays][:, None], self.v[self.rays][:, None]
        weight = np.float32(1.0) - u - v
        values: Singles = weight * corner_values[:, 0] + u * corner_values[:, 1] + v * corner_values[:, 2]
        return values


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
        result = self._scene.run(*_contiguous(origins, directions), output=True)
        return Hits(result["primID"], result["u"], result["v"], result["tfar"])

    def distances(self, origins: Singles, directions: Singles, max_mm: float) -> Singles:
        """Distance to the first triangle on each ray.

        Parameters:
            origins: (n, 3) mm.
            directions: (n, 3) unit.
            max_mm: how far the rays go.
        Returns: (n,) mm; max_mm where there is no triangle within it.
        """
        limit = np.full(len(origins), max_mm, dtype=np.float32)
        if len(origins) == 0:
            return limit
        distance = self._scene.run(*_contiguous(origins, directions), limit, query="DISTANCE")
        near: Singles = np.minimum(distance, np.float32(max_mm))
        return near


def _contiguous(origins: Singles, directions: Singles) -> tuple[Singles, Singles]:
    return np.ascontiguousarray(origins, dtype=np.float32), np.ascontiguousarray(directions, dtype=np.float32)
