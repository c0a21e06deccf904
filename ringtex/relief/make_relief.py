"""The relief of a whole pattern: one profile, and how deep each cell is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.relief.cell_profile import CellProfile, cell_profile
from ringtex.relief.relief_options import ReliefOptions

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Relief:
    """The profile that all cells share, and each cell's depth as a share of the asked depth.

    depth_share (cells,) float64 in [0, 1]. A shallower cell keeps its flank's slope: its flank is as much narrower.
    """

    options: ReliefOptions
    profile: CellProfile
    depth_share: Floats


def make_relief(cells: int, options: ReliefOptions, chord_mm: float) -> Relief:
    """The relief for a number of cells; the same options and seed always give the same depths."""
    drawn = np.random.Generator(np.random.PCG64(options.seed)).random(cells)
    return Relief(options, cell_profile(options, chord_mm), 1.0 - options.depth_scatter * drawn)
