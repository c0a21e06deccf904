"""How walls are split: as the surface asks in their own direction, never so finely that a mesh fills the memory."""

from __future__ import annotations

import numpy as np
import pytest
from sample_rings import SampleRing, sample_ring

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.errors import InputError
from ringtex.solid.build_solid import build_solid
from ringtex.solid.cells.offset_loops import offset_loops
from ringtex.solid.cells.wall_splits import relief_triangles, wall_grading, wall_splits
from ringtex.solid.mesh.strip_triangulation import SideRows


def test_a_mesh_that_no_memory_would_hold_is_refused_in_a_sentence() -> None:
    ring = sample_ring("dome", "hexagon", 24, 6)
    with pytest.raises(InputError, match=r"would take \d+ million triangles") as refused:
        build_solid(ring.strip, ring.tiling, ring.relief, 1e-6)
    assert refused.value.where == "pattern.around"
    assert refused.value.advice


@pytest.mark.parametrize("band", ["flat", "half_round", "dome"])
def test_the_surface_rises_over_a_segment_by_no_more_than_was_allowed(band: str) -> None:
    """Measured on the ring itself: from the middle of each segment of each wall to the surface."""
    ring = sample_ring(band, "hexagon")
    tiling, loops = ring.tiling, offset_loops(ring.strip, ring.tiling, ring.relief, 0.005)
    count = wall_splits(tiling, loops, 0.003, 0.005)
    assert segment_rise(ring, count, None).max() < 0.0031


@pytest.mark.parametrize("band", ["half_round", "dome"])
def test_graded_segments_of_smooth_tops_are_as_near_and_the_same_from_both_sides(band: str) -> None:
    ring = sample_ring(band, "hexagon", form="pillow")
    tiling, loops = ring.tiling, offset_loops(ring.strip, ring.tiling, ring.relief, 0.005)
    count = wall_splits(tiling, loops, 0.003, 0.005)
    grading = wall_grading(tiling, loops, count, 0.003, 0.005)
    assert grading is not None
    assert grading.max() > 0.2
    inner = tiling.twin >= 0
    assert np.array_equal(grading[inner], grading[tiling.twin[inner]])
    assert segment_rise(ring, count, grading).max() < 0.0031
    assert wall_grading(tiling, loops, count, 0.02, 0.02) is None


def segment_rise(ring: SampleRing, count: Longs, grading: Floats | None) -> Floats:
    """From the middle of each segment of each wall to the surface, mm."""
    rows = SideRows(ring.tiling, count, grading)
    start = rows.positions(ring.tiling, ring.tiling.corners)
    ends = ring.tiling.corners[ring.tiling.next_corner]
    last = np.append(rows.side[1:] != rows.side[:-1], True)
    end = np.where(last[:, None], ends[rows.side], np.roll(start, -1, axis=0))
    a, b, middle = (ring.strip.point(*each.T) for each in (start, end, 0.5 * (start + end)))
    # Cells that reach into an edge's own roll are not meshed for its radius.
    inner = (start[:, 1] > 0.2) & (start[:, 1] < ring.strip.width - 0.2)
    return np.asarray(np.linalg.norm(middle - 0.5 * (a + b), axis=1)[inner])


def test_walls_along_the_axis_of_a_cylinder_are_not_split() -> None:
    ring = sample_ring("flat", "brick", 12, 3)
    loops = offset_loops(ring.strip, ring.tiling, ring.relief, 0.005)
    count = wall_splits(ring.tiling, loops, 0.003, 0.005)
    edge = ring.tiling.corners[ring.tiling.next_corner] - ring.tiling.corners
    assert np.all(count[np.abs(edge[:, 0]) < 1e-9] == 1)
    assert np.all(count[np.abs(edge[:, 1]) < 1e-9] > 1)


@pytest.mark.parametrize(("family", "around"), [("hexagon", 24), ("brick", 12), ("rhomb_star_8", 12), ("kite", 60)])
def test_smooth_tops_are_counted_before_they_are_made(family: str, around: int) -> None:
    """For the warning of a long wait, and for the refusal: within a factor of two."""
    ring = sample_ring("flat", family, around, form="pillow", chord_mm=0.02)
    loops = offset_loops(ring.strip, ring.tiling, ring.relief, 0.02)
    count = wall_splits(ring.tiling, loops, 0.8 * 0.02, 0.02)
    ratio = relief_triangles(ring.tiling, loops, count, 0.02) / len(ring.mesh.faces)
    assert 0.5 < ratio < 2.0
