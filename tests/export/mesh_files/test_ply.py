"""PLY against trimesh's reader and writer."""

from __future__ import annotations

import io

import numpy as np
from export_sample_rings import bumpy_ring

from ringtex.export.mesh_files.ply import read_ply, write_ply
from ringtex.solid.mesh.ring_mesh import RingMesh


def _bytes(mesh: RingMesh) -> bytes:
    file = io.BytesIO()
    write_ply(mesh, file)
    return file.getvalue()


def test_nothing_is_rounded() -> None:
    mesh = bumpy_ring()
    back = read_ply(_bytes(mesh))
    assert np.array_equal(back.vertices, mesh.vertices)
    assert np.array_equal(back.faces, mesh.faces)
