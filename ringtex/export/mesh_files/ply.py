"""PLY: vertices and faces (Turk, The PLY Polygon File Format, 1994, from memory).

Written as binary, little endian, coordinates as float64: the file holds the mesh exactly, nothing is rounded.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import BinaryIO, Final, NoReturn

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.number_text import read_decimals
from ringtex.export.mesh_files.read_checks import checked_mesh
from ringtex.solid.mesh.ring_mesh import RingMesh

_TYPES: Final = {
    **dict.fromkeys(("char", "int8"), "i1"),
    **dict.fromkeys(("uchar", "uint8"), "u1"),
    **dict.fromkeys(("short", "int16"), "i2"),
    **dict.fromkeys(("ushort", "uint16"), "u2"),
    **dict.fromkeys(("int", "int32"), "i4"),
    **dict.fromkeys(("uint", "uint32"), "u4"),
    **dict.fromkeys(("float", "float32"), "f4"),
    **dict.fromkeys(("double", "float64"), "f8"),
}
_ORDERS: Final = {"binary_little_endian": "<", "binary_big_endian": ">", "ascii": ""}
_LONGEST_HEADER = 1 << 16
_AGAIN = "Export the mesh again, as triangles"


@dataclass
class _Element:
    """An element of the header: name, count, and its properties as (name, type, type of the list's count or "")."""

    name: str
    count: int
    properties: list[tuple[str, str, str]] = field(default_factory=list)


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


def read_ply(data: bytes) -> RingMesh:
    """Read a PLY of triangles, text or binary; further properties are passed over.

    Raises InputError: not a PLY, cut off, faces that are not triangles, a coordinate is not finite.
    """
    order, elements, start = _read_header(data)
    found: dict[str, NDArray[np.generic]] = {}
    for element in elements:
        if {"vertex", "face"} <= found.keys():
            break
        if order:
            found[element.name], start = _binary_element(data, start, element, order)
        else:
            found[element.name], start = _text_element(data, start, element)
    if "vertex" not in found or "face" not in found:
        raise InputError("The file has no vertices or no faces", _AGAIN)
    return checked_mesh(found["vertex"].astype(np.float64), found["face"].astype(np.int64))


def _read_header(data: bytes) -> tuple[str, list[_Element], int]:
    """Byte order ("" for text), the elements in their order, and where the data begin."""
    end = data.find(b"end_header", 0, _LONGEST_HEADER)
    line_end = data.find(b"\n", end)
    if not data.startswith(b"ply") or end < 0 or line_end < 0:
        raise InputError("This is not a PLY file", _AGAIN)
    order: str | None = None
    elements: list[_Element] = []
    for line in data[:end].decode("latin-1").splitlines()[1:]:
        words = line.split()
        try:
            if words[:1] == ["format"]:
                order = _ORDERS[words[1]]
            elif words[:1] == ["element"]:
                elements.append(_Element(words[1], int(words[2])))
            elif words[:2] == ["property", "list"]:
                elements[-1].properties.append((words[4], _TYPES[words[3]], _TYPES[words[2]]))
            elif words[:1] == ["property"]:
                elements[-1].properties.append((words[2], _TYPES[words[1]], ""))
        except (IndexError, KeyError, ValueError) as error:
            raise InputError(f"The PLY header has a line that is not understood: {line[:60]}", _AGAIN) from error
    if order is None or any(element.count < 0 for element in elements):
        raise InputError("The PLY header is damaged", _AGAIN)
    return order, elements, line_end + 1


def _binary_element(data: bytes, start: int, element: _Element, order: str) -> tuple[NDArray[np.generic], int]:
    """The numbers of a vertex or face element (n, 3), and where the next element begins.

    Lists must have three entries.
    """
    fields: list[tuple[str, str] | tuple[str, str, int]] = []
    for i, (_, kind, count_kind) in enumerate(element.properties):
        if count_kind:
            fields.append((f"n{i}", order + count_kind))
            fields.append((f"p{i}", order + kind, 3))
        else:
            fields.append((f"p{i}", order + kind))
    record = np.dtype(fields)
    end = start + record.itemsize * element.count
    if record.itemsize == 0 or end > len(data):
        _refuse_polygons_or_cut(element)
    rows = np.frombuffer(data, dtype=record, count=element.count, offset=start)
    for i, (_, _, count_kind) in enumerate(element.properties):
        if count_kind and not np.all(rows[f"n{i}"] == 3):
            _refuse_polygons_or_cut(element)
    return _wanted(element, [rows[f"p{i}"] for i in range(len(element.properties))]), end


def _text_element(data: bytes, start: int, element: _Element) -> tuple[NDArray[np.generic], int]:
    """As `_binary_element`, from lines of text, one a row."""
    end = start
    if element.count > len(data):
        _refuse_polygons_or_cut(element)
    lines = data[start:].split(b"\n", element.count)
    if len(lines) < element.count:
        _refuse_polygons_or_cut(element)
    text = b"\n".join(lines[: element.count])
    end = min(start + len(text) + 1, len(data))
    widths = [4 if count_kind else 1 for _, _, count_kind in element.properties]
    rows = read_decimals(text, sum(widths))
    if len(rows) != element.count:
        _refuse_polygons_or_cut(element)
    columns: list[NDArray[np.generic]] = []
    at = 0
    for width in widths:
        if width == 4 and not np.all(rows[:, at] == 3):
            _refuse_polygons_or_cut(element)
        columns.append(rows[:, at + 1 : at + 4] if width == 4 else rows[:, at])
        at += width
    return _wanted(element, columns), end


def _wanted(element: _Element, columns: list[NDArray[np.generic]]) -> NDArray[np.generic]:
    """(n, 3) coordinates of a vertex element, indices of a face element, nothing for others."""
    names = [name for name, _, _ in element.properties]
    try:
        if element.name == "vertex":
            return np.stack([columns[names.index(axis)] for axis in "xyz"], axis=1).astype(np.float64)
        if element.name == "face":
            name = "vertex_indices" if "vertex_indices" in names else "vertex_index"
            corners = columns[names.index(name)].astype(np.float64)
            if corners.shape != (element.count, 3):
                raise ValueError
            return corners
    except ValueError as error:
        raise InputError(f"The PLY header does not say where the {element.name} numbers are", _AGAIN) from error
    return np.zeros((0, 3))


def _refuse_polygons_or_cut(element: _Element) -> NoReturn:
    message = f"The {element.count} {element.name} rows are cut off, damaged, or hold lists that are not triangles"
    raise InputError(message, _AGAIN)
