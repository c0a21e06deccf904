"""Outlines moved by even distances as GEOS moves them, and by varied ones as far as asked at every place."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from ringtex.pattern.grown.varied_offsets import offset_areas


def areas() -> Any:
    """A star of five rounded points with an elliptic hole, and a box."""
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    radius = 3.0 + 0.8 * np.cos(5.0 * turn)
    star, hole = (np.column_stack((x * np.cos(turn), y * np.sin(turn))) for x, y in ((radius, radius), (0.6, 0.9)))
    return np.array([shapely.Polygon(star, [hole]), shapely.box(10.0, 0.0, 14.0, 3.0)], dtype=object)


@pytest.mark.parametrize("distance", [0.3, 1.0, -0.3, -0.9])
def test_an_even_distance_gives_what_geos_gives(distance: float) -> None:
    """At -0.9 the star falls apart; arcs have 32 pieces a quarter circle in both."""
    made = shapely.union_all(offset_areas(areas(), lambda places: np.full(len(places), distance), 32))
    wanted = shapely.union_all(shapely.buffer(areas(), distance, quad_segs=32))
    assert len(shapely.get_parts(made)) == len(shapely.get_parts(wanted))
    assert made.area == pytest.approx(wanted.area, rel=2e-4)
    assert shapely.hausdorff_distance(made.boundary, wanted.boundary) < 0.003


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_side_moves_as_far_as_asked_at_every_place(sign: float) -> None:
    points = np.linspace(0.0, 10.0, 201)
    outline = np.concatenate((np.column_stack((points, 0.0 * points)), [[10.0, 5.0], [0.0, 5.0]]))
    box = np.array([shapely.Polygon(outline)], dtype=object)
    (made,) = offset_areas(box, lambda places: sign * (0.1 + 0.02 * places[:, 0]), 16)
    for x in (1.0, 5.0, 9.0):
        low = shapely.intersection(made, shapely.LineString([(x, -1.0), (x, 2.0)])).bounds[1]
        assert low == pytest.approx(-sign * (0.1 + 0.02 * x), abs=2e-4)


def test_mitred_corners_stay_sharp_and_what_is_too_narrow_goes() -> None:
    box = np.array([shapely.box(0.0, 0.0, 2.0, 1.0)], dtype=object)
    smaller = offset_areas(box, lambda places: np.full(len(places), -0.3), 8)
    (back,) = offset_areas(smaller, lambda places: np.full(len(places), 0.3), 8, mitred=True)
    assert shapely.symmetric_difference(back, box[0]).area < 1e-6
    assert len(offset_areas(box, lambda places: np.full(len(places), -0.6), 8)) == 0
    assert len(offset_areas(box[:0], lambda places: np.zeros(len(places)), 8)) == 0
