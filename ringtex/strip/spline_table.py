"""Smooth tables over the strip: tensor cubic B-splines, periodic one way, many columns at once."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints, Longs

PLACES_AT_ONCE = 4096
"""Their rows stay in a core's own cache."""

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
    m = len(values) - 1
    solved = np.empty((m + 3, *values.shape[1:]))
    found = solved[1:-1]
    found[:] = 6.0 * values
    if level_ends:
        found[0] *= 0.5
        found[m] *= 0.5
        _solve_between_ones(found, 2.0)
    else:
        # The third derivative does not jump at the first inner knot, which leaves one unknown there.
        for node, inner, end in ((1, 2, 0), (m - 1, m - 2, m)):
            found[node] = (8.0 * values[node] - values[end] - values[inner]) / 6.0
        found[2] -= found[1]
        found[m - 2] -= found[m - 1]
        _solve_between_ones(found[2 : m - 1], 4.0)
        for node, inner, end in ((1, 2, 0), (m - 1, m - 2, m)):
            found[end] = 6.0 * values[node] - 4.0 * found[node] - found[inner]
    solved[0] = found[1] if level_ends else 6.0 * values[0] - 4.0 * found[0] - found[1]
    solved[-1] = found[m - 1] if level_ends else 6.0 * values[m] - 4.0 * found[m] - found[m - 1]
    return solved


def _solve_between_ones(right: Floats, at_ends: float) -> None:
    """Solve, in place, the tridiagonal system with 4 in the diagonal, but `at_ends` in its first and last row, and 1
    beside it."""
    last = len(right) - 1
    factor = np.empty(len(right))
    pivot = at_ends
    for row in range(1, len(right)):
        factor[row] = 1.0 / pivot
        right[row] -= factor[row] * right[row - 1]
        pivot = (at_ends if row == last else 4.0) - factor[row]
    right[last] /= pivot
    for row in range(last, 0, -1):
        right[row - 1] -= right[row]
        right[row - 1] *= factor[row]


def _span(place: Floats, spans: int) -> tuple[Ints, Floats]:
    """Which of so many even spans of [0, 1] places (n,) lie in, and where within it."""
    along = place * spans
    span = np.clip(along.astype(np.int32), 0, spans - 1)
    return span, along - span


class PeriodicSpline:
    """A C2 function of one turn with several columns, through values (n, c) at even turns i / n."""

    def __init__(self, values: Floats) -> None:
        self.around = len(values)
        coefficients = _periodic_coefficients(values)
        self._coefficients = np.concatenate((coefficients, coefficients[:3]))

    def at(self, turn: Floats, order: int = 0) -> Floats:
        """(m, c) values at turns (m,) of any size, or their derivatives of an order up to 3."""
        span, place = _span(turn - np.floor(turn), self.around)
        parts = _weights(place, order)[..., None] * float(self.around) ** order
        return np.asarray(sum(part * self._coefficients[span + number] for number, part in enumerate(parts)))


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

    @cached_property
    def _pairs(self) -> NDArray[np.complex128]:
        """(pairs, rows of the table): two columns each as one complex number, the last alone if they are odd."""
        padded = np.pad(self._table, ((0, 0), (0, self.columns % 2)))
        return np.ascontiguousarray(padded.view(np.complex128).T)

    def _locate(self, turn: Floats, w: Floats) -> tuple[Ints, Floats, Floats]:
        column, place_turn = _span(turn - np.floor(turn), self.around)
        row, place_w = _span(w, self.rows)
        return column * np.int32(self.rows + 3) + row, place_turn, place_w

    def _sums(self, base: Ints, weights: Sequence[tuple[Floats, Floats]]) -> list[Floats]:
        """(n, c) each: sums of the 16 rows of the table that reach a place, by products of its weights by turn and by
        w, (4, n) each.

        For more than two columns a sparse product takes two thirds of the time, to the same bytes: where scipy is
        there. Its import takes as long as three million places.
        """
        rows = np.arange(4)[:, None] * (self.rows + 3)
        steps = (rows + np.arange(4)).ravel()
        if self.columns > 2 and "scipy.sparse" in sys.modules:
            return [self._sparse_product(base, steps, *each) for each in weights]
        total = np.empty((len(weights), len(base), len(self._pairs)), dtype=np.complex128)
        for start in range(0, len(base), PLACES_AT_ONCE):
            part = slice(start, start + PLACES_AT_ONCE)
            first = base[part].astype(np.intp)
            found = np.empty((len(self._pairs), len(first)), dtype=np.complex128)
            scaled = np.empty_like(found)
            sums = np.zeros((len(weights), *found.shape), dtype=np.complex128)
            for number, step in enumerate(steps):
                np.take(self._pairs, first + step, axis=1, out=found, mode="clip")
                for (in_turn, in_w), each in zip(weights, sums, strict=True):
                    each += np.multiply(found, in_turn[number // 4, part] * in_w[number % 4, part], out=scaled)
            total[:, part] = sums.swapaxes(1, 2)
        return list(total.view(np.float64)[..., : self.columns])

    def _sparse_product(self, base: Ints, steps: Longs, in_turn: Floats, in_w: Floats) -> Floats:
        from scipy.sparse import csr_array

        weight = np.empty((len(base), 4, 4))
        np.multiply(in_turn.T[:, :, None], in_w.T[:, None, :], out=weight)
        columns = (base[:, None] + steps.astype(np.int32)).ravel()
        pointer = np.arange(0, 16 * len(base) + 1, 16, dtype=np.int32)
        matrix = csr_array((weight.ravel(), columns, pointer), shape=(len(base), len(self._table)))
        return np.asarray(matrix @ self._table)

    def at(self, turn: Floats, w: Floats) -> Floats:
        """(n, c) values at turn (any number, periodic 1) and w in [0, 1], each (n,)."""
        base, place_turn, place_w = self._locate(turn, w)
        return self._sums(base, [(_weights(place_turn, 0), _weights(place_w, 0))])[0]

    def on_grid(self, turn: Floats, w: Floats, by_turn: int = 0, by_w: int = 0) -> Floats:
        """(a, b, c) values at every turn (a,) and every w (b,): as `at`, far faster.

        Parameters:
            turn: any numbers, periodic 1.
            w: in [0, 1].
            by_turn, by_w: orders of the derivative to take.
        Returns: the values, or derivatives.
        """
        column, place_turn = _span(turn - np.floor(turn), self.around)
        row, place_w = _span(w, self.rows)
        table = self._table.reshape(self.around + 3, self.rows + 3, self.columns)
        parts = _weights(place_turn, by_turn)[..., None, None] * float(self.around) ** by_turn
        columns = sum(part * table[column + number] for number, part in enumerate(parts))
        parts = _weights(place_w, by_w)[..., None] * float(self.rows) ** by_w
        return np.asarray(sum(part * columns[:, row + number] for number, part in enumerate(parts)))

    def with_slopes(self, turn: Floats, w: Floats) -> tuple[Floats, Floats, Floats]:
        """Values, derivatives by turn, derivatives by w: (n, c) each."""
        base, place_turn, place_w = self._locate(turn, w)
        along, over = _weights(place_turn, 0), _weights(place_w, 0)
        slopes = _weights(place_turn, 1) * self.around, _weights(place_w, 1) * self.rows
        values, by_turn, by_w = self._sums(base, [(along, over), (slopes[0], over), (along, slopes[1])])
        return values, by_turn, by_w
