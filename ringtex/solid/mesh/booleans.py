"""Cutting and joining closed meshes, by manifold3d, with every triangle's original recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from ringtex.basics.arrays import Ints, Longs
from ringtex.basics.caches import cached
from ringtex.basics.errors import SelfCheckError
from ringtex.solid.mesh.ring_mesh import RingMesh, without_unused_vertices

if TYPE_CHECKING:
    from manifold3d import Manifold


ORIGINALS: Final = ("ring", "hollow", "drain", "collar", "seat", "plain", "pierced", "inscription")
"""The bodies that triangles of a finished ring come from; "ring" is the mesh before it was finished."""

LOOSE_SLIVER_MM3: Final = 1e-3
"""A cube of a tenth of a millimetre, some two pixels of a printer: it neither prints nor casts (from memory)."""


def original_number(name: str) -> int:
    """The number of an original in `FinishedRing.original_id`."""
    return ORIGINALS.index(name)


def as_manifold(mesh: RingMesh, original: str = "ring", face_id: Ints | Longs | None = None) -> Manifold:
    """The same body for manifold3d, its triangles marked with the name of an original.

    Parameters:
        mesh: a closed body.
        original: one of ORIGINALS.
        face_id: (m,) the flat face that each triangle belongs to; None for triangles that are faces of their own, so
            that neighbours that happen to be level are left as they are.
    Returns: the body.
    Raises: SelfCheckError if it is no closed body.
    """
    import manifold3d

    own = np.arange(len(mesh.faces)) if face_id is None else face_id
    body = manifold3d.Manifold(
        manifold3d.Mesh64(
            np.ascontiguousarray(mesh.vertices),
            np.ascontiguousarray(mesh.faces, dtype=np.uint64),
            run_index=np.array([0, 3 * len(mesh.faces)], dtype=np.uint64),
            run_original_id=np.array([_first_id() + ORIGINALS.index(original)], dtype=np.uint32),
            face_id=own.astype(np.uint64),
        )
    )
    return _sound(body)


def marked(body: Manifold, original: str) -> Manifold:
    """A body as one of ORIGINALS, its flat faces kept: they are cut as polygons, and not triangle by triangle."""
    mesh = _sound(body).to_mesh64()
    run = np.repeat(np.arange(len(mesh.run_index) - 1), _runs(mesh))
    face = np.asarray(mesh.face_id, dtype=np.int64)
    number = np.unique(run * (int(np.max(face, initial=0)) + 1) + face, return_inverse=True)[1]
    return as_manifold(_as_mesh(mesh), original, number)


def from_manifold(body: Manifold) -> RingMesh:
    """The triangles of a manifold3d body."""
    return _as_mesh(_sound(body).to_mesh64())


def with_origins(body: Manifold) -> tuple[RingMesh, Ints, Ints]:
    """The triangles of a body, for each the number of its original in ORIGINALS, and its triangle or flat face in that
    one's mesh (in the mesh that was given, where several were given under one name).
    """
    mesh = _sound(body).to_mesh64()
    original = np.repeat(np.asarray(mesh.run_original_id, dtype=np.int64) - _first_id(), _runs(mesh))
    return _as_mesh(mesh), original.astype(np.int32), np.array(mesh.face_id, dtype=np.int32)


def join(body: Manifold, others: list[Manifold]) -> Manifold:
    """The body with others joined to it; they may overlap each other."""
    return body + _all_of(others) if others else body


def cut(body: Manifold, others: list[Manifold]) -> Manifold:
    """The body with others cut out of it; they may overlap each other."""
    return body - _all_of(others) if others else body


def without_loose_slivers(mesh: RingMesh, original_id: Ints, face_id: Ints) -> tuple[RingMesh, Ints, Ints]:
    """The mesh without bodies, and voids, too small to be made: faces that nearly coincide leave such slivers.

    manifold3d's own `decompose` runs over the whole mesh once for each part: 60 s for some thousand of them.

    Parameters:
        mesh: closed bodies.
        original_id, face_id: of its triangles, as from `with_origins`.
    Returns: the same of what is left; all as it is where every body is so small.
    """
    if mesh.bodies == 1:
        return mesh, original_id, face_id
    body = mesh.vertex_body[mesh.faces[:, 0]]
    corner = mesh.vertices[mesh.faces[:, 0]] - mesh.vertices.mean(axis=0)
    volume = np.bincount(body, np.einsum("mi,im->m", corner, mesh.face_normals) / 6.0)
    large = np.abs(volume[body]) >= LOOSE_SLIVER_MM3
    if np.all(large) or not np.any(large):
        return mesh, original_id, face_id
    return without_unused_vertices(mesh.vertices, mesh.faces[large]), original_id[large], face_id[large]


def _all_of(bodies: list[Manifold]) -> Manifold:
    import manifold3d

    return manifold3d.Manifold.batch_boolean(bodies, manifold3d.OpType.Add)


@cached(1)
def _first_id() -> int:
    """manifold3d's own number for ORIGINALS[0]; the others follow."""
    import manifold3d

    return int(manifold3d.Manifold.reserve_ids(len(ORIGINALS)))


def _runs(mesh: Any) -> Longs:
    """How many triangles come from each body."""
    start = np.asarray(mesh.run_index, dtype=np.int64)
    return np.asarray((start[1:] - start[:-1]) // 3)


def _as_mesh(mesh: Any) -> RingMesh:
    # Copies: what manifold3d hands out may not be written to, and it takes only what may.
    vertices = np.array(mesh.vert_properties[:, :3], dtype=np.float64, order="C")
    return RingMesh(vertices, np.array(mesh.tri_verts, dtype=np.int32, order="C"))


def _sound(body: Any) -> Any:
    status = str(body.status()).rsplit(".", 1)[-1]
    if status != "NoError":
        raise SelfCheckError(f"a body to cut or join is not closed ({status})", "Please report the design")
    return body
