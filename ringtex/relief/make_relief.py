"""The relief of a whole pattern: one profile, and how deep each cell is."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ringtex.basics.arrays import Bools, Floats
from ringtex.relief.cell_edits import DEEPEST
from ringtex.relief.cell_profile import CellProfile, cell_profile
from ringtex.relief.relief_options import ReliefOptions


@dataclass(frozen=True, eq=False)
class Relief:
    """The profile that all cells share, and each cell's depth as a share of the asked depth.

    depth_share (cells,) float64 in [-2, 2]; below 0 the cell goes the other way. A shallower cell keeps its flank's
    slope: its flank is as much narrower. rounding_share (cells,) is each cell's rounding as a share of the options';
    None where all have that. level (cells,) marks those that the pattern wants without any relief, such as the veins of
    a leaf: their mesh has no offset loops; None where there are none.
    """

    options: ReliefOptions
    profile: CellProfile
    depth_share: Floats
    rounding_share: Floats | None = None
    level: Bools | None = None


def make_relief(
    cells: int,
    options: ReliefOptions,
    chord_mm: float,
    given: Floats | None = None,
    scale: Floats | None = None,
    rounding: Floats | None = None,
    level: Bools | None = None,
) -> Relief:
    """The relief for a number of cells; the same options and seed always give the same depths.

    Parameters:
        cells: how many.
        options: as asked for.
        chord_mm: largest distance between a rounded corner and its chords.
        given: (cells,) depths set by hand, as multiples of the relief's; NaN leaves a cell as it is drawn.
        scale: (cells,) what all that is multiplied by, -2 to 2; None: nothing.
        rounding: (cells,) roundings, 0 to 1, in place of the options'; None: theirs.
        level: (cells,) which have no depth and sharp corners whatever is asked; None: none.
    Returns: the profile and each cell's depth.
    """
    share = np.ones(cells)
    if options.depth_scatter:
        share -= options.depth_scatter * np.random.Generator(np.random.PCG64(options.seed)).random(cells)
    if given is not None:
        share = np.where(np.isnan(given), share, given)
    if scale is not None:
        share = np.clip(scale * share, -DEEPEST, DEEPEST)
    if level is not None:
        share = np.where(level, 0.0, share)
        rounding = np.where(level, 0.0, options.rounding if rounding is None else rounding)
    rounding_share = None
    if rounding is not None:
        most = float(np.max(rounding))
        options = replace(options, rounding=most)
        rounding_share = rounding / most if most > 0.0 else None
    # The profile is stretched in deeper cells, and its corners' chords with it.
    deepest = max(1.0, float(np.max(np.abs(share))))
    return Relief(options, cell_profile(options, chord_mm / deepest), share, rounding_share, level)
