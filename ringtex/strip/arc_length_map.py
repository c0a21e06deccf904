"""The arc-length map (`keep` length): u by angle, v by arc length across. Isometric on a flat band."""

from __future__ import annotations

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.flat_grid import FlatGrid, grid_nodes, section_integral


def arc_length_rate(radius: Floats, length: float) -> Floats:
    """dv / ds on a band of revolution: 1, at any radius."""
    return np.ones_like(radius)


def arc_length_grid(band: Band, columns: int, rows: int) -> FlatGrid:
    """The grid of a varying band; its width is the mean arc length from edge to edge over one turn.

    Parameters:
        band: not a surface of revolution.
        columns, rows: elements round and across.
    Returns: strip coordinates of the grid's nodes.
    """
    theta, nodes = grid_nodes(columns, rows)
    arc = section_integral(band, theta, rows, area=False)
    length, width = band.crown_length, float(np.mean(arc[:, -1]))
    u = np.repeat(length * (theta[:, None] + np.pi) / (2.0 * np.pi), rows + 1, axis=1)
    return FlatGrid(theta, nodes, u, width * arc / arc[:, -1:], length, width)
