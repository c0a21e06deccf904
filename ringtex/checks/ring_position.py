"""A place on the ring in words."""

from __future__ import annotations

import math

from ringtex.basics.arrays import Floats

Place = tuple[float, float, float]


def angle_deg(place: Floats) -> float:
    """Angle from the head, counter-clockwise seen from +z, from 0 up to 360."""
    return math.degrees(math.atan2(-float(place[0]), float(place[1]))) % 360.0


def part_of_ring(angle: float) -> str:
    """Head, shoulder or palm side, by the angle from the head in degrees."""
    away = abs((angle + 180.0) % 360.0 - 180.0)
    if away <= 45.0:
        return "head"
    return "shoulder" if away < 135.0 else "palm side"


def words_for(place: Floats) -> str:
    """Such as "palm side, 182 degrees, 1.2 mm above mid-width"."""
    angle = round(angle_deg(place)) % 360
    z = float(place[2])
    side = "above" if z > 0.0 else "below"
    across = f"{abs(z):.1f} mm {side} mid-width" if abs(z) >= 0.05 else "at mid-width"
    return f"{part_of_ring(angle)}, {angle} degrees, {across}"


def as_place(point: Floats) -> Place:
    """(x, y, z) as plain numbers."""
    return float(point[0]), float(point[1]), float(point[2])
