"""Counts with which a family begins when it takes the place of another, measured on rings of many widths.

Widths of cells are diameters of largest inscribed circles by shapely. How narrow a cell may begin is common practice
(no source): a groove of 0.4 mm leaves no top on cells under that.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder, resource
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.edits.design_keys import with_one, with_values
from ringtex.edits.pattern_ties import around_of_family, tied_to_pattern
from ringtex.edits.zone_edits import first_zone_pattern
from ringtex.pattern.lattice.families import ALL_FAMILIES, LATTICE_FAMILIES
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.patterned_part import Pattern
from ringtex.strip.unwrap import unwrap

WIDTHS_MM = (4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0)
MIN_CELL_MM, MIN_PIECE_MM, MAX_STRETCH_PERCENT = 0.45, 0.3, 22.0


def starting_design(width_mm: float = 7.0) -> Design:
    """24 hexagons round a flat band."""
    design = read_design(resource("starting_design.ring.json"))
    return with_values(design, {"band.stations[0].width": width_mm})


def dome() -> Design:
    return read_design(demo_folder() / "dome.ring.json")


def begun(design: Design, family: str) -> Design:
    """The design after the family was chosen."""
    return design if design.pattern.family == family else with_one(design, "pattern.family", family)


def pattern_of(design: Design) -> Pattern:
    strip = unwrap(design.make_band(), design.strip.keep)
    return make_pattern(strip, design.pattern, design.rails, Progress())


def least_widths(design: Design) -> tuple[float, float]:
    """Of the whole cells and of the pieces at the rails, mm; of a few repeats, as all are alike."""
    tiling = pattern_of(design).tiling
    reach = 3.2 * tiling.length / design.pattern.around
    whole, cut = [9.0], [9.0]
    for low, high in zip(tiling.cell_start[:-1], tiling.cell_start[1:], strict=True):
        corners = tiling.corners[low:high]
        if corners[:, 0].min() < reach:
            inside = corners[:, 1].min() > tiling.lower + 1e-6 and corners[:, 1].max() < tiling.upper - 1e-6
            circle = shapely.maximum_inscribed_circle(shapely.Polygon(corners), tolerance=0.005)
            (whole if inside else cut).append(2.0 * circle.length)
    return min(whole), min(cut)


@pytest.mark.parametrize("width_mm", WIDTHS_MM)
def test_every_family_begins_with_cells_that_can_be_made_and_are_near_to_regular(width_mm: float) -> None:
    start = starting_design(width_mm)
    for family in LATTICE_FAMILIES:
        design = begun(start, family)
        whole, cut = least_widths(design)
        assert whole >= MIN_CELL_MM, (family, whole)
        assert cut >= MIN_PIECE_MM, (family, cut)
        assert abs(pattern_of(design).stretch_percent) <= MAX_STRETCH_PERCENT, family


@pytest.mark.parametrize(
    ("family", "least_mm"),
    [
        ("rhomb_star_12", 1.0), ("rhomb_star_8", 1.2), ("kisrhombille", 1.2), ("shells", 0.8), ("rosettes", 0.85),
        ("basket_weave", 1.1), ("block_herringbone", 1.1), ("star_cross", 1.2), ("intersecting_circles", 0.65),
    ],
)  # fmt: skip
def test_families_of_many_small_cells_begin_coarse_enough(family: str, least_mm: float) -> None:
    """With the count of hexagons these had cells of 0.3 to 0.7 mm."""
    design = begun(starting_design(), family)
    widths = least_widths(design)
    assert (min(widths) if widths[0] == 9.0 else widths[0]) >= least_mm


@pytest.mark.parametrize("family", ALL_FAMILIES)
def test_a_family_tried_and_left_again_gives_the_count_before(family: str) -> None:
    start = starting_design()
    assert begun(begun(start, family), "hexagon").pattern.around == start.pattern.around
    back = begun(begun(dome(), family), "hexagon").pattern.around
    # 23 leave the hexagons of the dome nearer to regular than 24 do.
    assert back in (23, 24)


def test_families_of_the_same_count_keep_what_was_typed() -> None:
    typed = with_values(starting_design(), {"pattern.around": 31, "pattern.across": 5})
    design = begun(typed, "cellular")
    assert (design.pattern.around, design.pattern.across) == (31, 5)


def test_cellular_begins_irregular_and_takes_only_its_own_scatter_away_again() -> None:
    start = starting_design()
    cellular = begun(start, "cellular")
    assert cellular.pattern.scatter > 0.5
    assert begun(cellular, "hexagon") == start
    typed = with_values(start, {"pattern.scatter": 0.2})
    assert begun(begun(typed, "cellular"), "hexagon") == typed
    even = with_values(start, {"pattern.evenness": 1.0})
    assert begun(even, "cellular").pattern.scatter == 0.0


def test_finer_patterns_stay_finer_and_rows_and_twist_follow_the_count() -> None:
    plain = begun(starting_design(), "rhomb_star_12").pattern
    typed = with_values(starting_design(), {"pattern.around": 48, "pattern.across": 6, "pattern.twist": 6})
    fine = begun(typed, "rhomb_star_12").pattern
    assert 1.6 * plain.around <= fine.around <= 2.4 * plain.around
    assert fine.across == "auto"
    assert fine.twist == round(6 * fine.around / 48)


def test_repeats_of_several_cells_are_more_round_a_dome() -> None:
    """They would be twice as large on its head; single cells stay as many."""
    assert begun(dome(), "star_cross").pattern.around > 1.3 * begun(starting_design(), "star_cross").pattern.around
    assert abs(begun(dome(), "brick").pattern.around - begun(starting_design(), "brick").pattern.around) <= 2


def test_zones_have_the_count_without_regard_to_the_rows_of_the_whole_ring() -> None:
    start = starting_design()
    count = tied_to_pattern(start, "pattern.family", "kisrhombille", is_part=True)["pattern.around"]
    assert count == LATTICE_FAMILIES["kisrhombille"].usual_around
    stars = begun(start, "rhomb_star_12")
    assert first_zone_pattern(stars).around == 48
    assert around_of_family(replace(start, pattern=stars.pattern), "hexagon", is_part=True) == 24
