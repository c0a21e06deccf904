"""OBJ: vertices and faces as text (from memory). The format has no unit: millimetres are written."""

from __future__ import annotations

import io
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.number_text import decimal_rows, read_decimals, read_whole, whole_rows
from ringtex.export.mesh_files.read_checks import checked_mesh
from ringtex.solid.mesh.ring_mesh import RingMesh


def write_obj(mesh: RingMesh, file: BinaryIO) -> None:
    """Write the mesh as one object "ring"."""
    file.write(b"# ringtex mesh, millimetres\no ring\n")
    file.writelines(decimal_rows(mesh.vertices, (b"v ", b" ", b" "), b"\n"))
    file.writelines(whole_rows(mesh.faces + 1, (b"f ", b" ", b" "), b"\n"))


def read_obj(data: bytes) -> RingMesh:
    """Read the vertices and faces; polygons are cut into fans, everything else is passed over.

    Raises InputError: no triangles, a line that is not understood, a coordinate is not finite.
    """
    if b"\0" in data:
        raise InputError("This is not an OBJ file (it is not text)", "Export the mesh again")
    data = data.replace(b"\\\n", b" ") if b"\\" in data else data
    vertex_lines: list[bytes] = []
    face_lines: list[bytes] = []
    for line in io.BytesIO(data):  # one by one: a list of all lines of a junk file would be many times its size
        if line[:2] in (b"v ", b"v\t"):
            vertex_lines.append(line)
        elif line[:2] in (b"f ", b"f\t"):
            face_lines.append(line[2:])
    vertices = read_decimals(b"".join(vertex_lines), 3, skip=1)
    text = b"".join(face_lines)
    plain = not text.translate(None, b"0123456789 \n") and all(line.count(b" ") == 2 for line in face_lines)
    faces = read_whole(text, 3) if plain else _faces_in_full(data)
    return checked_mesh(vertices, faces - 1)


def _faces_in_full(data: bytes) -> NDArray[np.int64]:
    """(m, 3) indices from 1, with a/b/c corners, counts from the end (negative), and polygons."""
    triangles: list[tuple[int, int, int]] = []
    seen = 0
    for number, line in enumerate(io.BytesIO(data), start=1):
        words = line.split()
        if words[:1] == [b"v"]:
            seen += 1
        if words[:1] != [b"f"]:
            continue
        try:
            corners = [int(word.split(b"/", 1)[0]) for word in words[1:]]
        except ValueError as error:
            raise InputError(f"Line {number} is not a face", "Export the mesh again") from error
        if len(corners) < 3 or any(abs(corner) >= 1 << 31 for corner in corners):
            raise InputError(f"Line {number} is not a face", "Export the mesh again")
        corners = [corner if corner >= 0 else seen + 1 + corner for corner in corners]
        triangles.extend(zip([corners[0]] * (len(corners) - 2), corners[1:-1], corners[2:], strict=True))
    return np.array(triangles, dtype=np.int64).reshape(-1, 3)
