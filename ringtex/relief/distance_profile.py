"""Heights of drawn shapes: a function of the distance from the outline, which is the foot of the relief."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.relief.cell_profile import TERRACES, cell_profile
from ringtex.relief.relief_options import FLANKED, SUNKEN, ReliefOptions

TREAD: Final = 2.0
"""How many times as wide as high the terraces of drawn shapes are: they have no walls whose width could say so."""

KNOTS: Final = 128
"""Steps of a pillow's table: a parabola as deep as any relief lies within 0.02 micrometres of its chords."""


@dataclass(frozen=True, eq=False)
class DistanceProfile:
    """Height over the distance inwards from an outline; level beyond the last knot.

    inward_mm  (k,) knots, from 0.
    height_mm  (k,) heights there over the band's face, mm.
    creases_mm (c,) distances of the curves that a mesh has edges along.
    level_mm   where level tops or floors begin, whatever the chord tolerance; 0 in forms without.
    """

    inward_mm: Floats
    height_mm: Floats
    creases_mm: Floats
    level_mm: float = 0.0

    @property
    def width_mm(self) -> float:
        """Where the relief is level."""
        return float(self.inward_mm[-1])

    def heights(self, inward: Floats) -> Floats:
        """(n,) height over the band's face at distances inwards, mm."""
        return np.interp(inward, self.inward_mm, self.height_mm)

    def slopes(self, inward: Floats) -> Floats:
        """(n,) how steep the relief is there."""
        steps = np.diff(self.height_mm) / np.maximum(np.diff(self.inward_mm), 1e-6)
        return np.concatenate(([0.0], steps, [0.0]))[np.searchsorted(self.inward_mm, inward)]


def distance_profile(options: ReliefOptions, reach_mm: float, chord_mm: float) -> DistanceProfile:
    """The profile of a form over drawn shapes.

    Forms with flanks have their own; pillows and dishes are a parabola that is level at the reach, peaks rise evenly up
    to it. Where a shape is narrower both sides meet lower, in a ridge.

    Parameters:
        options: of the relief; widths of walls do not count.
        reach_mm: distance from the outline, mm, at which forms without flanks have their full depth.
        chord_mm: tolerance of rounded corners and of a parabola between curves, mm.
    Returns: the profile.
    """
    if options.form in FLANKED:
        terrace = TREAD * options.depth_mm / TERRACES
        profile = cell_profile(replace(options, wall_width_mm=0.0, top_size=None), chord_mm, terrace)
        level = float(profile.touch_mm[-1])
        return DistanceProfile(profile.inward_mm, profile.height_mm, profile.inward_mm[1:], level)
    depth = -options.depth_mm if options.form in SUNKEN else options.depth_mm
    if options.form == "peak":
        ends = np.array([0.0, 1.0])
        return DistanceProfile(reach_mm * ends, depth * ends, reach_mm * ends[1:])
    way = np.linspace(0.0, 1.0, KNOTS + 1)
    # A parabola of height d in n steps is followed within d / (4 n^2).
    steps = math.ceil(math.sqrt(options.depth_mm / (4.0 * chord_mm)))
    creases = reach_mm * np.arange(1, steps) / steps
    return DistanceProfile(reach_mm * way, depth * (1.0 - np.square(1.0 - way)), creases)
