"""Rows of points and the triangles between them."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_rings import sample_ring

from ringtex.solid.mesh.strip_triangulation import (
    SideRows,
    graded,
    join_meshes,
    segments_of_sides,
    triangulate_annulus,
    triangulate_strip,
)

counts = st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), min_size=3, max_size=9)


def directed_edges(faces: np.ndarray) -> Counter[tuple[int, int]]:
    return Counter((int(face[i]), int(face[(i + 1) % 3])) for face in faces for i in range(3))


def rim(count: np.ndarray, start: int) -> list[tuple[int, int]]:
    """Edges of a closed row of points numbered from `start`."""
    total = int(count.sum())
    return [(start + i, start + (i + 1) % total) for i in range(total)]


def corner_circle(count: np.ndarray, corners: np.ndarray) -> np.ndarray:
    """Points of a closed polygon whose sides are split into so many segments."""
    side, number = segments_of_sides(count)
    ends = np.roll(corners, -1, axis=0)
    return corners[side] + (number / count[side])[:, None] * (ends - corners)[side]


def test_spread_numbers_every_segment_of_every_side() -> None:
    side, number = segments_of_sides(np.array([2, 0, 3]))
    assert side.tolist() == [0, 0, 2, 2, 2]
    assert number.tolist() == [0, 1, 0, 1, 2]


@given(sides=counts.filter(lambda pairs: sum(a for a, _ in pairs) > 2 and sum(b for _, b in pairs) > 2))
def test_sides_are_zipped_without_gaps(sides: list[tuple[int, int]]) -> None:
    """Each rim edge is used once, each edge between the rows once each way: an annulus, so as many triangles as rim
    edges (Euler number 0)."""
    outer, inner = np.array(sides).T
    outer_start = np.cumsum(outer) - outer
    inner_start = outer.sum() + np.cumsum(inner) - inner
    # A side without segments stands where the next begins; the last ones at the first point.
    outer_start = np.where(outer_start == outer.sum(), 0, outer_start)
    inner_start = np.where(inner_start == outer.sum() + inner.sum(), outer.sum(), inner_start)
    following = np.roll(np.arange(len(sides)), -1)
    faces, side = triangulate_strip(outer, inner, outer_start, inner_start, following)
    assert len(faces) == outer.sum() + inner.sum()
    assert np.bincount(side, minlength=len(sides)).tolist() == (outer + inner).tolist()
    edges = directed_edges(faces)
    borders = [*rim(outer, 0), *((b, a) for a, b in rim(inner, int(outer.sum())))]
    for edge in borders:
        assert edges.pop(edge) == 1
    assert all(uses == 1 and edges[b, a] == 1 for (a, b), uses in edges.items())


@given(
    sides=st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), min_size=3, max_size=9), shrink=st.floats(0.1, 0.9)
)
def test_triangles_between_nested_polygons_are_counter_clockwise(sides: list[tuple[int, int]], shrink: float) -> None:
    outer, inner = np.array(sides).T
    angle = 2.0 * np.pi * np.arange(len(sides)) / len(sides)
    corners = np.column_stack((np.cos(angle), np.sin(angle)))
    places = np.concatenate((corner_circle(outer, corners), corner_circle(inner, shrink * corners)))
    faces, _ = triangulate_strip(
        outer,
        inner,
        np.cumsum(outer) - outer,
        outer.sum() + np.cumsum(inner) - inner,
        np.roll(np.arange(len(sides)), -1),
    )
    a, b, c = places[faces].transpose(1, 0, 2)
    areas = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    assert np.all(areas > 0.0)
    polygon = 0.5 * len(sides) * np.sin(2.0 * np.pi / len(sides))
    assert areas.sum() == pytest.approx(polygon * (1.0 - shrink**2))


def row(shifts: list[float]) -> np.ndarray:
    """Ascending angles round a turn, each shifted by up to nine tenths of the way to the next."""
    return 2.0 * np.pi * (np.arange(len(shifts)) + shifts) / len(shifts)


angles = st.lists(st.floats(0.0, 0.9), min_size=6, max_size=40).map(row)


@given(lower=angles, upper=angles, start=st.integers(0, 39))
def test_two_closed_rows_are_zipped_without_gaps_from_any_start(
    lower: np.ndarray, upper: np.ndarray, start: int
) -> None:
    upper = np.roll(upper, -(start % len(upper)))
    faces = triangulate_annulus(lower, upper)
    assert faces.shape == (len(lower) + len(upper), 3)
    edges = directed_edges(faces)
    size, other = len(lower), len(upper)
    borders = [(i, (i + 1) % size) for i in range(size)]
    borders += [(size + (j + 1) % other, size + j) for j in range(other)]
    for edge in borders:
        assert edges.pop(edge) == 1
    assert all(uses == 1 and edges[b, a] == 1 for (a, b), uses in edges.items())


def test_equal_rows_are_joined_straight() -> None:
    """No triangle leans further than one segment, also over the place where angles start again."""
    lower = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    faces = triangulate_annulus(lower, np.roll(lower, 11))
    angle = np.concatenate((lower, np.roll(lower, 11)))[faces]
    spread_out = np.ptp(np.unwrap(angle, axis=1), axis=1)
    assert spread_out.max() == pytest.approx(2.0 * np.pi / 24)


def test_a_row_walks_round_every_cell_from_corner_to_corner() -> None:
    tiling = sample_ring().tiling
    count = np.full(len(tiling.twin), 3)
    rows = SideRows(tiling, count)
    places = rows.positions(tiling, tiling.corners)
    assert len(rows) == 3 * len(tiling.twin)
    assert np.array_equal(places[rows.start], tiling.corners)
    third = tiling.corners + (tiling.corners[tiling.next_corner] - tiling.corners) / 3.0
    assert np.abs(places[rows.start + 1] - third).max() < 1e-12


def test_graded_points_lie_the_same_from_both_ends_and_closer_together_there() -> None:
    even, grading = np.linspace(0.0, 1.0, 9), np.full(9, 0.5)
    places = graded(even, grading)
    assert np.abs(places + places[::-1] - 1.0).max() < 1e-15
    segments = np.diff(places) * 8.0
    assert segments[0] == pytest.approx(0.55, abs=0.01)
    assert segments[3] == pytest.approx(1.45, abs=0.01)
    assert np.array_equal(graded(even, None), even)


def test_a_side_without_segments_starts_where_the_next_does() -> None:
    tiling = sample_ring().tiling
    count = np.full(len(tiling.twin), 2)
    dead = tiling.cell_start[:-1] + 1
    count[dead] = 0
    rows = SideRows(tiling, count)
    assert np.array_equal(rows.start[dead], rows.start[tiling.next_corner[dead]])
    assert np.array_equal(rows.living[dead], tiling.next_corner[dead])
    # The side before it runs to where the living one starts.
    places = rows.positions(tiling, tiling.corners)
    before = tiling.previous_corner[dead]
    middle = 0.5 * (tiling.corners[before] + tiling.corners[tiling.next_corner[dead]])
    assert np.abs(places[rows.start[before] + 1] - middle).max() < 1e-12


def test_a_last_side_without_segments_starts_at_the_cells_first_point() -> None:
    tiling = sample_ring().tiling
    count = np.ones(len(tiling.twin), dtype=np.int64)
    last = tiling.cell_start[1:] - 1
    count[last] = 0
    rows = SideRows(tiling, count)
    assert np.array_equal(rows.start[last], rows.start[tiling.cell_start[:-1]])


def test_joining_drops_lines_and_the_points_that_only_they_used() -> None:
    places = [np.arange(12.0).reshape(4, 3), np.arange(6.0).reshape(2, 3)]
    faces = [np.array([[0, 1, 2], [0, 3, 0]], dtype=np.int32), np.array([[2, 4, 5]], dtype=np.int32)]
    mesh = join_meshes(places, faces, [np.array([0, 0]), np.array([1])])
    assert mesh.faces.tolist() == [[0, 1, 2], [2, 3, 4]]
    assert mesh.cell.tolist() == [0, 1]
    assert np.array_equal(mesh.positions, np.concatenate(places)[[0, 1, 2, 4, 5]])
