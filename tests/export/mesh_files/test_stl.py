"""STL against trimesh's reader and writer, and against the record layout itself."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring, tetrahedron

from ringtex.export.mesh_files.stl import RECORD, write_stl
from ringtex.solid.mesh.ring_mesh import RingMesh


def _bytes(mesh: RingMesh) -> bytes:
    file = io.BytesIO()
    write_stl(mesh, file)
    return file.getvalue()


def test_layout() -> None:
    """80 bytes of header, a count, 50 bytes a triangle: normal, three corners, an unused word."""
    data = _bytes(tetrahedron())
    assert len(data) == 84 + 4 * 50
    assert not data.startswith(b"solid")  # readers take that for the text form
    assert int.from_bytes(data[80:84], "little") == 4
    third = np.frombuffer(data, "<f4", 12, 84 + 3 * 50)
    assert third[:3] == pytest.approx(np.full(3, 3**-0.5))
    assert third[3:].tolist() == [1, 0, 0, 0, 1, 0, 0, 0, 1]
    assert data[84 + 48 : 84 + 50] == b"\0\0"


def test_normals_are_trimeshs() -> None:
    mesh = bumpy_ring()
    records = np.frombuffer(_bytes(mesh), RECORD, offset=84)
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).face_normals
    assert np.abs(records["normal"] - theirs).max() < 1e-6


def test_a_triangle_without_area_has_a_zero_normal() -> None:
    flat = RingMesh(np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]]), np.array([[0, 1, 2]], dtype=np.int32))
    assert not np.any(np.frombuffer(_bytes(flat), RECORD, offset=84)["normal"])
