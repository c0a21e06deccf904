"""Grown families: sound with any counts, closed by turning them round, and the golden angle's own numbers."""

from types import SimpleNamespace

import numpy as np
import pytest

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.grown.grown_pattern import golden_spiral
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import Pattern, PatternedPart

GROWN = [name for name, family in GROWN_FAMILIES.items() if name != "cellular" and family.has_cells]


def built(family: str, width: float = 8.0, **options: object) -> Pattern:
    strip = SimpleNamespace(length=58.0, width=width)
    return make_pattern(strip, PatternOptions(family=family, **options), RailOptions(0.3, 0.2), Progress())  # type: ignore[arg-type]


@pytest.mark.parametrize("family", GROWN)
def test_sound_with_any_counts(family: str) -> None:
    for around, across, width, scatter in ((3, 1, 8.0, 0.0), (3, 7, 2.0, 1.0), (40, "auto", 8.0, 0.5), (9, 2, 20.0, 0)):
        pattern = built(family, width, around=around, across=across, scatter=scatter, seed=3)
        assert pattern.tiling.problems() == []
        wanted = around * pattern.across
        assert abs(pattern.counted[0] - wanted) <= (
            0.25 * wanted + 3 if family in ("blue_noise", "wood_grain") or wanted <= 21 else 0
        )


@pytest.mark.parametrize("family", GROWN)
def test_the_seam_is_nowhere(family: str) -> None:
    """A pattern turned round the ring is the same pattern, cell by cell."""
    start, moved = (built(family, around=20, seed=2, slide_mm=(slide, 0.0)).tiling for slide in (0.0, 21.7))
    aside = moved.centroids - start.centroids - (21.7, 0.0)
    assert np.max(np.abs(aside[:, 0] - 58.0 * np.round(aside[:, 0] / 58.0))) < 1e-6
    np.testing.assert_allclose(moved.areas, start.areas, atol=1e-6)


@pytest.mark.parametrize("family", GROWN)
def test_refuses_what_has_no_meaning(family: str) -> None:
    for wrong in ({"twist": 1}, {"slide_mm": (0.0, 1.0)}, {"evenness": 0.5}):
        with pytest.raises(InputError):
            built(family, **wrong)


def test_spiral_rows_turn_by_the_golden_angle_and_meet_in_numbers_of_fibonacci() -> None:
    """137.508 degrees between one cell and the next; neighbours differ in number by Fibonacci's numbers, the
    parastichies of plants (Coxeter 1961, Introduction to Geometry, section 11.5; from memory)."""
    part = PatternedPart(58.0, 0.3, 8.3)
    sites = golden_spiral(part, 300)
    turn = np.diff(sites[:, 0]) % 58.0 / 58.0 * 360.0
    np.testing.assert_allclose(np.minimum(turn, 360.0 - turn), 137.50776, atol=1e-5)
    np.testing.assert_allclose(np.diff(sites[:, 1]), 8.0 / 300)
    tiling = voronoi_tiling(part, sites)
    inner = np.flatnonzero(tiling.twin >= 0)
    apart = np.abs(tiling.corner_cell[inner] - tiling.corner_cell[tiling.twin[inner]])
    away = np.minimum(sites[:, 1] - 0.3, 8.3 - sites[:, 1])[tiling.corner_cell[inner]]
    assert set(apart[away > 2.0].tolist()) <= {1, 2, 3, 5, 8, 13, 21, 34, 55, 89}


def test_bark_is_long_across_the_band() -> None:
    tiling = built("bark", 12.0, around=30, seed=1).tiling
    bounds = zip(tiling.cell_start[:-1], tiling.cell_start[1:], strict=True)
    spans = np.array([np.ptp(tiling.corners[low:high], axis=0) for low, high in bounds])
    assert np.median(spans[:, 1] / spans[:, 0]) > 1.4
