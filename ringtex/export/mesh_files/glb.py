"""GLB: glTF 2.0 in one binary file (Khronos, glTF 2.0 Specification; ISO/IEC 12113:2022; from memory).

glTF is in metres with +Y up, so (x, y, z) in mm becomes (x, z, -y) / 1000: the ring's axis points up. Positions are
float32, indices uint32.
"""

from __future__ import annotations

from typing import BinaryIO, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
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
    import json

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
