from __future__ import annotations

import numpy as np
from numpy.testing import assert_allclose
from strip_bands import dome_band

from ringtex.strip.conformal_map import conformal_grid
from ringtex.strip.grid_inverse import GridInverse
from ringtex.strip.node_density import BINS, MAX_NODES, MIN_NODES, node_density


def density_of(section: str | None, full: float = 2.0) -> np.ndarray:
    band = dome_band(section, full)
    flat = conformal_grid(band, 128, 64)
    return node_density(band, GridInverse(flat), flat.width, band.section.round_edges)


def test_a_straight_section_needs_no_more_than_the_least() -> None:
    assert_allclose(density_of("flat"), MIN_NODES, rtol=1e-6)


def test_a_crease_gathers_nodes_at_the_crown() -> None:
    density = density_of("knife_edge")
    assert density[BINS // 2] > 5.0 * density[BINS // 4]


def test_it_is_the_same_both_sides_and_never_too_many() -> None:
    for full in (1.0, 2.0, 12.0):
        density = density_of(None, full)
        assert_allclose(density, density[::-1], rtol=1e-12)
        assert MIN_NODES <= np.mean(density) <= MAX_NODES * 1.01
