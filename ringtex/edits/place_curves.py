"""Points of the curves that change density and depth round the ring and across it, and their mirror images."""

from __future__ import annotations

import math
from typing import Final

Point = tuple[float, float]

FIRST_ANGLES: Final = (0.0, 90.0, 180.0, -90.0)
"""Head, shoulders and palm: what a designer speaks of."""
FIRST_SHARES: Final = (0.0, 0.5, 1.0)


def first_points(name: str, neutral: float) -> tuple[Point, ...]:
    """Points to take hold of where the design has none yet."""
    places = FIRST_ANGLES if name == "around" else FIRST_SHARES
    return tuple((place, neutral) for place in places)


def mirror_index_of(points: tuple[Point, ...], index: int) -> int | None:
    """The point that is the mirror image of another across head and palm; None for points there, and where none is."""
    angle = points[index][0]
    if abs(math.sin(math.radians(angle))) < 1e-9:
        return None
    return next((at for at, (other, _) in enumerate(points) if _together(other, -angle)), None)


def left_is_like_right(points: tuple[Point, ...]) -> bool:
    """Whether every point's mirror image is there too, with the same value."""
    for index, (angle, value) in enumerate(points):
        if abs(math.sin(math.radians(angle))) >= 1e-9:
            mirrored = mirror_index_of(points, index)
            if mirrored is None or abs(points[mirrored][1] - value) > 1e-9:
                return False
    return True


def with_left_like_right(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """The points from head to palm counter-clockwise, and their mirror images."""
    half = [(angle % 360.0, value) for angle, value in points if angle % 360.0 <= 180.0]
    images = [(-angle, value) for angle, value in half if 0.0 < angle < 180.0]
    return (*half, *images)


def _together(one: float, other: float) -> bool:
    return abs((one - other + 180.0) % 360.0 - 180.0) < 1e-6
