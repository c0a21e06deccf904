"""Stones that are too close, too deep, at an edge, over a rim: each made on purpose, and each found."""

from __future__ import annotations

import math

import numpy as np
import pytest
from finished_reports import built, built_flat, kinds
from zoo import band, station

from ringtex.checks.finding import Kind, Level
from ringtex.checks.stones.stone_seating import hole_gap, measure_stones
from ringtex.make_ring import BuiltRing


def stone(u: float, v: float, diameter: float, **more: float) -> dict:
    return {"u": u, "v": v, "diameter": diameter, **more}


def finding(ring: BuiltRing, kind: Kind) -> object:
    return next(each for each in ring.report.findings if each.kind is kind)


def test_a_usual_ring_of_stones_is_clean() -> None:
    ring = built(hollow={"wall": 1.0}, stones=[stone(0.5, 0.5, 2.5), stone(0.0, 0.5, 1.2)])
    assert kinds(ring) <= {"off_balance", "degenerate_triangles"}
    assert (ring.finished.genus, ring.finished.mesh.problems(3)) == (3, [])


def test_the_gap_between_two_girdles_in_closed_form() -> None:
    """On a flat band both stand on one circle: a chord between middles, the girdles tilted by half the angle each."""
    ring = built_flat(stones=[stone(0.5, 0.5, 1.5), stone(0.534, 0.5, 1.5)])
    radius = ring.strip.band.crown_radius(np.zeros(1))[0] + 0.15 + 0.05
    size = ring.finished.stones[0].stone
    girdle = radius - 1.5 * (size.proportions.crown_height + size.proportions.girdle)
    half = 0.5 * 0.034 * 2.0 * math.pi
    exact = 2.0 * (girdle * math.sin(half) - 0.75 * math.cos(half))
    measured = measure_stones(ring.finished, ring.solid)
    assert [each.gap_mm for each in measured] == pytest.approx([exact, exact], abs=4e-3)
    assert "stones_close" not in kinds(ring)
    assert "stones_close" in kinds(built_flat(stones=[stone(0.5, 0.5, 2.0), stone(0.525, 0.5, 2.0)]))


def test_the_distance_to_the_edge_in_closed_form() -> None:
    ring = built_flat(stones=[stone(0.5, 0.8, 1.5)])
    assert measure_stones(ring.finished, ring.solid)[0].edge_mm == pytest.approx(8.0 * 0.2 - 0.75, abs=2e-3)
    assert "stone_at_edge" in kinds(built_flat(stones=[stone(0.5, 0.89, 1.5)]))


@pytest.mark.parametrize(("height", "found"), [(3.0, False), (1.9, False), (1.75, True), (1.6, True)])
def test_the_culet_must_stay_clear_of_the_finger(height: float, found: bool) -> None:
    """A 3 mm stone is 1.8 deep (60 %); its table lies 0.2 over this band's face, so 1.8 + 0.2 of metal are asked."""
    ring = built_flat(height, stones=[stone(0.5, 0.5, 3.0)], relief={"depth": 0.15, "wall_width": 0.4})
    assert measure_stones(ring.finished, ring.solid)[0].culet_mm == pytest.approx(height + 0.2 - 1.799, abs=0.01)
    assert ("stone_deep" in kinds(ring)) is found


def test_thin_and_feathered_seats_over_a_hollow() -> None:
    ring = built(hollow={"wall": 0.6}, relief={"depth": 0.05}, stones=[stone(0.5, 0.5, 4.0, hole=0.4)])
    assert {"thin_seat", "feather_seat"} <= kinds(ring)
    assert "feather_seat" not in kinds(built(hollow={"wall": 1.4}, stones=[stone(0.5, 0.5, 2.0)]))


def test_a_hole_over_the_hollow_s_rim() -> None:
    reach = 60.0
    on_rim = 0.5 + reach / 360.0
    inside, over = (built_flat(6.0, hollow={"reach": reach}, stones=[stone(u, 0.5, 1.5)]) for u in (0.5, on_rim))
    assert "stone_at_rim" not in kinds(inside)
    assert "stone_at_rim" in kinds(over)


def test_a_hole_that_stops_in_the_metal() -> None:
    assert "stone_hole_blind" in kinds(built(stones=[stone(0.5, 0.03, 1.0)]))


