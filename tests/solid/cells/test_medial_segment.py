import numpy as np
import pytest
from sample_rings import SampleRing, sample_ring

from ringtex.solid.cells.loop_nesting import convex_between
from ringtex.solid.cells.medial_segment import MedialSegment, find_medial_segments
from ringtex.solid.cells.offset_loops import OffsetLoops, offset_loops
from ringtex.solid.cells.wall_splits import wall_splits


def medial_segments(
    ring: SampleRing, outer: int | None = None, careful: bool = False
) -> tuple[OffsetLoops, MedialSegment]:
    loops = offset_loops(ring.strip, ring.tiling, ring.relief, 0.005)
    count, limit = wall_splits(ring.strip, ring.tiling, loops, 0.005)
    living = np.where(loops.alive[:, -1], count if outer is None else outer, 0)
    return loops, find_medial_segments(ring.tiling, loops, living, limit, np.full(ring.tiling.cells, careful))


def vertices_of(ring: SampleRing, medial_segment: MedialSegment) -> np.ndarray:
    return np.diff(np.append(medial_segment.first, len(medial_segment.places)))


def test_round_cells_have_a_point_and_long_ones_a_line_along_their_middle() -> None:
    round_ring, long_ring = sample_ring(around=30), sample_ring("flat", "brick", 12, 10)
    loops, medial_segment = medial_segments(round_ring)
    assert np.all(vertices_of(round_ring, medial_segment) == 1)
    assert np.array_equal(medial_segment.places, loops.centre)
    loops, medial_segment = medial_segments(long_ring)
    assert np.all(vertices_of(long_ring, medial_segment) > 1)
    owner = np.repeat(np.arange(long_ring.tiling.cells), vertices_of(long_ring, medial_segment))
    # Bricks lie along u, so their spines keep to the middle's v.
    assert np.abs(medial_segment.places[:, 1] - loops.centre[owner, 1]).max() < 1e-6


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize(("around", "across"), [(12, 10), (24, 4), (40, 2)])
def test_every_piece_between_the_last_ring_and_the_spine_is_convex(family: str, around: int, across: int) -> None:
    ring = sample_ring("flat", family, around, across)
    loops, medial_segment = medial_segments(ring)
    assert np.all(convex_between(ring.tiling, loops.corner[:, -1], medial_segment.target))
    assert np.all(medial_segment.reach[loops.alive[:, -1]] > 0.0)


def test_a_spine_never_has_more_segments_than_the_ring_beside_it() -> None:
    ring = sample_ring("flat", "brick", 12, 10)
    _, medial_segment = medial_segments(ring, outer=1)
    steps = np.abs(medial_segment.vertex[ring.tiling.next_corner] - medial_segment.vertex)
    assert steps.max() <= 1


def test_careful_cells_have_a_point() -> None:
    ring = sample_ring("flat", "brick", 12, 10)
    _, medial_segment = medial_segments(ring, careful=True)
    assert np.all(vertices_of(ring, medial_segment) == 1)


def test_a_walk_round_the_spine_goes_there_and_back() -> None:
    ring = sample_ring("flat", "brick", 12, 10)
    _, medial_segment = medial_segments(ring)
    living = np.arange(len(medial_segment.vertex))
    count, start, ids = medial_segment.row(living, ring.tiling.next_corner)
    walked = np.add.reduceat(count, ring.tiling.cell_start[:-1])
    assert np.array_equal(walked, 2 * (vertices_of(ring, medial_segment) - 1))
    assert np.array_equal(ids[start], medial_segment.vertex)
