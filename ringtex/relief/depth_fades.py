"""Relief that grows shallower along the ring, across it, round any point, to plain places and to borders of zones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.smooth_curve import SmoothCurve, smooth_step
from ringtex.pattern.density_factor import StripGeometry
from ringtex.pattern.patterned_part import Pattern
from ringtex.pattern.tiling import Tiling
from ringtex.pattern.zone_options import ZoneOptions
from ringtex.relief.make_relief import Relief
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import distance_outside, place_map
from ringtex.relief.relief_options import FadeOptions
from ringtex.strip.strip_map import StripMap


def faded_to_plain_places(relief: Relief, strip: StripMap, tiling: Tiling, places: Sequence[PlainPlace]) -> Relief:
    """The relief with each cell's depth faded towards plain places: 0 at a border, whole at the fade's end.

    The distance is that of the cell's centre; the fade is smooth at both ends.

    Parameters:
        relief: before fading.
        strip, tiling: where the cells lie.
        places: the plain places.
    Returns: the relief, faded.
    """
    fading = [place for place in places if place.fade_mm > 0.0]
    if not fading:
        return relief
    centre = tiling.kernel[0]
    share = np.ones(tiling.cells)
    for place in fading:
        away = distance_outside(place, *place_map(strip, place).from_strip(centre[:, 0], centre[:, 1]))
        share *= smooth_step(np.clip(away / place.fade_mm, 0.0, 1.0))
    return replace(relief, depth_share=relief.depth_share * share)


def faded_at_zone_borders(relief: Relief, pattern: Pattern, zones: Sequence[ZoneOptions]) -> Relief:
    """The relief with each cell's depth faded towards the borders of its zone that blend: 0 at the border, whole where
    the blend ends, smooth at both ends.

    Parameters:
        relief: before fading.
        pattern: its zones are these.
        zones: from the lower edge up.
    Returns: the relief, faded.
    """
    if not any(zone.blend_mm > 0.0 for zone in zones):
        return relief
    v = pattern.tiling.kernel[0][:, 1]
    share = np.ones(len(v))
    ends = [*(zone.first_cell for zone in pattern.zones[1:]), len(v)]
    for number, (zone, end) in enumerate(zip(pattern.zones, ends, strict=True)):
        cells, part = slice(zone.first_cell, end), zone.pattern.tiling
        above = zones[number + 1].blend_mm if number + 1 < len(zones) else 0.0
        for blend, away in ((zones[number].blend_mm, v[cells] - part.lower), (above, part.upper - v[cells])):
            if blend > 0.0:
                share[cells] *= smooth_step(np.clip(np.minimum(away, blend) / blend, 0.0, 1.0))
    return replace(relief, depth_share=relief.depth_share * share)


def faded_by_curves(relief: Relief, strip: StripGeometry, tiling: Tiling) -> Relief:
    """The relief with each cell's depth as its options' curves and spots have it at the cell's centre.

    Parameters:
        relief: before fading.
        strip, tiling: where the cells lie.
    Returns: the relief, faded.
    """
    if relief.options.fade is None:
        return relief
    share = depth_factor(strip, relief.options.fade, *tiling.kernel[0].T)
    return replace(relief, depth_share=relief.depth_share * share)


def depth_factor(strip: StripGeometry, options: FadeOptions, u: Floats, v: Floats) -> Floats:
    """The fraction of the depth that curves and spots leave.

    Parameters:
        strip: where the points lie.
        options: the curves and spots.
        u, v: (n,) strip coordinates, mm.
    Returns: (n,) from 0 to 1.
    """
    share = np.ones(len(u))
    if options.around:
        angles, shares = np.array(options.around).T
        theta, _ = strip.to_band(u, v)
        share *= SmoothCurve(angles, shares, 360.0)(np.rad2deg(theta))
    if options.across:
        places, shares = np.array(options.across).T
        share *= SmoothCurve(places, shares)(v / strip.width)
    if options.spots:
        points = strip.point(u, v)
        for at_u, at_v, radius, middle_share in options.spots:
            # Straight through the metal: over a spot's radius as good as along the face, and the same from every side.
            middle = strip.point(np.array([at_u * strip.length]), np.array([at_v * strip.width]))
            away = np.minimum(np.linalg.norm(points - middle, axis=1) / radius, 1.0)
            share *= middle_share + (1.0 - middle_share) * smooth_step(away)
    return np.asarray(np.clip(share, 0.0, 1.0), dtype=np.float64)
