"""Arcs where a profile turns, as points within a chord tolerance."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringtex.basics.tolerances import MIN_CORNER_MM

MAX_SHARE = 0.35
"""What an arc may take of a straight part: the rest, between two arcs, must not become much shorter than they are."""


@dataclass(frozen=True)
class ProfilePoint:
    """One point of a profile: its distance from the wall, partly in mm and partly as a share of the way from the wall
    to the centre, and its height in mm above the outer face."""

    inward_mm: float
    share: float
    height_mm: float


def rounded(points: list[ProfilePoint], radius_mm: float, chord_mm: float) -> list[ProfilePoint]:
    """The profile with an arc at every inner turn.

    The arc is made smaller where a neighbouring part is too short for it: it takes at most MAX_SHARE of that part.
    A turn whose arc would then be smaller than MIN_CORNER_MM stays sharp. A part that runs over a share of the
    cell counts as long.
    """
    if len(points) < 3 or radius_mm <= 0.0:
        return list(points)
    made = [points[0]]
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        made.extend(_arc(before, corner, after, radius_mm, chord_mm))
    made.append(points[-1])
    return made


def _arc(
    before: ProfilePoint, corner: ProfilePoint, after: ProfilePoint, radius_mm: float, chord_mm: float
) -> list[ProfilePoint]:
    into, into_length = _direction(before, corner)
    out, out_length = _direction(corner, after)
    turn = math.atan2(into[0] * out[1] - into[1] * out[0], into[0] * out[0] + into[1] * out[1])
    half = abs(turn) / 2.0
    if half < 1e-6:
        return [corner]
    tangent = min(radius_mm * math.tan(half), MAX_SHARE * into_length, MAX_SHARE * out_length)
    radius = tangent / math.tan(half)
    if radius < MIN_CORNER_MM:
        return [corner]
    widest = 2.0 * math.acos(max(0.0, 1.0 - chord_mm / radius))
    count = max(1, math.ceil(2.0 * half / widest))
    sign = math.copysign(1.0, turn)
    start = (corner.inward_mm - tangent * into[0], corner.height_mm - tangent * into[1])
    centre = (start[0] - sign * radius * into[1], start[1] + sign * radius * into[0])
    angle = math.atan2(start[1] - centre[1], start[0] - centre[0])
    steps = [angle + turn * i / count for i in range(count + 1)]
    return [
        ProfilePoint(centre[0] + radius * math.cos(a), corner.share, centre[1] + radius * math.sin(a)) for a in steps
    ]


def _direction(start: ProfilePoint, end: ProfilePoint) -> tuple[tuple[float, float], float]:
    """Unit direction and length of the part between two points; a part over a share of the cell is level and long."""
    if start.share != end.share:
        return (1.0, 0.0), math.inf
    across, up = end.inward_mm - start.inward_mm, end.height_mm - start.height_mm
    length = math.hypot(across, up)
    return (across / length, up / length), length
