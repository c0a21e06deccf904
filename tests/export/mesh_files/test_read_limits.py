"""Small files that ask for much work or memory, and large ones that hold nothing, are refused unparsed."""

from __future__ import annotations

import io
import json
import tracemalloc
import zipfile
from pathlib import Path

import numpy as np
import pytest
from export_sample_rings import tetrahedron

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.glb import write_glb
from ringtex.export.mesh_files.mesh_files import read_mesh
from ringtex.export.mesh_files.read_limits import MAX_CORNERS, MAX_READ_TRIANGLES
from ringtex.export.mesh_files.three_mf import write_three_mf


def _three_mf(triangles: int, items: int, components: int = 0) -> bytes:
    """One object of so many triangles, built so many times; or objects that each hold the one before so often."""
    file = io.BytesIO()
    write_three_mf(tetrahedron(), file)
    with zipfile.ZipFile(file) as package:
        model = package.read("3D/3dmodel.model").decode()
    row = '<triangle v1="0" v2="1" v3="2"/>'
    model = model.replace("</triangles>", row * triangles + "</triangles>")
    last = 1
    if components:
        nested = ""
        for last in range(2, 32):
            parts = f'<component objectid="{last - 1}"/>' * components
            nested += f'<object id="{last}"><components>{parts}</components></object>'
        model = model.replace("</resources>", nested + "</resources>")
    model = model.replace('<item objectid="1"/>', f'<item objectid="{last}"/>' * items)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("3D/3dmodel.model", model + "<!-- " + "".join(map(str, range(3000))) + " -->")
    return packed.getvalue()


def _glb(nodes: int, primitives: int = 1, views: int = 1) -> bytes:
    """Many nodes of one mesh of 300,000 triangles, or many primitives of it, or many views of the same bytes."""
    file = io.BytesIO()
    write_glb(tetrahedron(), file)
    data = file.getvalue()
    size = int.from_bytes(data[12:16], "little")
    document = json.loads(data[20 : 20 + size])
    places = data[28 + size : 28 + size + 48]
    indices = np.zeros(900_000, "<u4").tobytes()
    binary = places + indices
    document["accessors"][1]["count"] = 900_000
    document["bufferViews"][1]["byteLength"] = len(indices)
    document["bufferViews"] += [document["bufferViews"][1]] * (views - 1)
    document["buffers"][0]["byteLength"] = len(binary)
    document["nodes"] = [{"mesh": 0}] * nodes
    document["scenes"] = [{"nodes": list(range(nodes))}]
    document["meshes"][0]["primitives"] *= primitives
    text = json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    head = np.array([2, 28 + len(text) + len(binary), len(text)], "<u4").tobytes()
    return b"glTF" + head + b"JSON" + text + len(binary).to_bytes(4, "little") + b"BIN\0" + binary


BOMBS = {
    "items.3mf": lambda: _three_mf(2_000, 3_000),
    "nested.3mf": lambda: _three_mf(0, 1, components=4),
    "nodes.glb": lambda: _glb(10_000),
    "primitives.glb": lambda: _glb(1, primitives=3_000),
    "views.glb": lambda: _glb(1, views=2_000),
    "polygon.obj": lambda: b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf " + b"1 2 3 " * 500_000,
    "continued.obj": lambda: b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf " + b"1 2 3 \\\n" * 500_000,
    "rows.ply": lambda: (
        b"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nelement face 1\n"
        b"property list uchar int vertex_index\nend_header\n" + b"1\n" * 2_000_000
    ),
    "list.ply": lambda: (
        b"ply\nformat binary_little_endian 1.0\nelement vertex 1\nproperty float x\nelement face 1\n"
        b"property list uint int vertex_index\nend_header\n" + b"\0\0\0\0" + b"\xff" * 40
    ),
}


@pytest.mark.parametrize("name", BOMBS)
def test_bombs(name: str, tmp_path: Path) -> None:
    """Refused with memory of a few times the file (unpacked: 100 MB), not of what it asks for."""
    data = BOMBS[name]()
    (tmp_path / name).write_bytes(data)
    tracemalloc.start()
    try:
        with pytest.raises(InputError) as caught:
            read_mesh(tmp_path / name)
        assert tracemalloc.get_traced_memory()[1] < 6 * len(data) + 100e6
    finally:
        tracemalloc.stop()
    assert caught.value.advice


@pytest.mark.parametrize("ending", ["ply", "stl", "obj", "glb", "3mf"])
def test_sparse_files(ending: str, tmp_path: Path) -> None:
    """2 GB of nothing, which take no room on the disk, are refused by their size."""
    path = tmp_path / f"a.{ending}"
    with path.open("wb") as file:
        file.truncate(2_000_000_000)
    tracemalloc.start()
    with pytest.raises(InputError, match="far too big for a mesh"):
        read_mesh(path)
    assert tracemalloc.get_traced_memory()[1] < 1e6
    tracemalloc.stop()


def test_the_limits_say_so(tmp_path: Path) -> None:
    path = tmp_path / "a.stl"
    with path.open("wb") as file:
        file.write(b"\0" * 80 + (MAX_READ_TRIANGLES + 1).to_bytes(4, "little"))
        file.truncate(84 + 50 * (MAX_READ_TRIANGLES + 1))
    with pytest.raises(InputError, match="4000001 triangles, more than 4 million"):
        read_mesh(path)
    polygon = b"v 0 0 0\n" * MAX_CORNERS + b"f " + b" ".join(b"%d" % i for i in range(1, MAX_CORNERS + 1))
    (tmp_path / "a.obj").write_bytes(polygon)
    assert len(read_mesh(tmp_path / "a.obj").faces) == MAX_CORNERS - 2
    (tmp_path / "a.obj").write_bytes(polygon + b" 1")
    with pytest.raises(InputError, match="polygon of more than 64 corners"):
        read_mesh(tmp_path / "a.obj")


def test_components_are_placed(tmp_path: Path) -> None:
    """An object that holds another one twice is both copies."""
    (tmp_path / "a.3mf").write_bytes(_three_mf(0, 1, components=1))
    assert len(read_mesh(tmp_path / "a.3mf").faces) == 4
