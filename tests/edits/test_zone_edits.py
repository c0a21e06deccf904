"""Zones added, removed, ordered and made wider."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.edits.design_keys import with_one
from ringtex.edits.panel_edits import next_panel
from ringtex.edits.zone_edits import (
    why_no_zone,
    with_blends,
    with_zone_added,
    with_zone_moved,
    with_zone_rail,
    with_zone_top,
    without_zone,
)
from ringtex.pattern.make_pattern import patterned_part
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.zone_options import MAX_ZONES, ZoneOptions
from ringtex.pattern.zones import zone_parts


@dataclass
class Flat:
    length: float = 60.0
    width: float = 9.0


def banded(*zones: ZoneOptions) -> Design:
    return replace(design_from_json(plain_design()), rails=RailOptions(0.5, 0.5), zones=zones)


def test_why_no_zone_can_be_added_is_what_the_design_refuses() -> None:
    """A sentence exactly where the options raise."""
    plain = banded()
    full = plain
    while len(full.zones) < MAX_ZONES:
        full = with_zone_added(full)
    grown = replace(plain, pattern=PatternOptions("growth_rings"))
    for design, word in (
        (plain, ""), (with_zone_added(plain), ""), (full, f"at most {MAX_ZONES}"), (grown, "growth rings"),
        (replace(plain, panels=(next_panel(plain),)), "panels"),
    ):  # fmt: skip
        said = why_no_zone(design)
        assert word in said
        if said:
            with pytest.raises(InputError):
                with_zone_added(design)
        else:
            assert len(with_zone_added(design).zones) > len(design.zones)


def tops(design: Design) -> list[float]:
    return [part.upper for part in zone_parts(patterned_part(Flat(), design.rails), design.zones)]


def test_the_first_zone_is_a_band_in_the_middle_and_later_ones_go_on_top() -> None:
    one = with_zone_added(banded())
    assert [zone.pattern is None for zone in one.zones] == [True, False, True]
    # One row of cells about as long as they are wide: two rows of diamonds had ridges of 0.12 mm on the flat band.
    band = one.zones[1]
    assert band.pattern is not None
    assert band.width_mm == pytest.approx(one.make_band().crown_length / band.pattern.around, rel=0.02)
    low, high = zone_parts(patterned_part(Flat(), one.rails), one.zones)[::2]
    assert low.width == pytest.approx(high.width)
    assert with_zone_added(one).zones[3].pattern == one.zones[1].pattern


def test_what_is_left_of_two_zones_is_the_whole_pattern() -> None:
    other = PatternOptions("brick", 30)
    design = banded(ZoneOptions(), ZoneOptions(other, 2.0, 0.3))
    assert without_zone(design, 1) == replace(design, zones=())
    left = without_zone(design, 0)
    assert (left.pattern, left.zones) == (other, ())


def test_without_its_own_zone_the_design_takes_the_lowest_ones_pattern() -> None:
    other, third = PatternOptions("brick", 30), PatternOptions("diamond", 40)
    left = without_zone(banded(ZoneOptions(), ZoneOptions(other, None, 0.3), ZoneOptions(third)), 0)
    assert left.pattern == other
    assert [zone.pattern for zone in left.zones] == [None, third]
    assert left.zones[0].rail_mm == 0.0


def test_moving_exchanges_zones_and_leaves_rails() -> None:
    design = banded(ZoneOptions(), ZoneOptions(None, 2.0, 0.3, blend_mm=0.7), ZoneOptions(None, 1.0, 0.5))
    moved = with_zone_moved(design, 2, -1)
    assert [zone.width_mm for zone in moved.zones] == [None, 1.0, 2.0]
    assert [zone.rail_mm for zone in moved.zones] == [0.0, 0.3, 0.5]
    assert [zone.blend_mm for zone in moved.zones] == [0.0, 0.7, 0.0]
    assert with_zone_moved(design, 2, 1) == design
    assert [zone.blend_mm for zone in without_zone(design, 0).zones] == [0.0, 0.0]


def test_blends_are_given_to_every_border_between_zones() -> None:
    design = banded(ZoneOptions(), ZoneOptions(None, 2.0, 0.3), ZoneOptions())
    assert [zone.blend_mm for zone in with_blends(design, 0.8).zones] == [0.0, 0.8, 0.8]
    with pytest.raises(InputError):
        with_blends(banded(), 0.8)


@pytest.mark.parametrize("widths", [(None, 2.0, None), (2.0, 2.0, None), (None, None, None), (2.0, 2.0, 4.0)])
@pytest.mark.parametrize("number", [0, 1])
def test_a_border_goes_where_it_is_pulled(widths: tuple[float | None, ...], number: int) -> None:
    design = banded(*(ZoneOptions(None, width) for width in widths))
    for away in (-0.4, 0.6):
        wanted = tops(design)[number] + away
        assert tops(with_zone_top(design, Flat(), number, wanted))[number] == pytest.approx(wanted, abs=0.026)


def test_a_border_pulled_too_far_is_refused() -> None:
    with pytest.raises(InputError):
        with_zone_top(banded(ZoneOptions(None, 2.0), ZoneOptions(None, 2.0, 0.3)), Flat(), 0, 8.6)


def test_a_rail_between_zones_snaps() -> None:
    design = banded(ZoneOptions(), ZoneOptions(None, 2.0, 0.3))
    assert with_zone_rail(design, Flat(), 1, 0.518).zones[1].rail_mm == 0.5
    assert with_zone_rail(design, Flat(), 1, -1.0).zones[1].rail_mm == 0.0


def test_a_zones_family_takes_with_it_what_it_cannot_have() -> None:
    climbing = PatternOptions("brick", 30, twist=2, slide_mm=(1.0, 0.5))
    made = with_one(banded(ZoneOptions(), ZoneOptions(climbing)), "zones[1].pattern.family", "cellular")
    assert made.zones[1].pattern is not None
    assert (made.zones[1].pattern.twist, made.zones[1].pattern.slide_mm) == (0, (1.0, 0.0))
    assert made.pattern == banded().pattern
