"""Cutting and joining closed meshes, by manifold3d."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ringtex.basics.errors import SelfCheckError
from ringtex.solid.ring_mesh import RingMesh

if TYPE_CHECKING:
    from manifold3d import Manifold


def as_manifold(mesh: RingMesh) -> Manifold:
    """The same body for manifold3d. Raises: SelfCheckError if it is no closed body."""
    import manifold3d

    faces = np.ascontiguousarray(mesh.faces, dtype=np.uint64)
    body = manifold3d.Manifold(manifold3d.Mesh64(np.ascontiguousarray(mesh.vertices), faces))
    return _sound(body)


def from_manifold(body: Manifold) -> RingMesh:
    """The triangles of a manifold3d body."""
    mesh = _sound(body).to_mesh64()
    # Copies: what manifold3d hands out may not be written to, and it takes only what may.
    vertices = np.array(mesh.vert_properties[:, :3], dtype=np.float64, order="C")
    return RingMesh(vertices, np.array(mesh.tri_verts, dtype=np.int32, order="C"))


def join(body: Manifold, others: list[RingMesh]) -> Manifold:
    """The body with others joined to it; they may overlap each other."""
    return body + _all_of(others) if others else body


def cut(body: Manifold, others: list[RingMesh]) -> Manifold:
    """The body with others cut out of it; they may overlap each other."""
    return body - _all_of(others) if others else body


def _all_of(meshes: list[RingMesh]) -> Manifold:
    import manifold3d

    return manifold3d.Manifold.batch_boolean([as_manifold(mesh) for mesh in meshes], manifold3d.OpType.Add)


def _sound(body: Any) -> Any:
    status = str(body.status()).rsplit(".", 1)[-1]
    if status != "NoError":
        raise SelfCheckError(f"a body to cut or join is not closed ({status})", "Please report the design")
    return body
