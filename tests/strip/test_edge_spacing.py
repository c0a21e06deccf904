from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from ringtex.strip.edge_spacing import EdgeSpacing

DENSITY = 50.0 + 400.0 / (1.0 + (np.linspace(-20.0, 20.0, 513)) ** 2)


@pytest.mark.parametrize("clustered", [False, True])
@pytest.mark.parametrize("density", [None, DENSITY])
def test_there_and_back_with_its_slope(clustered: bool, density: np.ndarray | None) -> None:
    spacing = EdgeSpacing(7.5, clustered, density)
    w = np.linspace(0.0, 1.0, 1001)
    v = spacing.v_of(w)
    assert v[0] == 0.0
    assert v[-1] == pytest.approx(7.5, rel=1e-15)
    assert np.all(np.diff(v) > 0.0)
    assert_allclose(spacing.v_of(spacing.coordinate(v)), v, atol=1e-12)
    inner = w[1:-1]
    difference = (spacing.v_of(inner + 1e-6) - spacing.v_of(inner - 1e-6)) / 2e-6
    assert_allclose(spacing.slope(inner), difference, rtol=1e-4, atol=1e-6)


def test_nodes_gather_where_they_are_wanted() -> None:
    v = EdgeSpacing(1.0, False, DENSITY).v_of(np.linspace(0.0, 1.0, 101))
    assert np.diff(v)[50] < 0.2 * np.diff(v)[0]


def test_places_outside_are_kept_on_the_edges() -> None:
    w = EdgeSpacing(7.5, True).coordinate(np.array([-1.0, 0.0, 7.5, 9.0]))
    assert_allclose(w, [0.0, 0.0, 1.0, 1.0])
