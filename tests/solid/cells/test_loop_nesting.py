import numpy as np
from sample_rings import sample_ring

from ringtex.solid.cells.loop_nesting import convex_between, nested_cells
from ringtex.solid.cells.offset_loops import offset_loops


def test_a_cell_shrunk_towards_its_centre_nests() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0]
    inner = tiling.corners + 0.4 * (centre[tiling.corner_cell] - tiling.corners)
    assert np.all(convex_between(tiling, tiling.corners, inner))
    corner = np.stack((tiling.corners, inner), axis=1)
    assert np.all(nested_cells(tiling, corner, centre))


def test_a_corner_pushed_over_its_neighbour_does_not_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0]
    inner = tiling.corners + 0.4 * (centre[tiling.corner_cell] - tiling.corners)
    pushed = tiling.cell_start[7]
    inner[pushed] += 3.0 * (inner[tiling.next_corner[pushed]] - inner[pushed])
    nested = nested_cells(tiling, np.stack((tiling.corners, inner), axis=1), centre)
    assert np.flatnonzero(~nested).tolist() == [7]


def test_a_ring_pushed_outside_its_wall_does_not_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0]
    outside = tiling.corners - 0.1 * (centre[tiling.corner_cell] - tiling.corners)
    assert not np.any(nested_cells(tiling, np.stack((tiling.corners, outside), axis=1), centre))


def test_a_centre_outside_the_last_ring_does_not_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0] + np.array([5.0, 0.0])
    assert not np.any(nested_cells(tiling, tiling.corners[:, None, :], centre))


def test_sides_that_vanish_to_a_point_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0][tiling.corner_cell]
    assert np.all(convex_between(tiling, tiling.corners, centre))


def test_what_is_built_nests() -> None:
    ring = sample_ring("flat", "cellular", scatter=0.8, seed=9, ridge_mm=0.8)
    loops = offset_loops(ring.strip, ring.tiling, ring.relief, 0.005)
    assert np.all(nested_cells(ring.tiling, loops.corner, loops.centre))
