"""A ring before it was finished is kept while only its finishing changes, and never mistaken for another."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from zoo import plain_design

from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import ShapedRing, shape_ring
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.build_solid import build_solid
from ringtex.solid.finishing.stone_options import Stone


def _shaped(design: Design, chord_mm: float = 0.03) -> ShapedRing:
    return shape_ring(design, chord_mm, Progress())


def test_stones_and_making_leave_the_ring_before_them_as_it_is() -> None:
    design = design_from_json(plain_design())
    first = _shaped(design).solid
    assert _shaped(replace(design, stones=(Stone(0.5, 0.5, 1.5),))).solid is first
    assert _shaped(replace(design, make=replace(design.make, polish_mm=0.1))).solid is first


def test_another_ring_is_another_solid() -> None:
    design = design_from_json(plain_design())
    first = _shaped(design)
    relief = design.relief
    others = (
        replace(design, relief=replace(relief, depth_mm=relief.depth_mm + 0.01)),
        replace(design, relief=replace(relief, corner_mm=relief.corner_mm + 0.01)),
        replace(design, pattern=replace(design.pattern, slide_mm=(0.1, 0.0))),
        replace(design, plain=(PlainPlace(0.5, 0.5, 3.0, fade_mm=2.0),)),
    )
    for other in others:
        made = _shaped(other)
        assert made.solid is not first.solid
        again = build_solid(made.strip, made.pattern.tiling, made.relief, 0.03)
        np.testing.assert_array_equal(made.solid.mesh.vertices, again.mesh.vertices)
        np.testing.assert_array_equal(made.solid.mesh.faces, again.mesh.faces)
    assert _shaped(design, 0.02).solid is not first.solid
