"""Reading meshes: what other writers make (trimesh, lib3mf), units, transforms, and damaged files.

Expected sentences are part of the promise: what, where, what to do.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import lib3mf
import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring, tetrahedron

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.glb import read_glb, write_glb
from ringtex.export.mesh_files.obj import read_obj
from ringtex.export.mesh_files.ply import read_ply, write_ply
from ringtex.export.mesh_files.stl import read_stl, write_stl
from ringtex.export.mesh_files.three_mf import read_three_mf, write_three_mf
from ringtex.solid.mesh.ring_mesh import RingMesh


def _written(write: Callable[[RingMesh, io.BytesIO], None], mesh: RingMesh | None = None) -> bytes:
    file = io.BytesIO()
    write(mesh or tetrahedron(), file)
    return file.getvalue()


def _document_and_binary() -> tuple[dict[str, Any], bytes]:
    data = _written(write_glb)
    size = int.from_bytes(data[12:16], "little")
    return json.loads(data[20 : 20 + size]), data[28 + size :]


def _glb(document: Any, binary: bytes) -> bytes:
    text = document if isinstance(document, bytes) else json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    head = np.array([2, 28 + len(text) + len(binary), len(text)], "<u4").tobytes()
    return b"glTF" + head + b"JSON" + text + len(binary).to_bytes(4, "little") + b"BIN\0" + binary


def test_glb_reads_what_trimesh_writes() -> None:
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
        _changed("nodes", [{"children": [1]}, {"children": [0]}]),
        _changed("bufferViews", 0, "byteOffset", -4),
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
def test_damaged_glb_scenes(data: bytes) -> None:
    with pytest.raises(InputError, match=r"not understood|without an end"):
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
def test_bad_glb_files(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_glb(data)


def _model(mesh_unit: str = "millimeter") -> str:
    with zipfile.ZipFile(io.BytesIO(_written(write_three_mf))) as package:
        return package.read("3D/3dmodel.model").decode().replace("millimeter", mesh_unit)


def _package(model: str | bytes, relations: bytes = b"", name: str = "3D/3dmodel.model") -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as package:
        if relations:
            package.writestr("_rels/.rels", relations)
        package.writestr(name, model)
    return file.getvalue()


def test_reads_what_lib3mf_writes(tmp_path: Path) -> None:
    mesh = bumpy_ring()
    model = lib3mf.get_wrapper().CreateModel()
    thing = model.AddMeshObject()
    for place in mesh.vertices:
        position = lib3mf.Position()
        position.Coordinates[:] = [float(x) for x in place]
        thing.AddVertex(position)
    for corners in mesh.faces:
        triangle = lib3mf.Triangle()
        triangle.Indices[:] = [int(x) for x in corners]
        thing.AddTriangle(triangle)
    model.AddBuildItem(thing, lib3mf.get_wrapper().GetIdentityTransform())
    path = tmp_path / "theirs.3mf"
    model.QueryWriter("3mf").WriteToFile(str(path))
    back = read_three_mf(path.read_bytes())
    assert np.array_equal(back.faces, mesh.faces)
    assert back.vertices == pytest.approx(mesh.vertices, abs=1e-5)


def test_swapped_attributes_are_not_misread() -> None:
    swapped = _model().replace('v2="2" v3="1"', 'v3="1" v2="2"')
    assert swapped != _model()
    assert np.array_equal(read_three_mf(_package(swapped)).faces, tetrahedron().faces)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [("micron", 0.001), ("millimeter", 1), ("centimeter", 10), ("inch", 25.4), ("foot", 304.8), ("meter", 1000)],
)
def test_three_mf_units(unit: str, factor: float) -> None:
    """The six units of the core specification; the inch is 25.4 mm (ISO 80000-3)."""
    assert read_three_mf(_package(_model(unit))).volume == pytest.approx(factor**3 / 6)


def test_three_mf_transforms_and_several_items() -> None:
    item = '<item objectid="1"/>'
    two = _model().replace(item, item + '<item objectid="1" transform="2 0 0 0 2 0 0 0 2 10 20 30"/>')
    mesh = read_three_mf(_package(two))
    assert mesh.volume == pytest.approx((1 + 8) / 6)
    assert mesh.vertices[4:].min(axis=0).tolist() == [10, 20, 30]


def test_the_relationship_names_the_model() -> None:
    relations = (
        b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="a" '
        b'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" Target="/3D/other.model"/>'
        b"</Relationships>"
    )
    assert read_three_mf(_package(_model(), relations, "3D/other.model")).closed


@pytest.mark.parametrize(
    ("model", "words"),
    [
        (_model("furlong"), "unit"),
        (_model().replace("</build>", ""), "damaged"),
        (_model().replace('objectid="1"', 'objectid="2"'), "does not hold"),
        (_model().replace('<item objectid="1"/>', ""), "builds nothing"),
        (_model().replace('v1="0"', 'v1="9"'), "not in the file"),
        (_model().replace('v1="0"', 'v1="-1"'), "not in the file|not understood"),
        (_model().replace('v1="0"', 'v1="99999999999999999999"'), "not in the file|not understood"),
        (_model().replace('x="1.0000000"', 'x="one"'), "not understood"),
        (_model().replace('x="1.0000000"', ""), "not understood"),
        (_model().replace('x="1.0000000"', 'x="nan"'), "finite"),
        (_model().replace('x="1.0000000"', 'x="1.0.0"'), "not understood"),
        (_model().replace('objectid="1"', 'objectid="1" transform="1 0 0"'), "not understood"),
        (
            _model().replace("<mesh>", '<components><component objectid="1"/></components><mesh>'),
            "hold each other without an end",
        ),
        (_model().replace("<model", '<!DOCTYPE a [<!ENTITY b "b">]><model'), "document type"),
        ("", "builds nothing"),
        ("<a", "builds nothing"),
    ],
)
def test_bad_three_mf_models(model: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_three_mf(_package(model))


def test_a_trap_for_the_memory() -> None:
    with pytest.raises(InputError, match="unbelievably large"):
        read_three_mf(_package(b" " * 20_000_000))


def test_not_a_three_mf_package() -> None:
    for data in (b"PK\3\4" + b"\0" * 50, b"x", _package("", name="other")):
        with pytest.raises(InputError, match="not a 3MF package"):
            read_three_mf(data)


def test_obj_reads_what_trimesh_writes() -> None:
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    back = read_obj(theirs.export(file_type="obj", include_normals=True).encode())
    assert np.array_equal(back.faces, mesh.faces)
    assert back.vertices == pytest.approx(mesh.vertices, abs=1e-7)


OBJ_CORNERS = b"v 0 0 0\nv 1 0 0 1.0\nv 1 1 0\nv\t0 1 0\n"


@pytest.mark.parametrize("face", [b"f 1 2 3 4", b"f 1/1 2/2 3/3 4/4", b"f 1//7 2//7 3//7 4//7"])
def test_obj_corner_forms_and_polygons(face: bytes) -> None:
    """From the format's published description: v, v/vt, v//vn, polygons."""
    assert read_obj(OBJ_CORNERS + face).area == pytest.approx(1.0)


