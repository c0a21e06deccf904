"""The map across a band of revolution."""

from __future__ import annotations

import numpy as np

from ringtex.strip import profile_map


def test_the_quadrature_is_numpys() -> None:
    """Bit for bit, so that meshes stay the same."""
    nodes, weights = np.polynomial.legendre.leggauss(4)
    assert np.array_equal(profile_map._GAUSS, nodes)
    assert np.array_equal(profile_map._WEIGHT, weights)
