"""Cells that grow shallower along the ring and across it, and towards plain places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ringtex.pattern.density_factor import PlacedStrip
from ringtex.pattern.tiling import Tiling
from ringtex.relief.depth_curves import depth_factor
from ringtex.relief.make_relief import Relief
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import distance_outside, place_map
from ringtex.strip.strip_map import StripMap


def faded(relief: Relief, strip: StripMap, tiling: Tiling, places: Sequence[PlainPlace]) -> Relief:
    """The relief with each cell's depth faded by every place that has a fade: 0 at its border, whole at the fade's end.

    The distance is that of the cell's centre; the fade is smooth at both ends.
    """
    fading = [place for place in places if place.fade_mm > 0.0]
    if not fading:
        return relief
    centre = tiling.kernel[0]
    share = np.ones(tiling.cells)
    for place in fading:
        away = distance_outside(place, *place_map(strip, place).from_strip(centre[:, 0], centre[:, 1]))
        part = np.clip(away / place.fade_mm, 0.0, 1.0)
        share *= part * part * (3.0 - 2.0 * part)
    return replace(relief, depth_share=relief.depth_share * share)


def curved(relief: Relief, strip: PlacedStrip, tiling: Tiling) -> Relief:
    """The relief with each cell's depth as its options' curves and spots have it at the cell's centre."""
    if relief.options.fade is None:
        return relief
    share = depth_factor(strip, relief.options.fade, *tiling.kernel[0].T)
    return replace(relief, depth_share=relief.depth_share * share)
