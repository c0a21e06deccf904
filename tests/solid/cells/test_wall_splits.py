"""How walls are split: never so finely that a mesh fills the memory."""

from __future__ import annotations

import pytest
from sample_rings import sample_ring

from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import MIN_SPLIT_CHORDS
from ringtex.solid.build_solid import build_solid
from ringtex.solid.cells.offset_loops import offset_loops
from ringtex.solid.cells.wall_splits import wall_splits


def test_a_mesh_that_no_memory_would_hold_is_refused_in_a_sentence() -> None:
    ring = sample_ring("dome", "hexagon", 24, 6)
    with pytest.raises(InputError, match=r"would take \d+ million triangles") as refused:
        build_solid(ring.strip, ring.tiling, ring.relief, 1e-6)
    assert refused.value.where == "pattern.around"
    assert refused.value.advice


@pytest.mark.parametrize("chord_mm", [0.02, 0.005])
def test_rings_thinner_than_the_tolerance_do_not_split_walls(chord_mm: float) -> None:
    """A groove of a hundredth leaves a ring of half of that along every wall."""
    ring = sample_ring("flat", "hexagon", 24, 6, flank_deg=89.0, corner_mm=0.0, depth_mm=0.3, wall_width_mm=0.01)
    loops = offset_loops(ring.strip, ring.tiling, ring.relief, chord_mm)
    count, _ = wall_splits(ring.strip, ring.tiling, loops, chord_mm)
    assert loops.gap.min() < 0.006
    walls = ring.tiling.corners[ring.tiling.next_corner] - ring.tiling.corners
    shortest = min((walls[:, 0] ** 2 + walls[:, 1] ** 2) ** 0.5 / count * (count > 1) + 99.0 * (count == 1))
    assert shortest > 0.5 * MIN_SPLIT_CHORDS * chord_mm
