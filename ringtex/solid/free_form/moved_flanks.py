"""Drafts of growth rings while their depth is dragged: depths near to each other have the triangles of one of them,
whose offset curves are moved to where the others' lie. What a draft shows hangs on its design alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.limits import limits_of
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.free_form.distance_field import DistanceField

DEPTH_RATIO: Final = 1.25
"""From one depth that is triangulated to the next: curves move by at most a ninth of a flank's width."""

ROUNDS: Final = 4
"""Points whose triangles would turn over go back to where they were; then all do."""


def near_depth(options: ReliefOptions) -> ReliefOptions:
    """The relief at the nearest of the depths that are triangulated."""
    limits = limits_of(ReliefOptions, "depth_mm")
    assert limits is not None
    step = math.log(DEPTH_RATIO)
    depth = math.exp(step * round(math.log(options.depth_mm) / step))
    return replace(options, depth_mm=min(max(depth, limits.low), limits.high))


@dataclass(frozen=True, eq=False)
class CurvePoints:
    """The points of a mesh that lie on offset curves.

    number  (k,) which.
    knot    (k,) the point of the profile that each one's curve belongs to.
    away    (k, 2) the way to each from the nearest place of the outline, mm on the strip.
    """

    number: Longs
    knot: Longs
    away: Floats


def curve_points(places: Floats, inward: Floats, knots: Floats, field: DistanceField, at_end: Bools) -> CurvePoints:
    """Find them.

    Parameters:
        places: (n, 2) mm on the strip.
        inward: (n,) distances from the outline, mm on the ring.
        knots: (p,) those of the curves.
        field: of the outlines.
        at_end: (n,) points at the ends of the period, which stay there.
    Returns: the points.
    """
    knot = np.minimum(np.searchsorted(knots, inward), len(knots) - 1)
    number = np.flatnonzero((inward > 0.0) & (knots[knot] == inward))
    away = places[number] - field.feet(places[number])
    away[at_end[number], 0] = 0.0
    return CurvePoints(number, knot[number], away)


def moved_places(places: Floats, faces: Ints, points: CurvePoints, ratio: Floats) -> Floats:
    """The places with points moved along their ways from the outline.

    Parameters:
        places: (n, 2) mm, in one piece.
        faces: (m, 3) counter-clockwise.
        points: of offset curves.
        ratio: (p,) how many times as far the curve of each point of the profile lies.
    Returns: (n, 2) mm; all triangles stay counter-clockwise.
    """
    step = points.away * (ratio[points.knot] - 1.0)[:, None]
    for _ in range(ROUNDS):
        made = places.copy()
        made[points.number] += step
        a, b, c = (np.take(made, corner, axis=0) for corner in faces.T)
        first, second = b - a, c - a
        turned = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0] <= 0.0
        if not np.any(turned):
            return made
        back = np.zeros(len(places), dtype=bool)
        back[faces[turned]] = True
        step[back[points.number]] = 0.0
    return places
