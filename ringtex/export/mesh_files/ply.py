"""PLY: vertices and faces (Turk, The PLY Polygon File Format, 1994, from memory).

Written as binary, little endian, coordinates as float64: the file holds the mesh exactly, nothing is rounded.
"""

from __future__ import annotations

from typing import BinaryIO, Final

import numpy as np

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.mesh_format import MeshFormat
from ringtex.export.mesh_files.read_back import Rounding
from ringtex.export.mesh_files.read_limits import AGAIN, MAX_CORNERS, Guarded, refuse_long_text, refuse_many
from ringtex.export.mesh_files.trimesh_reading import checked_mesh, read_with_trimesh
from ringtex.solid.mesh.ring_mesh import RingMesh


def write_ply(mesh: RingMesh, file: BinaryIO) -> None:
    """Write a binary PLY with float64 coordinates."""
    header = (
        "ply\nformat binary_little_endian 1.0\ncomment ringtex mesh, millimetres\n"
        f"element vertex {len(mesh.vertices)}\nproperty double x\nproperty double y\nproperty double z\n"
        f"element face {len(mesh.faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    file.write(header.encode("ascii"))
    file.write(np.ascontiguousarray(mesh.vertices, dtype="<f8").data)
    records = np.empty(len(mesh.faces), dtype=[("corners", "u1"), ("vertex", "<i4", 3)])
    records["corners"] = 3
    records["vertex"] = mesh.faces
    file.write(records.data)


def read_ply(data: bytes, trusted: bool = False) -> RingMesh:
    """Read a PLY of triangles or quadrilaterals, text or binary; further properties are passed over.

    Raises InputError: not a PLY, cut off, other polygons, a coordinate is not finite.
    """
    guarded = Guarded(data, 0) if trusted else _guarded(data)
    return checked_mesh(*read_with_trimesh(guarded, "ply", skip_materials=True, fix_texture=False))


_SIZES: Final = {
    **dict.fromkeys(("char", "int8", "uchar", "uint8"), 1),
    **dict.fromkeys(("short", "int16", "ushort", "uint16"), 2),
    **dict.fromkeys(("int", "int32", "uint", "uint32", "float", "float32"), 4),
    **dict.fromkeys(("double", "float64"), 8),
}
_MAX_HEADER: Final = 1 << 16
_TEXT: Final = b"0123456789+-.eE \t\r\nnaifNAIF"


def _guarded(data: bytes) -> Guarded:
    """PLY: the rows that the header declares must have room in the file; rows of text must be numbers."""
    end = data.find(b"end_header", 0, _MAX_HEADER)
    start = data.find(b"\n", end) + 1
    if not data.startswith(b"ply") or end < 0 or start == 0:
        raise InputError("This is not a PLY file", AGAIN)
    elements, text = _header(data[:end])
    if not {"vertex", "face"} <= elements.keys():
        raise InputError("The file has no vertices or no faces", AGAIN)
    refuse_many(elements["face"][0])
    refuse_many(elements["vertex"][0] // 3)
    room = len(data) - start
    for name, (count, size, fewest_words) in elements.items():
        room -= count * (2 * fewest_words if text else size)
        if room < (-1 if text else 0):  # the last row of text may lack its end
            raise InputError(f"The {count} {name} rows are cut off or damaged", AGAIN)
    if room > elements["face"][0] * 8 * MAX_CORNERS and len(elements) == 2:
        raise InputError(f"A polygon of the file has more than {MAX_CORNERS} corners", "Export triangles")
    if text:
        _refuse_rows(data[start:], elements)
    lines = [line for line in data[:end].splitlines() if not line.startswith((b"comment", b"obj_info"))]
    return Guarded(b"\n".join(lines) + b"\nend_header\n" + data[start:], elements["face"][0])


def _header(header: bytes) -> tuple[dict[str, tuple[int, int, int]], bool]:
    """By element its count, the bytes and the words of its shortest row; whether the data are text."""
    elements: dict[str, tuple[int, int, int]] = {}
    text, name = False, ""
    for line in header.decode("latin-1").splitlines()[1:]:
        words = line.split()
        try:
            if words[:1] == ["format"]:
                text = {"ascii": True, "binary_little_endian": False, "binary_big_endian": False}[words[1]]
            elif words[:1] == ["element"]:
                name, count = words[1], int(words[2])
                if count < 0 or name in elements:
                    raise ValueError
                elements[name] = (count, 0, 0)
            elif words[:1] == ["property"]:
                count, size, fewest = elements[name]
                size += _SIZES[words[2 if words[1] == "list" else 1]]
                if words[1] == "list" and name == "face" and words[-1].startswith("vertex"):
                    size, fewest = size + 3 * _SIZES[words[3]], fewest + 3
                elements[name] = (count, size, fewest + 1)
        except (IndexError, KeyError, ValueError) as error:
            raise InputError(f"The PLY header has a line that is not understood: {line[:60]}", AGAIN) from error
    return elements, text


def _refuse_rows(body: bytes, elements: dict[str, tuple[int, int, int]]) -> None:
    """Rows of text: numbers only, as many as declared, no face index with a fraction."""
    refuse_long_text(body)
    if body.translate(None, _TEXT):
        raise InputError("A row of the file does not hold numbers", AGAIN)
    declared = sum(count for count, _, _ in elements.values())
    rows = body.splitlines()
    if not declared <= len(rows) <= declared + 64:
        raise InputError(f"The file has {len(rows)} rows and declares {declared}: it is cut off or damaged", AGAIN)
    if max(map(len, rows), default=0) > 32 * MAX_CORNERS:
        raise InputError(f"A row of the file has more than {MAX_CORNERS} numbers", "Export triangles")
    before = 0
    for name, (count, _, _) in elements.items():
        if name == "face" and b"." in b"".join(rows[before : before + count]):
            raise InputError("A face of the file names a vertex by a number with a fraction", AGAIN)
        before += count


PLY: Final = MeshFormat("PLY", ".ply", write_ply, read_ply, Rounding(), "exact to the last digit")
