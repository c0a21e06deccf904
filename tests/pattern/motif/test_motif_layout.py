"""Repeats of a motif: whole counts, their cells, and what they refuse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.locate import cells_at
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.motif.grid_tiling import grid_tiling, half_drop_tiling
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import outline_text
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import Pattern, PatternedPart

FLAG = shapely.MultiPolygon([shapely.Polygon([(0, 0), (40_000, 0), (40_000, 10_000), (10_000, 10_000), (0, 30_000)])])
MOTIF = MotifOptions(outline_text(FLAG), "flag", 50.0, 50.0)


class Strip:
    length, width = 60.0, 7.0


def pattern(motif: MotifOptions = MOTIF, **given: object) -> Pattern:
    options = PatternOptions(family="motif", around=10, motif=motif, **given)  # type: ignore[arg-type]
    return make_pattern(Strip(), options, RailOptions(0.5, 0.5), Progress())


@pytest.mark.parametrize("is_brick", [False, True])
@pytest.mark.parametrize("slide", [0.0, 0.3, -7.7, 123.4])
@pytest.mark.parametrize(("around", "across"), [(3, 1), (4, 2), (7, 3)])
def test_cells_tile_the_strip(is_brick: bool, slide: float, around: int, across: int) -> None:
    tiling = grid_tiling(PatternedPart(60.0, 0.5, 7.3), around, across, slide, is_brick)
    assert tiling.problems() == []
    assert tiling.cells == around * across


@pytest.mark.parametrize("arrangement", ["straight", "brick", "half_drop"])
def test_a_point_is_in_the_cell_of_its_repeat(arrangement: str) -> None:
    made = pattern(replace(MOTIF, arrangement=arrangement), across=3, slide_mm=(1.3, 0.0))
    points = np.random.default_rng(1).uniform((0.0, 0.6), (60.0, 6.4), (500, 2))
    assert made.motif is not None
    assert np.array_equal(made.motif.cells_at(points), cells_at(made.tiling, points))


@pytest.mark.parametrize("slide", [0.0, -7.7, 123.4])
@pytest.mark.parametrize(("around", "across"), [(4, 1), (6, 3)])
def test_staggered_columns_tile_the_strip(slide: float, around: int, across: int) -> None:
    tiling = half_drop_tiling(PatternedPart(60.0, 0.5, 7.3), around, across, slide)
    assert tiling.problems() == []
    assert tiling.cells == around // 2 * (2 * across + 1)


def test_half_drop_repeats_by_one_column_and_half_a_row() -> None:
    """Moved so, the pattern covers itself; moved by one column alone it does not."""
    made = pattern(replace(MOTIF, arrangement="half_drop", size=0.4), across=4)
    assert made.motif is not None
    wide, high = made.motif.tile
    inner = shapely.box(2 * wide, 1.5, 5 * wide, 5.5)
    shapes = made.motif.shapes(range(-1, 8))
    moved, straight = (
        shapely.transform(shapes, lambda points, step=step: points + step) for step in ([wide, 0.5 * high], [wide, 0.0])
    )
    assert shapes.intersection(inner).symmetric_difference(moved.intersection(inner)).area < 1e-9
    assert shapes.intersection(inner).symmetric_difference(straight.intersection(inner)).area > 0.1


def test_auto_keeps_the_proportions() -> None:
    """40 by 30 in repeats of 6 mm: 4.5 mm over, of 6 mm; in half as long ones twice as many."""
    assert pattern().across == 1
    assert make_pattern(
        Strip(), PatternOptions(family="motif", around=20, motif=MOTIF), RailOptions(0.5, 0.5), Progress()
    ).across == round(6.0 / 2.25)


def test_area_of_the_repeats_by_shapely() -> None:
    made = pattern(across=2)
    assert made.motif is not None
    scale = 0.9 * min(6.0 / 40_000, 3.0 / 30_000)
    shapes = made.motif.shapes(range(10))
    assert shapes.area == pytest.approx(20 * FLAG.area * scale**2)
    assert len(shapely.get_parts(shapes)) == 20


@pytest.mark.parametrize("arrangement", ["straight", "brick", "half_drop"])
def test_a_long_slide_is_one_by_less_than_a_period(arrangement: str) -> None:
    """Sliding by 4 repeats and a bit is sliding by the bit, also where neighbours alternate."""
    motif = replace(MOTIF, arrangement=arrangement, alternate="mirrored")
    long, short = (pattern(motif, across=2, slide_mm=(slide, 0.0)).motif for slide in (49.1, 1.1))
    assert long is not None
    assert short is not None
    one, other = long.shapes(range(-3, 13)), short.shapes(range(-3, 13))
    inner = shapely.box(0.0, 0.0, 60.0, 7.0)
    assert one.intersection(inner).area > 5.0
    assert one.intersection(inner).symmetric_difference(other.intersection(inner)).area < 1e-9


def test_what_reaches_over_several_repeats_is_whole() -> None:
    """A slanting bar of five pages, fitted by its page: more columns than `reach` says add nothing."""
    bar = shapely.MultiPolygon([shapely.Polygon([(0, 0), (250_000, 45_000), (250_000, 50_000), (0, 5_000)])])
    layout = pattern(MotifOptions(outline_text(bar), "bar", 50.0, 50.0, fit="page"), across=1).motif
    assert isinstance(layout, MotifLayout)
    assert layout.reach == (4, 0)
    period = shapely.box(0.0, 0.0, layout.period, 7.0)
    few, many = (layout.shapes(range(-n, n + 1)).intersection(period) for n in (2 + layout.reach[0], 15))
    assert few.symmetric_difference(many).area < 1e-9
    # Each column is crossed by five bars, a tenth of the part high in all but where they are cut off at their ends.
    assert many.area == pytest.approx(0.1 * 6.0 * 5 * layout.period, rel=1e-6)


def test_page_fit_joins_neighbours_across_their_border() -> None:
    """A bar over the whole page, with round ends beyond it, becomes one band round the ring."""
    bar = shapely.MultiPolygon([shapely.box(-1000, 20_000, 51_000, 30_000)])
    made = pattern(MotifOptions(outline_text(bar), "bar", 50.0, 50.0, fit="page"), across=1)
    assert made.motif is not None
    assert len(shapely.get_parts(made.motif.shapes(range(-1, 11)))) == 1


def test_mirrored_twice_is_the_same_again() -> None:
    made = pattern(replace(MOTIF, alternate="mirrored"), across=2)
    assert made.motif is not None
    once = made.motif.shapes(range(2))
    again = shapely.transform(made.motif.shapes(range(2, 4)), lambda points: points - [12.0, 0.0])
    assert once.symmetric_difference(again).area < 1e-9
    mirrored = shapely.transform(once, lambda points: [12.0, 0.0] + points * [-1.0, 1.0])
    assert once.symmetric_difference(mirrored).area < 1e-9


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"scatter": 0.5}, "scatter"),
        ({"twist": 1}, "twist"),
        ({"motif": replace(MOTIF, alternate="turned"), "around": 9}, "even number"),
        ({"motif": replace(MOTIF, arrangement="half_drop"), "around": 9}, "half-drop does not close .* 9 repeats"),
        ({"around": 2000, "across": 150, "motif": MOTIF}, "points"),
        ({"motif": None}, "drawing"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, object], word: str) -> None:
    given = {"family": "motif", "around": 10, "motif": MOTIF, **change}
    with pytest.raises(InputError, match=word):
        make_pattern(Strip(), PatternOptions(**given), RailOptions(0.5, 0.5), Progress())  # type: ignore[arg-type]
