"""How closely a varying band's tables need nodes across: by how fast its outward normal turns."""

from __future__ import annotations

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.grid_inverse import GridInverse

BINS = 2048
MIN_NODES = 48
"""Nodes across that even a band with a straight section gets."""
TURN_PER_NODE = 0.16
"""Radians that the normal may turn from node to node: cubic tables then keep places within 1e-5 mm (see the tests)."""
CHANGE_PER_NODE, CHANGE_PER_CREASED_NODE = 0.9, 0.5
"""Natural logarithms by which the turning itself may change from node to node: what finds a shallow crease."""
MIN_RATE = 0.5
"""Radians per unit; slower turning than this counts as none."""
MAX_NODES = 320
SMOOTHING = 4.0
"""Spacing changes over this many nodes, so that the tables stay smooth in the node number."""

_ANGLES = 48
_PANELS = 512


def node_density(band: Band, inverse: GridInverse, width: float, clustered: bool) -> Floats:
    """Nodes per unit of the base coordinate, symmetric about the crown; the mean is the node count.

    Parameters:
        band: not a surface of revolution.
        inverse: its flattened grid.
        width: of the strip, mm.
        clustered: the base coordinate is arccos(1 - 2 v / width) / pi instead of v / width.
    Returns: (BINS + 1,) at even base coordinates in [0, 1].
    """
    turned = _turning(band, inverse, width, clustered)
    per_node = CHANGE_PER_CREASED_NODE if band.section.crease else CHANGE_PER_NODE
    rate = np.gradient(turned, axis=1) * BINS
    change = np.abs(np.gradient(np.log(rate + MIN_RATE), axis=1)) * BINS
    density = MIN_NODES + rate.max(axis=0) / TURN_PER_NODE + change.max(axis=0) / per_node
    density = np.maximum(density, density[::-1])
    for _ in range(2):
        density = _smoothed(density)
    density = 0.5 * (density + density[::-1])
    nodes = float(np.mean(0.5 * (density[1:] + density[:-1])))
    return np.asarray(density * min(1.0, MAX_NODES / nodes))


def _turning(band: Band, inverse: GridInverse, width: float, clustered: bool) -> Floats:
    """(angles, BINS + 1) radians turned by the section's normal up to each even place of the base coordinate."""
    theta = (-np.pi + 2.0 * np.pi * np.arange(_ANGLES) / _ANGLES)[:, None]
    # Up to the crown line, as sections are symmetric; just inside: a half-ellipse without rise stands still at edges.
    xi = np.linspace(-1.0, 0.0, _PANELS // 2 + 1)[None, :] * (1.0 - 1e-6)
    slopes = band.profile_slopes(theta, xi)
    heading = np.unwrap(np.arctan2(slopes[4], slopes[5]), axis=1)
    turned = np.cumsum(np.abs(np.diff(heading, axis=1, prepend=heading[:, :1])), axis=1)
    _, v = inverse.guess(*(grid.ravel() for grid in np.broadcast_arrays(theta, xi)))
    share = np.clip(np.maximum.accumulate(v.reshape(heading.shape), axis=1) / width, 0.0, 0.5)
    base = np.arccos(1.0 - 2.0 * share) / np.pi if clustered else share
    place = np.linspace(0.0, 0.5, BINS // 2 + 1)
    lower = np.stack([np.interp(place, base[row], turned[row]) for row in range(_ANGLES)])
    return np.concatenate((lower, 2.0 * lower[:, -1:] - lower[:, -2::-1]), axis=1)


def _smoothed(density: Floats) -> Floats:
    """The density averaged over SMOOTHING nodes to each side, in the node number."""
    number = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1])))) / BINS
    step = 0.125
    even = np.arange(0.0, number[-1] + step, step)
    place = np.interp(even, number, np.linspace(0.0, 1.0, len(number)))
    value = np.interp(place, np.linspace(0.0, 1.0, len(number)), density)
    reach = int(4.0 * SMOOTHING / step)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) * step / SMOOTHING) ** 2)
    padded = np.pad(value, reach, mode="reflect") if len(value) > reach else np.pad(value, reach, mode="edge")
    smooth = np.convolve(padded, kernel / kernel.sum(), mode="valid")
    return np.asarray(np.interp(number, even, smooth))
