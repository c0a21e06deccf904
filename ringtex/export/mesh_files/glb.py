"""GLB: glTF 2.0 in one binary file (Khronos, glTF 2.0 Specification; ISO/IEC 12113:2022; from memory).

glTF is in metres with +Y up, so (x, y, z) in mm becomes (x, z, -y) / 1000: the ring's axis points up. Positions are
float32, indices uint32.
"""

from __future__ import annotations

import json
from typing import Any, BinaryIO, Final, NoReturn

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.mesh_format import FLOAT32_ROUNDING, MeshFormat
from ringtex.export.mesh_files.read_limits import AGAIN, COARSER, MAX_BYTES, Guarded, counted_copies, refuse_many
from ringtex.export.mesh_files.trimesh_reading import checked_mesh, read_with_trimesh
from ringtex.export.mesh_files.welding import weld
from ringtex.solid.mesh.ring_mesh import RingMesh

MAGIC: Final = b"glTF"
JSON_CHUNK: Final = b"JSON"
BINARY_CHUNK: Final = b"BIN\0"
FLOAT32, UINT32, TRIANGLES = 5126, 5125, 4
_VERTEX_BUFFER, _INDEX_BUFFER = 34962, 34963
_MM_PER_METRE = 1000.0


def to_gltf(points: Floats) -> NDArray[np.float32]:
    """(n, 3) mm with z the ring's axis -> (n, 3) metres with +Y up."""
    turned = np.stack((points[:, 0], points[:, 2], -points[:, 1]), axis=1)
    return (turned / _MM_PER_METRE).astype("<f4")


def from_gltf(points: Floats) -> Floats:
    """(n, 3) metres with +Y up -> (n, 3) mm with z the ring's axis."""
    return np.stack((points[:, 0], -points[:, 2], points[:, 1]), axis=1) * _MM_PER_METRE


def write_glb(mesh: RingMesh, file: BinaryIO) -> None:
    """Write one scene with one node, one mesh, one primitive and one binary chunk."""
    positions = to_gltf(mesh.vertices)
    indices = mesh.faces.astype("<u4")
    place_bytes, index_bytes = positions.nbytes, indices.nbytes  # both are multiples of four
    document = {
        "asset": {"version": "2.0", "generator": "ringtex"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0, "name": "ring"}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "mode": TRIANGLES}]}],
        "accessors": [
            {
                "bufferView": 0,
                "componentType": FLOAT32,
                "count": len(positions),
                "type": "VEC3",
                "min": positions.min(axis=0).tolist(),
                "max": positions.max(axis=0).tolist(),
            },
            {"bufferView": 1, "componentType": UINT32, "count": indices.size, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": place_bytes, "target": _VERTEX_BUFFER},
            {"buffer": 0, "byteOffset": place_bytes, "byteLength": index_bytes, "target": _INDEX_BUFFER},
        ],
        "buffers": [{"byteLength": place_bytes + index_bytes}],
    }
    text = json.dumps(document, separators=(",", ":")).encode("ascii")
    text += b" " * (-len(text) % 4)
    total = 12 + 8 + len(text) + 8 + place_bytes + index_bytes
    file.write(MAGIC + _words(2, total))
    file.write(_words(len(text)) + JSON_CHUNK + text)
    file.write(_words(place_bytes + index_bytes) + BINARY_CHUNK)
    file.write(np.ascontiguousarray(positions).data)
    file.write(np.ascontiguousarray(indices).data)


def _words(*values: int) -> bytes:
    return np.array(values, dtype="<u4").tobytes()


def read_glb(data: bytes, trusted: bool = False) -> RingMesh:
    """Read the scene's triangles, in mm; vertices at exactly the same place (split for shading) become one.

    Raises InputError: not a GLB, cut off, compressed or sparse arrays, a coordinate is not finite.
    """
    guarded = Guarded(data, 0) if trusted else _guarded(data)
    vertices, faces = read_with_trimesh(guarded, "glb", skip_materials=True)
    checked = checked_mesh(from_gltf(vertices), faces)
    places, index = weld(checked.vertices)
    return RingMesh(places, index[checked.faces])


_GLTF_BYTES: Final = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_GLTF_NUMBERS: Final = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
_GLB_KEPT: Final = ("asset", "scene", "scenes", "nodes", "meshes", "accessors", "bufferViews", "buffers")


def _guarded(data: bytes) -> Guarded:
    """GLB: the scene alone, its arrays within the file, its nodes a tree; triangles counted over all nodes."""
    text, binary = _chunks(data)
    try:
        document = json.loads(text.decode("utf-8"))
        if document.get("extensionsRequired"):
            raise InputError(
                "The file needs an extension of the format that is not read", "Export it without compression"
            )
        scene = {key: document[key] for key in _GLB_KEPT if key in document}
        triangles = _shown_triangles(scene, len(binary))
    except (KeyError, IndexError, TypeError, ValueError, AttributeError, RecursionError, OverflowError) as error:
        raise InputError("The scene inside the file is not understood", f"{AGAIN}, without compression") from error
    text = json.dumps(scene).encode()
    text += b" " * (-len(text) % 4)
    sizes = [28 + len(text) + len(binary), len(text), len(binary)]
    total, first, second = (size.to_bytes(4, "little") for size in sizes)
    head = MAGIC + (2).to_bytes(4, "little") + total
    return Guarded(head + first + JSON_CHUNK + text + second + BINARY_CHUNK + binary, triangles)