def test_obj_continued_lines_and_other_statements() -> None:
    assert read_obj(b"# a ring\ng x\n" + OBJ_CORNERS + b"vn 0 0 1\nf 1 2 \\\n3\nf  1 3 4\r\n").area == pytest.approx(
        1.0
    )


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\0\1\2", "not text"),
        (b"hello", "no triangles"),
        (OBJ_CORNERS, "no triangles"),
        (OBJ_CORNERS + b"f 1 2 5", "not in the file"),
        (OBJ_CORNERS + b"f 0 1 2", "Line 5 is not a face of vertex numbers from 1 on"),
        (OBJ_CORNERS + b"f -4 -3 -2", "Line 5 counts its vertices backwards"),
        (OBJ_CORNERS + b"f 1 2 3.5", "Line 5 is not a face"),
        (OBJ_CORNERS + b"f 1 2", "Line 5 is not a face"),
        (OBJ_CORNERS + b"f 1 2 x", "Line 5 is not a face"),
        (OBJ_CORNERS + b"f 1 2 99999999999999999999999", "not in the file|not understood"),
        (OBJ_CORNERS + b"v 1 2\nf 1 2 3", "numbers"),
        (OBJ_CORNERS + b"v 1 2 nan\nf 1 2 3", "finite"),
    ],
)
def test_bad_obj_files(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_obj(data)


@pytest.mark.parametrize("encoding", ["binary", "ascii"])
def test_ply_reads_what_trimesh_writes(encoding: str) -> None:
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    theirs.visual.vertex_colors = np.full((len(mesh.vertices), 4), 100, np.uint8)  # properties to pass over
    back = read_ply(theirs.export(file_type="ply", encoding=encoding))
    assert np.array_equal(back.faces, mesh.faces)
    assert back.vertices == pytest.approx(mesh.vertices, abs=1e-5)


PLY_TEXT = b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
PLY_FACES = b"element face 1\nproperty list uchar int vertex_index\nend_header\n"


def test_ply_polygons() -> None:
    """A square and a triangle, of 1 and 0.5 mm2."""
    header = PLY_TEXT.replace(b"vertex 3", b"vertex 4") + PLY_FACES.replace(b"face 1", b"face 2")
    mesh = read_ply(header + b"0 0 0\n1 0 0\n1 1 0\n0 1 0\n4 0 1 2 3\n3 0 1 2\n")
    assert mesh.area == pytest.approx(1.5)


def test_ply_big_endian() -> None:
    header = PLY_TEXT.replace(b"ascii", b"binary_big_endian") + PLY_FACES
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 2, 0]], ">f4")
    mesh = read_ply(header + corners.tobytes() + b"\3" + np.array([0, 1, 2], ">i4").tobytes())
    assert mesh.area == 1.0


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"junk", "not a PLY"),
        (b"ply\n" + b"x" * 100_000, "not a PLY"),
        (_written(write_ply)[:-1], "face rows are cut off"),
        (_written(write_ply)[:300], "rows are cut off"),
        (_written(write_ply).replace(b"vertex 4", b"vertex 9"), "cut off or damaged"),
        (_written(write_ply).replace(b"face 4", b"face 4000000000"), "more than 4 million"),
        (_written(write_ply).replace(b"face 4", b"face -4"), "not understood: element face -4"),
        (_written(write_ply).replace(b"double x", b"triple x"), "not understood"),
        (_written(write_ply).replace(b"double x", b"double q"), "no field of name x"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n0 1 0\n700" + b" 1" * 700 + b"\n", "more than 64"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n", "not in the file"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n0 1\n3 0 1 2\n", "cut off or damaged"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n0 inf 0\n3 0 1 2\n", "finite"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n0 1e30 0\n3 0 1 2\n", "larger than"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n", "cut off"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n0 1 0\n3 0 1 1.7\n", "number with a fraction"),
        (PLY_TEXT + PLY_FACES + b"0 0 0\n1 0 0\n0 1 0\n3 0 1 -2\n", "not in the file"),
        (PLY_TEXT + b"end_header\n0 0 0\n1 0 0\n0 1 0\n", "no vertices or no faces"),
    ],
)
def test_bad_ply_files(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_ply(data)


@pytest.mark.parametrize("kind", ["stl", "stl_ascii"])
def test_stl_reads_what_trimesh_writes(kind: str) -> None:
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).export(file_type=kind)
    back = read_stl(theirs if isinstance(theirs, bytes) else theirs.encode())
    assert len(back.vertices) == len(mesh.vertices)
    assert back.problems() == []
    assert back.volume == pytest.approx(mesh.volume, rel=1e-6)


def test_a_binary_stl_may_begin_with_solid() -> None:
    data = b"solid ring".ljust(80) + _written(write_stl)[80:]
    assert read_stl(data).volume == pytest.approx(1 / 6)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"x", "not an STL"),
        (_written(write_stl)[:-1], "cut off"),
        (_written(write_stl)[:84], "cut off"),
        (_written(write_stl) + b"\0", "goes on after"),
        (b"\0" * 84, "no triangles"),
        (b"\0" * 80 + b"\xff" * 4, "4294967295 triangles and has room for 0"),
        (b"\0" * 80 + b"\1\0\0\0" + b"\xff" * 50, "finite number"),
        (b"solid a\nfacet\nvertex 0 0 0\nvertex 0 0", "cut off"),
        (b"solid a\nvertex 0 0 0\nvertex 0 0 1\nendsolid a", "three corners"),
        (b"solid a\nvertex 0 0 0\nvertex 0 0 1\nvertex 0 0\nendsolid a", "not understood"),
        (b"solid a\nvertex 0 0 0\nvertex 0 0 1\nvertex 0 0 nan\nendsolid a", "finite number"),
    ],
)
def test_bad_stl_files(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_stl(data)
