"""Heights of smooth tops: against distances known in closed form, and for what they promise."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from ringtex.basics.arrays import Floats
from ringtex.relief.smooth_tops import SmoothTops


def top_of(outline: list[tuple[float, float]], centre: tuple[float, float] = (0.0, 0.0)) -> SmoothTops:
    """The top over one outline."""
    corner = np.array(outline, dtype=float)
    tiling = SimpleNamespace(
        cells=1, corner_cell=np.zeros(len(corner), np.int32), cell_start=np.array([0, len(corner)], np.int32)
    )
    return SmoothTops(tiling, corner, np.ones(len(corner), bool), np.array([centre]))  # type: ignore[arg-type]


def regular(sides: int, radius: float = 1.0, turn: float = 0.0) -> list[tuple[float, float]]:
    angle = turn + 2.0 * np.pi * np.arange(sides) / sides
    return [(float(radius * np.cos(a)), float(radius * np.sin(a))) for a in angle]


def heights(top: SmoothTops, points: Floats) -> Floats:
    return top.height(points, np.zeros(len(points), np.int64))


RECTANGLE = [(-2.0, -1.0), (2.0, -1.0), (2.0, 1.0), (-2.0, 1.0)]
SLANTED = [(-1.2, -0.8), (-0.6, -1.4), (1.2, -0.6), (1.1, 1.0), (-1.0, 1.1)]


def test_distance_is_the_harmonic_mean_over_all_directions() -> None:
    """Belyaev, Fayolle and Pasko 2013 define it by the mean of 1 / r over the angle; here by quadrature."""
    top = top_of(RECTANGLE)
    for u, v in ((0.0, 0.0), (1.3, 0.2), (-1.7, -0.6)):

        def inverse(angle: float, u: float = u, v: float = v) -> float:
            c, s = np.cos(angle), np.sin(angle)
            return max(c / (2.0 - u), -c / (2.0 + u), s / (1.0 - v), -s / (1.0 + v))

        corners = sorted(np.arctan2(b - v, a - u) % (2.0 * np.pi) for a, b in RECTANGLE)
        total = quad(inverse, 0.0, 2.0 * np.pi, points=corners, limit=200, epsabs=1e-12)[0]
        top._power[:] = 0.0
        found = top._log_distance(np.array([[u, v]]), np.zeros(1, np.int64))[0]
        assert np.exp(found) == pytest.approx(1.0 / total, rel=1e-9)


@pytest.mark.parametrize("outline", [RECTANGLE, SLANTED, regular(3), regular(6), regular(24)], ids=len)
def test_zero_on_the_outline_and_one_at_the_summit(outline: list[tuple[float, float]]) -> None:
    top, corner = top_of(outline), np.array(outline)
    along = np.linspace(0.05, 0.95, 19)[:, None, None]
    sides = (corner + along * (np.roll(corner, -1, axis=0) - corner)).reshape(-1, 2)
    assert np.abs(heights(top, sides)).max() < 1e-6
    assert heights(top, top.summit)[0] == pytest.approx(1.0, abs=1e-12)
    inside = top.summit + np.linspace(0.0, 0.999, 40)[:, None, None] * (sides - top.summit)
    height = np.apply_along_axis(lambda p: heights(top, p.reshape(-1, 2)), 1, inside.reshape(40, -1)).reshape(40, -1)
    assert np.all(height > 0.0)
    assert np.all(height <= 1.0 + 1e-12)
    # Falls all the way from the summit to the outline, so there is no second top.
    assert np.all(np.diff(height, axis=0) < 1e-9)


@pytest.mark.parametrize("sides", [4, 6, 8])
def test_the_profile_is_a_parabola_on_the_steepest_line(sides: int) -> None:
    """In a regular outline that is every line from the middle of a side to the centre."""
    outline = np.array(regular(sides))
    top, middle = top_of(regular(sides)), 0.5 * (outline[0] + outline[1])
    way = np.linspace(0.0, 1.0, 101)
    found = heights(top, middle * (1.0 - way)[:, None])
    assert np.abs(found - (1.0 - (1.0 - way) ** 2)).max() < 1e-3


def test_a_wall_cut_in_two_changes_nothing() -> None:
    whole, cut = top_of(RECTANGLE), top_of([*RECTANGLE[:1], (0.3, -1.0), *RECTANGLE[1:]])
    points = np.random.default_rng(1).uniform((-1.9, -0.9), (1.9, 0.9), (200, 2))
    np.testing.assert_allclose(heights(cut, points), heights(whole, points), atol=1e-9)


@given(st.floats(-3.0, 3.0), st.floats(0.05, 20.0), st.floats(-50.0, 50.0))
def test_turning_scaling_and_moving_the_outline_moves_the_height_with_it(turn: float, scale: float, u: float) -> None:
    points = np.random.default_rng(2).uniform(-0.5, 0.5, (50, 2))
    c, s = scale * np.cos(turn), scale * np.sin(turn)
    matrix, shift = np.array([[c, -s], [s, c]]), np.array([u, 0.5 * u])
    moved = np.array(SLANTED) @ matrix.T + shift
    top = top_of([(float(a), float(b)) for a, b in moved], (float(shift[0]), float(shift[1])))
    np.testing.assert_allclose(heights(top, points @ matrix.T + shift), heights(top_of(SLANTED), points), atol=1e-6)


@pytest.mark.parametrize("outline", [RECTANGLE, SLANTED, regular(3), regular(6)], ids=len)
def test_the_gradient_is_continuous_up_to_the_corners(outline: list[tuple[float, float]]) -> None:
    """Neighbouring gradients differ less and less on ever finer grids; the distance to the nearest wall fails this."""
    top = top_of(outline)
    for corner in np.array(outline):
        jumps = []
        for reach in (0.1, 0.01, 0.001):
            toward = top.summit[0] - corner
            angle = np.arctan2(toward[1], toward[0]) + np.linspace(-0.2, 0.2, 9)
            ring = corner + reach * np.column_stack((np.cos(angle), np.sin(angle)))
            slopes = top.gradient(ring, np.zeros(len(ring), np.int64))
            jumps.append(float(np.hypot(*(slopes[-1] - slopes[0]))))
        assert jumps[0] > 1.5 * jumps[1] > 2.25 * jumps[2]
    line = np.linspace(-0.4, 0.4, 801)
    for grid in (line, line[::8]):
        points = top.summit + np.column_stack((grid, 0.7 * grid))
        slopes = top.gradient(points, np.zeros(len(points), np.int64))
        assert np.hypot(*np.diff(slopes, axis=0).T).max() < 12.0 * (grid[1] - grid[0])
