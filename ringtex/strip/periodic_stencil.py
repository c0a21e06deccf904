"""Symmetric nine-point operators on a grid that is periodic one way, and their linear systems.

Systems are solved by conjugate gradients (Hestenes and Stiefel 1952), preconditioned by the operator's mean over all
columns: Fourier round, a tridiagonal system across for each mode (Concus and Golub 1973). All sums are numpy's own, so
that the bytes are the same with any number of threads.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import SOLVED_SHARE

MAX_STEPS = 2000
"""Of either system: a dome takes 36, bands that vary wildly up to a hundred."""


@dataclass(frozen=True, eq=False)
class PeriodicStencil:
    """What couples the nodes (m, n), m rows across and n columns round, to themselves and to their neighbours.

    centre, ahead: (m, n) of each node with itself, and with the next column. over, rising, falling: (m - 1, n) of the
    upper node with the lower one of its column, of the far upper corner with the near lower one, and of the near upper
    corner with the far lower one.
    """

    centre: Floats
    ahead: Floats
    over: Floats
    rising: Floats
    falling: Floats

    @classmethod
    def from_elements(cls, elements: Floats) -> PeriodicStencil:
        """The sum of bilinear elements.

        Parameters:
            elements: (4, 4, m - 1, n) matrix of each element; corners (0, 0), (1, 0), (0, 1), (1, 1) in column and row.
        Returns: the operator on the m rows of nodes.
        """
        centre = node_sums(np.stack([elements[corner, corner] for corner in range(4)]))
        ahead = np.zeros_like(centre)
        ahead[:-1] = elements[0, 1]
        ahead[1:] += elements[2, 3]
        over = elements[0, 2] + np.roll(elements[1, 3], 1, axis=1)
        return cls(centre, ahead, over, elements[0, 3], elements[1, 2])

    def without_ends(self) -> PeriodicStencil:
        """The operator on all rows but the first and the last, where those are held."""
        return PeriodicStencil(
            self.centre[1:-1], self.ahead[1:-1], self.over[1:-1], self.rising[1:-1], self.falling[1:-1]
        )

    def __matmul__(self, x: Floats) -> Floats:
        """The operator's product with values (m, n)."""
        next_x = np.roll(x, -1, axis=1)
        product = self.centre * x
        product += self.ahead * next_x
        product[:-1] += self.over * x[1:]
        product[1:] += self.over * x[:-1]
        product[:-1] += self.rising * next_x[1:]
        product[1:] += self.falling * next_x[:-1]
        to_next = self.ahead * x
        to_next[1:] += self.rising * x[:-1]
        to_next[:-1] += self.falling * x[1:]
        product += np.roll(to_next, 1, axis=1)
        return product

    def solve(self, right: Floats, energy: float = 0.0) -> Floats:
        """Values whose product is `right`; the operator is positive definite, or rows add up to 0 and so does `right`:
        then one solution of those that differ by a constant.

        Parameters:
            right: (m, n).
            energy: of the function that the values are a part of. Where they are hardly any, `right` is rounding:
                neither does it add up to 0, nor does it grow smaller.
        Returns: (m, n) values, the energy of whose error is under SOLVED_SHARE^2 of theirs or of the one given.
        Raises: InputError where the steps do not settle.
        """
        preconditioner = _MeanInverse(self)
        x, residual = np.zeros_like(right), right.copy()
        direction = preconditioner(residual)
        size = inner_product(residual, direction)
        small = max(size, energy) * SOLVED_SHARE**2
        for _ in range(MAX_STEPS):
            if size <= small:
                return x
            image = self @ direction
            step = size / inner_product(direction, image)
            x += step * direction
            residual -= step * image
            correction = preconditioner(residual)
            former, size = size, inner_product(residual, correction)
            direction *= size / former
            direction += correction
        raise InputError(
            f"Flattening this band did not settle in {MAX_STEPS} steps",
            "Make the stations more alike or move them apart",
            "band.stations",
        )


class _MeanInverse:
    """The inverse of a stencil's mean over all columns: real symmetric tridiagonal for each Fourier mode."""

    def __init__(self, stencil: PeriodicStencil) -> None:
        centre, ahead, over, rising, falling = (part.mean(axis=1)[:, None] for part in astuple(stencil))
        self._columns = stencil.centre.shape[1]
        # Modes come as pairs of real and imaginary part.
        cosine = np.repeat(np.cos(2.0 * np.pi * np.arange(self._columns // 2 + 1) / self._columns), 2)
        pivot, beside = centre + 2.0 * ahead * cosine, over + (rising + falling) * cosine
        # Where constants cost nothing, mode 0 has no inverse; any positive value there will do.
        pivot[0, :2] *= 2.0
        self._factor = np.empty_like(beside)
        for row in range(len(beside)):
            self._factor[row] = beside[row] / pivot[row]
            pivot[row + 1] -= self._factor[row] * beside[row]
        self._inverse = 1.0 / pivot

    def __call__(self, right: Floats) -> Floats:
        spectrum = np.fft.rfft(right, axis=1)
        modes = spectrum.view(np.float64)
        for row, factor in enumerate(self._factor):
            modes[row + 1] -= factor * modes[row]
        modes *= self._inverse
        for row in range(len(modes) - 2, -1, -1):
            modes[row] -= self._factor[row] * modes[row + 1]
        return np.asarray(np.fft.irfft(spectrum, n=self._columns, axis=1))


def node_sums(corners: Floats) -> Floats:
    """(m, n) at each node the sum of what the elements round it have there: (4, m - 1, n) at their corners (0, 0),
    (1, 0), (0, 1), (1, 1) in column and row."""
    found = np.zeros((corners.shape[1] + 1, corners.shape[2]))
    found[:-1] = corners[0] + np.roll(corners[1], 1, axis=1)
    found[1:] += corners[2] + np.roll(corners[3], 1, axis=1)
    return found


def inner_product(a: Floats, b: Floats) -> float:
    """The scalar product; a BLAS sums in another order with another number of threads."""
    return float(np.sum(a * b))
