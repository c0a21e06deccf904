from itertools import pairwise

import numpy as np
import pytest
from sample_rings import SampleRing, sample_ring

from ringtex.basics.tolerances import LONGEST_TO_SHORTEST, MOST_SPLITS
from ringtex.solid.cell_insets import CellInsets, cell_insets
from ringtex.solid.wall_splits import ring_spacing, wall_splits


def parts(ring: SampleRing, chord_mm: float = 0.005) -> tuple[CellInsets, np.ndarray, np.ndarray]:
    insets = cell_insets(ring.strip, ring.tiling, ring.relief, chord_mm)
    return insets, *wall_splits(ring.strip, ring.tiling, insets, chord_mm)


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize("band", ["flat", "dome", "knife_edge"])
def test_both_sides_of_a_wall_agree(band: str, family: str) -> None:
    ring = sample_ring(band, family)
    _, count, _ = parts(ring)
    inner = np.flatnonzero(ring.tiling.twin >= 0)
    assert np.array_equal(count[inner], count[ring.tiling.twin[inner]])
    assert np.all((count >= 1) & (count <= MOST_SPLITS))


def test_segments_follow_the_surface_and_the_thinnest_ring_beside_them() -> None:
    ring = sample_ring()
    insets, count, limit = parts(ring)
    run = ring.tiling.corners[ring.tiling.next_corner] - ring.tiling.corners
    segment = np.hypot(*run.T) * insets.along / count
    cell = ring.tiling.corner_cell
    assert np.all(segment <= limit[cell] * (1.0 + 1e-9))
    assert np.all(segment <= LONGEST_TO_SHORTEST * insets.gap[cell] * (1.0 + 1e-9))


def test_a_finer_tolerance_never_has_fewer_segments() -> None:
    ring = sample_ring("half_round")
    counts = [parts(ring, chord_mm)[1] for chord_mm in (0.02, 0.01, 0.005, 0.0025)]
    assert all(np.all(finer >= coarser) for coarser, finer in pairwise(counts))


def test_rings_inside_a_bent_top_follow_its_parabola() -> None:
    """A parabola of height d cut into n equal steps is missed by d / (4 n^2) at most (elementary)."""
    ring = sample_ring(form="pillow")
    insets, _, _ = parts(ring)
    spacing = ring_spacing(ring.tiling, insets, 0.005)
    room = np.minimum.reduceat(insets.inner_reach, ring.tiling.cell_start[:-1])
    assert np.all(0.3 / (4.0 * (room / spacing) ** 2) <= 0.005)


def test_level_tops_need_no_rings() -> None:
    ring = sample_ring()
    insets, _, _ = parts(ring)
    assert np.all(np.isinf(ring_spacing(ring.tiling, insets, 0.005)))
