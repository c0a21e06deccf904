"""Reading 3MF: other programs' packages (lib3mf writes one), units, transforms, and traps."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import lib3mf
import numpy as np
import pytest
from export_sample_rings import bumpy_ring, tetrahedron

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.three_mf import write_three_mf
from ringtex.export.mesh_files.three_mf_model import _plain_rows, read_three_mf


def _model(mesh_unit: str = "millimeter") -> str:
    file = io.BytesIO()
    write_three_mf(tetrahedron(), file)
    with zipfile.ZipFile(file) as package:
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


def test_the_quick_way_and_the_parser_agree() -> None:
    quick = _model()
    slow = quick.replace('" y="', '"  y="')
    assert _plain_rows(quick.encode())[1] is not None
    assert _plain_rows(slow.encode())[1] is None
    one, other = read_three_mf(_package(quick)), read_three_mf(_package(slow))
    assert np.array_equal(one.vertices, other.vertices)
    assert np.array_equal(one.faces, other.faces)


def test_swapped_attributes_are_not_misread() -> None:
    swapped = _model().replace('v2="2" v3="1"', 'v3="1" v2="2"')
    assert swapped != _model()
    assert np.array_equal(read_three_mf(_package(swapped)).faces, tetrahedron().faces)
    assert _plain_rows(swapped.encode())[1] is None


@pytest.mark.parametrize(
    ("unit", "factor"),
    [("micron", 0.001), ("millimeter", 1), ("centimeter", 10), ("inch", 25.4), ("foot", 304.8), ("meter", 1000)],
)
def test_units(unit: str, factor: float) -> None:
    """The six units of the core specification; the inch is 25.4 mm (ISO 80000-3)."""
    assert read_three_mf(_package(_model(unit))).volume == pytest.approx(factor**3 / 6)


def test_transforms_and_several_items() -> None:
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
        (_model().replace('v1="0"', 'v1="99999999999999999999"'), "not understood"),
        (_model().replace('x="1.0000000"', 'x="one"'), "not understood, at line"),
        (_model().replace('x="1.0000000"', ""), "not understood"),
        (_model().replace('x="1.0000000"', 'x="nan"'), "finite"),
        (_model().replace('x="1.0000000"', 'x="1.0.0"'), "not understood"),
        (_model().replace('objectid="1"', 'objectid="1" transform="1 0 0"'), "twelve"),
        (_model().replace("<mesh>", '<components><component objectid="1"/></components><mesh>'), "components"),
        (_model().replace("<model", '<!DOCTYPE a [<!ENTITY b "b">]><model'), "document type"),
        ("", "damaged"),
        ("<a", "damaged"),
    ],
)
def test_bad_models(model: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_three_mf(_package(model))


def test_a_trap_for_the_memory() -> None:
    with pytest.raises(InputError, match="unbelievably large"):
        read_three_mf(_package(b" " * 20_000_000))


def test_not_a_package() -> None:
    for data in (b"PK\3\4" + b"\0" * 50, b"x", _package("", name="other")):
        with pytest.raises(InputError, match="not a 3MF package"):
            read_three_mf(data)
