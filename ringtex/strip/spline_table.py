"""Smooth tables over the strip: tensor cubic B-splines, periodic one way, many columns at once."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Floats, Ints

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


def _open_coefficients(values: Floats, level_ends: bool) -> Floats:
    """Coefficients (m + 3, ...) of the cubic spline through m + 1 even nodes; ends level, or by not-a-knot."""
    from scipy.linalg import solve_banded

    m = len(values) - 1
    band = np.zeros((9, m + 3))  # row 4 + i - j holds what stands in row i, column j
    nodes = np.arange(m + 1)
    for column, weight in enumerate((1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0)):
        band[5 - column, nodes + column] = weight
    # Fourth differences of the coefficients are the jumps of the third derivative at the first inner knot.
    end = [-1.0, 0.0, 1.0] if level_ends else [1.0, -4.0, 6.0, -4.0, 1.0]
    for column, weight in enumerate(end):
        band[4 - column, column] = band[4 + column, m + 2 - column] = weight
    nothing = np.zeros((1, values.shape[1]))
    return np.asarray(solve_banded((4, 4), band, np.concatenate((nothing, values, nothing))))


def _span(place: Floats, spans: int) -> tuple[Ints, Floats]:
    """Which of so many even spans of [0, 1] places (n,) lie in, and where within it."""
    along = place * spans
    span = np.clip(along.astype(np.int32), 0, spans - 1)
    return span, along - span


class SplineTable:
    """A C2 function of (turn, w) with several columns, through values on an even grid.

    Parameters: values (n, m + 1, c): turn = i / n (periodic), w = j / m (both ends included), m >= 4. level_ends: the
    function is known to be level in w at both ends.
    `at` costs about 0.2 us a place, however fine the grid.
    """

    def __init__(self, values: Floats, level_ends: bool = False) -> None:
        self.around, nodes, self.columns = values.shape
        self.rows = nodes - 1
        coefficients = _periodic_coefficients(values)
        rows = np.moveaxis(coefficients, 1, 0).reshape(nodes, -1)
        solved = _open_coefficients(rows, level_ends)
        table = np.moveaxis(solved.reshape(nodes + 2, self.around, self.columns), 0, 1)
        # Three more rows, so that the four that reach a span are found without wrapping.
        self._table = np.ascontiguousarray(np.concatenate((table, table[:3]))).reshape(-1, self.columns)

    def _locate(self, turn: Floats, w: Floats) -> tuple[Ints, Floats, Floats]:
        column, place_turn = _span(turn - np.floor(turn), self.around)
        row, place_w = _span(w, self.rows)
        return column * np.int32(self.rows + 3) + row, place_turn, place_w

    def _combine(self, base: Ints, in_turn: Floats, in_w: Floats) -> Floats:
        from scipy.sparse import csr_array

        n = len(base)
        steps = (np.arange(4, dtype=np.int32)[:, None] * np.int32(self.rows + 3) + np.arange(4, dtype=np.int32)).ravel()
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

    def on_grid(self, turn: Floats, w: Floats) -> Floats:
        """(a, b, c) values at every turn (a,) and every w (b,): as `at`, far faster."""
        column, place_turn = _span(turn - np.floor(turn), self.around)
        row, place_w = _span(w, self.rows)
        table = self._table.reshape(self.around + 3, self.rows + 3, self.columns)
        parts = _weights(place_turn, 0)[..., None, None]
        columns = sum(part * table[column + number] for number, part in enumerate(parts))
        parts = _weights(place_w, 0)[..., None]
        return np.asarray(sum(part * columns[:, row + number] for number, part in enumerate(parts)))

    def with_slopes(self, turn: Floats, w: Floats) -> tuple[Floats, Floats, Floats]:
        """Values, derivatives by turn, derivatives by w: (n, c) each."""
        base, place_turn, place_w = self._locate(turn, w)
        along, over = _weights(place_turn, 0), _weights(place_w, 0)
        by_turn = self._combine(base, _weights(place_turn, 1) * self.around, over)
        by_w = self._combine(base, along, _weights(place_w, 1) * self.rows)
        return self._combine(base, along, over), by_turn, by_w
