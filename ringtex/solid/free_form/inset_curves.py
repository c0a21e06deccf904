"""Curves at an even distance inside free-form outlines, and how long they will take.

Clipper2 (in manifold3d) sweeps over the raw offset curve once; GEOS, behind shapely, compares its pieces with one
another: on spikes beside one another it takes 5 to 90 times as long.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.polygon_rings import ring_points

MANY_POINTS: Final = 5_000
"""Points of outlines whose curves may take seconds."""

SAMPLED_SEGMENTS: Final = 500

SECONDS_A_PAIR: Final = 0.5e-6
"""Processor time of a curve for each pair of segments nearer than its distance, measured: 0.4e-6 to 1.5e-6 for rough
outlines of 10,000 points, 0.1e-6 to 0.2e-6 for spikes beside one another."""


class InsetCurves:
    """The outlines of polygons, ready to be moved inwards."""

    def __init__(self, parts: Any) -> None:
        import manifold3d

        self._round = manifold3d.JoinType.Round
        rings, part = shapely.get_rings(parts, return_index=True)
        points, start = ring_points(rings)
        outlines = np.split(points, start[1:-1])
        first = np.searchsorted(part, np.arange(len(parts) + 1)).tolist()
        even_odd = manifold3d.FillRule.EvenOdd
        self._sections = [manifold3d.CrossSection(outlines[begin:end], even_odd) for begin, end in pairwise(first)]

    def at(self, distances: Floats, quadrant: int) -> tuple[Any, Longs]:
        """The curves, round about inner corners.

        Parameters:
            distances: (parts,) how far inside each, in the outlines' unit.
            quadrant: edges of a quarter turn.
        Returns: (n,) shapely polygons, one a closed curve; (n,) the part that each lies in.
        """
        moved = [
            section.offset(-distance, self._round, 2.0, 4 * quadrant).to_polygons()
            for section, distance in zip(self._sections, distances.tolist(), strict=True)
        ]
        part = np.repeat(np.arange(len(moved)), [len(curves) for curves in moved])
        curves = [curve for of_part in moved for curve in of_part]
        if not curves:
            return np.zeros(0, dtype=object), part
        ring = np.repeat(np.arange(len(curves)), [len(curve) for curve in curves])
        return shapely.polygons(shapely.linearrings(np.concatenate(curves), indices=ring)), part


def inset_seconds(parts: Any, segments: tuple[Floats, Floats], distances: Floats) -> float:
    """About how long curves take: where many segments lie nearer to one another than a curve's distance, their curves
    cross as often before they are joined.

    Parameters:
        parts: (k,) shapely polygons.
        segments: (m, 2), (m, 2) both ends of their sides.
        distances: (n,) in the same unit.
    Returns: processor time, s.
    """
    if shapely.get_num_coordinates(parts).sum() < MANY_POINTS or not len(distances):
        return 0.0
    lines = shapely.linestrings(np.stack(segments, axis=1))
    sample = lines[:: max(1, len(lines) // SAMPLED_SEGMENTS)]
    near = shapely.STRtree(lines).query(sample, predicate="dwithin", distance=float(np.mean(distances)))
    return float(SECONDS_A_PAIR * len(distances) * near.shape[1] * len(lines) / len(sample))
