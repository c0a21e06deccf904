"""3MF against lib3mf, the consortium's own reader, in its strict mode."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import lib3mf
import numpy as np
import pytest
from export_sample_rings import bumpy_ring
from lxml import etree

from ringtex.export.mesh_files.three_mf import CORE, write_three_mf
from ringtex.solid.mesh.ring_mesh import RingMesh


def _bytes(mesh: RingMesh) -> bytes:
    file = io.BytesIO()
    write_three_mf(mesh, file)
    return file.getvalue()


def test_lib3mf_reads_it_strictly(tmp_path: Path) -> None:
    mesh = bumpy_ring()
    path = tmp_path / "ring.3mf"
    path.write_bytes(_bytes(mesh))
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    assert objects.Count() == 1
    assert model.GetBuildItems().Count() == 1
    objects.MoveNext()
    theirs = objects.GetCurrentMeshObject()
    assert theirs.IsValid()
    assert theirs.IsManifoldAndOriented()
    corners = np.array([list(triangle.Indices) for triangle in theirs.GetTriangleIndices()])
    places = np.array([list(vertex.Coordinates) for vertex in theirs.GetVertices()])
    assert np.array_equal(corners, mesh.faces)
    assert places == pytest.approx(mesh.vertices, abs=1e-6)  # lib3mf keeps float32


def test_package_parts() -> None:
    """Open Packaging Conventions (ECMA-376 part 2): content types, relationships, the part that they name."""
    with zipfile.ZipFile(io.BytesIO(_bytes(bumpy_ring()))) as package:
        assert package.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
        assert package.testzip() is None
        for info in package.infolist():
            assert info.compress_type == zipfile.ZIP_DEFLATED
            assert info.date_time == (1980, 1, 1, 0, 0, 0)
        model = etree.fromstring(package.read("3D/3dmodel.model"))
    assert model.tag == f"{{{CORE}}}model"
    assert model.get("unit") == "millimeter"
    names = {"c": CORE}
    assert len(model.findall(".//c:object", names)) == 1
    assert [item.get("objectid") for item in model.findall("./c:build/c:item", names)] == ["1"]


def test_it_is_compressed() -> None:
    mesh = bumpy_ring(400, 60)
    assert len(_bytes(mesh)) < 0.3 * len(mesh.faces) * 84


def test_the_order_of_elements_is_the_schemas() -> None:
    """Core specification's schema, from memory: model = metadata*, resources, build; mesh = vertices, triangles."""
    with zipfile.ZipFile(io.BytesIO(_bytes(bumpy_ring()))) as package:
        model = etree.fromstring(package.read("3D/3dmodel.model"))
    assert [etree.QName(child).localname for child in model] == ["metadata", "resources", "build"]
    mesh = model.find(".//{*}mesh")
    assert mesh is not None
    assert [etree.QName(child).localname for child in mesh] == ["vertices", "triangles"]
