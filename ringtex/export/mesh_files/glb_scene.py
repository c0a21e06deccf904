"""Reading GLB files, this program's and others': the triangles of the scene, with each node's transform."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.glb import BINARY_CHUNK, FLOAT32, JSON_CHUNK, MAGIC, TRIANGLES, from_gltf
from ringtex.export.mesh_files.read_checks import checked_mesh
from ringtex.export.mesh_files.welding import weld
from ringtex.solid.mesh.ring_mesh import RingMesh

_INDEX_TYPES: Final[dict[int, np.dtype[Any]]] = {5121: np.dtype("u1"), 5123: np.dtype("<u2"), 5125: np.dtype("<u4")}
_DEEPEST = 64
_MOST_NODES = 10_000
_AGAIN = "Export the mesh again, without compression"


def read_glb(data: bytes) -> RingMesh:
    """Read the scene's triangles, in mm; vertices at exactly the same place (split for shading) become one.

    Raises InputError: not a GLB, cut off, compressed or sparse accessors, a coordinate is not finite.
    """
    import json

    text, binary = _chunks(data)
    try:
        document = json.loads(text.decode("utf-8"))
        parts = list(_Scene(document, binary).parts())
    except (KeyError, IndexError, TypeError, ValueError, AttributeError, RecursionError, OverflowError) as error:
        raise InputError("The scene inside the file is not understood", _AGAIN) from error
    if not parts:
        raise InputError("The file holds no triangles", _AGAIN)
    starts = np.cumsum([0, *(len(places) for places, _ in parts)])
    places = from_gltf(np.concatenate([places for places, _ in parts]))
    faces = np.concatenate([corners + start for (_, corners), start in zip(parts, starts[:-1], strict=True)])
    checked = checked_mesh(places, faces)
    vertices, index = weld(checked.vertices)
    return RingMesh(vertices, index[checked.faces])


def _chunks(data: bytes) -> tuple[bytes, bytes]:
    """The JSON and the binary chunk."""
    if data[:4] != MAGIC or len(data) < 20:
        raise InputError("This is not a GLB file", _AGAIN)
    version, length = (int(word) for word in np.frombuffer(data, dtype="<u4", count=2, offset=4))
    if version != 2:
        raise InputError(f"The file is of glTF version {version}, and only 2 is read", _AGAIN)
    if length != len(data):
        raise InputError(f"The file is cut off or damaged: it announces {length} bytes and has {len(data)}", _AGAIN)
    found: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= len(data):
        size = int.from_bytes(data[at : at + 4], "little")
        if at + 8 + size > len(data):
            raise InputError("A part of the file is longer than the file", _AGAIN)
        found.setdefault(data[at + 4 : at + 8], data[at + 8 : at + 8 + size])
        at += 8 + size
    if JSON_CHUNK not in found:
        raise InputError("The file has no scene", _AGAIN)
    return found[JSON_CHUNK], found.get(BINARY_CHUNK, b"")


class _Scene:
    """A parsed scene; every access may raise KeyError, IndexError, TypeError or ValueError on a damaged one."""

    def __init__(self, document: dict[str, Any], binary: bytes) -> None:
        self._document = document
        self._binary = binary
        self._visited = 0

    def parts(self) -> list[tuple[Floats, Longs]]:
        """Places (n, 3) in metres and corners (m, 3) of every primitive that the scene shows."""
        scene = self._document["scenes"][self._document.get("scene", 0)]
        return [part for node in scene["nodes"] for part in self._node_parts(node, np.eye(4), 0)]

    def _node_parts(self, number: int, above: Floats, depth: int) -> list[tuple[Floats, Longs]]:
        self._visited += 1
        if depth > _DEEPEST or self._visited > _MOST_NODES:
            raise ValueError("the nodes never end")
        node = self._document["nodes"][number]
        matrix = above @ _node_matrix(node)
        found = []
        if "mesh" in node:
            for primitive in self._document["meshes"][node["mesh"]]["primitives"]:
                if primitive.get("mode", TRIANGLES) == TRIANGLES:
                    places, corners = self._primitive(primitive)
                    found.append((places @ matrix[:3, :3].T + matrix[:3, 3], corners))
        for child in node.get("children", []):
            found.extend(self._node_parts(child, matrix, depth + 1))
        return found

    def _primitive(self, primitive: dict[str, Any]) -> tuple[Floats, Longs]:
        accessors = self._document["accessors"]
        place = accessors[primitive["attributes"]["POSITION"]]
        if place["componentType"] != FLOAT32 or place["type"] != "VEC3":
            raise ValueError("positions are not float32")
        with np.errstate(invalid="ignore"):  # a signalling NaN is refused later, with a sentence
            places = self._numbers(place, np.dtype("<f4"), 3).astype(np.float64)
        if "indices" not in primitive:
            return places, np.arange(len(places), dtype=np.int64).reshape(-1, 3)
        index = accessors[primitive["indices"]]
        numbers = self._numbers(index, _INDEX_TYPES[index["componentType"]], 1).astype(np.int64).reshape(-1, 3)
        if len(numbers) and int(numbers.max()) >= len(places):
            raise ValueError("a triangle names a vertex that is not there")
        return places, numbers

    def _numbers(self, accessor: dict[str, Any], kind: np.dtype[Any], columns: int) -> NDArray[Any]:
        """(count, columns) numbers of an accessor; its count is believed only where the bytes are there."""
        if "sparse" in accessor:
            raise ValueError("sparse accessor")
        view = self._document["bufferViews"][accessor["bufferView"]]
        if view["buffer"] != 0 or "uri" in self._document["buffers"][0]:
            raise ValueError("data outside the file")
        count = accessor["count"]
        row = kind.itemsize * columns
        step = view.get("byteStride", row)
        first, start = accessor.get("byteOffset", 0), view.get("byteOffset", 0)
        sizes = (count, step, first, start, view["byteLength"])
        if any(not isinstance(size, int) or not 0 <= size < 1 << 40 for size in sizes) or count < 1 or step < row:
            raise ValueError("sizes")
        if first + step * (count - 1) + row > view["byteLength"] or start + view["byteLength"] > len(self._binary):
            raise ValueError("the data are cut off")
        return np.ndarray((count, columns), kind, self._binary, start + first, (step, kind.itemsize))


def _node_matrix(node: dict[str, Any]) -> Floats:
    """(4, 4) transform of a node: its matrix (given by columns), or translation, rotation (x, y, z, w) and scale."""
    if "matrix" in node:
        return np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T
    matrix = np.eye(4)
    if "rotation" in node:
        x, y, z, w = (float(part) for part in node["rotation"])
        matrix[:3, :3] = [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    matrix[:3, :3] *= np.array(node.get("scale", (1.0, 1.0, 1.0)), dtype=np.float64)
    matrix[:3, 3] = np.array(node.get("translation", (0.0, 0.0, 0.0)), dtype=np.float64)
    return matrix
