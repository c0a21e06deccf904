"""Growth rings: lines between years, the same round the seam, closed round their piths, and wide enough everywhere."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from sample_rings import BANDS

from ringtex.basics.caches import clear_all_caches
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.grown.contour_lines import contour_lines
from ringtex.pattern.grown.growth_rings import MAX_CELLS, growth_rings, ring_walls
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.solid.free_form.distance_field import line_segments
from ringtex.solid.free_form.true_offsets import local_scale
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap

PART = PatternedPart(58.0, 0.5, 6.5)
RINGS = GrowthRings(PART, 24, 4, 7, 0.0, 0.0)


def test_contour_lines_of_a_cone_are_circles() -> None:
    """The level sets of a distance are circles (elementary); nodes a fifth of the radius apart."""
    u, v = np.linspace(-2.0, 2.0, 41), np.linspace(-2.1, 1.9, 41)
    lines = contour_lines(np.hypot(*np.meshgrid(u, v, indexing="ij")), u, v, np.array([0.5, 1.3]))
    assert len(lines) == 2
    assert all(line.is_closed for line in lines)
    for line, radius in zip(lines, (0.5, 1.3), strict=True):
        assert np.max(np.abs(np.hypot(*shapely.get_coordinates(line).T) - radius)) < 0.002


def test_contour_lines_end_at_the_grids_border_only_and_never_cross() -> None:
    random = np.random.default_rng(3)
    u, v = np.arange(30.0), np.arange(20.0)
    lines = contour_lines(random.normal(size=(30, 20)), u, v, np.array([-0.5, 0.0, 0.7]))
    for line in lines:
        assert line.is_simple
        if not line.is_closed:
            ends = shapely.get_coordinates(line)[[0, -1]]
            assert np.all(np.any((ends == 0.0) | (ends == (29.0, 19.0)), axis=1))
    assert np.array_equal(*shapely.STRtree(lines).query(lines, predicate="intersects"))


def test_walls_are_the_same_a_turn_further() -> None:
    """Where the lines run on beyond the end of a turn they are those at its start."""
    start = shapely.box(-0.8 * RINGS.margin, 0.0, 0.8 * RINGS.margin, 7.0)
    lines = shapely.multilinestrings([*ring_walls(RINGS)])
    first = shapely.intersection(lines, start)
    end = shapely.intersection(shapely.transform(lines, lambda points: points - [58.0, 0.0]), start)
    assert first.length > 20.0
    assert shapely.hausdorff_distance(first, end) < 1e-9


@pytest.mark.parametrize("slide", [0.3, 21.7, -100.0])
def test_a_slide_turns_the_rings_and_changes_nothing_else(slide: float) -> None:
    turned = replace(RINGS, slide=slide)
    box = shapely.box(0.0, 0.5, 58.0, 6.5)
    found = shapely.intersection(shapely.multilinestrings([*ring_walls(turned)]), box)
    plain = shapely.multilinestrings([*ring_walls(RINGS)])
    moved = [
        shapely.transform(plain, lambda points, by=by: points + np.array([by, 0.0]))
        for by in (slide % 58.0 - 58.0, slide % 58.0)
    ]
    # A line that is met twice, once for each end of the turn, counts once.
    moved = [
        shapely.intersection(each, shapely.box(*ends))
        for each, ends in zip(moved, ((-58.0, 0.0, slide % 58.0, 7.0), (slide % 58.0, 0.0, 60.0, 7.0)), strict=True)
    ]
    wanted = shapely.intersection(shapely.union_all(moved), box)
    assert found.length == pytest.approx(wanted.length, rel=1e-6)
    assert shapely.hausdorff_distance(found, wanted) < 1e-6
    counts = [
        growth_rings(PART, PatternOptions("growth_rings", 24, 4, 7, slide_mm=(by, 0.0)), 4).counted[0]
        for by in (0.0, slide)
    ]
    assert counts[0] == counts[1] > 20


@pytest.mark.parametrize("scatter", [0.0, 0.5, 1.0])
def test_rings_close_round_their_piths_and_are_about_as_wide_as_they_should_be(scatter: float) -> None:
    """Along the circle in the middle of the band the gaps between walls have the wanted width, more or less: rings are
    met slanting, which makes gaps longer, never all of them."""
    for seed in range(4):
        rings = replace(RINGS, seed=seed, scatter=scatter)
        closed = [line for line in ring_walls(rings) if line.is_closed]
        assert len(closed) >= 6
        nested = sum(shapely.Polygon(a).contains(shapely.Polygon(b)) for a in closed for b in closed if a is not b)
        assert nested >= 3
        circle = shapely.LineString([(0.0, 3.5), (58.0, 3.5)])
        met = shapely.get_coordinates(shapely.intersection(shapely.multilinestrings([*ring_walls(rings)]), circle))[
            :, 0
        ]
        gaps = np.diff(np.sort(met))
        assert 0.8 * rings.width < np.median(gaps) < 2.5 * rings.width
        # The total length of walls says how wide rings are on average (area over length).
        inside = shapely.intersection(shapely.multilinestrings([*ring_walls(rings)]), shapely.box(0.0, 0.5, 58.0, 6.5))
        assert PART.area / inside.length == pytest.approx(1.1 * rings.width, rel=0.25)


def test_the_seed_says_everything() -> None:
    def points(rings: GrowthRings) -> bytes:
        clear_all_caches()
        return shapely.get_coordinates(ring_walls(rings)).tobytes()

    assert points(RINGS) == points(replace(RINGS))
    assert points(RINGS) != points(replace(RINGS, seed=8))


def made(band: str, slide: float = 0.0) -> tuple[StripMap, GrowthRings]:
    strip = unwrap(BANDS[band], "shape")
    options = PatternOptions("growth_rings", 24, 6, slide_mm=(slide, 0.0))
    rings = make_pattern(strip, options, RailOptions(0.4, 0.4), Progress()).motif
    assert isinstance(rings, GrowthRings)
    return strip, rings


@pytest.mark.parametrize("slide", [0.0, 30.0])
def test_rings_are_as_wide_at_the_palm_of_a_dome_as_at_its_head(slide: float) -> None:
    """The area of the ring over the length of walls on it, at five angles: the strip's scale varies sixfold."""
    strip, rings = made("dome", slide)
    assert rings.density is not None
    walls, widths = shapely.multilinestrings([*ring_walls(rings)]), []
    part = rings.part
    for angle in np.radians([-150.0, -100.0, 0.0, 90.0, 150.0]):
        first, last = strip.from_band(angle + np.array([-0.35, 0.35]), np.zeros(2))[0] % part.length
        last += part.length * (last < first)
        box = shapely.box(first, part.lower, last, part.upper)
        starts, ends = line_segments(shapely.get_parts(shapely.segmentize(shapely.intersection(walls, box), 0.05)))
        scale = local_scale(strip, 0.5 * (starts + ends))
        u, v = np.meshgrid(np.linspace(first, last, 40), np.linspace(part.lower, part.upper, 40))
        area = box.area * np.mean(local_scale(strip, np.column_stack((u.ravel(), v.ravel()))) ** 2)
        widths.append(area / np.sum(scale * np.hypot(*(ends - starts).T)))
    assert min(widths) > 0.7 * rings.width
    assert max(widths) < 1.7 * min(widths)


