"""Where the repeats of an own motif lie on the strip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.motif.motif_options import MotifOptions, decoded_outline
from ringtex.pattern.motif.motif_outline import GRID
from ringtex.pattern.motif.repeats import Repeats


@dataclass(frozen=True, eq=False)
class MotifLayout(Repeats):
    """The repeats of one outline, which the motif has in steps."""

    @property
    def columns(self) -> int:
        """Repeats round the ring after which the pattern is the same again."""
        return 1 if self.options.alternate == "none" else 2

    @property
    def period(self) -> float:
        """The same in mm."""
        return self.tile[0] * self.columns

    def shapes(self, columns: range) -> Any:
        """The joined outline of all repeats in so many columns, mm on the strip; u runs on, below 0 and beyond a turn.

        Clipped to the patterned part, whose borders count as outline.
        """
        outline = decoded_outline(self.options.outline)
        copies = [_placed(outline, self._matrix(i, j)) for i in columns for j in self._rows()]
        joined = shapely.union_all(copies)
        low, high = columns.start - 5, columns.stop + 5
        box = shapely.box(low * self.tile[0], self.part.lower, high * self.tile[0], self.part.upper)
        return shapely.intersection(joined, box)

    def cells_at(self, points: Floats) -> Longs:
        """(n,) the repeat, as a cell of the tiling, that each point (n, 2) lies in."""
        wide, high = self.tile
        row = np.clip(np.floor((points[:, 1] - self.part.lower) / high), 0, self.across - 1).astype(np.int64)
        column = np.floor((points[:, 0] - self.slide[0]) / wide - self.row_shift(row)).astype(np.int64) % self.around
        return row * self.around + column

    def _rows(self) -> range:
        """Rows of repeats, so many more that a slide across leaves no gap."""
        more = math.ceil(abs(self.slide[1]) / self.tile[1]) + (self.options.size > 1.0 or self.options.fit == "page")
        return range(-more, self.across + more)

    def _matrix(self, i: int, j: int) -> Floats:
        """(2, 3) from steps to the strip, of the repeat in column i and row j."""
        wide, high = self.tile
        centre = np.array([(i + 0.5 + float(self.row_shift(j))) * wide, self.part.lower + (j + 0.5) * high])
        linear, middle = _fitted(self.options, wide, high)
        if (i + j) % 2 and self.options.alternate != "none":
            linear = np.diag([-1.0, 1.0 if self.options.alternate == "mirrored" else -1.0]) @ linear
        return np.column_stack((linear, centre + self.slide - linear @ middle))


def _placed(outline: Any, matrix: Floats) -> Any:
    return shapely.transform(outline, lambda points: points @ matrix[:, :2].T + matrix[:, 2])


def _fitted(options: MotifOptions, wide: float, high: float) -> tuple[Floats, Floats]:
    """(2, 2) from steps to mm, and (2,) the steps' point that comes to the middle of the repeat."""
    if options.fit == "page":
        page = np.array([options.width_mm, options.height_mm])
        page = page / page.max() * GRID
        return np.diag([wide, high] / page), 0.5 * page
    turn, low, top = _turned(options)
    scale = options.size * float(np.min(np.array([wide, high]) / (top - low)))
    return scale * turn, turn.T @ (0.5 * (low + top))


def _turned(options: MotifOptions) -> tuple[Floats, Floats, Floats]:
    """(2, 2) the motif's turn, and the corners of its bounding box then."""
    angle = math.radians(options.turn_deg)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    points = shapely.get_coordinates(decoded_outline(options.outline)) @ turn.T
    return turn, points.min(axis=0), points.max(axis=0)


def proportion(options: MotifOptions) -> float:
    """Width over length of the motif, or of its page where that is what is fitted."""
    if options.fit == "page":
        return options.height_mm / options.width_mm
    _, low, top = _turned(options)
    return float((top[1] - low[1]) / (top[0] - low[0]))
