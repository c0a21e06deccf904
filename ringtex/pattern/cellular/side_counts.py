"""How many sides the cells of sites have, without putting the cells together: for trying many sites."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.pattern.cellular.lloyd_relaxation import mirrored_copies
from ringtex.pattern.cellular.regular_triangulation import regular_triangulation
from ringtex.pattern.patterned_part import PatternedPart

REACH: Final = 4.0
"""Copies beyond the borders and the seam are made this many usual distances deep: more than relaxed cells span."""


def defects(part: PatternedPart, sites: Floats) -> tuple[NDArray[np.bool_], float]:
    """(n,) whether a site's cell is an inner one with other than six sides, and the share of six among inner ones."""
    points, home, real = mirrored_copies(part, sites, REACH * math.sqrt(part.area / len(sites)))
    triangles = regular_triangulation(points)
    own = triangles[np.any(real[triangles], axis=1)]
    sides = np.bincount(own.ravel(), minlength=len(points))[: len(sites)]
    border = np.zeros(len(sites), np.bool_)
    for k in range(3):
        # A cell on a border meets its own mirror image there.
        a, b = own[:, k], own[:, (k + 1) % 3]
        border[home[a][home[a] == home[b]]] = True
    odd = ~border & (sides != 6)
    inner = int(np.sum(~border))
    return odd, 1.0 - float(np.sum(odd)) / inner if inner else 0.0
