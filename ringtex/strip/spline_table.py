"""Smooth tables over the strip: tensor cubic B-splines, periodic one way, many columns at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

_CUBIC = np.array([[1, -3, 3, -1], [4, 0, -6, 3], [1, 3, 3, -3], [0, 0, 0, 1]]) / 6.0
"""Rows: the four basis functions that reach a span; columns: powers of the place within it."""


def _weights(place: Floats, order: int) -> Floats:
    """(4, n) weights of the four basis functions at a place in [0, 1] of a span, or their derivatives."""
    powers = _CUBIC
    for _ in range(order):
        powers = powers[:, 1:] * np.arange(1.0, powers.shape[1])
    total = np.repeat(powers[:, -1:], len(place), axis=1)
    for column in range(powers.shape[1] - 2, -1, -1):
        total = total * place + powers[:, column, None]
    return total


def _periodic_coefficients(values: Floats) -> Floats:
    """Coefficients (n, ...) of the periodic cubic spline through n even nodes: circulant, solved by Fourier."""
    n = len(values)
    symbol = (2.0 + np.cos(2.0 * np.pi * np.arange(n // 2 + 1) / n)) / 3.0
    spectrum = np.fft.rfft(values, axis=0) / symbol.reshape(-1, *[1] * (values.ndim - 1))
    # Basis functions are numbered from the span's first one, which peaks one node earlier.
    return np.roll(np.fft.irfft(spectrum, n=n, axis=0), 1, axis=0)


def _open_matrix(m: int, level_ends: bool) -> Floats:
    """(m + 3, m + 3) collocation at m + 1 even nodes; both ends are level, or closed by the not-a-knot condition."""
    matrix = np.zeros((m + 3, m + 3))
    for node in range(m + 1):
        matrix[node, node : node + 3] = np.array([1.0, 4.0, 1.0]) / 6.0
    if level_ends:
        matrix[m + 1, 0:3] = matrix[m + 2, m : m + 3] = [-1.0, 0.0, 1.0]
        return matrix
    # Fourth differences of the coefficients are the jumps of the third derivative.
    matrix[m + 1, 0:5] = matrix[m + 2, m - 2 : m + 3] = [1.0, -4.0, 6.0, -4.0, 1.0]
    return matrix


class SplineTable:
    """A C2 function of (turn, w) with several columns, through values on an even grid.

    Parameters: values (n, m + 1, c): turn = i / n (periodic), w = j / m (both ends included), m >= 4. level_ends: the
    function is known to be level in w at both ends.
    `at` costs about 0.2 us a place, however fine the grid.
    """

    def __init__(self, values: Floats, level_ends: bool = False) -> None:
        self.around, nodes, self.columns = values.shape
        self.across = nodes - 1
        coefficients = _periodic_coefficients(values)
        rows = np.moveaxis(coefficients, 1, 0).reshape(nodes, -1)
        solved = np.linalg.solve(
            _open_matrix(self.across, level_ends), np.concatenate((rows, np.zeros((2, rows.shape[1]))))
        )
        table = np.moveaxis(solved.reshape(nodes + 2, self.around, self.columns), 0, 1)
        # Three more rows, so that the four that reach a span are found without wrapping.
        self._table = np.ascontiguousarray(np.concatenate((table, table[:3]))).reshape(-1, self.columns)

    def _locate(self, turn: Floats, w: Floats) -> tuple[Ints, Floats, Floats]:
        around = (turn - np.floor(turn)) * self.around
        column = np.minimum(around.astype(np.int32), self.around - 1)
        across = w * self.across
        row = np.clip(across.astype(np.int32), 0, self.across - 1)
        return column * np.int32(self.across + 3) + row, around - column, across - row

    def _combine(self, base: Ints, in_turn: Floats, in_w: Floats) -> Floats:
        from scipy.sparse import csr_array

        n = len(base)
        steps = (
            np.arange(4, dtype=np.int32)[:, None] * np.int32(self.across + 3) + np.arange(4, dtype=np.int32)
        ).ravel()
        index = base[:, None] + steps
        weight = np.empty((n, 4, 4))
        np.multiply(in_turn.T[:, :, None], in_w.T[:, None, :], out=weight)
        pointer = np.arange(0, 16 * n + 1, 16, dtype=np.int32)
        matrix = csr_array((weight.ravel(), index.ravel(), pointer), shape=(n, len(self._table)))
        return np.asarray(matrix @ self._table)

    def at(self, turn: Floats, w: Floats) -> Floats:
        """(n, c) values at turn (any number, periodic 1) and w in [0, 1], each (n,)."""
        base, place_turn, place_w = self._locate(turn, w)
        return self._combine(base, _weights(place_turn, 0), _weights(place_w, 0))

    def with_slopes(self, turn: Floats, w: Floats) -> tuple[Floats, Floats, Floats]:
        """Values, derivatives by turn, derivatives by w: (n, c) each."""
        base, place_turn, place_w = self._locate(turn, w)
        along, over = _weights(place_turn, 0), _weights(place_w, 0)
        by_turn = self._combine(base, _weights(place_turn, 1) * self.around, over)
        by_w = self._combine(base, along, _weights(place_w, 1) * self.across)
        return self._combine(base, along, over), by_turn, by_w
