"""The profile of a cell: height as a function of the distance from its wall."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.tolerances import MIN_CORNER_MM, SAME_PLACE_MM
from ringtex.relief.relief_options import FLANKED, SUNKEN, ReliefOptions

TERRACES = 3
"""Terraces of the step form."""

ARC_FRACTION = 0.3
"""Fraction of the chord tolerance that a rounded corner may take: the rest is for the mesh along the walls."""

MAX_TURN = 0.48
"""Angle, radians, that a profile turns at one point of an arc, at most: pictures show sharper turns as creases."""

MAX_SHARE = 0.35
"""What an arc may take of a straight part: the rest, between two arcs, must not become much shorter than they are."""


@dataclass(frozen=True)
class ProfilePoint:
    """One point of a profile: its distance from the wall, partly in mm and partly as a share of the way from the wall
    to the centre, and its height in mm above the outer face.

    touch_mm: at an end of an arc, what inward_mm is where the true arc ends; None elsewhere.
    """

    inward_mm: float
    share: float
    height_mm: float
    touch_mm: float | None = None


@dataclass(frozen=True)
class CellProfile:
    """Two parts: from the wall inwards at true distances, then from the last of those to the centre.

    inward_mm   (k,) and share (k,): point i lies inward_mm[i] beyond share[i] of the way from the wall to the centre;
                point 0 is the wall itself (0, 0).
    touch_mm    (k,) inward_mm, but at the ends of arcs where the true arcs end, whatever the chord tolerance.
    height_mm   (k,) heights above the outer face; the first is 0 in every form, so that neighbours agree.
    level_mm    half the wall's width, up to the sharp corner where the flank begins (0 where top_size rules).
    level_share the same as a share of the way to the centre (0 where wall_width rules); flank_mm is then taken off it.
    flank_mm    width of all flanks in plan.
    rise_mm     height of the inner part: from height_mm[-1] by this much up to the centre (0: a level top).
    bend        shape of the inner part: 2 a parabola (pillow, dish), 1 straight (peak).
    """

    inward_mm: Floats
    share: Floats
    touch_mm: Floats
    height_mm: Floats
    level_mm: float
    level_share: float
    flank_mm: float
    rise_mm: float
    bend: int

    @property
    def is_smooth(self) -> bool:
        """The inner part is a top of `SmoothTops` (pillow, dish), which follows the parabola on its steepest line."""
        return self.rise_mm != 0.0 and self.bend == 2

    def in_fewer_points(self, within_mm: float) -> CellProfile:
        """The profile without those points inside arcs, no two neighbours, that lie within a distance, mm, of the line
        past them."""
        run, rise = (values[2:] - values[:-2] for values in (self.inward_mm, self.height_mm))
        along, up = (values[1:-1] - values[:-2] for values in (self.inward_mm, self.height_mm))
        off = np.abs(run * up - rise * along) / np.maximum(np.hypot(run, rise), SAME_PLACE_MM)
        inside = self.touch_mm[1:-1] == self.inward_mm[1:-1]
        near = inside & (self.share[2:] == self.share[:-2]) & (off <= within_mm)
        kept = np.ones(len(self.share), dtype=bool)
        for point in 1 + np.flatnonzero(near):
            kept[point] = not kept[point - 1]
        parts = {name: getattr(self, name)[kept] for name in ("inward_mm", "share", "touch_mm", "height_mm")}
        return replace(self, **parts)

    def inner_height(self, way: Floats, tip: float | Floats = 0.0) -> Floats:
        """Height over height_mm[-1], as a share of rise_mm, at `way` from the last point (0) to the centre (1).

        tip rounds a peak: radius-like, as a share of the way.
        """
        left = 1.0 - way
        if self.bend == 2:
            return np.asarray(1.0 - left * left)
        soft = np.maximum(tip, 1e-12)
        return np.asarray(1.0 - (np.sqrt(left * left + soft * soft) - soft) / (np.sqrt(1.0 + soft * soft) - soft))


def cell_profile(options: ReliefOptions, chord_mm: float, terrace_mm: float | None = None) -> CellProfile:
    """The profile of the asked form, its corners rounded within the chord tolerance.

    Parameters:
        options: of the relief.
        chord_mm: chord tolerance, mm.
        terrace_mm: width of terraces; None for as wide as the level strip along the wall.
    Returns: the profile.
    """
    sign = -1.0 if options.form in SUNKEN else 1.0
    level = 0.0 if options.wall_width_mm is None else options.wall_width_mm / 2.0
    share = 0.0 if options.top_size is None else 1.0 - options.top_size
    has_flank = options.form in FLANKED
    flank = options.depth_mm / math.tan(math.radians(options.flank_deg)) if has_flank else 0.0
    points = _corners(options, (level, level if terrace_mm is None else terrace_mm), share, flank, sign)
    points = rounded_profile(points, options.corner_mm, chord_mm)
    if has_flank:
        # The end beyond the last arc only gave the arc its direction.
        points = points[:-1]
        if options.form == "pierced" and points[-1].touch_mm is not None:
            # The hole begins where the true arc ends, whatever the tolerance.
            points[-1] = replace(points[-1], inward_mm=points[-1].touch_mm)
    return CellProfile(
        inward_mm=np.array([p.inward_mm for p in points]),
        share=np.array([p.share for p in points]),
        touch_mm=np.array([p.inward_mm if p.touch_mm is None else p.touch_mm for p in points]),
        height_mm=np.array([p.height_mm for p in points]),
        level_mm=level,
        level_share=share,
        flank_mm=flank,
        rise_mm=0.0 if has_flank else sign * options.depth_mm,
        bend=1 if options.form == "peak" else 2,
    )


def _corners(
    options: ReliefOptions, levels: tuple[float, float], share: float, flank: float, sign: float
) -> list[ProfilePoint]:
    """The sharp profile. Forms with a flank end with one point more, on the level top."""
    depth, (level, terrace) = sign * options.depth_mm, levels
    points = [ProfilePoint(0.0, 0.0, 0.0)]
    if flank == 0.0:
        if level > 0.0 or share > 0.0:
            points.append(ProfilePoint(level, share, 0.0))
        return points
    steps = TERRACES if options.form == "step" else 1
    for step in range(steps):
        low, high = depth * step / steps, depth * (step + 1) / steps
        if options.top_size is None:
            foot = level + terrace * step + flank * step / steps
            part = 0.0
        else:
            # The flank ends where the share says, so its foot lies outside of that.
            foot = -flank / steps
            part = share * (step + 1) / steps
        if part != points[-1].share or foot - points[-1].inward_mm > SAME_PLACE_MM:
            points.append(ProfilePoint(foot, part, low))
        points.append(ProfilePoint(foot + flank / steps, part, high))
    last = points[-1]
    points.append(ProfilePoint(last.inward_mm + 1.0, last.share, depth))
    return points


def rounded_profile(points: list[ProfilePoint], radius_mm: float, chord_mm: float) -> list[ProfilePoint]:
    """The profile with an arc at every inner turn.

    The arc is made smaller where a neighbouring part is too short for it: it takes at most MAX_SHARE of that part.
    A turn whose arc would then be smaller than MIN_CORNER_MM stays sharp. A part that spans a fraction of the cell
    counts as long.

    Parameters:
        points: the sharp profile.
        radius_mm: of the arcs.
        chord_mm: largest distance between arc and chords.
    Returns: the points, those of the arcs in place of the turns.
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
    ends, count, outside = _straddling(radius, half, ARC_FRACTION * chord_mm)
    sign = math.copysign(1.0, turn)
    start = (corner.inward_mm - tangent * into[0], corner.height_mm - tangent * into[1])
    centre = (start[0] - sign * radius * into[1], start[1] + sign * radius * into[0])
    angle = math.atan2(start[1] - centre[1], start[0] - centre[0]) + sign * ends
    steps = [angle + (turn - 2.0 * sign * ends) * i / count for i in range(count + 1)]
    left = tangent - radius * math.tan(ends)
    first = ProfilePoint(corner.inward_mm - left * into[0], corner.share, corner.height_mm - left * into[1], start[0])
    last = ProfilePoint(
        corner.inward_mm + left * out[0],
        corner.share,
        corner.height_mm + left * out[1],
        corner.inward_mm + tangent * out[0],
    )
    between = [
        ProfilePoint(centre[0] + outside * math.cos(a), corner.share, centre[1] + outside * math.sin(a))
        for a in steps[1:-1]
    ]
    return [first, *between, last]


