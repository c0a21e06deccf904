"""Edge events between offset loops, against the straight skeleton of a rectangle."""

import numpy as np
from sample_rings import sample_ring

from ringtex.solid.cells.event_vertices import event_vertices


def test_vertices_lie_as_far_from_their_three_walls_by_the_ring_and_as_high_as_the_profile_there() -> None:
    """Straight skeleton (Aichholzer 1995): a side vanishes where it and both neighbours are at one distance."""
    ring = sample_ring("flat", "cellular", 60, 15, corner_mm=0.1)
    tiling, loops = ring.tiling, ring.solid.loops
    assert loops is not None
    seen = 0
    for loop in range(1, loops.corner.shape[1]):
        events = event_vertices(tiling, loops, loop, 0.005)
        seen += len(events.side)
        at, cell = events.positions, tiling.corner_cell[events.side]
        distances = []
        for side in (tiling.previous_corner[events.side], events.side, tiling.next_corner[events.side]):
            start = tiling.corners[side]
            edge = tiling.corners[tiling.next_corner[side]] - start
            away = at[:, :2] - start
            area = edge[:, 0] * away[:, 1] - edge[:, 1] * away[:, 0]
            distances.append(loops.across[side] * area / np.hypot(*edge.T))
        assert np.ptp(distances, axis=0).max(initial=0.0) < 1e-9
        low, high = loops.height[cell, loop - 1], loops.height[cell, loop]
        assert np.all((np.minimum(low, high) < at[:, 2]) & (at[:, 2] < np.maximum(low, high)))
    assert seen > 50
    assert ring.mesh.problems() == []
    assert not len(event_vertices(tiling, loops, 1, 0.02).side)
