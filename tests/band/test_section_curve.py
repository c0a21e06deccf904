from __future__ import annotations

import numpy as np
import pytest

from ringtex.band.section_curve import court, flat, free_section, half_round, knife_edge

ACROSS = np.linspace(-1.0, 1.0, 2001)
A, E, B = 4.0, 1.1, 0.9


@pytest.mark.parametrize("formula", [half_round, court, knife_edge, free_section])
@pytest.mark.parametrize("fullness", [1.0, 1.4, 2.0, 3.5, 12.0])
@pytest.mark.parametrize("rise", [0.0, 1e-6, 0.05, 0.9, 3.0])
def test_every_section_meets_both_edges_and_the_crown(formula, fullness: float, rise: float) -> None:
    x, y = formula(np.array([-1.0, 0.0, 1.0]), A, E, rise, fullness)
    np.testing.assert_allclose(x, [-A, 0.0, A], atol=1e-12)
    np.testing.assert_allclose(y, [E, E + rise, E], atol=1e-9)


@pytest.mark.parametrize("formula", [half_round, flat, court, knife_edge, free_section])
def test_every_section_is_symmetric_and_runs_one_way(formula) -> None:
    x, y = formula(ACROSS, A, E, B, 1.7)
    np.testing.assert_allclose(x, -x[::-1], atol=1e-13)
    np.testing.assert_allclose(y, y[::-1], atol=1e-13)
    assert np.all(np.diff(x) > 0.0)


def test_fullness_two_is_the_half_ellipse() -> None:
    x, y = free_section(ACROSS, A, E, B, 2.0)
    np.testing.assert_allclose((x / A) ** 2 + ((y - E) / B) ** 2, 1.0, atol=1e-12)
    np.testing.assert_allclose(free_section(ACROSS, A, E, B, 2.0), half_round(ACROSS, A, E, B, 2.0), atol=1e-12)


@pytest.mark.parametrize("fullness", [4.0, 6.0, 12.0])
def test_a_full_section_is_the_superellipse(fullness: float) -> None:
    x, y = free_section(ACROSS, A, E, B, fullness)
    np.testing.assert_allclose(np.abs(x / A) ** fullness + ((y - E) / B) ** fullness, 1.0, atol=2e-3)


@pytest.mark.parametrize("fullness", [1.0, 1.2, 1.5, 1.8])
def test_below_two_only_the_creases_leave_the_superellipse(fullness: float) -> None:
    x, y = free_section(ACROSS, A, E, B, fullness)
    flank = (np.abs(x) > 0.3) & (np.abs(x) < A - 0.6)
    level = np.abs(x / A) ** fullness + np.clip((y - E) / B, 0.0, None) ** fullness
    assert np.max(np.abs(level[flank] - 1.0)) < 0.08
    assert np.all(y <= E + B + 1e-12)


def test_a_court_section_is_an_arc_of_one_circle() -> None:
    x, y = court(ACROSS, A, E, B, 2.0)
    radius = (A * A + B * B) / (2.0 * B)  # the chord theorem
    np.testing.assert_allclose(np.hypot(x, y - (E + B - radius)), radius, atol=1e-12)


def test_a_court_section_without_rise_is_straight() -> None:
    x, y = court(ACROSS, A, E, 0.0, 2.0)
    np.testing.assert_allclose(x, A * ACROSS, atol=1e-14)
    np.testing.assert_allclose(y, E, atol=1e-14)


def test_a_knife_edge_has_straight_flanks_and_a_crown_of_its_radius() -> None:
    x, y = knife_edge(ACROSS, A, E, B, 2.0)
    slope = np.diff(y) / np.diff(x)
    outer = x[1:] > 0.8
    assert np.ptp(slope[outer]) < 0.01 * np.abs(slope[outer]).max()
    crown = np.linspace(-1e-3, 1e-3, 3)
    x, y = knife_edge(crown, A, E, B, 2.0)
    bend = 2.0 * (y[0] - y[1]) / x[0] ** 2
    assert -bend == pytest.approx(1.0 / 0.2, rel=1e-3)
