"""What all ways of flattening a band share."""

from __future__ import annotations

import numpy as np

from ringtex.strip import flat_grid


def test_the_quadrature_is_numpys() -> None:
    """Bit for bit, so that meshes stay the same."""
    nodes, weights = np.polynomial.legendre.leggauss(4)
    assert np.array_equal(flat_grid.GAUSS_NODES, nodes)
    assert np.array_equal(flat_grid.GAUSS_WEIGHTS, weights)
