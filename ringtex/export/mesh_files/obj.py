"""OBJ: vertices and faces as text (from memory). The format has no unit: millimetres are written."""

from __future__ import annotations

import io
import re
from typing import BinaryIO, Final

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.mesh_format import TEXT_ROUNDING, MeshFormat
from ringtex.export.mesh_files.number_text import decimal_rows, whole_rows
from ringtex.export.mesh_files.read_limits import AGAIN, MAX_CORNERS, Guarded, refuse_long_text, refuse_many
from ringtex.export.mesh_files.trimesh_reading import checked_mesh, read_with_trimesh
from ringtex.solid.mesh.ring_mesh import RingMesh


def write_obj(mesh: RingMesh, file: BinaryIO) -> None:
    """Write the mesh as one object "ring"."""
    file.write(b"# ringtex mesh, millimetres\no ring\n")
    file.writelines(decimal_rows(mesh.vertices, (b"v ", b" ", b" "), b"\n"))
    file.writelines(whole_rows(mesh.faces + 1, (b"f ", b" ", b" "), b"\n"))


def read_obj(data: bytes, trusted: bool = False) -> RingMesh:
    """Read the vertices and faces; polygons are cut into triangles, everything else is passed over.

    Raises InputError: no triangles, a line that is not understood, a coordinate is not finite.
    """
    guarded = Guarded(data, 0) if trusted else _guarded(data)
    return checked_mesh(*read_with_trimesh(guarded, "obj", skip_materials=True, maintain_order=True))


_PLAIN_FACE: Final = re.compile(rb"f [1-9]\d* [1-9]\d* [1-9]\d*\s*").fullmatch


def _guarded(data: bytes) -> Guarded:
    """OBJ: only vertices and faces are passed on, without textures and normals; relative indices are refused."""
    refuse_long_text(data)
    if b"\0" in data:
        raise InputError("This is not an OBJ file (it is not text)", AGAIN)
    data = data.replace(b"\\\n", b" ") if b"\\" in data else data
    rows: list[bytes] = []
    triangles = 0
    for number, line in enumerate(io.BytesIO(data), start=1):  # a list of all lines would be many times the file
        kind = line[:2]
        if kind in (b"v ", b"v\t"):
            words = line.split(None, 4)[:4]
            if len(words) < 4:
                raise InputError(f"Line {number} does not hold three numbers", AGAIN)
            rows.append(b" ".join(words))
        elif _PLAIN_FACE(line):
            rows.append(line.rstrip())
            triangles += 1
        elif kind in (b"f ", b"f\t", b"f\n"):
            words = line.split(None, MAX_CORNERS + 1)
            rows.append(_face(words, number))
            triangles += len(words) - 3
    refuse_many(triangles)
    return Guarded(b"\n".join(rows), triangles)


def _face(words: list[bytes], number: int) -> bytes:
    """The line of one face, vertex indices only."""
    corners = [word.split(b"/", 1)[0] for word in words[1:]]
    if any(corner[:1] == b"-" for corner in corners):
        advice = "Export it again with indices that count from the first vertex"
        raise InputError(f"Line {number} counts its vertices backwards", advice)
    if len(corners) > MAX_CORNERS:
        raise InputError(f"Line {number} is a polygon of more than {MAX_CORNERS} corners", "Export triangles")
    if len(corners) < 3 or not all(corner.isdigit() and corner.strip(b"0") for corner in corners):
        raise InputError(f"Line {number} is not a face of vertex numbers from 1 on", AGAIN)
    return b"f " + b" ".join(corners)


OBJ: Final = MeshFormat("OBJ", ".obj", write_obj, read_obj, TEXT_ROUNDING, "text, for modelling programs")
