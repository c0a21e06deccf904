"""STL: triangles one by one, without shared vertices (from memory).

Binary records hold a normal, three corners (float32) and an unused word. The header carries no date, so that the same
mesh gives the same bytes. The format has no unit: millimetres, as is usual in the trade.
"""

from __future__ import annotations

import re
from typing import BinaryIO, Final

import numpy as np

from ringtex.basics.arrays import Floats, crosses, lengths
from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.mesh_format import FLOAT32_ROUNDING, MeshFormat
from ringtex.export.mesh_files.read_limits import AGAIN, Guarded, refuse_long_text, refuse_many
from ringtex.export.mesh_files.trimesh_reading import MAX_MM, checked_mesh, read_with_trimesh
from ringtex.export.mesh_files.welding import weld
from ringtex.solid.mesh.ring_mesh import RingMesh

RECORD: Final = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
"""One triangle in the file: 50 bytes."""

_WHOLE: Final = np.dtype([("normal", "V12"), ("corners", "V36"), ("unused", "<u2")])
_WORDS: Final = np.dtype([("normal", "<u2", 6), ("corners", "<u2", 18), ("unused", "<u2")])
"""The same, its corners as one item, and as words that lie on even bytes."""

_HEADER = b"ringtex binary mesh, millimetres".ljust(80)
_TRIANGLES_AT_ONCE = 1 << 14


def write_stl(mesh: RingMesh, file: BinaryIO) -> None:
    """Write a binary STL; corners are rounded to float32, normals are those of the exact triangles."""
    file.write(_HEADER)
    file.write(np.uint32(len(mesh.faces)).astype("<u4").tobytes())
    axes, rounded = np.ascontiguousarray(mesh.vertices.T), mesh.vertices.astype("<f4")
    records = np.zeros(min(_TRIANGLES_AT_ONCE, len(mesh.faces)), dtype=RECORD)
    for start in range(0, len(mesh.faces), _TRIANGLES_AT_ONCE):
        faces = mesh.faces[start : start + _TRIANGLES_AT_ONCE].astype(np.intp)
        part = records[: len(faces)]
        part.view(_WHOLE)["corners"] = rounded.take(faces.ravel(), axis=0).ravel().view(_WHOLE["corners"])
        normals = _unit_normals(*(axes.take(corner, axis=1) for corner in np.ascontiguousarray(faces.T)))
        for axis, component in enumerate(normals):
            part["normal"][:, axis] = component
        file.write(part.data)


def _unit_normals(a: Floats, b: Floats, c: Floats) -> Floats:
    """(3, m) outward unit normals of triangles with corners (3, m) each; zero for one without area."""
    normals = crosses(b - a, c - a)
    length = lengths(normals)
    normals *= np.divide(1.0, length, out=np.zeros_like(length), where=length > 0.0)
    return normals


def recognise_stl(mesh: RingMesh, data: bytes) -> RingMesh | None:
    """The mesh of a binary STL whose triangles are, bit for bit, those of a mesh, in the mesh's own numbers.

    Parameters:
        mesh: what should be in the file.
        data: the file's bytes.
    Returns: its rounded vertices with the mesh's faces; None where anything differs, or reading would refuse it.
    """
    count = len(mesh.faces)
    if len(data) != 84 + RECORD.itemsize * count or int.from_bytes(data[80:84], "little") != count:
        return None
    rounded = mesh.vertices.astype("<f4")
    if not np.max(np.abs(rounded), initial=0.0) <= MAX_MM:
        return None
    corners = np.frombuffer(data, dtype=_WORDS, offset=84)["corners"]
    for start in range(0, count, _TRIANGLES_AT_ONCE):
        part = slice(start, start + _TRIANGLES_AT_ONCE)
        wanted = rounded.take(mesh.faces[part].ravel().astype(np.intp), axis=0)
        if not np.array_equal(wanted.view("<u2").reshape(-1, 18), corners[part]):
            return None
    return RingMesh(rounded.astype(np.float64), mesh.faces)


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
    "STL",
    ".stl",
    write_stl,
    read_stl,
    FLOAT32_ROUNDING,
    "triangles only, read by every slicer; in millimetres",
    recognise_stl,
)
