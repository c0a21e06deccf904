"""OBJ: vertices and faces as text (from memory). The format has no unit: millimetres are written."""

from __future__ import annotations

from typing import BinaryIO

from ringtex.export.mesh_files.number_text import decimal_rows, whole_rows
from ringtex.solid.mesh.ring_mesh import RingMesh


def write_obj(mesh: RingMesh, file: BinaryIO) -> None:
    """Write the mesh as one object "ring"."""
    file.write(b"# ringtex mesh, millimetres\no ring\n")
    file.writelines(decimal_rows(mesh.vertices, (b"v ", b" ", b" "), b"\n"))
    file.writelines(whole_rows(mesh.faces + 1, (b"f ", b" ", b" "), b"\n"))
