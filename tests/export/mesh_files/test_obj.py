"""OBJ against trimesh's reader and writer, and the format's corner forms."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.obj import read_obj, write_obj


def test_rows() -> None:
    mesh = bumpy_ring()
    file = io.BytesIO()
    write_obj(mesh, file)
    lines = file.getvalue().decode("ascii").splitlines()
    assert lines[2] == "v {:.7f} {:.7f} {:.7f}".format(*(mesh.vertices[0] + 0.0))
    assert lines[-1] == "f {} {} {}".format(*(mesh.faces[-1] + 1))


def test_reads_what_trimesh_writes() -> None:
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    back = read_obj(theirs.export(file_type="obj", include_normals=True).encode())
    assert np.array_equal(back.faces, mesh.faces)
    assert back.vertices == pytest.approx(mesh.vertices, abs=1e-7)


CORNERS = b"v 0 0 0\nv 1 0 0 1.0\nv 1 1 0\nv\t0 1 0\n"


@pytest.mark.parametrize("face", [b"f 1 2 3 4", b"f 1/1 2/2 3/3 4/4", b"f 1//7 2//7 3//7 4//7", b"f -4 -3 -2 -1"])
def test_corner_forms_and_polygons(face: bytes) -> None:
    """From the format's published description: v, v/vt, v//vn, counting from the end, polygons."""
    assert read_obj(CORNERS + face).area == pytest.approx(1.0)


def test_continued_lines_and_other_statements() -> None:
    assert read_obj(b"# a ring\ng x\n" + CORNERS + b"vn 0 0 1\nf 1 2 \\\n3\nf  1 3 4\r\n").area == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\0\1\2", "not text"),
        (b"hello", "no triangles"),
        (CORNERS, "no triangles"),
        (CORNERS + b"f 1 2 5", "not in the file"),
        (CORNERS + b"f 0 1 2", "not in the file"),
        (CORNERS + b"f -5 1 2", "not in the file"),
        (CORNERS + b"f 1 2", "Line 5 is not a face"),
        (CORNERS + b"f 1 2 x", "Line 5 is not a face"),
        (CORNERS + b"f 1 2 99999999999999999999999", "does not hold|not a face"),
        (CORNERS + b"v 1 2\nf 1 2 3", "numbers"),
        (CORNERS + b"v 1 2 nan\nf 1 2 3", "finite"),
    ],
)
def test_bad_files(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_obj(data)