def _straddling(radius: float, half: float, least_mm: float) -> tuple[float, int, float]:
    """Points that straddle an arc of half an angle: the first and last on its tangents, as far outside it as chords
    lie inside.

    Parameters:
        radius, half: of the arc, mm and radians.
        least_mm: distance that points and chords keep from it.
    Returns: angle of the end points from the arc's ends, number of chords, and distance of the points from the centre.
    """
    count = 1
    while True:
        # A point is r a^2 / 2 outside where its tangent touches at an angle a; a chord of two such angles b between
        # points so far outside lies as far inside for b^2 = 2 a^2.
        ends = 2.0 * half / (2.0 + 2.0 * math.sqrt(2.0) * count)
        inner = (half - ends) / count
        outside = radius / math.cos(ends)
        off = max(outside - radius, radius - outside * math.cos(inner))
        if off <= least_mm and 2.0 * inner <= MAX_TURN:
            return ends, count, outside
        count += 1


def _direction(start: ProfilePoint, end: ProfilePoint) -> tuple[tuple[float, float], float]:
    """Unit direction and length of the part between two points; a part over a share of the cell is level and long."""
    if start.share != end.share:
        return (1.0, 0.0), math.inf
    across, up = end.inward_mm - start.inward_mm, end.height_mm - start.height_mm
    length = math.hypot(across, up)
    return (across / length, up / length), length
