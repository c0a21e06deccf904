"""Curves drawn by hand against closed forms: how smooth they are, what they cover, where and how often they lie."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.edits.drawn_curve import (
    FILL,
    Pen,
    SmoothCurve,
    curve_area,
    smooth_curve,
    with_curve,
    with_curve_added,
)
from ringtex.edits.motif_edits import with_motif
from ringtex.make_ring import ShapedRing, shape_ring
from ringtex.pattern.make_pattern import make_pattern, patterned_part
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.strip.unwrap import unwrap

PLAIN = design_from_json(plain_design(rails={"lower": 0.5, "upper": 0.3}))
STRIP = unwrap(PLAIN.make_band(), PLAIN.strip.keep)
PART = patterned_part(STRIP, PLAIN.rails)
T = np.linspace(0.0, 1.0, 150)[:, None]
TREMOR = np.random.default_rng(3).normal(0.0, 0.03, (150, 2))
"""A hand that shakes by about a pixel."""

WAVE = np.hstack((5.0 * T, np.sin(2.0 * np.pi * T)))
CIRCLE = 1.5 * np.hstack((np.cos(2.0 * np.pi * T), np.sin(2.0 * np.pi * T)))


def layout_of(design: Design) -> MotifLayout:
    found = make_pattern(STRIP, design.pattern, design.rails, Progress()).motif
    assert isinstance(found, MotifLayout)
    return found


def covered(design: Design, area: Any) -> float:
    """The share of an area on the strip that the motif covers."""
    layout = layout_of(design)
    shapes = layout.shapes(range(-4 - layout.reach[0], layout.around + 4))
    return float(shapes.intersection(area).area / area.area)


@pytest.mark.parametrize("smooth_mm", [0.05, 0.15, 0.4])
@pytest.mark.parametrize("stroke", [WAVE, CIRCLE], ids=["wave", "circle"])
def test_the_curve_stays_within_the_smoothing_and_is_smooth(stroke: Any, smooth_mm: float) -> None:
    curve = smooth_curve(stroke + TREMOR, Pen(smooth_mm=smooth_mm))
    assert curve.closed == (stroke is CIRCLE)
    line = shapely.LinearRing(curve.points) if curve.closed else shapely.LineString(curve.points)
    # Between samples of the stroke its tremor is cut off a little, and where its ends meet what goes beyond.
    assert float(shapely.distance(shapely.points((stroke + TREMOR)[5:-5]), line).max()) < smooth_mm + 0.03
    points = np.vstack((curve.points, curve.points[:2])) if curve.closed else curve.points
    steps = np.diff(points, axis=0)
    turns = np.abs(np.angle(np.exp(1j * np.diff(np.arctan2(steps[:, 1], steps[:, 0])))))
    assert float(np.degrees(turns.max())) < (45.0 if smooth_mm < 0.1 else 12.0)


def test_areas_are_those_of_closed_forms() -> None:
    pen = Pen("area", smooth_mm=0.05)
    disc = curve_area(smooth_curve(CIRCLE + TREMOR, pen), pen)
    assert disc.area == pytest.approx(np.pi * 1.5**2, rel=0.02)
    pen = Pen("line", 0.8, 0.05)
    ring = curve_area(smooth_curve(CIRCLE + TREMOR, pen), pen)
    assert ring.area == pytest.approx(2.0 * np.pi * 1.5 * 0.8, rel=0.02)
    assert len(ring.interiors) == 1
    # A straight line has half a disc at each end.
    line = curve_area(smooth_curve(np.hstack((6.0 * T, 0.0 * T)), pen), pen)
    assert line.area == pytest.approx(6.0 * 0.8 + np.pi * 0.16, rel=1e-3)


def test_a_figure_of_eight_encloses_both_its_loops() -> None:
    eight = np.hstack((3.0 * np.sin(2.0 * np.pi * T), 1.2 * np.sin(4.0 * np.pi * T)))
    area = curve_area(smooth_curve(eight, Pen("area", smooth_mm=0.05)), Pen("area"))
    # 4/3 a b for x = a sin t, y = b sin 2t, both loops.
    assert area.area == pytest.approx(8.0 / 3.0 * 3.0 * 1.2 / 1.0, rel=0.03)
    assert float(shapely.distance(area, shapely.points([[-1.5, 0.0], [1.5, 0.0]])).max()) == 0.0


@pytest.mark.parametrize("middle", [(20.0, 4.0), (31.0, 2.6), (0.1, 5.2), (63.0, 4.4)])
@pytest.mark.parametrize("kind", ["line", "area"])
def test_a_repeat_lies_where_the_curve_was_drawn_and_as_large(middle: tuple[float, float], kind: Any) -> None:
    pen, stroke = Pen(kind, 0.6), CIRCLE * (1.0, 0.8) + TREMOR + np.array(middle)
    made = with_curve(PLAIN, PART, stroke, pen)
    area = curve_area(smooth_curve(stroke, pen), pen)
    assert covered(made, area) > 0.999
    layout = layout_of(made)
    whole = layout.shapes(range(layout.around)).area
    assert whole == pytest.approx(area.area * layout.around * layout.across, rel=2e-3)
    width = float(np.ptp(shapely.get_coordinates(area)[:, 0]))
    assert width / layout.tile[0] <= FILL < width * (layout.around + 1) / PART.length


@pytest.mark.parametrize("keys", [{"alternate": "mirrored"}, {"arrangement": "brick"}, {"arrangement": "half_drop"}])
def test_a_new_curve_keeps_how_repeats_stand(keys: dict[str, Any]) -> None:
    first = with_curve(PLAIN, PART, WAVE + np.array((20.0, 4.0)), Pen())
    assert first.pattern.motif is not None
    first = with_motif(first, first.pattern.motif)
    first = replace(first, pattern=replace(first.pattern, around=8, motif=replace(first.pattern.motif, **keys)))
    stroke = WAVE + np.array((33.0, 4.1))
    again = with_curve(first, PART, stroke, Pen())
    assert again.pattern.motif is not None
    assert all(getattr(again.pattern.motif, key) == value for key, value in keys.items())
    assert covered(again, curve_area(smooth_curve(stroke, Pen()), Pen())) > (0.99 if "alternate" in keys else 0.7)


def test_a_long_curve_is_made_to_fit_a_third_of_the_ring() -> None:
    long = np.hstack((40.0 * T, 3.0 + np.sin(8.0 * np.pi * T)))
    made = with_curve(PLAIN, PART, long, Pen())
    assert made.pattern.around == 3
    assert made.pattern.motif is not None
    assert made.pattern.motif.size == FILL


@pytest.mark.parametrize("alternate", ["none", "mirrored", "turned"])
def test_an_added_curve_lies_where_it_was_drawn_and_moves_nothing(alternate: Any) -> None:
    base = with_curve(PLAIN, PART, CIRCLE + np.array((20.0, 4.0)), Pen("area"))
    assert base.pattern.motif is not None
    base = replace(
        base, pattern=replace(base.pattern, around=10, motif=replace(base.pattern.motif, alternate=alternate))
    )
    layout = layout_of(base)
    before = layout.shapes(range(-2, 12)).intersection(shapely.box(0.0, 0.0, PART.length, 9.0))
    # Over the border between two repeats.
    stroke = WAVE * (0.8, 1.0) + np.array((3.0 * layout.tile[0] + 0.7, 4.2))
    made = with_curve_added(base, layout, stroke, Pen(adds=True))
    assert covered(made, before) > 0.9995
    assert covered(made, curve_area(smooth_curve(stroke, Pen()), Pen())) > 0.9995
    assert made.pattern.motif is not None
    assert made.pattern.motif.fit == "page"


def closed(ring: ShapedRing) -> bool:
    return ring.solid.mesh.problems() == []


def test_rings_are_closed_and_the_file_keeps_the_curve() -> None:
    made = with_curve(PLAIN, PART, WAVE + TREMOR + np.array((20.0, 4.0)), Pen())
    made = with_curve_added(made, layout_of(made), CIRCLE * 0.5 + np.array((22.0, 4.0)), Pen("area", adds=True))
    assert design_from_json(design_to_json(made)) == made
    assert closed(shape_ring(made, 0.03, Progress()))
    assert closed(shape_ring(replace(made, relief=replace(made.relief, form="sunk")), 0.03, Progress()))


@pytest.mark.parametrize(
    ("stroke", "pen", "word"),
    [
        (np.array([[1.0, 1.0]]), Pen(), "too short"),
        (np.array([[1.0, 1.0], [1.1, 1.2], [1.2, 1.1]]), Pen(), "too short"),
        (np.hstack((6.0 * T, 0.0 * T)), Pen("area"), "no area"),
    ],
)
def test_what_is_no_curve_is_refused(stroke: Any, pen: Pen, word: str) -> None:
    with pytest.raises(InputError, match=word):
        with_curve(PLAIN, PART, stroke + np.array((10.0, 4.0)), pen)


@pytest.mark.parametrize("kind", ["line", "area"])
def test_a_way_back_on_itself_is_a_curve_or_a_sentence(kind: Any) -> None:
    """Along one row of pixels and part of the way back, samples may fall on one place, which no spline runs through."""
    for there in range(12, 40):
        for back in range(1, there, 3):
            steps = np.concatenate((np.arange(there), np.arange(there - 2, there - 2 - back, -1)))
            stroke = np.column_stack((10.0 + 0.05 * steps, np.full(len(steps), 3.0)))
            with suppress(InputError):
                assert np.all(np.isfinite(smooth_curve(stroke, Pen(kind)).points))


def test_a_closed_way_that_is_smoothed_to_a_line_is_as_wide_as_the_pen() -> None:
    """A rectangle with round ends, and a circle; found by random actions in the window."""
    line, point = (np.array(each, dtype=np.float64) for each in ([[1.0, 2.0], [4.0, 2.0]], [[1.0, 2.0]]))
    pen = Pen("line", 0.8)
    assert curve_area(SmoothCurve(line, True), pen).area == pytest.approx(3.0 * 0.8 + np.pi * 0.16, rel=0.01)
    assert curve_area(SmoothCurve(point, True), pen).area == pytest.approx(np.pi * 0.16, rel=0.01)


@pytest.mark.parametrize("alternate", ["none", "mirrored", "turned"])
@pytest.mark.parametrize("place", [(20.0, 2.2), (23.1, 5.4), (26.4, 3.3), (31.0, 6.8)])
def test_a_half_drop_stays_where_it_was_drawn(alternate: Any, place: tuple[float, float]) -> None:
    stroke = (CIRCLE * 0.4 + 0.1 * np.roll(CIRCLE, 5, axis=0) ** 2) * 0.9 + place
    straight = layout_of(with_curve(PLAIN, PART, stroke, Pen("area"))).options
    base = with_motif(PLAIN, replace(straight, arrangement="half_drop", alternate=alternate))
    made = with_curve(base, PART, stroke, Pen("area"))
    assert made.pattern.motif is not None
    assert made.pattern.motif.arrangement == "half_drop"
    assert covered(made, curve_area(smooth_curve(stroke, Pen("area")), Pen("area"))) > 0.99
