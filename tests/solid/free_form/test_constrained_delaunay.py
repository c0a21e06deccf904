"""The triangulation covers its rectangle exactly and has the segments as edges."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from ringtex.solid.free_form.constrained_delaunay import ConstrainedDelaunay

SIZE = (400_000, 300_000)
CORNERS = [[0, 0], [SIZE[0], 0], list(SIZE), [0, SIZE[1]]]


def rings(count: int, points: int) -> tuple[np.ndarray, np.ndarray]:
    """Close circles, of which hardly any edge is Delaunay by itself."""
    turn = np.arange(points)[None, :] / points * 2.0 * np.pi + 0.3 * np.arange(count)[:, None]
    radius = 90_000 + 700 * np.arange(count)[:, None]
    places = np.rint(np.stack((200_000 + radius * np.cos(turn), 150_000 + radius * np.sin(turn)), axis=2))
    numbers = np.arange(count * points).reshape(count, points)
    segments = np.stack((numbers, np.roll(numbers, -1, axis=1)), axis=2)
    return places.reshape(-1, 2).astype(np.int64), segments.reshape(-1, 2)


def edge_set(faces: np.ndarray) -> set[tuple[int, int]]:
    return {tuple(sorted(edge)) for face in faces.tolist() for edge in zip(face, face[1:] + face[:1], strict=True)}  # type: ignore[misc]


@pytest.mark.parametrize("loose", [0, 400])
def test_circles_are_edges_and_nothing_is_left_out(loose: int) -> None:
    places, segments = rings(6, 90)
    more = np.random.default_rng(3).integers(0, SIZE[1], (loose, 2))
    points = np.concatenate((places, CORNERS, more))
    made = ConstrainedDelaunay(points, segments, SIZE)
    _, faces = made.vertices_and_faces()
    assert made.left_out == 0
    edges = edge_set(faces)
    # A loose point on a segment cuts it in two; none of these lies on one.
    assert all(tuple(sorted(segment)) in edges for segment in segments.tolist())
    assert len(np.unique(faces)) == len(points)


def test_loose_points_are_triangulated_as_by_shapely() -> None:
    """Without segments it is Delaunay's, which GEOS computes by another algorithm."""
    points = np.concatenate((CORNERS, np.random.default_rng(5).integers(1, SIZE[1], (200, 2))))
    _, faces = ConstrainedDelaunay(points, np.zeros((0, 2), dtype=np.int64), SIZE).vertices_and_faces()
    theirs = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(points.astype(float))))
    ours = shapely.polygons(points[faces].astype(float))
    assert {shapely.normalize(each).wkb for each in ours} == {shapely.normalize(each).wkb for each in theirs}


def test_crossing_segments_lose_one_and_leave_no_gap() -> None:
    points = np.array([*CORNERS, [100_000, 100_000], [300_000, 200_000], [100_000, 200_000], [300_000, 100_000]])
    made = ConstrainedDelaunay(points, np.array([[4, 5], [6, 7]]), SIZE)
    assert made.left_out == 1


def test_a_segment_through_a_point_is_two_edges() -> None:
    points = np.array([*CORNERS, [100_000, 100_000], [300_000, 100_000], [200_000, 100_000], [200_000, 120_000]])
    made = ConstrainedDelaunay(points, np.array([[4, 5]]), SIZE)
    assert {(4, 6), (5, 6)} <= edge_set(made.vertices_and_faces()[1])


def test_halved_edges_leave_no_gap() -> None:
    places, segments = rings(4, 60)
    made = ConstrainedDelaunay(np.concatenate((places, CORNERS)), segments, SIZE)
    for _ in range(3):
        tri, corner = made.changed_edges()
        before = len(made.tri)
        made.split(tri, corner, np.arange(len(tri), dtype=np.float64))
        assert len(made.tri) > before
        made.check()
    points, faces = made.vertices_and_faces()
    assert np.array_equal(points[: len(places)], places)
    edges = edge_set(faces)
    assert all(tuple(sorted(segment)) in edges for segment in segments.tolist())
