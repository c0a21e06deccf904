"""GLB: the container, the rules of the glTF 2.0 specification that apply to it, and trimesh's reading."""

from __future__ import annotations

import io
import json
from typing import Any

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from ringtex.export.mesh_files.glb import from_gltf, to_gltf, write_glb
from ringtex.solid.mesh.ring_mesh import RingMesh


def _bytes(mesh: RingMesh) -> bytes:
    file = io.BytesIO()
    write_glb(mesh, file)
    return file.getvalue()


def _parts(data: bytes) -> tuple[dict[str, Any], bytes]:
    size = int.from_bytes(data[12:16], "little")
    return json.loads(data[20 : 20 + size]), data[28 + size :]


def test_container() -> None:
    """glTF 2.0, section 4.4 (from memory): magic, version 2, total length; JSON padded with spaces, then BIN."""
    data = _bytes(bumpy_ring())
    assert data[:4] == b"glTF"
    assert np.frombuffer(data, "<u4", 2, 4).tolist() == [2, len(data)]
    size = int.from_bytes(data[12:16], "little")
    assert size % 4 == 0
    assert data[16:20] == b"JSON"
    assert int.from_bytes(data[20 + size : 24 + size], "little") == len(data) - 28 - size
    assert data[24 + size : 28 + size] == b"BIN\0"


def test_document() -> None:
    """glTF 2.0, sections 3.6 and 3.7 (from memory): offsets aligned, bounds exact, targets, indices in range."""
    mesh = bumpy_ring()
    document, binary = _parts(_bytes(mesh))
    assert document["asset"]["version"] == "2.0"
    assert document["buffers"] == [{"byteLength": len(binary)}]
    primitive = document["meshes"][0]["primitives"][0]
    place = document["accessors"][primitive["attributes"]["POSITION"]]
    index = document["accessors"][primitive["indices"]]
    assert (place["componentType"], place["type"], index["componentType"], index["type"]) == (
        5126,
        "VEC3",
        5125,
        "SCALAR",
    )
    views = document["bufferViews"]
    assert [view["target"] for view in views] == [34962, 34963]
    assert all(view["byteOffset"] % 4 == 0 for view in views)
    assert sum(view["byteLength"] for view in views) == len(binary)
    places = np.frombuffer(binary, "<f4", 3 * place["count"]).reshape(-1, 3)
    assert place["min"] == places.min(axis=0).tolist()
    assert place["max"] == places.max(axis=0).tolist()
    indices = np.frombuffer(binary, "<u4", index["count"], views[1]["byteOffset"])
    assert np.array_equal(indices.reshape(-1, 3), mesh.faces)


def test_trimesh_sees_metres_with_y_up() -> None:
    """The ring's axis points up, its head (our +y) away from a viewer who looks along -Z: (x, y, z) -> (x, z, -y)."""
    mesh = bumpy_ring()
    theirs = trimesh.load(io.BytesIO(_bytes(mesh)), file_type="glb", force="mesh", process=False)
    assert theirs.extents * 1000 == pytest.approx(np.ptp(mesh.vertices, axis=0)[[0, 2, 1]], rel=1e-6)
    assert theirs.vertices * 1000 == pytest.approx(
        mesh.vertices @ np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]]), abs=1e-5
    )
    assert theirs.volume * 1e9 == pytest.approx(mesh.volume, rel=1e-6)


@given(arrays(np.float64, (4, 3), elements=st.floats(-100, 100)))
def test_there_and_back(points: np.ndarray) -> None:
    assert np.all(np.abs(from_gltf(to_gltf(points).astype(np.float64)) - points) <= np.abs(points) * 2.0**-23 + 1e-30)
