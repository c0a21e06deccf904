"""Lines along the middle of shapes, where reliefs that rise with the distance from the outline have their ridges."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import shapely
from scipy.spatial import Voronoi

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.polygon_rings import ring_points

SAMPLE_MM: Final = 0.05
"""Longest way between samples of an outline. Where two sides are r apart the lines weave by an eighth of its square
over r: 0.6 micrometres for a shape of 1 mm."""

MAX_SAMPLES: Final = 60_000
"""Longer outlines have their samples further apart."""

SAME_END_MM: Final = 0.002
"""Grid of the lines' ends: a hundred steps of that of the mesh, whose points must not nearly coincide."""

MIN_CHORD: Final = 0.5
"""Distance of the two nearest places of the outline over their distance from the line: seen under less than 30 degrees
they are one side's, or the ridge is so flat that it needs no edge."""


def medial_lines(parts: Any, sample_mm: float = SAMPLE_MM) -> tuple[Any, Floats]:
    """Approximate medial axes: edges of the Voronoi diagram of samples of the outlines, between samples of two sides.

    Parameters:
        parts: polygons that do not overlap, mm.
        sample_mm: longest way between samples.
    Returns: (k,) lines inside the polygons, and (k,) the distances of their middles from the outlines, mm.
    """
    rings = shapely.get_rings(shapely.get_parts(parts))
    spacing = max(sample_mm, float(np.sum(shapely.length(rings))) / MAX_SAMPLES)
    points, _ = ring_points(shapely.segmentize(rings, spacing))
    if len(points) < 4:
        return np.zeros(0, dtype=object), np.zeros(0)
    diagram = Voronoi(points)
    pairs: Longs = np.asarray(diagram.ridge_points, dtype=np.int64)
    ends: Longs = np.asarray(diagram.ridge_vertices, dtype=np.int64)
    finite = np.min(ends, axis=1) >= 0
    pairs, ends = pairs[finite], ends[finite]
    line = np.asarray(diagram.vertices)[ends]
    middle = line.mean(axis=1)
    apart = np.hypot(*(points[pairs[:, 0]] - points[pairs[:, 1]]).T)
    away = np.hypot(*(middle - points[pairs[:, 0]]).T)
    chosen = (apart > MIN_CHORD * away) & (away > spacing)
    area = shapely.union_all(parts)
    shapely.prepare(area)
    chosen[chosen] = np.all([shapely.contains_xy(area, *line[chosen, end].T) for end in (0, 1)], axis=0)
    # Where many places are as near, ends of edges lie in one place but for rounding: they are put there.
    ends_there = np.rint(line[chosen] / SAME_END_MM) * SAME_END_MM
    apart_there = np.any(ends_there[:, 0] != ends_there[:, 1], axis=1)
    return shapely.linestrings(ends_there[apart_there]), away[chosen][apart_there]


def usual_reach(away: Floats, length: Floats) -> float:
    """The distance from the outline that nine tenths of the middles of shapes do not exceed: one broad place does not
    make all others low.

    Parameters: away (k,) and length (k,) of lines from `medial_lines`, mm.
    Returns: mm, 0 without lines.
    """
    if not len(away):
        return 0.0
    order = np.argsort(away)
    share = np.cumsum(length[order])
    return float(away[order][np.searchsorted(share, 0.9 * share[-1])])
