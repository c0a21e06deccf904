"""The cellular family: counts, scatter, reuse, refusals, speed."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from ringtex.basics.caches import clear_all_caches
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions

STRIP = SimpleNamespace(length=58.0, width=8.0)


def build(strip=STRIP, **options):
    return make_pattern(strip, PatternOptions("cellular", **options), RailOptions(0.5, 0.5), Progress())


def test_as_many_cells_as_asked_for_and_sites_inside_them() -> None:
    pattern = build(around=30, across=5)
    tiling = pattern.tiling
    assert tiling.problems() == []
    assert tiling.cells == 150 == len(pattern.sites)
    assert np.all((pattern.sites[:, 1] > tiling.lower) & (pattern.sites[:, 1] < tiling.upper))


def test_less_scatter_is_more_even() -> None:
    spread = []
    for scatter in (0.0, 0.25, 0.5, 0.75, 0.9, 1.0):
        areas = build(around=40, across=8, scatter=scatter).tiling.areas
        spread.append(np.std(areas) / np.mean(areas))
    assert spread == sorted(spread)
    assert spread[-1] == pytest.approx(0.53, abs=0.06)  # Gilbert 1962, Brakke 1986 (from memory)


def test_no_short_walls_and_same_cells_otherwise() -> None:
    tiling = build(around=40, across=8, scatter=1.0, seed=3).tiling
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    length = np.hypot(ends[:, 0], ends[:, 1])
    area = tiling.areas[tiling.corner_cell]
    beside = np.sqrt(np.where(tiling.twin >= 0, 0.5 * (area + area[tiling.twin]), area))
    triangles = np.diff(tiling.cell_start)[tiling.corner_cell] == 3
    triangles |= (tiling.twin >= 0) & triangles[tiling.twin]
    assert np.mean((length < 0.069 * beside)[~triangles]) < 0.005
    corners_at = np.bincount(tiling.corner_vertex)
    assert np.max(corners_at) >= 4


def test_same_seed_same_bytes_other_seed_other_cells() -> None:
    first = build(around=20, across=5, seed=7).tiling
    clear_all_caches()
    second = build(around=20, across=5, seed=7).tiling
    assert first is not second
    assert first.vertices.tobytes() == second.vertices.tobytes()
    assert first.corner_vertex.tobytes() == second.corner_vertex.tobytes()
    assert build(around=20, across=5, seed=8).tiling.vertices.tobytes() != first.vertices.tobytes()


def test_reused_when_nothing_of_the_pattern_changes() -> None:
    assert build(around=20, across=5, seed=9) is build(around=20, across=5, seed=9)


def test_slide_turns_the_ring() -> None:
    still, slid = build(around=20, across=5), build(around=20, across=5, slide_mm=(7.0, 0.0))
    np.testing.assert_allclose(np.sort(still.tiling.areas), np.sort(slid.tiling.areas), rtol=1e-6)
    turned = np.sort((still.sites[:, 0] + 7.0) % 58.0)
    np.testing.assert_allclose(turned, np.sort(slid.sites[:, 0]), atol=1e-9)


@pytest.mark.parametrize(
    ("options", "where"),
    [({"twist": 1}, "pattern.twist"), ({"slide_mm": (0.0, 1.0)}, "pattern.slide")],
)
def test_what_means_nothing_is_refused(options, where) -> None:
    with pytest.raises(InputError) as caught:
        build(around=20, across=5, **options)
    assert caught.value.where == where
    assert caught.value.advice


def test_few_cells_never_meet_themselves() -> None:
    for seed in range(40):
        tiling = build(SimpleNamespace(length=40.0, width=20.0), around=3, across=1, scatter=1.0, seed=seed).tiling
        inner = np.flatnonzero(tiling.twin >= 0)
        assert np.all(tiling.corner_cell[inner] != tiling.corner_cell[tiling.twin[inner]])
        assert tiling.problems() == []
