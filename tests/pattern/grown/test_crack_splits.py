"""Cells cracked in two again and again: sound, counted, in T-junctions near right angles."""

import numpy as np
import pytest

from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.grown.blue_noise import blue_noise_sites, least_distance
from ringtex.pattern.grown.crack_splits import MAX_TILT_DEG, cracked
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Tiling

PART = PatternedPart(58.0, 0.0, 9.0)


def plates(count: int) -> Tiling:
    return voronoi_tiling(PART, blue_noise_sites(PART, least_distance(PART, count), 4))


@pytest.mark.parametrize(("first", "wanted"), [(4, 60), (40, 41), (40, 500)])
def test_sound_and_as_many_as_wanted(first: int, wanted: int) -> None:
    made = cracked(plates(first), wanted, np.random.default_rng(1))
    assert made.problems() == []
    assert made.cells == wanted
    assert np.max(made.areas) < 12.0 * np.min(made.areas)


def test_a_crack_adds_two_junctions_and_corners_fall_from_six_towards_four() -> None:
    """In a plane net of junctions of three cracks, a cell has 6 - 2 T corners on the average, T the fraction of
    junctions where one crack ends on the straight side of another (Gray, Anderson, Devine and Kwasnik 1976, Topological
    properties of random crack networks; from memory; by Euler's formula)."""
    start = plates(60)
    made = cracked(start, 300, np.random.default_rng(2))
    assert len(made.vertices) == len(start.vertices) + 2 * (300 - start.cells)
    arriving = made.corners - made.corners[made.previous_corner]
    leaving = made.corners[made.next_corner] - made.corners
    turns = np.degrees(np.arctan2(arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0],
                                  np.sum(arriving * leaving, axis=1)))  # fmt: skip
    assert np.min(turns) > -1e-6
    inner = (made.vertices[:, 1] > 0.0) & (made.vertices[:, 1] < 9.0)
    straight = np.bincount(made.corner_vertex, weights=turns < 1e-6, minlength=len(inner))[inner]
    share = np.mean(straight)
    corners = np.count_nonzero(turns >= 1e-6)
    # Along a border every junction is a T, of two corners, and there is one border for one half of its cell.
    on_border = np.count_nonzero(~inner)
    expected = 3 * np.count_nonzero(straight == 0) + 2 * np.count_nonzero(straight == 1) + 2 * on_border
    assert corners == expected
    assert corners / 300 == pytest.approx(6.0 - 2.0 * (share * np.sum(inner) + on_border) / len(inner), abs=0.3)
    assert 0.6 < share < 1.0


def test_cracks_run_across_the_longer_way() -> None:
    start = plates(40)
    made = cracked(start, start.cells + 1, np.random.default_rng(3))
    (a, b) = made.vertices[len(start.vertices) :]
    cell = int(np.argmax(start.areas))
    corners = start.corners[start.cell_start[cell] : start.cell_start[cell + 1]]
    # The longer way by samples inside the cell, not by moments of its outline.
    import shapely

    x, y = np.meshgrid(np.linspace(*np.quantile(corners[:, 0], [0, 1]), 200), np.linspace(0.0, 9.0, 200))
    samples = np.column_stack([x.ravel(), y.ravel()])
    samples = samples[shapely.contains_xy(shapely.Polygon(corners), *samples.T)]
    longer = np.linalg.eigh(np.cov(samples.T))[1][:, -1]
    along = b - a
    along[0] -= 58.0 * np.round(along[0] / 58.0)
    angle = np.degrees(np.arccos(abs(along @ longer) / np.hypot(*along)))
    assert angle > 90.0 - MAX_TILT_DEG - 12.0
