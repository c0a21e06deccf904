"""Do the holes under two stones run into each other inside the metal?"""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.solid.finishing.stone_seats import SetStone

STEPS: Final = 65
"""Places along a hole from which distances are taken: the nearest is right to 1e-3 mm in 10 mm of metal."""

AS_ONE: Final = 0.8
"""Holes whose middles end nearer than this share of their radii's sum have become one there, as under a head."""

_POINT_MM2: Final = 1e-12
"""A stone as deep as the metal leaves a hole without length, which is then the place where it ends."""


def hole_gap(stones: tuple[SetStone, ...], number: int) -> float:
    """Metal between the hole of one stone and the nearest other one, mm; negative where they meet.

    Holes that have come together at the finger hole do not count: they lean towards each other and end as one, which
    is usual under a head. Those that meet on the way and part again leave a web between them.
    """
    if not stones[number].place.through:
        return float("inf")
    starts, ends, radii = _ways(stones)
    along = np.linspace(0.0, 1.0, STEPS)[:, None]
    own = starts[number] + along * (ends[number] - starts[number])
    run = ends - starts
    away = own[:, None, :] - starts
    share = np.clip(np.sum(away * run, axis=2) / np.maximum(np.sum(run * run, axis=1), _POINT_MM2), 0.0, 1.0)
    apart = np.min(np.linalg.norm(away - share[..., None] * run, axis=2), axis=0)
    reach = radii + radii[number]
    at_end = np.linalg.norm(ends - ends[number], axis=1)
    through = np.array([each.place.through for each in stones])
    judged = through & (at_end > AS_ONE * reach)
    judged[number] = False
    return float(np.min((apart - reach)[judged], initial=np.inf))


def _ways(stones: tuple[SetStone, ...]) -> tuple[Floats, Floats, Floats]:
    """(n, 3) where each hole begins under its bearing and where it ends at the finger hole; (n,) its radius."""
    table = np.array([each.place.table for each in stones])
    axis = np.array([each.place.axis for each in stones])
    girdle = np.array([each.stone.depth_mm * 0.5 for each in stones])
    metal = np.array([each.place.metal_mm for each in stones])
    radius = np.array([0.5 * each.stone.hole * each.stone.diameter_mm for each in stones])
    return table - np.minimum(girdle, metal)[:, None] * axis, table - metal[:, None] * axis, radius
