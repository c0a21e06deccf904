"""A band's outer face flattened on a grid: what each way of flattening hands over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats

GAUSS_NODES = np.array([-0.8611363115940526, -0.33998104358485626, 0.33998104358485626, 0.8611363115940526])
GAUSS_WEIGHTS = np.array([0.34785484513745357, 0.6521451548625464, 0.6521451548625464, 0.34785484513745357])
"""Gauss-Legendre quadrature with four points: as `np.polynomial.legendre.leggauss`, which would load more of numpy."""


@dataclass(frozen=True, eq=False)
class FlatGrid:
    """Strip places of grid nodes on the band.

    theta (n,): even, from -pi, one turn without its end. xi (m + 1,): even, from -1 to 1.
    u, v (n, m + 1): u grows with theta and gains `length` each turn; v = 0 and `width` on the two edges.
    """

    theta: Floats
    xi: Floats
    u: Floats
    v: Floats
    length: float
    width: float


def grid_nodes(columns: int, rows: int) -> tuple[Floats, Floats]:
    """The even nodes of a flat grid: theta (columns,) and xi (rows + 1,)."""
    theta = -np.pi + 2.0 * np.pi * np.arange(columns) / columns
    return theta, np.linspace(-1.0, 1.0, rows + 1)


def metric_terms(slopes: Floats) -> tuple[Floats, Floats, Floats]:
    """E, F, G of the outer face in (theta, xi) from `Band.profile_slopes`."""
    r, _, r_theta, z_theta, r_xi, z_xi = slopes
    E = r_theta * r_theta + r * r + z_theta * z_theta
    return E, r_theta * r_xi + z_theta * z_xi, r_xi * r_xi + z_xi * z_xi


def section_integral(band: Band, theta: Floats, panels: int, area: bool) -> Floats:
    """Integral along the section from the -z edge of arc length, or of surface area per radian, at even nodes of xi.

    Parameters:
        band: the band.
        theta: (n,) angles, radians.
        panels: intervals of xi, each with four Gauss points.
        area: surface area instead of arc length.
    Returns: (n, panels + 1), mm or mm2.
    """
    middle = -1.0 + (2.0 * np.arange(panels)[:, None] + 1.0 + GAUSS_NODES) / panels
    E, F, G = metric_terms(band.profile_slopes(theta[:, None], middle.ravel()[None, :]))
    rate = np.sqrt(np.maximum(E * G - F * F, 0.0)) if area else np.sqrt(G)
    pieces = rate.reshape(len(theta), panels, 4) @ GAUSS_WEIGHTS / panels
    return np.concatenate((np.zeros((len(theta), 1)), np.cumsum(pieces, axis=1)), axis=1)
