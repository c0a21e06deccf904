"""The equal-area map (`keep` area): equal areas on the ring are equal areas on the strip.

The Knothe rearrangement: u by the area up to an angle, then v by the area up to a place across, given the angle.
"""

from __future__ import annotations

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.flat_grid import FlatGrid, grid_nodes, section_integral


def equal_area_rate(radius: Floats, length: float) -> Floats:
    """dv / ds on a band of revolution: 2 pi r / length (cylindrical equal-area projection)."""
    return (2.0 * np.pi / length) * radius


def equal_area_grid(band: Band, columns: int, rows: int) -> FlatGrid:
    """The grid of a varying band; its width is the outer face's area / length.

    Parameters:
        band: not a surface of revolution.
        columns, rows: elements round and across.
    Returns: strip coordinates of the grid's nodes.
    """
    theta, nodes = grid_nodes(columns, rows)
    area = section_integral(band, theta, rows, area=True)
    length = band.crown_length
    slice_area = area[:, -1]
    total = 2.0 * np.pi * float(np.mean(slice_area))
    width = total / length
    u = np.repeat((length * _turn_integral(slice_area) / total)[:, None], rows + 1, axis=1)
    return FlatGrid(theta, nodes, u, width * area / slice_area[:, None], length, width)


def _turn_integral(rate: Floats) -> Floats:
    """(n,) integral of a periodic rate from the first node to each node, by its Fourier series."""
    n = len(rate)
    spectrum = np.fft.rfft(rate)
    wave = np.arange(len(spectrum))
    spectrum[1:] /= 1j * wave[1:]
    mean, spectrum[0] = spectrum[0].real / n, 0.0
    if n % 2 == 0:
        spectrum[-1] = 0.0
    ripple = np.fft.irfft(spectrum, n=n)
    turned = 2.0 * np.pi * np.arange(n) / n
    return np.asarray(mean * turned + ripple - ripple[0])
