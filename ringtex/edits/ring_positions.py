"""Positions as the ring has them: degrees from the head, and millimetres from the middle along the outer face."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.pattern.clip import shortest_way
from ringtex.strip.strip_map import StripMap
from ringtex.strip.true_size import true_size

FRACTION_DECIMALS: Final = 6
"""Fractions of the strip are stored to a tenth of a micrometre."""

SEAM_DEG: Final = 1e-3
"""Nearer to the seam than this an angle is 180 and not -180 degrees: what rounded fractions are off by."""

SNAP_DEG: Final = (0.0, 180.0)
"""Head and palm, degrees from the head: what dragged positions snap to."""


def ring_position(strip: StripMap, u: float, v: float) -> tuple[float, float]:
    """Degrees from the head and mm from the middle of fractions (u, v) of the strip's length and width.

    Parameters:
        strip: the strip map of the band.
        u: fraction of the length.
        v: fraction of the width.
    Returns: degrees, over -180 to 180, and mm towards the upper edge, along the profile there.
    """
    plane = true_size(strip)
    x, y = plane.to_plane(np.array([u * strip.length]), np.array([v * strip.width]))
    angle = float(np.rad2deg(plane.crown.angle_at(x))[0])
    turned = 180.0 - (180.0 - angle) % 360.0
    return turned + (360.0 if turned < SEAM_DEG - 180.0 else 0.0), float(y[0]) - plane.crown_y


def strip_fractions(strip: StripMap, angle_deg: float, off_middle_mm: float) -> tuple[float, float]:
    """Fractions (u, v) of the strip's length and width: the inverse of `ring_position`.

    Parameters:
        strip: the strip map of the band.
        angle_deg: degrees from the head.
        off_middle_mm: from the middle towards the upper edge, along the profile there.
    Returns: (u, v), each 0 to 1.
    Raises: InputError for a position beyond the band's edges.
    """
    plane = true_size(strip)
    low, high = across_limits(strip, angle_deg)
    if not low - 1e-6 <= off_middle_mm <= high + 1e-6:
        raise InputError(
            f"{off_middle_mm:g} mm from the middle is beyond the band's edge", f"Use {low:.2f} to {high:.2f} mm"
        )
    x = plane.crown.length_at(np.deg2rad([angle_deg]))
    u, v = plane.to_strip(x, np.array([off_middle_mm + plane.crown_y]))
    fraction = round(float(v[0]) / strip.width, FRACTION_DECIMALS)
    return round(float(u[0]) / strip.length % 1.0, FRACTION_DECIMALS) % 1.0, min(max(fraction, 0.0), 1.0)


def across_limits(strip: StripMap, angle_deg: float) -> tuple[float, float]:
    """Lower and upper edge at an angle, mm from the middle."""
    plane = true_size(strip)
    u, v = strip.from_band(np.deg2rad([angle_deg, angle_deg]), np.array([-1.0, 1.0]))
    _, y = plane.to_plane(u, v)
    return float(y[0]) - plane.crown_y, float(y[1]) - plane.crown_y


def nearest_centre(strip: StripMap, centres: Floats, u: float, v: float) -> tuple[float, float]:
    """Fractions (u, v) of the cell centre that is nearest, measured in the true-size drawing.

    Parameters:
        strip: the strip map of the band.
        centres: (n, 2) centres of cells on the strip, mm.
        u: fraction of the length.
        v: fraction of the width.
    Returns: (u, v) of one of the centres.
    """
    plane = true_size(strip)
    x, y = plane.to_plane(centres[:, 0], centres[:, 1])
    at_x, at_y = plane.to_plane(np.array([u * strip.length]), np.array([v * strip.width]))
    best = centres[int(np.argmin(np.hypot(shortest_way(x - at_x, plane.length), y - at_y)))]
    fractions = best[0] / strip.length % 1.0, best[1] / strip.width
    return round(float(fractions[0]), FRACTION_DECIMALS) % 1.0, round(float(fractions[1]), FRACTION_DECIMALS)


def snapped_position(
    strip: StripMap, centres: Floats, wanted: tuple[float, float], reach_mm: float
) -> tuple[float, float, str]:
    """The position that is meant by one near it: a cell's centre, or else head or palm, the middle, or both.

    Parameters:
        strip: the strip map of the band.
        centres: (n, 2) centres of cells on the strip, mm.
        wanted: (u, v) on the strip, mm, u of any turn.
        reach_mm: how near, mm on the strip.
    Returns: u and v, mm, and "centre of a cell" where it is one, otherwise nothing.
    """
    u, v = wanted[0], min(max(wanted[1], 0.0), strip.width)
    length = strip.length
    if len(centres):
        along = shortest_way(centres[:, 0] - u, length)
        away = np.hypot(along, centres[:, 1] - v)
        nearest = int(np.argmin(away))
        if away[nearest] <= reach_mm:
            return u + float(along[nearest]), float(centres[nearest, 1]), "centre of a cell"
    angle, off = ring_position(strip, u / length, v / strip.width)
    for part in SNAP_DEG:
        low, high = across_limits(strip, part)
        at, _ = strip_fractions(strip, part, min(max(off, low), high))
        step = float(shortest_way(at * length - u, length))
        if abs(step) <= reach_mm:
            u, angle = u + step, part
            break
    middle = strip_fractions(strip, angle, 0.0)[1] * strip.width
    return u, middle if abs(middle - v) <= reach_mm else v, ""
