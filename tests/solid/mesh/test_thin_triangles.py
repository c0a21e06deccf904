"""Thin triangles are removed where that leaves the surface whole."""

from __future__ import annotations

import numpy as np
import pytest

from ringtex.basics.errors import Cancelled
from ringtex.basics.progress import Progress
from ringtex.solid.mesh.edge_collapses import collapse_edges
from ringtex.solid.mesh.edge_flips import _diagonals, flip_edges
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.solid.mesh.thin_triangles import FINAL_LIMITS, remove_thin_triangles
from ringtex.solid.mesh.triangle_patch import TrianglePatch, shapes_of


def octahedron() -> tuple[np.ndarray, np.ndarray]:
    vertices = np.array([[1.0, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])
    ring = [0, 1, 2, 3]
    faces = [[a, b, 4] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    faces += [[b, a, 5] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    return vertices, np.array(faces, dtype=np.int32)


def test_parallel_diagonals_meet_nowhere() -> None:
    """Found by random designs: exactly parallel ones met so far away that the square of the distance overflowed."""
    a, b = np.array([[0.0, 0.0, 0.0]]), np.array([[1.0, 0.0, 0.0]])
    for c, d in (([[0.5, 1e-9, 0.0]], [[0.5, 1e-9, 0.0]]), ([[2.0, 0.3, 0.0]], [[3.0, 0.3, 0.0]])):
        gap, crossing = _diagonals(a, b, np.array(c), np.array(d))
        assert np.all(np.isfinite(gap))
        assert not np.any(crossing) or gap[0] < 1e-6
    gap, crossing = _diagonals(a, b, np.array([[0.5, -1.0, 0.2]]), np.array([[0.5, 1.0, 0.2]]))
    assert crossing[0]
    assert abs(gap[0] - 0.2) < 1e-15


def test_a_split_edge_with_a_hair_between_is_closed() -> None:
    """Two vertices 1e-9 apart in the middle of an edge: two slivers between them, gone afterwards."""
    vertices, faces = octahedron()
    middle = np.array([0.5, 0.5, 0.0])
    vertices = np.vstack((vertices, middle, middle + np.array([1e-9, 0.0, 0.0])))
    split = [[0, 7, 4], [7, 6, 4], [6, 1, 4], [7, 0, 5], [6, 7, 5], [1, 6, 5]]
    mesh = RingMesh(vertices, np.array([*faces[1:4], *faces[5:8], *split], dtype=np.int32))
    assert mesh.problems(0) == []
    part, source = np.zeros(12, np.int32), np.arange(12, dtype=np.int32)
    given_up = Progress()
    given_up.cancel()
    with pytest.raises(Cancelled):
        remove_thin_triangles(mesh, part, source, progress=given_up)
    assert remove_thin_triangles(mesh, part, source, np.isin(np.arange(8), [2, 3]))[0].faces.shape == (12, 3)
    closed, part, source = remove_thin_triangles(mesh, part, source, np.isin(np.arange(8), [6]))
    assert closed.problems(0) == []
    assert len(closed.faces) == len(part) == len(source) == 10
    assert abs(closed.volume - 4.0 / 3.0) < 1e-8
    # The slivers lie in the edge: their neighbours go, and they take over their neighbours' numbers, or go themselves.
    assert len(set(source.tolist())) == 10


def test_a_row_of_hairs_goes_one_after_another() -> None:
    """Found on pierced rings and settings, which kept up to eight per cent more thin triangles: of twelve slivers in an
    edge that have the same two corners across, one goes in a round, while hardly anything else is left to look at."""
    angle, part = 2.0 * np.pi * np.arange(150) / 150, 0.5 + 1e-6 * np.arange(13)
    circle = 10.0 * np.column_stack((np.cos(angle), np.sin(angle), np.zeros(150)))
    row = circle[-1] + part[:, None] * (circle[0] - circle[-1])
    vertices = np.concatenate((circle, row, [[0.0, 0.0, 10.0], [0.0, 0.0, -10.0]]))
    here = np.arange(163)
    after, top = np.roll(here, -1), np.full(163, 163)
    faces = np.concatenate((np.column_stack((here, after, top)), np.column_stack((after, here, top + 1))))
    mesh = RingMesh(vertices, faces.astype(np.int32))
    assert mesh.problems(0) == []
    number = np.zeros(326, np.int32)
    whole, *_ = remove_thin_triangles(mesh, number, number)
    assert whole.problems(0) == []
    assert np.min(shapes_of(whole.vertices.T, whole.faces, FINAL_LIMITS).roundness) >= 1.0
    assert abs(whole.volume - mesh.volume) < 1e-6


def test_a_neck_is_not_closed() -> None:
    """Three vertices round a thin neck, 1e-6 apart: closing any edge would pinch the surface."""
    angle = 2.0 * np.pi * np.arange(3) / 3
    circle = np.column_stack((np.cos(angle), np.sin(angle), np.zeros(3)))
    scale = [(1.0, -1.0), (1e-6, 0.0), (1.0, 1.0)]
    vertices = np.concatenate([circle * [r, r, 1] + [0, 0, z] for r, z in scale])
    faces = [[2, 1, 0], [6, 7, 8]]
    for low in (0, 3):
        for i in range(3):
            j = (i + 1) % 3
            faces += [[low + i, low + j, low + 3 + j], [low + i, low + 3 + j, low + 3 + i]]
    mesh = RingMesh(vertices, np.array(faces, dtype=np.int32))
    assert mesh.problems(0) == []
    kept, *_ = remove_thin_triangles(mesh, np.zeros(14, np.int32), np.arange(14, dtype=np.int32))
    assert kept.problems(0) == []
    assert len(kept.faces) == 14


def test_a_needle_on_an_edge_is_flipped_away() -> None:
    """A vertex 3e-5 beside an edge of a cube's face: its needle turns into two wide triangles of the same plane."""
    vertices, faces = octahedron()
    inside = (vertices[0] + vertices[1]) / 2.0 * (1.0 - 4e-5) + vertices[4] * 4e-5
    vertices = np.vstack((vertices, inside))
    split = [[0, 1, 6], [1, 4, 6], [4, 0, 6]]
    mesh = RingMesh(vertices, np.array([*faces[1:], *split], dtype=np.int32))
    assert mesh.problems(0) == []
    assert np.min(shapes_of(vertices.T, mesh.faces, FINAL_LIMITS).height) < 1e-4
    flat, part, source = remove_thin_triangles(mesh, np.zeros(10, np.int32), np.arange(10, dtype=np.int32))
    assert flat.problems(0) == []
    assert np.min(shapes_of(flat.vertices.T, flat.faces, FINAL_LIMITS).height) > 0.1
    assert abs(flat.volume - 4.0 / 3.0) < 1e-4
    assert len(part) == len(source) == len(flat.faces)


def test_a_corner_of_three_triangles_beside_another_goes() -> None:
    """A vertex 9e-5 from a corner, 7e-5 beside an edge: its three triangles lie in two faces."""
    vertices, faces = octahedron()
    beside = vertices[0] + 6e-5 * (vertices[1] - vertices[0]) + 7e-5 * vertices[5]
    vertices = np.vstack((vertices, beside))
    split = [[0, 6, 4], [6, 1, 4], [0, 1, 6]]
    mesh = RingMesh(vertices, np.array([*faces[1:], *split], dtype=np.int32))
    assert mesh.problems(0) == []
    assert np.min(shapes_of(vertices.T, mesh.faces, FINAL_LIMITS).height) < 1e-4
    whole, *_ = remove_thin_triangles(mesh, np.zeros(10, np.int32), np.arange(10, dtype=np.int32))
    assert whole.problems(0) == []
    assert len(whole.faces) == 8


def test_a_tetrahedron_is_not_flattened() -> None:
    """Two of its corners 1e-5 apart: without that edge, two triangles would lie back to back."""
    vertices = np.array([[0.0, 0, 0], [1e-5, 0, 0], [0, 1, 0], [0, 0, 1]])
    faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]], dtype=np.int32)
    mesh = RingMesh(vertices, faces)
    kept, *_ = remove_thin_triangles(mesh, np.zeros(4, np.int32), np.arange(4, dtype=np.int32))
    assert kept.problems(2) == mesh.problems(2)
    assert len(kept.faces) == 4


