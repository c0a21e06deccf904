"""The comparison sees every kind of difference."""

from __future__ import annotations

import numpy as np
import pytest
from export_sample_rings import bumpy_ring

from ringtex.basics.errors import OutputError
from ringtex.export.mesh_files.read_back import Rounding, compare_with_file
from ringtex.solid.mesh.ring_mesh import RingMesh

EXACT = Rounding()


def test_a_mesh_with_its_vertices_renumbered_is_the_same() -> None:
    mesh = bumpy_ring()
    order = np.random.default_rng(3).permutation(len(mesh.vertices)).astype(np.int32)
    place_of = np.argsort(order).astype(np.int32)
    assert compare_with_file(mesh, RingMesh(mesh.vertices[order], place_of[mesh.faces]), EXACT, "x") == 0


def test_a_missing_triangle() -> None:
    mesh = bumpy_ring()
    with pytest.raises(OutputError, match="instead of"):
        compare_with_file(mesh, RingMesh(mesh.vertices, mesh.faces[1:]), EXACT, "x")


def test_a_turned_triangle() -> None:
    mesh = bumpy_ring()
    faces = mesh.faces.copy()
    faces[7] = faces[7, ::-1]
    with pytest.raises(OutputError, match=r"joined in another way|fall"):
        compare_with_file(mesh, RingMesh(mesh.vertices, faces), EXACT, "x")


def test_a_vertex_split_in_two() -> None:
    mesh = bumpy_ring()
    faces = mesh.faces.copy()
    faces[7, 0] = len(mesh.vertices)
    split = RingMesh(np.concatenate((mesh.vertices, mesh.vertices[mesh.faces[7, :1]])), faces)
    with pytest.raises(OutputError, match="joined in another way"):
        compare_with_file(mesh, split, EXACT, "x")


def test_a_moved_vertex() -> None:
    mesh = bumpy_ring()
    moved = mesh.vertices.copy()
    moved[5, 1] += 2e-6
    with pytest.raises(OutputError, match="2e-06 mm away"):
        compare_with_file(mesh, RingMesh(moved, mesh.faces), Rounding(absolute_mm=1e-6), "x")
    assert compare_with_file(mesh, RingMesh(moved, mesh.faces), Rounding(absolute_mm=3e-6), "x") == 0


def test_two_vertices_at_one_place() -> None:
    mesh = bumpy_ring()
    moved = mesh.vertices.copy()
    moved[mesh.faces[0, 1]] = moved[mesh.faces[0, 0]]
    with pytest.raises(OutputError, match="One vertex falls together"):
        compare_with_file(mesh, RingMesh(moved, mesh.faces), Rounding(absolute_mm=100.0), "x")


def test_two_vertices_that_were_at_one_place_before() -> None:
    """Touching places are the mesh's own affair where the format keeps vertices apart."""
    mesh = bumpy_ring()
    together = mesh.vertices.copy()
    together[-1] = together[0]
    touching = RingMesh(together, mesh.faces)
    assert compare_with_file(touching, touching, Rounding(absolute_mm=1e-6), "x") == 0


def test_flattened_triangles_are_counted() -> None:
    mesh = bumpy_ring()
    moved = mesh.vertices.copy()
    a, b, c = mesh.faces[0]
    moved[a] = moved[b] + moved[c] - moved[a]
    flattened = compare_with_file(mesh, RingMesh(moved, mesh.faces), Rounding(absolute_mm=100.0), "x")
    assert flattened >= 1
