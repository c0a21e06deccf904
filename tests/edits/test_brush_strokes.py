"""Strokes of the brush: designs in, designs out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from zoo import DOME, plain_design

from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.edits.brush_strokes import Brush, BrushStroke, circle_on_strip, spots_of
from ringtex.strip.unwrap import unwrap


def dome_design() -> Design:
    return design_from_json(plain_design(band=DOME, relief={"wall_width": 0.3}))


@settings(max_examples=15, deadline=None)
@given(along=st.floats(0.0, 1.0), across=st.floats(0.0, 1.0), radius=st.floats(0.5, 4.0))
def test_the_circle_is_a_circle_on_the_ring(along: float, across: float, radius: float) -> None:
    strip = unwrap(dome_design().make_band(), "shape")
    u, v = along * strip.length, across * strip.width
    line = circle_on_strip(strip, u, v, radius)
    far = np.linalg.norm(strip.point(*line.T) - strip.point(np.array([u]), np.array([v])), axis=1)
    free = (line[:, 1] > 1e-6) & (line[:, 1] < strip.width - 1e-6)
    # To a tenth of the radius: a line that is looked at, not measured.
    np.testing.assert_allclose(far[free], radius, rtol=0.1)


def test_a_quick_hand_leaves_no_gaps() -> None:
    design = dome_design()
    strip = unwrap(design.make_band(), "shape")
    stroke = BrushStroke(strip, Brush("density", "more", 1.0))
    for share in (0.1, 0.6):
        design = stroke.move(design, share * strip.length, 0.5 * strip.width)
    places = np.array([spot[:2] for spot in spots_of(design, "density")]) * (strip.length, strip.width)
    steps = np.linalg.norm(np.diff(strip.point(*places.T), axis=0), axis=1)
    assert steps.max() < 1.35
    assert steps.min() > 0.95


@pytest.mark.parametrize(("act", "subject"), [("more", "density"), ("less", "density"), ("less", "fade")])
def test_wiping_over_a_stroke_leaves_the_design_as_it_was(act: str, subject: str) -> None:
    design = dome_design()
    strip = unwrap(design.make_band(), "shape")
    at = 0.4 * strip.length, 0.5 * strip.width
    painted = BrushStroke(strip, Brush(subject, act)).move(design, *at)  # type: ignore[arg-type]
    assert len(spots_of(painted, subject)) == 1
    assert BrushStroke(strip, Brush(subject, "erase")).move(painted, *at) == design  # type: ignore[arg-type]
