"""STL: triangles one by one, without shared vertices (from memory).

Binary records hold a normal, three corners (float32) and an unused word. The header carries no date, so that the same
mesh gives the same bytes. The format has no unit: millimetres, as is usual in the trade.
"""

from __future__ import annotations

import re
from typing import BinaryIO, Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.mesh_format import FLOAT32_ROUNDING, MeshFormat
from ringtex.export.mesh_files.read_limits import AGAIN, Guarded, refuse_long_text, refuse_many
from ringtex.export.mesh_files.trimesh_reading import checked_mesh, read_with_trimesh
from ringtex.export.mesh_files.welding import weld
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


def read_stl(data: bytes, trusted: bool = False) -> RingMesh:
    """Read a binary or text STL; corners at exactly the same place become one vertex. trusted: no limit of triangles.

    Raises InputError: cut off, not an STL, a coordinate is not finite.
    """
    declared = int.from_bytes(data[80:84], "little") if len(data) >= 84 else -1
    if len(data) != 84 + RECORD.itemsize * declared and data[:5].lower() == b"solid" and b"vertex" in data[:2000]:
        vertices, faces = read_with_trimesh(_guarded_text(data), "stl_ascii")
        return _welded(vertices[faces].reshape(-1, 3))
    corners = _binary_corners(data, declared)
    if not trusted:
        refuse_many(declared)
    return _welded(corners)


def _binary_corners(data: bytes, declared: int) -> Floats:
    """(3 m, 3) corners. The count is believed only where the file is as long as it says."""
    if declared < 0:
        raise InputError("This is not an STL file (shorter than its header)", "Export the mesh again")
    room = (len(data) - 84) // RECORD.itemsize
    if declared > room:
        message = f"The file is cut off or no STL: it announces {declared} triangles and has room for {room}"
        raise InputError(message, "Export or copy the file again")
    if len(data) != 84 + RECORD.itemsize * declared:
        message = f"The file is no STL, or damaged: it goes on after the {declared} triangles that it announces"
        raise InputError(message, "Export the mesh again")
    corners = np.frombuffer(data, dtype=RECORD, count=declared, offset=84)["corners"]
    with np.errstate(invalid="ignore"):  # a signalling NaN is refused by the caller, with a sentence
        return corners.astype(np.float64).reshape(-1, 3)


def _welded(corners: Floats) -> RingMesh:
    """The mesh of (3 m, 3) corners."""
    if not np.all(np.isfinite(corners)):
        bad = int(np.flatnonzero(~np.all(np.isfinite(corners), axis=1))[0]) // 3 + 1
        raise InputError(f"A coordinate is not a finite number (triangle {bad})", "Export the mesh again")
    vertices, index = weld(corners)
    return checked_mesh(vertices, index.reshape(-1, 3))


def _guarded_text(data: bytes) -> Guarded:
    """Text STL: it must end with endsolid and have three corners a facet."""
    refuse_long_text(data)
    if b"endsolid" not in data[-1000:].lower():
        raise InputError("The file is cut off: it does not end with endsolid", "Export or copy the file again")
    corners = len(re.findall(rb"(?im)^\s*vertex\b", data))
    if corners % 3 != 0 or corners != len(re.findall(rb"(?i)vertex", data)):
        raise InputError("The file has a facet without three corners", AGAIN)
    refuse_many(corners // 3)
    return Guarded(data, corners // 3)


STL: Final = MeshFormat(
    "STL", ".stl", write_stl, read_stl, FLOAT32_ROUNDING, "triangles only, read by every slicer; in millimetres"
)
