"""Curves inside outlines, against GEOS' buffers (by shapely) of the same outlines."""

from __future__ import annotations

from functools import reduce

import numpy as np
import shapely

from ringtex.solid.free_form.distance_field import segments_of
from ringtex.solid.free_form.inset_curves import InsetCurves, inset_seconds

COMB = shapely.Polygon([(0.0, -1.0), *((0.02 * n, 0.1 if n % 2 else 2.0) for n in range(201)), (4.0, -1.0)])
CROSS = shapely.union(shapely.box(-2.0, -0.5, 2.0, 0.5), shapely.box(-0.5, -2.0, 0.5, 2.0))
RING = shapely.Point(9.0, 0.0).buffer(2.0).difference(shapely.Point(9.3, 0.0).buffer(0.8))
SHAPES = np.array([COMB, CROSS, RING])


def test_curves_are_those_of_another_library() -> None:
    insets = InsetCurves(SHAPES)
    for distances in (np.array([0.01, 0.1, 0.2]), np.array([0.3, 0.45, 0.5]), np.array([3.0, 0.1, 3.0])):
        curves, part = insets.at(distances, 16)
        theirs = shapely.buffer(SHAPES, -distances, quad_segs=16)
        for number, shape in enumerate(theirs):
            # Each curve is a polygon here: holes cancel out with what they lie in.
            ours = reduce(shapely.symmetric_difference, curves[part == number], shapely.Polygon())
            assert shapely.area(shapely.symmetric_difference(ours, shape)) < 1e-3 * shapely.length(shape) + 1e-12
            rings = shapely.get_rings(shapely.get_parts(shape))
            assert np.sum(part == number) == np.sum(~shapely.is_empty(rings))


def test_nothing_is_left_of_what_is_narrow() -> None:
    curves, part = InsetCurves(SHAPES).at(np.full(3, 5.0), 4)
    assert len(curves) == len(part) == 0
    curves, part = InsetCurves(SHAPES[:0]).at(np.zeros(0), 4)
    assert len(curves) == len(part) == 0


def test_many_segments_close_together_are_told_of() -> None:
    spikes = [(0.001 * n, 0.1 if n % 2 else 2.0) for n in range(10_001)]
    comb = np.array([shapely.Polygon([(0.0, -1.0), *spikes, (10.0, -1.0)])])
    near, far = (inset_seconds(comb, segments_of(comb), np.array([distance])) for distance in (0.01, 0.1))
    assert 0.0 < 3.0 * near < far
    assert inset_seconds(SHAPES, segments_of(SHAPES), np.array([0.1])) == 0.0
