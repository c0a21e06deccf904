import numpy as np
import pytest
from sample_rings import BANDS, sample_ring

from ringtex.solid.cells.cell_curvature import cell_curvature


def densest(name: str, family: str) -> tuple[np.ndarray, np.ndarray]:
    """(cells,) the largest curvature in each cell's middle column by many samples, and what cell_bends found."""
    ring = sample_ring(name, family)
    tiling, centre = ring.tiling, ring.tiling.kernel[0]
    first = tiling.cell_start[:-1]
    low = np.minimum.reduceat(tiling.corners[:, 1], first)
    high = np.maximum.reduceat(tiling.corners[:, 1], first)
    v = low[:, None] + np.linspace(0.0, 1.0, 400) * (high - low)[:, None]
    u = np.repeat(centre[:, :1], 400, axis=1)
    sampled = ring.strip.max_curvature(u.ravel(), v.ravel()).reshape(v.shape).max(axis=1)
    return sampled, cell_curvature(ring.strip, tiling, centre)


@pytest.mark.parametrize("name", BANDS)
@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_no_bend_in_a_cell_is_missed(name: str, family: str) -> None:
    sampled, found = densest(name, family)
    assert np.all(found >= 0.93 * sampled)


def test_the_crown_of_a_knife_edge_is_seen_between_corners() -> None:
    """The crown has a radius of 0.2 mm (a usual breaking of edges, common practice, no source), so a curvature of 5;
    two rows of hexagons have no corner on it."""
    ring = sample_ring("knife_edge", "hexagon")
    at_corners = ring.strip.max_curvature(*ring.tiling.vertices.T)
    bends = cell_curvature(ring.strip, ring.tiling, ring.tiling.kernel[0])
    assert at_corners.max() < 1.0
    assert bends.max() == pytest.approx(5.0, rel=0.05)


def test_a_flat_band_bends_the_same_everywhere() -> None:
    ring = sample_ring("flat")
    radius = ring.strip.length / (2.0 * np.pi)
    assert cell_curvature(ring.strip, ring.tiling, ring.tiling.kernel[0]) == pytest.approx(1.0 / radius)
