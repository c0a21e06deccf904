"""Smooth figures of the strip at very many places: looked up between a grid's, for colours and not for numbers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats

AROUND: Final = 360
ACROSS: Final = 48
"""Places of the grid: between them the map of a dome is even to a part in a thousand, which no colour shows."""


def sampled_smoothly(
    figure: Callable[[Floats, Floats], Floats], length: float, width: float, places: NDArray[np.floating]
) -> Floats:
    """(n,) a figure of strip places (u, v) at places (n, 2), mm; u of any turn, v held in the strip.

    Parameters:
        figure: of strip positions (u, v).
        length: of one turn of the strip, mm.
        width: of the strip, mm.
        places: (n, 2) positions, mm.
    Returns: (n,) values.
    """
    u, v = np.meshgrid(np.arange(AROUND) * length / AROUND, np.linspace(0.0, width, ACROSS + 1), indexing="ij")
    table = figure(u.ravel(), v.ravel()).reshape(u.shape)
    x = np.mod(places[:, 0], length) * (AROUND / length)
    y = np.clip(places[:, 1] * (ACROSS / width), 0.0, ACROSS)
    i, j = np.minimum(x.astype(np.int64), AROUND - 1), np.minimum(y.astype(np.int64), ACROSS - 1)
    x, y, after = x - i, y - j, (i + 1) % AROUND
    low = table[i, j] + y * (table[i, j + 1] - table[i, j])
    high = table[after, j] + y * (table[after, j + 1] - table[after, j])
    return np.asarray(low + x * (high - low), dtype=np.float64)