def test_holes_that_cross_are_found_and_holes_that_end_as_one_are_not() -> None:
    """Two stones whose axes meet half-way to the finger, and two that lean towards each other under the head."""
    row = {"count": 2, "stone": stone(0.5, 0.5, 1.5), "spacing": 1.8}
    together = built(stones=[row]).finished.stones
    assert hole_gap(together, 0) == hole_gap(together, 1) == math.inf
    thick = band(None, station(0, 12, 9, 1.2))
    crossed = built(band=thick, stones=[stone(0.5, 0.5, 1.3), stone(0.5, 0.61, 2.3)])
    gaps = [hole_gap(crossed.finished.stones, number) for number in (0, 1)]
    assert gaps[0] == pytest.approx(gaps[1], abs=0.02)
    assert gaps[0] < 0.0
    assert "stones_close" in kinds(crossed)
    # Where they meet and part again the ring has one hole more than stones tell, which is said.
    assert crossed.finished.mesh.genus == crossed.finished.genus + 1
    assert finding(crossed, Kind.WRONG_GENUS).level is Level.WARNING  # type: ignore[attr-defined]


def test_a_stone_over_a_knife_edge_has_no_wall() -> None:
    """A 3 mm stone flush at the crest of a knife edge: the faces fall by their slope over 1.5 mm, a girdle lies 16 %
    of the diameter under the table (common proportions), so that on a steep band its sides stand free."""
    steep = band("knife_edge", station(0, 6, 4.0, 1.2))
    ring = built(band=steep, relief={"depth": 0.05}, stones=[stone(0.5, 0.5, 3.0)])
    low = finding(ring, Kind.LOW_SEAT)
    assert low.level is Level.ERROR  # type: ignore[attr-defined]
    proud = finding(ring, Kind.STONE_PROUD)
    assert (proud.level, proud.measured < -0.4) == (Level.NOTE, True)  # type: ignore[attr-defined]
    deeper = built(band=steep, relief={"depth": 0.05}, stones=[{**stone(0.5, 0.5, 3.0), "flush": "rim"}])
    assert kinds(deeper).isdisjoint({"low_seat", "stone_proud"})
    assert kinds(built_flat(stones=[stone(0.5, 0.5, 1.5)])).isdisjoint({"low_seat", "stone_proud"})


def test_a_hole_through_a_letter() -> None:
    letters = {"text": "oak", "height": 2.0, "depth": 0.3, "angle": 180.0}
    assert "inscription_cut" in kinds(built_flat(inscription=letters, stones=[stone(0.0, 0.5, 1.5)]))
    assert "inscription_cut" not in kinds(built_flat(inscription=letters, stones=[stone(0.5, 0.5, 1.5)]))


def test_findings_name_the_stone_and_its_place() -> None:
    ring = built_flat(stones=[stone(0.5, 0.5, 1.5), stone(0.25, 0.9, 1.5)])
    found = finding(ring, Kind.STONE_AT_EDGE)
    assert found.message.startswith("Stone 2 (1.5 mm)")  # type: ignore[attr-defined]
    assert found.where.startswith("shoulder, 270 degrees")  # type: ignore[attr-defined]


def test_stones_count_in_weight_and_balance() -> None:
    """Moments about the axis: the ring's own and the stones' (statics)."""
    ring = built_flat(stones=[stone(0.5, 0.5, 3.0)])
    readings, finished = ring.report.readings, ring.finished
    metal = readings.weight_g * finished.mesh.centre_of_mass
    gem = finished.stones[0].stone.weight_g * finished.stones[0].body.centre_of_mass
    total = readings.weight_g + finished.stones[0].stone.weight_g
    assert readings.centre_of_mass == pytest.approx((metal + gem) / total, abs=1e-12)
    assert readings.stones_weight_g == pytest.approx(0.2 * finished.stones[0].stone.carat)
    assert readings.moment_g_mm == pytest.approx(total * math.hypot(*readings.centre_of_mass[:2]))
    share = math.hypot(*readings.centre_of_mass[:2]) / ring.strip.band.bore_radius_mm
    # A body hung on a rough peg rests while its middle lies within the friction angle's arm (statics).
    assert readings.holding_friction == pytest.approx(math.tan(math.asin(share)))


def test_a_stone_deeper_than_the_metal_leaves_no_hole_to_measure_along() -> None:
    """Its bearing lies past the finger hole: the other stone's hole is still a number away."""
    ring = built_flat(
        1.6, relief={"depth": 0.15, "wall_width": 0.4}, stones=[stone(0.5, 0.5, 7.0), stone(0.25, 0.5, 1.5)]
    )
    gaps = [hole_gap(ring.finished.stones, number) for number in (0, 1)]
    assert all(gap > 1.0 and math.isfinite(gap) for gap in gaps)
    assert "stone_deep" in kinds(ring)
