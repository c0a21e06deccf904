import numpy as np
import pytest
from sample_rings import SampleRing, sample_ring

from ringtex.solid.cells.loop_nesting import convex_between
from ringtex.solid.cells.medial_segment import CellSpine, cell_spines
from ringtex.solid.cells.offset_loops import CellInsets, cell_insets
from ringtex.solid.cells.wall_splits import wall_splits


def spines(ring: SampleRing, outer: int | None = None, careful: bool = False) -> tuple[CellInsets, CellSpine]:
    insets = cell_insets(ring.strip, ring.tiling, ring.relief, 0.005)
    count, limit = wall_splits(ring.strip, ring.tiling, insets, 0.005)
    living = np.where(insets.alive[:, -1], count if outer is None else outer, 0)
    return insets, cell_spines(ring.tiling, insets, living, limit, np.full(ring.tiling.cells, careful))


def vertices_of(ring: SampleRing, spine: CellSpine) -> np.ndarray:
    return np.diff(np.append(spine.first, len(spine.places)))


def test_round_cells_have_a_point_and_long_ones_a_line_along_their_middle() -> None:
    round_ring, long_ring = sample_ring(around=30), sample_ring("flat", "brick", 12, 10)
    insets, spine = spines(round_ring)
    assert np.all(vertices_of(round_ring, spine) == 1)
    assert np.array_equal(spine.places, insets.centre)
    insets, spine = spines(long_ring)
    assert np.all(vertices_of(long_ring, spine) > 1)
    owner = np.repeat(np.arange(long_ring.tiling.cells), vertices_of(long_ring, spine))
    # Bricks lie along u, so their spines keep to the middle's v.
    assert np.abs(spine.places[:, 1] - insets.centre[owner, 1]).max() < 1e-6


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize(("around", "across"), [(12, 10), (24, 4), (40, 2)])
def test_every_piece_between_the_last_ring_and_the_spine_is_convex(family: str, around: int, across: int) -> None:
    ring = sample_ring("flat", family, around, across)
    insets, spine = spines(ring)
    assert np.all(convex_between(ring.tiling, insets.corner[:, -1], spine.target))
    assert np.all(spine.reach[insets.alive[:, -1]] > 0.0)


def test_a_spine_never_has_more_segments_than_the_ring_beside_it() -> None:
    ring = sample_ring("flat", "brick", 12, 10)
    _, spine = spines(ring, outer=1)
    steps = np.abs(spine.vertex[ring.tiling.next_corner] - spine.vertex)
    assert steps.max() <= 1


def test_careful_cells_have_a_point() -> None:
    ring = sample_ring("flat", "brick", 12, 10)
    _, spine = spines(ring, careful=True)
    assert np.all(vertices_of(ring, spine) == 1)


def test_a_walk_round_the_spine_goes_there_and_back() -> None:
    ring = sample_ring("flat", "brick", 12, 10)
    _, spine = spines(ring)
    living = np.arange(len(spine.vertex))
    count, start, ids = spine.row(living, ring.tiling.next_corner)
    walked = np.add.reduceat(count, ring.tiling.cell_start[:-1])
    assert np.array_equal(walked, 2 * (vertices_of(ring, spine) - 1))
    assert np.array_equal(ids[start], spine.vertex)
