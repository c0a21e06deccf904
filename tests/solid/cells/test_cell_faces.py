import numpy as np
import pytest
from sample_rings import sample_ring

from ringtex.solid.cells.cell_faces import wall_points


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
def test_points_on_a_wall_are_shared_by_its_two_cells(family: str) -> None:
    tiling = sample_ring("flat", family).tiling
    count = np.random.default_rng(3).integers(1, 6, len(tiling.twin))
    inner = np.flatnonzero(tiling.twin >= 0)
    count[inner] = np.maximum(count[inner], count[tiling.twin[inner]])
    places, ids = wall_points(tiling, count)
    first = np.cumsum(count) - count
    for half in inner:
        own = ids[first[half] : first[half] + count[half]]
        other = ids[first[tiling.twin[half]] : first[tiling.twin[half]] + count[half]]
        # Backwards, from the end of one to the start of the other.
        assert np.array_equal(own[1:], other[:0:-1])
    assert len(places) == ids.max() + 1
    assert len(np.unique(ids)) == len(places)


def test_points_lie_where_their_segments_start() -> None:
    tiling = sample_ring().tiling
    count = np.full(len(tiling.twin), 4)
    places, ids = wall_points(tiling, count)
    side, number = np.divmod(np.arange(4 * len(count)), 4)
    run = tiling.corners[tiling.next_corner] - tiling.corners
    wanted = tiling.corners[side] + (number / 4.0)[:, None] * run[side]
    away = places[ids] - wanted
    away[:, 0] -= tiling.length * np.rint(away[:, 0] / tiling.length)
    assert np.abs(away).max() < 1e-12


def test_no_two_vertices_of_the_relief_share_a_place() -> None:
    """The seam's vertices too are there once: coordinates are compared, not indices."""
    from scipy.spatial import cKDTree

    for family in ("hexagon", "cellular"):
        vertices = sample_ring("flat", family).mesh.vertices
        assert len(cKDTree(vertices).query_pairs(1e-6)) == 0


def test_every_face_belongs_to_the_cell_it_lies_in() -> None:
    ring = sample_ring("flat", "diamond")
    faces = ring.mesh.faces[ring.solid.face_ranges["cells"]]
    places = ring.solid.strip_positions[faces][..., :2]
    u = places[..., 0] - ring.strip.length * np.rint((places[..., 0] - places[:, :1, 0]) / ring.strip.length)
    middle = np.column_stack((u.mean(axis=1), places[..., 1].mean(axis=1)))
    centre = ring.tiling.kernel[0][ring.solid.face_cell]
    middle[:, 0] -= ring.strip.length * np.rint((middle[:, 0] - centre[:, 0]) / ring.strip.length)
    tiling = ring.tiling
    run = tiling.corners[tiling.next_corner] - tiling.corners
    for cell in range(0, tiling.cells, 7):
        sides = np.arange(*tiling.cell_start[cell : cell + 2])
        mine = middle[ring.solid.face_cell == cell]
        for side in sides:
            away = mine - tiling.corners[side]
            assert np.all(run[side, 0] * away[:, 1] - run[side, 1] * away[:, 0] > 0.0)