def test_no_flip_lays_a_triangle_on_its_neighbour() -> None:
    """A hollow leaves an acute edge (as measured on the demo ring): two faces at 38 degrees, split by a low triangle.

    After the flip of its long side the surface would be 0.5 micrometre off at most, but one triangle would lie on the
    other face.
    """
    vertices = np.array(
        [
            [-5.20391878756574, 16.62399993301849, 0.8122594255224569],
            [-4.842340087887388, 16.735836520782044, 1.0324568067963928],
            [-4.845345693883448, 16.734361759131303, 1.0294383313770932],
            [-4.813068318937115, 16.779529165700495, 1.0840619559205624],
            [-4.925791109025864, 17.04555876320231, 1.0363934347682529],
        ]
    )
    faces = np.array([[0, 1, 2], [0, 3, 1], [4, 2, 1]])
    number = np.zeros(3, dtype=np.int32)
    patch = TrianglePatch(vertices, faces.copy(), number, number, np.zeros(3), np.ones(5, dtype=bool))
    flip_edges(patch, FINAL_LIMITS)
    assert patch.faces.tolist() == faces.tolist()


def test_no_collapse_turns_a_needle_over_among_needles() -> None:
    """Found by random designs: a fan of needles 0.2 mm long and 0.0002 mm wide in a level face of a relief; a collapse
    of vertex 9 into vertex 5 would turn one over, 0.0004 mm wide, and it would cross the others."""
    vertices = np.array(
        [
            [-0.061342, -0.156309, 0.073707], [-0.063679, -0.162197, 0.076811], [-0.062285, -0.158715, 0.07596],
            [-0.061859, -0.157649, 0.075699], [0.000241, 0.000638, -0.001003], [0.000462, 0.001205, -0.001121],
            [-0.000679, -0.001743, 0.000421], [-0.000443, -0.001137, 0.000274], [-0.000217, -0.000556, 0.000134],
            [0.0, 0.0, 0.0], [0.000208, 0.000534, -0.000129], [0.06075, 0.158952, -0.075444],
        ]
    )  # fmt: skip
    faces = np.array(
        [
            [0, 1, 5], [2, 3, 9], [0, 5, 4], [1, 6, 5], [2, 9, 8], [3, 10, 9],
            [4, 5, 11], [6, 7, 5], [7, 8, 5], [8, 9, 5], [9, 11, 5], [9, 10, 11],
        ]
    )  # fmt: skip
    number = np.zeros(12, dtype=np.int32)
    inner = np.isin(np.arange(12), [5, 9, 11])
    patch = TrianglePatch(vertices, faces.copy(), number, number.copy(), np.zeros(12), inner)
    outward = np.array([-0.93, 0.37, 0.0])
    assert np.all(shapes_of(vertices.T, faces, FINAL_LIMITS).normal @ outward > 0.0)
    collapse_edges(patch, FINAL_LIMITS)
    left = patch.faces[np.all(np.diff(np.sort(patch.faces), axis=1) > 0, axis=1)]
    assert np.all(shapes_of(vertices.T, left, FINAL_LIMITS).normal @ outward > 0.0)
