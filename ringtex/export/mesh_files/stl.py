"""STL: triangles one by one, without shared vertices (from memory).

Binary records hold a normal, three corners (float32) and an unused word. The header carries no date, so that the same
mesh gives the same bytes. The format has no unit: millimetres, as is usual in the trade.
"""

from __future__ import annotations

from typing import BinaryIO, Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.solid.mesh.ring_mesh import RingMesh

RECORD: Final = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
"""One triangle in the file: 50 bytes."""

_HEADER = b"ringtex binary mesh, millimetres".ljust(80)
_TRIANGLES_AT_ONCE = 1 << 14


def write_stl(mesh: RingMesh, file: BinaryIO) -> None:
    """Write a binary STL; corners are rounded to float32, normals are those of the exact triangles."""
    file.write(_HEADER)
    file.write(np.uint32(len(mesh.faces)).astype("<u4").tobytes())
    axes = [np.ascontiguousarray(mesh.vertices[:, axis]) for axis in range(3)]
    records = np.zeros(min(_TRIANGLES_AT_ONCE, len(mesh.faces)), dtype=RECORD)
    for start in range(0, len(mesh.faces), _TRIANGLES_AT_ONCE):
        faces = np.ascontiguousarray(mesh.faces[start : start + _TRIANGLES_AT_ONCE].T)
        part = records[: faces.shape[1]]
        corners = [[axis[corner] for axis in axes] for corner in faces]
        for corner, place in enumerate(corners):
            for axis in range(3):
                part["corners"][:, corner, axis] = place[axis]
        for axis, component in enumerate(_unit_normals(*corners)):
            part["normal"][:, axis] = component
        file.write(part.data)


def _unit_normals(a: list[Floats], b: list[Floats], c: list[Floats]) -> tuple[Floats, Floats, Floats]:
    """Components of the outward unit normals; zero for a triangle without area."""
    ux, uy, uz = (q - p for p, q in zip(a, b, strict=True))
    vx, vy, vz = (q - p for p, q in zip(a, c, strict=True))
    x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    length = np.sqrt(x * x + y * y + z * z)
    scale = np.divide(1.0, length, out=np.zeros_like(length), where=length > 0.0)
    return x * scale, y * scale, z * scale
