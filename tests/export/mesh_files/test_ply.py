"""PLY against trimesh's reader and writer."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring, tetrahedron

from ringtex.basics.errors import InputError
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


@pytest.mark.parametrize("encoding", ["binary", "ascii"])
def test_reads_what_trimesh_writes(encoding: str) -> None:
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    theirs.visual.vertex_colors = np.full((len(mesh.vertices), 4), 100, np.uint8)  # properties to pass over
    back = read_ply(theirs.export(file_type="ply", encoding=encoding))
    assert np.array_equal(back.faces, mesh.faces)
    assert back.vertices == pytest.approx(mesh.vertices, abs=1e-5)


TEXT = b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
FACES = b"element face 1\nproperty list uchar int vertex_index\nend_header\n"


def test_big_endian() -> None:
    header = TEXT.replace(b"ascii", b"binary_big_endian") + FACES
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 2, 0]], ">f4")
    mesh = read_ply(header + corners.tobytes() + b"\3" + np.array([0, 1, 2], ">i4").tobytes())
    assert mesh.area == 1.0


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"junk", "not a PLY"),
        (b"ply\n" + b"x" * 100_000, "not a PLY"),
        (_bytes(tetrahedron())[:-1], "face rows are cut off"),
        (_bytes(tetrahedron())[:300], "vertex rows are cut off"),
        (_bytes(tetrahedron()).replace(b"vertex 4", b"vertex 9"), "damaged"),
        (_bytes(tetrahedron()).replace(b"face 4", b"face 4000000000"), "cut off"),
        (_bytes(tetrahedron()).replace(b"face 4", b"face -4"), "damaged"),
        (_bytes(tetrahedron()).replace(b"double x", b"triple x"), "not understood"),
        (_bytes(tetrahedron()).replace(b"double x", b"double q"), "does not say where"),
        (TEXT + FACES + b"0 0 0\n1 0 0\n0 1 0\n4 0 1 2 2\n", "not triangles"),
        (TEXT + FACES + b"0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n", "not in the file"),
        (TEXT + FACES + b"0 0 0\n1 0 0\n0 1\n3 0 1 2\n", "numbers"),
        (TEXT + FACES + b"0 0 0\n1 0 0\n0 inf 0\n3 0 1 2\n", "finite"),
        (TEXT + FACES + b"0 0 0\n1 0 0\n0 1e30 0\n3 0 1 2\n", "larger than"),
        (TEXT + FACES + b"0 0 0\n1 0 0\n", "cut off"),
        (TEXT + b"end_header\n0 0 0\n1 0 0\n0 1 0\n", "no vertices or no faces"),
    ],
)
def test_bad_files(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_ply(data)
