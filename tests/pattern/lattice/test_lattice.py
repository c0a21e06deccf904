"""Hexagon, brick and diamond lattices against geometry known from outside."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import Pattern

LATTICES = ["hexagon", "brick", "diamond"]


def build(
    family: str, length: float = 58.0, width: float = 8.0, rails: RailOptions | None = None, **options
) -> Pattern:
    strip = SimpleNamespace(length=length, width=width)
    return make_pattern(strip, PatternOptions(family=family, **options), rails or RailOptions(), Progress())


def cell_keys(pattern: Pattern) -> set[tuple]:
    """Every cell as its sorted corner places on the ring, so that patterns can be compared as point sets."""
    tiling = pattern.tiling
    places = tiling.vertices[tiling.corner_vertex]
    angle = np.round(2.0 * math.pi * places[:, 0] / tiling.length, 7) % round(2.0 * math.pi, 7)
    corners = np.column_stack([np.round(np.cos(angle), 6), np.round(np.sin(angle), 6), np.round(places[:, 1], 6)]) + 0.0
    cells = np.split(corners, tiling.cell_start[1:-1])
    return {tuple(sorted(map(tuple, cell))) for cell in cells}


def test_hexagons_on_a_fitting_strip_are_regular() -> None:
    """Regular hexagon with pitch p across its flats: side p / sqrt 3, area p^2 sqrt 3 / 2 (elementary geometry)."""
    pitch = 58.0 / 24
    pattern = build("hexagon", width=6 * pitch * math.sqrt(3.0) / 2.0, around=24)
    tiling = pattern.tiling
    assert pattern.across == 6
    assert pattern.stretch_percent == pytest.approx(0.0, abs=1e-9)
    assert tiling.cells == 144
    np.testing.assert_allclose(tiling.areas, pitch**2 * math.sqrt(3.0) / 2.0, rtol=1e-12)
    middle = (tiling.corners[:, 1] > 1.4 * pitch) & (tiling.corners[:, 1] < 3.8 * pitch)
    ends = tiling.corners[tiling.next_corner]
    both = middle & middle[tiling.next_corner]
    length = np.hypot(*(ends - tiling.corners)[both].T)
    np.testing.assert_allclose(length, pitch / math.sqrt(3.0), rtol=1e-12)


@pytest.mark.parametrize("family", LATTICES)
def test_untwisted_rows_hold_the_wanted_count_and_equal_area(family: str) -> None:
    tiling = build(family, around=24, across=6).tiling
    assert tiling.problems() == []
    shape = np.round(tiling.areas / np.max(tiling.areas), 9)
    if family == "diamond":
        assert int(np.sum(shape == 1.0)) == 24 * 6
        assert int(np.sum(shape == 0.5)) == 2 * 24
    else:
        assert tiling.cells == 24 * 6
        assert np.all(shape == 1.0)


def test_bricks_have_six_corners_two_of_them_straight() -> None:
    tiling = build("brick", around=24, across=6).tiling
    corners, before = tiling.corners, tiling.corners[tiling.previous_corner]
    after = tiling.corners[tiling.next_corner]
    (a_u, a_v), (b_u, b_v) = (corners - before).T, (after - corners).T
    straight = np.abs(a_u * b_v - a_v * b_u) < 1e-9
    per_cell = np.add.reduceat(straight.astype(int), tiling.cell_start[:-1])
    inside = np.add.reduceat((tiling.twin < 0).astype(int), tiling.cell_start[:-1]) == 0
    assert np.all(per_cell[inside] == 2)
    assert np.all(np.diff(tiling.cell_start)[inside] == 6)


@pytest.mark.parametrize("family", LATTICES)
@pytest.mark.parametrize("twist", [0, 2, -4])
def test_slide_by_one_pitch_is_the_same_tiling(family: str, twist: int) -> None:
    options = {"around": 24, "across": 6, "twist": twist}
    start = build(family, slide_mm=(0.3, 0.0), **options)
    # The closing vector divided by the greatest common divisor of its counts is a symmetry of the lattice.
    share = 24 if twist == 0 else math.gcd(24 + abs(twist) // 2, twist)
    moved = build(family, slide_mm=(0.3 + 58.0 / share, 0.0), **options)
    again = build(family, slide_mm=(0.3 - 58.0, 0.0), **options)
    assert cell_keys(start) == cell_keys(moved) == cell_keys(again)


@pytest.mark.parametrize("family", LATTICES)
def test_opposite_twists_are_mirror_images(family: str) -> None:
    one = build(family, around=20, across=5, twist=3, slide_mm=(1.1, 0.4))
    other = build(family, around=20, across=5, twist=-3, slide_mm=(-1.1, 0.4))
    np.testing.assert_allclose(np.sort(one.tiling.areas), np.sort(other.tiling.areas), atol=1e-9)


@pytest.mark.parametrize("family", LATTICES)
def test_cells_cover_exactly_by_shapely(family: str) -> None:
    tiling = build(family, around=18, across=5, twist=3, slide_mm=(2.0, 0.7), rails=RailOptions(0.7, 1.1)).tiling
    polygons = [shapely.Polygon(ring) for ring in np.split(tiling.corners, tiling.cell_start[1:-1])]
    turned = [shapely.affinity.translate(p, n * tiling.length) for n in (-1, 0, 1) for p in polygons]
    part = shapely.box(0.0, tiling.lower, tiling.length, tiling.upper)
    pieces = shapely.intersection(np.array(turned), part)
    assert float(np.sum(shapely.area(pieces))) == pytest.approx(part.area, rel=1e-9)
    assert shapely.union_all(pieces).area == pytest.approx(part.area, rel=1e-9)
    assert np.all(shapely.is_valid(np.array(polygons)))


@pytest.mark.parametrize("scatter", [0.0, 0.17])
@pytest.mark.parametrize("twist", [-3, -1, 3])
def test_tips_of_leaning_cells_are_not_turned_over_at_a_border(twist: int, scatter: float) -> None:
    options = {"around": 24, "across": 1, "twist": twist, "scatter": scatter, "seed": 577}
    for width in (17.4, 17.7):
        tiling = build("rosettes", 102.67, width + 1.28, RailOptions(0.76, 0.52), **options).tiling
        assert tiling.problems() == []
        assert all(shapely.Polygon(ring).is_valid for ring in np.split(tiling.corners, tiling.cell_start[1:-1]))


@pytest.mark.parametrize(("family", "regular"), [("hexagon", math.sqrt(3.0) / 2.0), ("brick", 0.5), ("diamond", 0.5)])
def test_auto_picks_the_least_stretched_rows(family: str, regular: float) -> None:
    for around in (7, 13, 24, 61):
        auto = build(family, around=around)
        others = [build(family, around=around, across=max(1, auto.across + step)) for step in (-1, 1)]
        ratio = [abs(math.log1p(p.stretch_percent / 100.0)) for p in (auto, *others)]
        assert ratio[0] == min(ratio)
        rows = auto.across + (family == "diamond")
        assert auto.stretch_percent == pytest.approx(100.0 * ((8.0 / rows) / (regular * 58.0 / around) - 1.0))


def test_twist_too_steep_is_refused() -> None:
    with pytest.raises(InputError, match="steeper than 45 degrees") as caught:
        build("hexagon", around=24, across=1, twist=24)
    assert caught.value.where == "pattern.twist"


def test_evenness_of_a_lattice_is_refused() -> None:
    with pytest.raises(InputError, match="evenness does not apply"):
        build("brick", evenness=0.5)