def _chunks(data: bytes) -> tuple[bytes, bytes]:
    """The JSON and the binary chunk."""
    if data[:4] != MAGIC or len(data) < 20:
        raise InputError("This is not a GLB file", AGAIN)
    version, length = (int.from_bytes(data[at : at + 4], "little") for at in (4, 8))
    if version != 2:
        raise InputError(f"The file is of glTF version {version}, and only 2 is read", AGAIN)
    if length != len(data):
        raise InputError(f"The file is cut off or damaged: it announces {length} bytes and has {len(data)}", AGAIN)
    chunks: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= len(data):
        size = int.from_bytes(data[at : at + 4], "little")
        if at + 8 + size > len(data):
            raise InputError("A part of the file is longer than the file", AGAIN)
        chunks.setdefault(data[at + 4 : at + 8], data[at + 8 : at + 8 + size])
        at += 8 + size
    if JSON_CHUNK not in chunks:
        raise InputError("The file has no scene", AGAIN)
    return chunks[JSON_CHUNK], chunks.get(BINARY_CHUNK, b"")


def _shown_triangles(scene: dict[str, Any], binary_bytes: int) -> int:
    """Triangles of the scene, copies counted; drops what is no triangle. Raises as Python does on a damaged scene."""
    _check_arrays(scene, binary_bytes)
    meshes = [_mesh_triangles(scene, mesh) for mesh in scene["meshes"]]
    nodes = scene["nodes"]
    children = [child for node in nodes for child in node.get("children", [])]
    if len(set(children)) < len(children):
        _damaged("a node has two parents")
    for node in nodes:
        for key in ("camera", "skin", "extensions", "extras", "name", "weights"):
            node.pop(key, None)
    own = {i: meshes[_whole(node["mesh"])] if "mesh" in node else 0 for i, node in enumerate(nodes)}
    within = {i: node.get("children", []) for i, node in enumerate(nodes)}
    return counted_copies(scene["scenes"][scene.get("scene", 0)]["nodes"], own, within)


def _mesh_triangles(scene: dict[str, Any], mesh: dict[str, Any]) -> int:
    """Triangles of one mesh, which keeps only its primitives of triangles."""
    mesh["primitives"] = [each for each in mesh["primitives"] if each.get("mode", TRIANGLES) == TRIANGLES]
    corners = 0
    for primitive in mesh["primitives"]:
        place = primitive["attributes"]["POSITION"]
        primitive.pop("material", None)
        primitive.pop("extensions", None)
        primitive["attributes"] = {"POSITION": place}
        accessor = scene["accessors"][_whole(place)]
        if accessor["componentType"] != FLOAT32 or accessor["type"] != "VEC3":
            _damaged("positions are not float32")
        count = accessor["count"]
        if "indices" in primitive:
            index = scene["accessors"][_whole(primitive["indices"])]
            if index["componentType"] not in (5121, 5123, 5125) or index["type"] != "SCALAR":
                _damaged("indices are not whole numbers")
            refuse_many(count // 3)
            count = index["count"]
        if count % 3:
            _damaged("a triangle without three corners")
        corners += count
    return corners // 3


def _check_arrays(scene: dict[str, Any], binary_bytes: int) -> None:
    """Every array lies within the file, and all together are not many times as large."""
    views, accessors = scene["bufferViews"], scene["accessors"]
    if any("uri" in buffer for buffer in scene["buffers"]):
        _damaged("data outside the file")
    for view in views:
        if view["buffer"] != 0 or _whole(view.get("byteOffset", 0)) + _whole(view["byteLength"]) > binary_bytes:
            _damaged("a view beyond the data")
    total = sum(view["byteLength"] for view in views)
    for accessor in accessors:
        if "sparse" in accessor or _whole(accessor["count"]) < 1:
            _damaged("a sparse or empty array")
        row = _GLTF_BYTES[accessor["componentType"]] * _GLTF_NUMBERS[accessor["type"]]
        view = views[_whole(accessor["bufferView"])]
        step = _whole(view.get("byteStride", row))
        size = step * (accessor["count"] - 1) + row
        if step < row or _whole(accessor.get("byteOffset", 0)) + size > view["byteLength"]:
            _damaged("the data are cut off")
        total += size
    if total > 3 * MAX_BYTES:
        raise InputError("The file lists the same data many times over", COARSER)


def _whole(number: Any) -> int:
    if not isinstance(number, int) or not 0 <= number < 1 << 40:
        _damaged("not a whole number")
    return number


def _damaged(reason: str) -> NoReturn:
    raise ValueError(reason)


GLB: Final = MeshFormat(
    "GLB", ".glb", write_glb, read_glb, FLOAT32_ROUNDING, "for showing in three dimensions, in metres"
)
