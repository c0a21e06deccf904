"""Where the repeats of a grey picture lie on the strip, and how grey it is at any point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.caches import cached
from ringtex.basics.smooth_curve import smooth_step
from ringtex.pattern.motif.repeats import Repeats
from ringtex.pattern.picture.grey_options import decoded_grey

PAD: Final = 12
"""Pixels added at each border, so that a spline there knows its neighbours; its filter falls to 1e-7 in 12 pixels."""

TRUNCATED: Final = 4.0
"""Widths of a blur's Gaussian at which it ends: 3e-5 of it lies beyond."""

WIDEST: Final = 10.0
"""A blur of ten times the picture's size leaves one grey (exp(-490))."""


@dataclass(frozen=True, eq=False)
class PictureLayout(Repeats):
    """The repeats of one picture.

    cells  (columns, rows) of the tiling, whose cells carry depths and marks.
    """

    cells: tuple[int, int]

    @property
    def pixel_mm(self) -> tuple[float, float]:
        """Length and width of one pixel, mm."""
        rows, columns = decoded_grey(self._grey.pixels).shape
        return self.tile[0] / columns, self.tile[1] / rows

    @property
    def _grey(self) -> Any:
        return self.options.grey

    @property
    def _joins(self) -> bool:
        """Every border meets the opposite border of the same picture."""
        return self.options.alternate == "none" and self.options.arrangement == "straight" and self._grey.blend == 0.0

    def cells_at(self, points: Floats) -> Longs:
        """(n,) the cell of the tiling that each point (n, 2) lies in."""
        columns, rows = self.cells
        column = np.floor(points[:, 0] / self.part.length * columns).astype(np.int64) % columns
        row = np.floor((points[:, 1] - self.part.lower) / self.part.width * rows).astype(np.int64)
        return np.asarray(np.clip(row, 0, rows - 1) * columns + column)

    def height_fraction(self, u: Floats, v: Floats) -> Floats:
        """How high the picture stands, 0 to 1: the interpolating cubic B-spline of the blurred samples, clipped.

        Parameters:
            u, v: (n,) positions on the strip, mm.
        Returns: (n,).
        """
        # Where neighbours are staggered along one axis, the borders along the other run straight: those come last.
        found = self._blended(u, v, (1, 0) if self.is_half_drop else (0, 1))
        found = np.clip(found, 0.0, 1.0)
        return np.asarray(1.0 - found if self._grey.high == "black" else found)

    def _blended(self, u: Floats, v: Floats, axes: tuple[int, ...]) -> Floats:
        """Grey blended at the borders across these axes, the last one's over the others'."""
        if not axes:
            return self._plain(u, v)
        inner, axis = axes[:-1], axes[-1]
        found = self._blended(u, v, inner)
        blend = self._grey.blend
        if blend > 0.0:
            at = (u, v)[axis]
            weight, mirrored = _across_border(self.repeat_at(u, v)[2 + axis], at, self.tile[axis], blend)
            chosen = weight > 0.0
            if axis == 1:
                # The patterned part's own borders meet nothing.
                chosen &= (mirrored >= self.part.lower) & (mirrored <= self.part.upper)
            some = np.flatnonzero(chosen)
            there = (mirrored[some], v[some]) if axis == 0 else (u[some], mirrored[some])
            found[some] += weight[some] * (self._blended(*there, inner) - found[some])
        return found

    def _sampled(self, column: Floats, row: Floats, x: Floats, y: Floats) -> Floats:
        """Grey at a fraction of a repeat."""
        if self.options.alternate != "none":
            odd = (column + row) % 2 == 1
            x = np.where(odd, 1.0 - x, x)
            y = np.where(odd & (self.options.alternate == "turned"), 1.0 - y, y)
        sigma = tuple(self._grey.smooth_mm / size for size in self.pixel_mm)
        return spline_at(_spline(self._grey.pixels, sigma, self._joins), x, y)

    def _plain(self, u: Floats, v: Floats) -> Floats:
        """Grey without blending."""
        column, row, x, y = self.repeat_at(u, v)
        return self._sampled(column, row, x, y)


def _across_border(place: Floats, at: Floats, size: float, blend: float) -> tuple[Floats, Floats]:
    """How much the neighbour counts, 0.5 at a border, and the position mirrored at the nearest border.

    Parameters:
        place: (n,) position within a repeat, 0 to 1.
        at: (n,) the same on the strip, mm.
        size: of a repeat, mm.
        blend: of a repeat, where the neighbour counts.
    Returns: (n,) weights and (n,) mm.
    """
    fraction = np.clip(1.0 - np.minimum(place, 1.0 - place) / blend, 0.0, 1.0)
    # A hair beyond the border, so that a point on it finds the other side.
    step = np.where(place < 0.5, -2.0 * place - 1e-9, 2.0 * (1.0 - place) + 1e-9) * size
    return 0.5 * smooth_step(fraction), np.asarray(at + step)


@cached(4)
def _spline(text: str, sigma: tuple[float, float], joins: bool) -> Any:
    """Coefficients of the blurred picture, padded by its opposite border where repeats join, else by its mirror."""
    from scipy import ndimage

    grey = decoded_grey(text)
    for axis, along in enumerate((sigma[1], sigma[0])):
        grey = _blurred(grey, axis, along, joins)
    return ndimage.spline_filter(np.pad(grey, PAD, mode="wrap" if joins else "symmetric"), order=3, mode="mirror")


def _blurred(grey: Floats, axis: int, sigma: float, joins: bool) -> Floats:
    """The picture blurred along an axis by a Gaussian of sigma pixels, periodic where it joins, else mirrored.

    A wide blur is a product of spectra, whose work does not grow with sigma.
    """
    from scipy import fft, ndimage

    size = grey.shape[axis]
    if sigma <= 0.0:
        return grey
    if TRUNCATED * sigma <= size:
        mode = "grid-wrap" if joins else "reflect"
        return np.asarray(ndimage.gaussian_filter1d(grey, sigma, axis, mode=mode, truncate=TRUNCATED))
    spectrum = fft.rfft(grey, axis=axis) if joins else fft.dct(grey, axis=axis)
    waves = np.arange(spectrum.shape[axis]) / (size if joins else 2 * size)
    kept = np.exp(-2.0 * np.square(np.pi * min(sigma, WIDEST * size) * waves))
    spectrum = spectrum * np.expand_dims(kept, 1 - axis)
    return np.asarray(fft.irfft(spectrum, n=size, axis=axis) if joins else fft.idct(spectrum, axis=axis))


def spline_at(coefficients: Floats, x: Floats, y: Floats) -> Floats:
    """The spline at fractions of the picture.

    Parameters:
        coefficients: padded by PAD.
        x, y: (n,) from the left and from below, 0 to 1.
    Returns: (n,) grey.
    """
    from scipy import ndimage

    rows, columns = (size - 2 * PAD for size in coefficients.shape)
    places = np.stack(((1.0 - y) * rows - 0.5 + PAD, x * columns - 0.5 + PAD))
    return np.asarray(ndimage.map_coordinates(coefficients, places, order=3, prefilter=False, mode="nearest"))
