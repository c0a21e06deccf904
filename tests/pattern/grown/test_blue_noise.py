"""Blue noise against what is known of discs that fall at random."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from ringtex.basics.arrays import Floats
from ringtex.pattern.grown.blue_noise import BORDER, blue_noise_sites, least_distance
from ringtex.pattern.patterned_part import PatternedPart

PART = PatternedPart(58.0, 0.4, 12.4)


def sites(count: int, seed: int) -> tuple[Floats, float]:
    distance = least_distance(PART, count)
    return blue_noise_sites(PART, distance, seed), distance


def tree(points: Floats) -> cKDTree:
    return cKDTree(points, boxsize=(PART.length, 0.0))


@pytest.mark.parametrize("seed", [1, 2])
def test_no_two_are_too_near_and_no_room_is_left(seed: int) -> None:
    points, distance = sites(600, seed)
    nearest = tree(points).query(points, k=2)[0][:, 1]
    assert nearest.min() >= distance
    border = BORDER * distance
    u, v = np.meshgrid(np.linspace(0.0, 58.0, 900), np.linspace(PART.lower + border, PART.upper - border, 190))
    # Between two samples a hole can be deeper by half their distance at most.
    away = tree(points).query(np.column_stack([u.ravel(), v.ravel()]))[0].max()
    assert away <= distance + 0.5 * np.hypot(58.0 / 899, 12.0 / 189)
    assert abs(len(points) - 600) < 0.03 * 600


def test_discs_cover_less_than_when_all_fall_at_random_and_more_than_nine_tenths_of_that() -> None:
    """Random sequential adsorption of discs jams at a coverage of 0.547 (Feder 1980; from memory)."""
    distance = least_distance(PART, 4000)
    points = blue_noise_sites(PART, distance, 3)
    inside = np.abs(points[:, 1] - 6.4) < 4.0
    coverage = np.count_nonzero(inside) * np.pi * distance**2 / 4.0 / (58.0 * 8.0)
    assert 0.9 * 0.547 < coverage < 0.547 * 1.01


def test_radial_statistics_are_those_of_blue_noise() -> None:
    """Pairs within r and their expected number in a Poisson process give the pair correlation g: 0 under the least
    distance, a peak over it, 1 far away; long waves are missing from the spectrum (Ulichney 1988, Dithering with blue
    noise; from memory)."""
    points, distance = sites(3000, 5)
    middle = np.abs(points[:, 1] - 6.4) < 3.0
    edges = distance * np.array([0.0, 1.0, 1.15, 3.0, 3.5])
    within = [np.mean(tree(points).query_ball_point(points[middle], r, return_length=True)) - 1.0
              for r in edges[1:]]  # fmt: skip
    density = np.count_nonzero(middle) / (58.0 * 6.0)
    g = np.diff([0.0, *within]) / (density * np.pi * np.diff(edges**2))
    assert g[0] == 0.0
    assert g[1] > 1.8
    assert g[3] == pytest.approx(1.0, abs=0.05)
    waves = np.exp(2j * np.pi * np.outer(np.arange(1, 9), points[:, 0]) / 58.0).sum(axis=1)
    # 1 for points at random; the least value here is that of long waves of jammed discs, some 0.06.
    assert np.mean(np.abs(waves) ** 2) / len(points) < 0.25
