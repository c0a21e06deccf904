import numpy as np
from sample_rings import sample_ring

from ringtex.solid.mesh.strip_mesh import SideRows, joined


def test_a_row_walks_round_every_cell_from_corner_to_corner() -> None:
    tiling = sample_ring().tiling
    count = np.full(len(tiling.twin), 3)
    rows = SideRows(tiling, count)
    places = rows.places(tiling, tiling.corners)
    assert len(rows) == 3 * len(tiling.twin)
    assert np.array_equal(places[rows.start], tiling.corners)
    third = tiling.corners + (tiling.corners[tiling.next_corner] - tiling.corners) / 3.0
    assert np.abs(places[rows.start + 1] - third).max() < 1e-12


def test_a_side_without_segments_starts_where_the_next_does() -> None:
    tiling = sample_ring().tiling
    count = np.full(len(tiling.twin), 2)
    dead = tiling.cell_start[:-1] + 1
    count[dead] = 0
    rows = SideRows(tiling, count)
    assert np.array_equal(rows.start[dead], rows.start[tiling.next_corner[dead]])
    assert np.array_equal(rows.living[dead], tiling.next_corner[dead])
    # The side before it runs to where the living one starts.
    places = rows.places(tiling, tiling.corners)
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
    mesh = joined(places, faces, [np.array([0, 0]), np.array([1])])
    assert mesh.faces.tolist() == [[0, 1, 2], [2, 3, 4]]
    assert mesh.cell.tolist() == [0, 1]
    assert np.array_equal(mesh.places, np.concatenate(places)[[0, 1, 2, 4, 5]])
