"""STL against trimesh's reader and writer, and against the record layout itself."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring, tetrahedron

from ringtex.basics.errors import RingtexError
from ringtex.export.mesh_files.read_back import compare_with_file
from ringtex.export.mesh_files.stl import RECORD, STL, read_stl, recognise_stl, write_stl
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


def test_what_was_written_is_recognised() -> None:
    """As the ordinary reading has it: the same places for every corner."""
    mesh = bumpy_ring()
    data = _bytes(mesh)
    found, read = recognise_stl(mesh, data), read_stl(data)
    assert found is not None
    assert found.faces is mesh.faces
    assert np.array_equal(found.vertices[found.faces], read.vertices[read.faces])


def test_every_damaged_byte_that_reading_notices_is_noticed() -> None:
    """Bits turned all over a file, and files cut or lengthened: recognised or not, the ending is the same."""
    mesh = tetrahedron(7.3)
    sound = _bytes(mesh)
    damaged = [sound[:-1], sound + b"\0", sound[:-50]]
    for place in range(len(sound)):
        for bit in range(8):
            damaged.append(sound[:place] + bytes([sound[place] ^ 1 << bit]) + sound[place + 1 :])
    noticed = 0
    for data in damaged:
        found = recognise_stl(mesh, data)
        plainly = _ending(mesh, data, None)
        assert _ending(mesh, data, found) == plainly
        noticed += plainly != ""
        # What only the unused parts differ in is still the same mesh.
        assert found is None or plainly == ""
    assert noticed > len(sound) * 8 // 3


def test_a_mesh_beyond_all_size_is_not_recognised() -> None:
    huge = RingMesh(tetrahedron().vertices * 2e5, tetrahedron().faces)
    assert recognise_stl(huge, _bytes(huge)) is None


def _ending(mesh: RingMesh, data: bytes, found: RingMesh | None) -> str:
    """The sentence with which reading back ends; "" for none."""
    try:
        compare_with_file(mesh, read_stl(data, True) if found is None else found, STL.rounding, "x")
    except RingtexError as error:
        return str(error)
    return ""