@pytest.mark.parametrize(("band", "varies"), [("flat", False), ("half_round", False), ("dome", True)])
def test_rings_follow_the_strip_where_its_scale_hardly_varies(band: str, varies: bool) -> None:
    assert (made(band)[1].density is not None) == varies


def test_rings_of_a_dome_are_the_same_a_turn_further() -> None:
    _, rings = made("dome")
    length, margin = rings.part.length, rings.margin
    start = shapely.box(-0.8 * margin, 0.0, 0.8 * margin, rings.part.upper)
    lines = shapely.multilinestrings([*ring_walls(rings)])
    first = shapely.intersection(lines, start)
    end = shapely.intersection(shapely.transform(lines, lambda points: points - [length, 0.0]), start)
    assert first.length > 10.0
    assert shapely.hausdorff_distance(first, end) < 1e-9


def built(**options: object) -> object:
    strip = SimpleNamespace(length=58.0, width=7.0)
    return make_pattern(strip, PatternOptions("growth_rings", **options), RailOptions(0.5, 0.5), Progress())  # type: ignore[arg-type]


@pytest.mark.parametrize(("around", "across"), [(3, 1), (3, 40), (200, 1), (9, 2)])
def test_any_counts_give_rings(around: int, across: int) -> None:
    pattern = built(around=around, across=across, scatter=0.4)
    assert pattern.tiling.problems() == []
    assert pattern.tiling.cells == around * across
    assert pattern.counted[1] == "rings"
    assert pattern.counted[0] >= 2


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"twist": 1}, "twist"),
        ({"slide_mm": (0.0, 1.0)}, "slide"),
        ({"evenness": 0.5}, "evenness"),
        ({"around": 1000, "across": 1 + MAX_CELLS // 1000}, "more"),
    ],
)
def test_refuses_what_has_no_meaning(wrong: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words):
        built(**{"around": 24, **wrong})
