"""Zones: where they lie, and their tilings joined to one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.joined_tilings import joined, mirrored_across
from ringtex.pattern.locate import cells_at
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import Pattern, PatternedPart
from ringtex.pattern.tiling import Tiling
from ringtex.pattern.zone_options import ZoneOptions, check_zones, zone_pattern
from ringtex.pattern.zones import zone_parts

LENGTH, WIDTH = 60.0, 9.0
PART = PatternedPart(LENGTH, 0.5, WIDTH - 0.5)


class FlatStrip:
    """A strip with nothing but its size."""

    length, width = LENGTH, WIDTH


def zoned(*zones: ZoneOptions, own: PatternOptions | None = None) -> Pattern:
    options = own or PatternOptions("hexagon", 24)
    return make_pattern(FlatStrip(), options, RailOptions(0.5, 0.5), Progress(), zones=zones)


def alone(family: str, around: int, lower: float, upper: float, scatter: float = 0.0) -> Tiling:
    rails = RailOptions(lower, WIDTH - upper)
    return make_pattern(FlatStrip(), PatternOptions(family, around, scatter=scatter), rails, Progress()).tiling


def outlines(tiling: Tiling) -> list[shapely.Polygon]:
    return [
        shapely.Polygon(tiling.corners[start:end])
        for start, end in zip(tiling.cell_start[:-1], tiling.cell_start[1:], strict=True)
    ]


def test_zones_share_what_rails_and_given_widths_leave() -> None:
    parts = zone_parts(PART, (ZoneOptions(), ZoneOptions(None, 2.0, 0.4), ZoneOptions(None, None, 0.0)))
    assert [part.width for part in parts] == pytest.approx([2.8, 2.0, 2.8])
    assert parts[0].upper == pytest.approx(parts[1].lower - 0.4)
    assert parts[1].upper == parts[2].lower
    assert (parts[0].lower, parts[2].upper) == (PART.lower, PART.upper)


def test_where_every_zone_has_a_width_the_highest_takes_the_rest() -> None:
    parts = zone_parts(PART, (ZoneOptions(None, 2.0), ZoneOptions(None, 1.0)))
    assert [part.width for part in parts] == pytest.approx([2.0, 6.0])


@pytest.mark.parametrize(
    "zones",
    [
        (ZoneOptions(None, 5.0), ZoneOptions(None, 3.0), ZoneOptions(None, 1.0)),
        (ZoneOptions(None, 7.98), ZoneOptions()),
    ],
)
def test_zones_that_do_not_fit_are_refused(zones: tuple[ZoneOptions, ...]) -> None:
    with pytest.raises(InputError) as refusal:
        zone_parts(PART, zones)
    assert refusal.value.where == "zones"


@pytest.mark.parametrize("gap_mm", [0.0, 0.3])
@pytest.mark.parametrize(
    ("low", "high"),
    [(("hexagon", 24), ("hexagon", 24)), (("brick", 17), ("cellular", 40)), (("scale", 13), ("star_cross", 11))],
)
def test_joined_tilings_cover_their_zones_exactly(low: tuple[str, int], high: tuple[str, int], gap_mm: float) -> None:
    below, above = alone(*low, 0.5, 4.0), alone(*high, 4.0 + gap_mm, 8.5)
    both = joined([below, above])
    assert both.problems() == []
    assert both.cells == below.cells + above.cells
    assert both.areas[: below.cells].sum() == pytest.approx(LENGTH * 3.5)
    # By shapely: cells of one turn and its neighbours lie beside each other, and together cover the zones.
    copies = [
        shapely.transform(cell, lambda places, turn=turn: places + np.array([turn * LENGTH, 0.0]))
        for cell in outlines(both)
        for turn in (-1, 0, 1)
    ]
    turn = shapely.box(0.0, 0.5, LENGTH, 8.5)
    inside = shapely.intersection(np.array(copies), turn)
    assert shapely.area(inside).sum() == pytest.approx(LENGTH * (8.0 - gap_mm))
    assert shapely.union_all(inside).area == pytest.approx(LENGTH * (8.0 - gap_mm))


def test_a_shared_line_has_the_corners_of_both_sides_and_only_twins() -> None:
    below, above = alone("brick", 17, 0.5, 4.0), alone("hexagon", 24, 4.0, 8.5)
    both = joined([below, above])
    on_line = np.flatnonzero(both.vertices[:, 1] == 4.0)
    count = [int(np.sum(tiling.vertices[:, 1] == 4.0)) for tiling in (below, above)]
    assert max(count) <= len(on_line) <= sum(count)
    walls = np.flatnonzero((both.corners[:, 1] == 4.0) & (both.corners[both.next_corner, 1] == 4.0))
    cell = both.corner_cell
    assert len(walls) == 2 * len(on_line)
    assert np.all((cell[walls] < below.cells) != (cell[both.twin[walls]] < below.cells))
    # No wall along the line is too short to be seen: a fifth of the shortest that either side has alone.
    length = np.abs(both.corners[both.next_corner[walls], 0] - both.corners[walls, 0])
    shortest = min(
        np.diff(np.sort(tiling.vertices[tiling.vertices[:, 1] == 4.0, 0])).min() for tiling in (below, above)
    )
    assert 0.2 * shortest < length.min() < shortest


def test_equal_lattices_meet_corner_on_corner() -> None:
    both = joined([alone("square", 20, 0.5, 4.0), alone("square", 20, 4.0, 8.5)])
    assert np.sum(both.vertices[:, 1] == 4.0) == 20


def test_mirrored_twice_is_the_same_tiling() -> None:
    tiling = alone("scale", 12, 0.5, 8.5, 0.3)
    turned = mirrored_across(tiling)
    assert turned.problems() == []
    assert not np.array_equal(turned.vertices, tiling.vertices)
    assert turned.areas == pytest.approx(tiling.areas)
    back = mirrored_across(turned)
    assert np.array_equal(back.corner_vertex, tiling.corner_vertex)
    assert np.array_equal(back.twin, tiling.twin)
    assert back.vertices == pytest.approx(tiling.vertices)


def test_every_zone_has_whole_repeats_and_closes_at_the_seam() -> None:
    pattern = zoned(ZoneOptions(), ZoneOptions(PatternOptions("diamond", 31), 2.0, 0.3), ZoneOptions(None, None, 0.3))
    assert pattern.tiling.problems() == []
    assert (pattern.family, pattern.around) == ("hexagon", 24)
    for zone, around in zip(pattern.zones, (24, 31, 24), strict=True):
        first = zone.first_cell
        middles = pattern.tiling.centroids[first : first + zone.pattern.tiling.cells]
        # Turned by one repeat the zone lies on itself.
        here = np.mod(middles + np.array([LENGTH / around, 0.0]), [LENGTH, np.inf]) / [LENGTH, 1.0]
        there = np.mod(middles, [LENGTH, np.inf]) / [LENGTH, 1.0]
        away = here[:, None, :] - there[None, :, :]
        away[..., 0] -= np.rint(away[..., 0])
        assert np.abs(away).max(axis=2).min(axis=1).max() < 1e-9


def test_no_cell_is_found_on_a_rail_between_zones() -> None:
    pattern = zoned(ZoneOptions(), ZoneOptions(None, 2.0, 0.4))
    low, high = pattern.tiling.gaps[0]
    middle = np.array([[10.0, 0.5 * (low + high)], [10.0, low - 0.1], [10.0, high + 0.1]])
    cells = cells_at(pattern.tiling, middle)
    assert cells[0] == -1
    assert cells[1] < pattern.zones[1].first_cell <= cells[2]
    assert [pattern.zone_at(float(v)) for v in middle[1:, 1]] == [0, 1]


def test_zones_of_one_pattern_draw_their_cells_anew() -> None:
    zones = (ZoneOptions(), ZoneOptions(PatternOptions("brick", 20), 1.0), ZoneOptions())
    own = PatternOptions("cellular", 20, seed=7)
    assert [zone_pattern(zones, number, own).seed for number in range(3)] == [7, 1, 8]


@pytest.mark.parametrize(
    ("zones", "where"),
    [
        ((ZoneOptions(),), "zones"),
        ((ZoneOptions(rail_mm=0.3), ZoneOptions()), "zones[0].rail"),
        ((ZoneOptions(blend_mm=0.5), ZoneOptions()), "zones[0].blend"),
        ((ZoneOptions(),) * 16, "zones"),
        ((ZoneOptions(PatternOptions()),) * 2, "zones"),
    ],
)
def test_zones_that_cannot_stand_together_name_their_key(zones: tuple[ZoneOptions, ...], where: str) -> None:
    with pytest.raises(InputError) as refusal:
        check_zones(zones, PatternOptions())
    assert refusal.value.where == where


def test_what_a_zone_cannot_have_names_the_zone() -> None:
    climbing = PatternOptions("cellular", 20, slide_mm=(0.0, 1.0))
    with pytest.raises(InputError) as refusal:
        zoned(ZoneOptions(), ZoneOptions(climbing))
    assert refusal.value.where == "zones[1].pattern.slide"
    assert "zone 2" in refusal.value.message
