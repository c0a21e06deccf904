"""The fill of cells and their medial segments."""

import numpy as np
import pytest
from sample_rings import SampleRing, sample_ring

from ringtex.solid.cells.medial_segments import MedialSegment, level_top_segments, peak_segments
from ringtex.solid.cells.offset_loops import OffsetLoops, convex_between, offset_loops
from ringtex.solid.cells.wall_splits import wall_splits

PILLOW_DEPTH_MM = 0.3


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize("form", ["raised", "pillow", "peak"])
def test_every_cell_is_filled_exactly_once(family: str, form: str) -> None:
    """The areas of a cell's triangles on the strip add up to the cell's own."""
    ring = sample_ring("flat", family, form=form)
    faces = ring.mesh.faces[ring.solid.face_ranges["cells"]]
    places = ring.solid.strip_positions[faces][..., :2]
    u = places[..., 0] - ring.strip.length * np.rint((places[..., 0] - places[:, :1, 0]) / ring.strip.length)
    v = places[..., 1]
    area = 0.5 * ((u[:, 1] - u[:, 0]) * (v[:, 2] - v[:, 0]) - (u[:, 2] - u[:, 0]) * (v[:, 1] - v[:, 0]))
    assert np.all(area > 0.0)
    summed = np.bincount(ring.solid.face_cell, weights=area, minlength=ring.tiling.cells)
    assert summed == pytest.approx(ring.tiling.areas, rel=1e-9)


def test_tops_of_raised_cells_are_level_and_of_pillows_a_parabola() -> None:
    raised = sample_ring(around=12, across=3)
    assert raised.solid.strip_positions[:, 2].max() == pytest.approx(0.3, abs=1e-12)
    pillow = sample_ring(form="pillow", depth_mm=PILLOW_DEPTH_MM)
    heights = pillow.solid.strip_positions[:, 2]
    assert heights.min() == 0.0
    assert heights.max() == pytest.approx(PILLOW_DEPTH_MM, abs=1e-12)
    # Halfway from the ridge to the centre a pillow has three quarters of its height.
    tiling = pillow.tiling
    cell = int(np.argmin(np.abs(tiling.kernel[0][:, 1] - 0.5 * pillow.strip.width)))
    centre = pillow.tiling.kernel[0][cell]
    sides = slice(*tiling.cell_start[cell : cell + 2])
    run = tiling.corners[tiling.next_corner[sides]] - tiling.corners[sides]
    normal = np.column_stack((-run[:, 1], run[:, 0])) / np.hypot(*run.T)[:, None]
    reach = np.einsum("hi,hi->h", normal, centre - tiling.corners[sides])
    of_cell = np.unique(pillow.mesh.faces[pillow.solid.face_ranges["cells"]][pillow.solid.face_cell == cell])
    places = pillow.solid.strip_positions[of_cell]
    inside = np.einsum("hi,phi->ph", normal, places[:, None, :2] - tiling.corners[sides])
    nearest = np.min((inside - 0.2) / (reach - 0.2), axis=1)
    tops = (places[:, 2] > 1e-9) & (nearest < 1.0 - 1e-9)
    wanted = PILLOW_DEPTH_MM * (1.0 - (1.0 - nearest[tops]) ** 2)
    assert np.all(places[tops, 2] < wanted + 0.005)
    # Towards the corners it is lower, so that no crease is left; on the lines from the walls' middles it is not.
    away = np.einsum("hi,phi->ph", normal[:, ::-1] * (1.0, -1.0), places[:, None, :2] - centre)
    on_line = np.min(np.where(inside < reach, np.abs(away), np.inf), axis=1)[tops] < 0.05
    assert on_line.sum() >= 6
    assert np.abs(places[tops, 2] - wanted)[on_line].max() < 0.005


def medial_segments(
    ring: SampleRing, outer: int | None = None, careful: bool = False
) -> tuple[OffsetLoops, MedialSegment]:
    loops = offset_loops(ring.strip, ring.tiling, ring.relief, 0.005)
    count = wall_splits(ring.tiling, loops, 0.00375, 0.005)
    living = np.where(loops.alive[:, -1], count if outer is None else outer, 0)
    find = level_top_segments if ring.relief.profile.rise_mm == 0.0 else peak_segments
    return loops, find(ring.tiling, loops, living, 0.005, np.full(ring.tiling.cells, careful))


def vertices_of(ring: SampleRing, medial_segment: MedialSegment) -> np.ndarray:
    return np.diff(np.append(medial_segment.first, len(medial_segment.positions)))


def test_round_cells_have_a_point_and_long_ones_a_line_along_their_middle() -> None:
    round_ring, long_ring = sample_ring(around=30, form="pillow"), sample_ring("flat", "brick", 12, 10, form="pillow")
    loops, medial_segment = medial_segments(round_ring)
    assert np.all(vertices_of(round_ring, medial_segment) == 1)
    assert np.array_equal(medial_segment.positions, loops.centre)
    loops, medial_segment = medial_segments(long_ring)
    assert np.all(vertices_of(long_ring, medial_segment) > 1)
    owner = np.repeat(np.arange(long_ring.tiling.cells), vertices_of(long_ring, medial_segment))
    # Bricks lie along u, so their spines keep to the middle's v.
    assert np.abs(medial_segment.positions[:, 1] - loops.centre[owner, 1]).max() < 1e-6


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize(("around", "across"), [(12, 10), (24, 4), (40, 2)])
def test_every_piece_between_the_last_ring_and_the_spine_is_convex(family: str, around: int, across: int) -> None:
    ring = sample_ring("flat", family, around, across)
    loops, medial_segment = medial_segments(ring)
    assert np.all(convex_between(ring.tiling, loops.corner[:, -1], medial_segment.target))
    assert np.all(medial_segment.distance[loops.alive[:, -1]] > 0.0)


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
