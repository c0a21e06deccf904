import numpy as np
import pytest
import trimesh

from ringtex.solid.mesh.booleans import without_loose_slivers
from ringtex.solid.mesh.ring_mesh import RingMesh


def torus(around: int = 48, across: int = 24, large: float = 7.0, small: float = 3.0) -> RingMesh:
    a = 2.0 * np.pi * np.arange(around) / around
    b = 2.0 * np.pi * np.arange(across) / across
    aa, bb = (grid.ravel() for grid in np.meshgrid(a, b, indexing="ij"))
    radius = large + small * np.cos(bb)
    vertices = np.column_stack((radius * np.cos(aa), radius * np.sin(aa), small * np.sin(bb)))
    i, j = (grid.ravel() for grid in np.meshgrid(np.arange(around), np.arange(across), indexing="ij"))
    i1, j1 = (i + 1) % around, (j + 1) % across
    p, q, r, s = i * across + j, i1 * across + j, i1 * across + j1, i * across + j1
    faces = np.concatenate((np.column_stack((p, q, r)), np.column_stack((p, r, s)))).astype(np.int32)
    return RingMesh(vertices, faces)


def moved(mesh: RingMesh, by: tuple[float, float, float]) -> RingMesh:
    return RingMesh(mesh.vertices + np.array(by), mesh.faces)


def together(first: RingMesh, second: RingMesh) -> RingMesh:
    faces = np.concatenate((first.faces, second.faces + np.int32(len(first.vertices))))
    return RingMesh(np.concatenate((first.vertices, second.vertices)), faces)


def test_a_torus_has_no_problems() -> None:
    mesh = torus()
    assert mesh.problems() == []
    assert (mesh.bodies, mesh.euler, mesh.genus) == (1, 0, 1)
    assert len(mesh.unmatched_edges) == len(mesh.misdirected_edges) == 0


def test_volume_and_area_tend_to_those_of_pappus_and_guldinus() -> None:
    """V = 2 pi^2 R r^2 = 1243.570155, S = 4 pi^2 R r = 829.046770 for r = 3, R = 7 (Pappus and Guldinus)."""
    mesh = torus(400, 400)
    assert mesh.volume == pytest.approx(1243.570155, rel=2e-4)
    assert mesh.area == pytest.approx(829.046770, rel=2e-4)
    coarse = torus(200, 200)
    assert (1243.570155 - coarse.volume) / (1243.570155 - mesh.volume) == pytest.approx(4.0, rel=0.02)


def test_measures_agree_with_trimesh() -> None:
    """Source: trimesh's volume, area and mass centre of the same triangles."""
    mesh = moved(torus(), (3.0, -2.0, 5.0))
    other = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert mesh.volume == pytest.approx(other.volume, rel=1e-12)
    assert mesh.area == pytest.approx(other.area, rel=1e-12)
    assert mesh.centre_of_mass == pytest.approx(other.center_mass, abs=1e-9)
    assert mesh.euler == other.euler_number
    assert mesh.closed == other.is_watertight
    assert np.abs(mesh.triangle_areas - other.area_faces).max() < 1e-12


def test_a_hole_is_seen_and_its_edges_named() -> None:
    mesh = torus()
    holed = RingMesh(mesh.vertices, mesh.faces[1:])
    assert holed.problems() == ["3 edges are not shared by exactly two triangles"]
    assert {frozenset(edge) for edge in holed.unmatched_edges.tolist()} == {
        frozenset(map(int, mesh.faces[0][[i, (i + 1) % 3]])) for i in range(3)
    }


def test_a_turned_triangle_is_seen() -> None:
    mesh = torus()
    faces = mesh.faces.copy()
    faces[5] = faces[5, ::-1]
    turned = RingMesh(mesh.vertices, faces)
    assert turned.closed
    assert not turned.oriented
    assert len(turned.misdirected_edges) == 3
    assert turned.problems()


def test_an_inside_out_mesh_two_parts_and_another_genus_are_seen() -> None:
    mesh = torus()
    assert RingMesh(mesh.vertices, mesh.faces[:, ::-1]).problems() == ["the mesh is inside out"]
    assert together(mesh, moved(mesh, (0.0, 0.0, 20.0))).problems() == ["the mesh is in 2 parts instead of one"]
    ball = trimesh.creation.icosphere(2)
    sphere = RingMesh(np.array(ball.vertices), np.array(ball.faces, dtype=np.int32))
    assert sphere.problems() == ["the mesh has 0 holes through it instead of 1"]
    assert sphere.problems(genus=0) == []


def test_no_triangles_and_places_that_are_not_numbers_are_seen() -> None:
    mesh = torus()
    assert RingMesh(mesh.vertices, mesh.faces[:0]).problems() == ["the mesh has no triangles"]
    spoilt = mesh.vertices.copy()
    spoilt[3, 1] = np.nan
    assert RingMesh(spoilt, mesh.faces).problems() == ["a vertex is not finite"]


def test_unused_vertices_do_not_count_as_bodies() -> None:
    mesh = torus()
    extra = RingMesh(np.concatenate((mesh.vertices, np.zeros((2, 3)))), mesh.faces)
    assert (extra.bodies, extra.euler, extra.genus) == (1, 0, 1)


def test_slivers_beside_a_ring_are_left_out_with_their_labels() -> None:
    ring, sliver = torus(), moved(torus(6, 6, 0.02, 0.01), (30.0, 0.0, 0.0))
    number = np.arange(len(ring.faces) + len(sliver.faces), dtype=np.int32)
    whole = together(sliver, ring)
    mesh, original_id, face_id = without_loose_slivers(whole, number % 3, number)
    assert np.array_equal(face_id, number[len(sliver.faces) :])
    assert np.array_equal(original_id, face_id % 3)
    assert np.array_equal(mesh.vertices[mesh.faces], whole.vertices[whole.faces[face_id]])
    assert len(mesh.vertices) == len(ring.vertices)
    alone = without_loose_slivers(sliver, number[:72], number[:72])[0]
    assert alone is sliver
    both = together(ring, moved(ring, (30.0, 0.0, 0.0)))
    assert without_loose_slivers(both, number, number)[0] is both
