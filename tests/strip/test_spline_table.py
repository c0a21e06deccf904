from __future__ import annotations

import sys

import numpy as np
import pytest
from numpy.testing import assert_allclose

from ringtex.strip.spline_table import PeriodicSpline, SplineTable


def surface(turn: np.ndarray, w: np.ndarray) -> np.ndarray:
    round_ = 2.0 * np.pi * turn
    return np.stack(
        (np.sin(round_ + w) * np.exp(w), np.cos(2.0 * round_) + w**3, np.ones(np.broadcast(turn, w).shape)), -1
    )


def table(around: int, across: int) -> SplineTable:
    return SplineTable(surface(np.arange(around)[:, None] / around, np.linspace(0.0, 1.0, across + 1)[None, :]))


def scattered() -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(0)
    return rng.uniform(-2.0, 3.0, 3000), rng.uniform(0.0, 1.0, 3000)


def test_it_is_fourth_order() -> None:
    turn, w = scattered()
    misses = [np.max(np.abs(table(n, n // 2).at(turn, w) - surface(turn, w))) for n in (32, 64, 128)]
    assert misses[0] / misses[1] == pytest.approx(16.0, rel=0.4)
    assert misses[1] / misses[2] == pytest.approx(16.0, rel=0.4)


def test_a_grid_has_the_values_of_its_places() -> None:
    turn, w = np.array([-0.3, 0.0, 0.21, 1.0, 2.7]), np.array([0.0, 0.13, 0.5, 1.0])
    spline = table(32, 16)
    places = [grid.ravel() for grid in np.meshgrid(turn, w, indexing="ij")]
    assert_allclose(spline.on_grid(turn, w).reshape(20, 3), spline.at(*places), atol=1e-14)


def test_slopes_are_the_values_own() -> None:
    turn, w = scattered()
    w, step, spline = np.clip(w, 0.01, 0.99), 1e-6, table(32, 16)
    values, by_turn, by_w = spline.with_slopes(turn, w)
    assert_allclose(values, spline.at(turn, w), atol=1e-14)
    assert_allclose(by_turn, (spline.at(turn + step, w) - spline.at(turn - step, w)) / (2.0 * step), atol=1e-6)
    assert_allclose(by_w, (spline.at(turn, w + step) - spline.at(turn, w - step)) / (2.0 * step), atol=1e-6)


@pytest.mark.parametrize("level", [False, True])
def test_across_it_is_scipys_spline(level: bool) -> None:
    from scipy.interpolate import CubicSpline  # here, because it takes most of a second to import

    nodes = np.linspace(0.0, 1.0, 13)
    values = np.cos(5.0 * nodes)
    ours = SplineTable(np.tile(values[None, :, None], (8, 1, 1)), level_ends=level)
    w = np.linspace(0.0, 1.0, 101)
    theirs = CubicSpline(nodes, values, bc_type="clamped" if level else "not-a-knot")
    assert_allclose(ours.at(np.zeros(101), w)[:, 0], theirs(w), atol=1e-13)


def test_round_it_is_scipys_periodic_spline() -> None:
    from scipy.interpolate import CubicSpline

    nodes = np.arange(11) / 10
    values = np.sin(2.0 * np.pi * nodes) ** 3 + 0.2 * np.cos(2.0 * np.pi * nodes)
    values[-1] = values[0]
    ours = SplineTable(np.tile(values[:10, None, None], (1, 6, 1)))
    turn = np.linspace(0.0, 1.0, 101)
    assert_allclose(
        ours.at(turn, np.full(101, 0.5))[:, 0], CubicSpline(nodes, values, bc_type="periodic")(turn), atol=1e-13
    )


@pytest.mark.parametrize("columns", [1, 2, 3, 6])
def test_sums_are_the_same_bytes_with_and_without_scipy(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    turn, w = np.repeat(scattered()[0], 3), np.repeat(scattered()[1], 3)
    spline = SplineTable(np.random.default_rng(1).standard_normal((24, 9, columns)))
    import scipy.sparse  # noqa: F401  here, so that it is there

    with_scipy = spline.with_slopes(turn, w)
    monkeypatch.delitem(sys.modules, "scipy.sparse")
    for one, other in zip(with_scipy, spline.with_slopes(turn, w), strict=True):
        assert one.tobytes() == other.tobytes()


def test_one_turn_is_scipys_periodic_spline() -> None:
    from scipy.interpolate import CubicSpline

    values = np.random.default_rng(2).standard_normal((9, 2))
    theirs = CubicSpline(np.arange(10) / 9.0, np.concatenate((values, values[:1])), bc_type="periodic")
    turn = np.linspace(0.0, 1.0, 101)[:-1]
    ours = PeriodicSpline(values)
    for order in range(4):
        assert_allclose(ours.at(turn - 3.0, order), theirs(turn, order), atol=1e-9)
