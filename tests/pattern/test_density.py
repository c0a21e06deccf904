"""Density by curves and spots: cells' areas on the ring go inversely with what was asked for, round the ring too."""

from __future__ import annotations

import numpy as np
import pytest
from dome_strip import dome_strip, triangle_areas

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.pattern.density_factor import density_factor
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions

SHOULDERS = DensityOptions(around=((0.0, 1.0), (70.0, 3.0), (180.0, 1.5), (-70.0, 3.0)))


def made(density: DensityOptions, family: str = "hexagon", evenness: float = 1.0):
    options = PatternOptions(family, 60, 10, evenness=evenness, density=density)
    return make_pattern(dome_strip(), options, RailOptions(), Progress())


@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_area_times_density_is_the_same_everywhere(family: str) -> None:
    """The mean factor over a cell, by many random places of the strip weighted with the ring's area there."""
    tiling = made(SHOULDERS, family).tiling
    assert tiling.problems() == []
    areas = triangle_areas(tiling, dome_strip())
    factor = density_factor(dome_strip(), SHOULDERS, *tiling.kernel[0].T)
    product = areas * factor
    # The factor at one point stands for the cell's mean: within some per cent, where areas vary threefold.
    assert np.std(areas) / np.mean(areas) > 0.3
    assert np.std(product) / np.mean(product) < 0.03
    assert np.corrcoef(np.log(areas), np.log(factor))[0, 1] < -0.99


def test_across_and_spots() -> None:
    across = DensityOptions(across=((0.0, 1.0), (1.0, 4.0)))
    tiling = made(across).tiling
    v = tiling.kernel[0][:, 1] / dome_strip().width
    areas = triangle_areas(tiling, dome_strip())
    assert np.mean(areas[v < 0.25]) / np.mean(areas[v > 0.75]) == pytest.approx(3.3, abs=0.7)
    spot = DensityOptions(spots=((0.5, 0.5, 5.0, 4.0),))
    tiling = made(spot).tiling
    areas = triangle_areas(tiling, dome_strip())
    head = dome_strip().point(np.array([0.5 * dome_strip().length]), np.array([0.5 * dome_strip().width]))
    away = np.linalg.norm(dome_strip().point(*tiling.kernel[0].T) - head, axis=1)
    far = np.mean(areas[away > 6.0])
    assert np.mean(areas[away < 1.2]) / far == pytest.approx(0.27, abs=0.05)
    assert np.std(areas[away > 7.0]) / far < 0.01


def test_closed_round_the_ring_and_read_by_angle() -> None:
    u = np.array([0.0, dome_strip().length])
    v = np.full(2, 3.0)
    ends = density_factor(dome_strip(), SHOULDERS, u, v)
    assert ends[0] == pytest.approx(ends[1], rel=1e-12)
    assert ends[0] == pytest.approx(1.5)
    middle = np.array([0.5 * dome_strip().width])
    assert density_factor(dome_strip(), SHOULDERS, np.array([0.5 * dome_strip().length]), middle) == pytest.approx(1.0)
    turned = DensityOptions(around=((360.0, 1.0), (70.0, 3.0), (-180.0, 1.5), (290.0, 3.0)))
    places = np.random.default_rng(0).uniform(0.0, dome_strip().width, (2, 50))
    np.testing.assert_allclose(*[density_factor(dome_strip(), asked, *places) for asked in (SHOULDERS, turned)])


def test_no_density_is_no_change_and_a_little_is_little() -> None:
    none = make_pattern(dome_strip(), PatternOptions("hexagon", 40, 6), RailOptions(), Progress()).tiling
    level = DensityOptions(around=((0.0, 2.0), (90.0, 2.0)))
    options = PatternOptions("hexagon", 40, 6, density=level)
    assert make_pattern(dome_strip(), options, RailOptions(), Progress()).tiling.vertices.tobytes() == (
        none.vertices.tobytes()
    )
    little = DensityOptions(around=((0.0, 1.0), (180.0, 1.002)))
    near = make_pattern(dome_strip(), PatternOptions("hexagon", 40, 6, density=little), RailOptions(), Progress())
    np.testing.assert_allclose(np.sort(near.tiling.areas), np.sort(none.areas), rtol=0.02)


@pytest.mark.parametrize("seed", range(4))
def test_any_density_gives_a_sound_tiling(seed: int) -> None:
    rng = np.random.default_rng(seed)
    around = tuple((float(a), float(np.exp(rng.uniform(-1.0, 1.0)))) for a in rng.choice(360, 5, replace=False))
    spots = tuple(
        (*map(float, rng.uniform(0, 1, 2)), float(rng.uniform(1, 6)), float(rng.uniform(0.3, 3))) for _ in "ab"
    )
    asked = DensityOptions(around, (), spots)
    family = ("hexagon", "cellular")[seed % 2]
    options = PatternOptions(family, 30, 5, seed=seed, scatter=0.3, evenness=0.25 * seed, density=asked)
    tiling = make_pattern(dome_strip(), options, RailOptions(), Progress()).tiling
    assert tiling.problems() == []
    assert tiling.cells == 150


BAD = [
    ({"around": [[0, 9]]}, "pattern.density.around[0][1]"),
    ({"around": [[400, 2]]}, "pattern.density.around[0][0]"),
    ({"around": [[0, 1], [360, 2]]}, "pattern.density.around"),
    ({"around": [[0]]}, "pattern.density.around[0]"),
    ({"around": [0, 1]}, "pattern.density.around[0]"),
    ({"across": [[0.5, 0]]}, "pattern.density.across[0][1]"),
    ({"across": [[1.5, 1]]}, "pattern.density.across[0][0]"),
    ({"spots": [[0.5, 0.5, 0, 2]]}, "pattern.density.spots[0][2]"),
    ({"spots": [[0.5, 0.5, 2]]}, "pattern.density.spots[0]"),
    ({"spots": [[0.5, "head", 2, 2]]}, "pattern.density.spots[0][1]"),
    ({"round": []}, "pattern.density.round"),
    ([], "pattern.density"),
]


def design(**pattern) -> dict:
    return {
        "kind": "ringtex.design", "version": 2, "size": {"scale": "iso", "value": "54"},
        "band": {"section": "flat", "stations": [{"angle": 0, "width": 6, "height": 2, "edge_height": 2}]},
        "pattern": pattern,
    }  # fmt: skip


@pytest.mark.parametrize(("density", "where"), BAD)
def test_bad_densities_are_refused_by_key(density, where: str) -> None:
    with pytest.raises(InputError) as caught:
        design_from_json(design(density=density))
    assert caught.value.where == where
    assert caught.value.advice


def test_written_and_read_back() -> None:
    asked = {"around": [[0, 1], [90, 2.5]], "across": [[0, 1], [1, 2]], "spots": [[0.25, 0.5, 3, 0.5]]}
    read = design_from_json(design(density=asked))
    assert read.pattern.density == DensityOptions(
        ((0.0, 1.0), (90.0, 2.5)), ((0.0, 1.0), (1.0, 2.0)), ((0.25, 0.5, 3.0, 0.5),)
    )
    assert design_from_json(design_to_json(read)) == read


def test_bricks_cannot_follow_a_density() -> None:
    with pytest.raises(InputError) as caught:
        made(SHOULDERS, "brick", 0.0)
    assert caught.value.where == "pattern.density"
