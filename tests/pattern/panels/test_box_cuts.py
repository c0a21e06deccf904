"""Cells cut by a rectangle are cells still."""

from __future__ import annotations

import numpy as np
import shapely

from ringtex.pattern.panels.box_cuts import Box, cut_by_box


def test_both_walls_of_a_narrow_tip_cross_a_side() -> None:
    """Found by random designs, which ended with an error: where the tips of two of a rosette's petals meet just inside
    of a panel both crossings became one point, and a petal went from there out to its tip and back."""
    lower = [[0.401, 0.65], [0.387, 0.776], [0.312, 0.92], [0.223, 1.074], [0.13, 1.187], [-0.004, 1.286]]
    lower += [[0.041, 1.118], [0.074, 0.992], [0.183, 0.852], [0.277, 0.741]]
    upper = [[0.022, 1.443], [0.096, 1.587], [0.153, 1.715], [0.282, 1.833], [0.395, 1.914], [0.253, 1.885]]
    upper += [[0.071, 1.849], [-0.087, 1.841], [-0.234, 1.86], [-0.39, 1.916], [-0.28, 1.821], [-0.181, 1.718]]
    upper += [[-0.102, 1.565], [-0.029, 1.442]]
    points, loops = np.array(lower + upper), [np.arange(10), np.array([5, *range(10, 24)])]
    for inside in (True, False):
        cut = cut_by_box(points, loops, Box(-4.036, 0.0, 0.0, 3.2), 0.036, inside)
        shapes = np.array([shapely.Polygon(cut.points[loop]) for loop in cut.loops], dtype=object)
        assert np.all(shapely.is_valid(shapes))
        # No tip is left of the petal inside, and all of it outside.
        assert (0 in cut.origin) is not inside
        assert np.all(np.sign(shapely.centroid(shapes[-1]).x) == (-1.0 if inside else 1.0))
