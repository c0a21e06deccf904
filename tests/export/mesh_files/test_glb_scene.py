"""Reading GLB: other writers' scenes (trimesh writes some), transforms, and damaged ones."""

from __future__ import annotations

import io
import json
from typing import Any

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring, tetrahedron

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.glb import write_glb
from ringtex.export.mesh_files.glb_scene import read_glb


def _document_and_binary() -> tuple[dict[str, Any], bytes]:
    file = io.BytesIO()
    write_glb(tetrahedron(), file)
    data = file.getvalue()
    size = int.from_bytes(data[12:16], "little")
    return json.loads(data[20 : 20 + size]), data[28 + size :]


def _glb(document: Any, binary: bytes) -> bytes:
    text = document if isinstance(document, bytes) else json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    head = np.array([2, 28 + len(text) + len(binary), len(text)], "<u4").tobytes()
    return b"glTF" + head + b"JSON" + text + len(binary).to_bytes(4, "little") + b"BIN\0" + binary


def test_reads_what_trimesh_writes() -> None:
    """With split vertices: faces unmerged, as for flat shading."""
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(
        mesh.vertices @ np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]]) / 1000, mesh.faces, process=False
    )
    theirs.unmerge_vertices()
    back = read_glb(trimesh.Scene(theirs).export(file_type="glb"))
    assert len(back.vertices) == len(mesh.vertices)
    assert back.problems() == []
    assert back.volume == pytest.approx(mesh.volume, rel=1e-6)


def test_node_transforms_agree_with_trimesh() -> None:
    turned = trimesh.transformations.rotation_matrix(0.7, [1, 2, 3])
    document, binary = _document_and_binary()
    quaternion = np.roll(trimesh.transformations.quaternion_from_matrix(turned), -1).tolist()
    document["nodes"] = [
        {"children": [1], "translation": [0.001, 0.002, 0.003]},
        {"children": [2], "rotation": quaternion},
        {"mesh": 0, "matrix": np.diag([2.0, 3.0, 4.0, 1.0]).T.ravel().tolist(), "children": [3]},
        {"scale": [1, 2, 1]},
    ]
    data = _glb(document, binary)
    theirs = trimesh.load(io.BytesIO(data), file_type="glb", force="mesh", process=False)
    ours = read_glb(data)
    assert ours.volume == pytest.approx(24 / 6, rel=1e-6)
    expected = theirs.vertices * 1000 @ np.array([[1, 0, 0], [0, 0, 1], [0, -1, 0]])
    assert sorted(map(tuple, np.round(ours.vertices, 3))) == sorted(map(tuple, np.round(expected, 3)))


def _changed(*path_and_value: Any) -> bytes:
    *path, last, value = path_and_value
    document, binary = _document_and_binary()
    spot = document
    for step in path:
        spot = spot[step]
    spot[last] = value
    return _glb(document, binary)


@pytest.mark.parametrize(
    "data",
    [
        _changed("accessors", 0, "count", 10**9),
        _changed("accessors", 0, "count", -1),
        _changed("accessors", 0, "count", "4"),
        _changed("accessors", 0, "byteOffset", 10**6),
        _changed("accessors", 0, "componentType", 5123),
        _changed("accessors", 0, "sparse", {}),
        _changed("accessors", 1, "count", 11),
        _changed("accessors", 1, "componentType", 5126),
        _changed("bufferViews", 1, "byteLength", 10**6),
        _changed("bufferViews", 0, "byteStride", 4),
        _changed("bufferViews", 0, "buffer", 1),
        _changed("buffers", 0, "uri", "elsewhere.bin"),
        _changed("nodes", [{"children": [0]}]),
        _changed("nodes", [{"children": [1, 1]}] * 2),
        _changed("nodes", 0, "matrix", [1, 2]),
        _changed("scenes", []),
        _changed("meshes", 0, "primitives", 0, "attributes", {}),
        _glb([1], b""),
        _glb(b"{", b""),
        _glb(b"[" * 100_000, b""),
        _glb(b"\xff\xff", b""),
    ],
)
def test_damaged_scenes(data: bytes) -> None:
    with pytest.raises(InputError, match="not understood"):
        read_glb(data)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"glTF", "not a GLB"),
        (b"x" * 100, "not a GLB"),
        (_changed("scene", 0)[:-1], "cut off"),
        (_changed("scene", 0).replace(b"glTF\2", b"glTF\1"), "version 1"),
        (_changed("meshes", 0, "primitives", 0, "mode", 1), "no triangles"),
        (_changed("nodes", 0, "translation", [float("nan"), 0, 0]), "finite"),
        (_changed("nodes", 0, "scale", [1e9, 1, 1]), "larger than"),
    ],
)
def test_bad_files(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_glb(data)
