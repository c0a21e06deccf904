"""Where the repeats of an own motif lie on the strip."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.motif.motif_options import MotifOptions, decoded_outline
from ringtex.pattern.motif.motif_outline import GRID
from ringtex.pattern.motif.repeats import Repeats, dropped_cell

MAX_REACH: Final = 8
"""Columns and rows that an outline may reach beyond its repeat; what lies further out is not repeated."""


@dataclass(frozen=True, eq=False)
class MotifLayout(Repeats):
    """The repeats of one outline, which the motif has in steps."""

    @property
    def period(self) -> float:
        """Length after which the pattern is the same again, mm."""
        return self.tile[0] * self.columns

    def shapes(self, columns: range) -> Any:
        """The joined outline of all repeats in so many columns, mm on the strip; u runs on, below 0 and beyond a turn.

        Clipped to the patterned part, whose borders count as outline.
        """
        rows = self._rows()
        copies = self._placed(np.repeat(columns, len(rows)), np.tile(rows, len(columns)))
        joined = shapely.union_all(copies)
        low, high = columns.start - 3 * MAX_REACH, columns.stop + 3 * MAX_REACH
        box = shapely.box(low * self.tile[0], self.part.lower, high * self.tile[0], self.part.upper)
        return shapely.intersection(joined, box)

    def cells_at(self, points: Floats) -> Longs:
        """(n,) the repeat, as a cell of the tiling, that each point (n, 2) lies in."""
        wide, high = self.tile
        along, up = (points[:, 0] - self.slide[0]) / wide, (points[:, 1] - self.part.lower) / high
        if self.is_half_drop:
            column = np.floor(along).astype(np.int64) % self.around
            row = np.clip(np.floor(up + 0.5 * (column % 2)), 0, self.across - 1 + column % 2).astype(np.int64)
            return dropped_cell(column, row, self.across)
        row = np.clip(np.floor(up), 0, self.across - 1).astype(np.int64)
        column = np.floor(along - self.row_shift(row)).astype(np.int64) % self.around
        return row * self.around + column

    @cached_property
    def reach(self) -> tuple[int, int]:
        """How many columns and rows an outline may reach beyond its own repeat."""
        bounds = np.reshape(shapely.bounds(self.outline_on_page()), (2, 2)) / self.tile
        beyond = np.ceil(np.maximum(-bounds[0], bounds[1] - 1.0) - 1e-9)
        along, across = np.clip(beyond, 0, MAX_REACH).astype(int).tolist()
        return along, across

    def _rows(self) -> range:
        """Rows of repeats, so many more that a slide across leaves no gap."""
        more = math.ceil(abs(self.slide[1]) / self.tile[1]) + max(self.reach[1], self.options.fit == "page")
        more += self.is_half_drop
        return range(-more, self.across + more)

    def _centres(self, i: Longs, j: Longs) -> Floats:
        """(n, 2) middles of the repeats in columns i and rows j without a slide, mm."""
        along, up = i + 0.5 + self.row_shift(j), j + 0.5 + self.column_shift(i)
        return np.stack((along * self.tile[0], self.part.lower + up * self.tile[1]), axis=-1)

    def _turns(self, i: Longs, j: Longs) -> Floats:
        """(n, 2) factors of x and y by which alternating turns those repeats; each its own inverse."""
        turned = (i + j) % 2 == 1
        if self.options.alternate == "none":
            turned[:] = False
        factors = [-1.0, 1.0 if self.options.alternate == "mirrored" else -1.0]
        return np.where(turned[:, None], factors, 1.0)

    def _placed(self, i: Longs, j: Longs) -> Any:
        """(n,) the outline as it lies in the repeats in columns i and rows j, mm on the strip."""
        outline = decoded_outline(self.options.outline)
        points = shapely.get_coordinates(outline)
        linear, middle = _fitted(self.options, *self.tile)
        # A slide of whole periods changes nothing.
        slide = np.array([math.remainder(self.slide[0], self.period), self.slide[1]])
        centres, turns = self._centres(i, j) + slide, self._turns(i, j)
        places = np.empty((len(centres), len(points), 2))
        for factors in np.unique(turns, axis=0):
            alike = np.all(turns == factors, axis=1)
            turned = np.diag(factors) @ linear
            places[alike] = points @ turned.T + (centres[alike] - turned @ middle)[:, None]
        return shapely.transform(np.full(len(centres), outline, dtype=object), lambda _: places.reshape(-1, 2))

    def to_page(self, column: int, row: int) -> Callable[[Floats], Floats]:
        """From the strip to the page that one repeat is, mm from its lower left corner before any turn."""
        place = np.array([column]), np.array([row])
        centre, turn = self._centres(*place) + self.slide, self._turns(*place)
        return lambda points: np.asarray((points - centre) * turn + 0.5 * np.array(self.tile))

    def outline_on_page(self) -> Any:
        """The outline as it lies in its repeat, mm from the repeat's lower left corner."""
        linear, middle = _fitted(self.options, *self.tile)
        shift = 0.5 * np.array(self.tile) - linear @ middle
        return shapely.transform(decoded_outline(self.options.outline), lambda points: points @ linear.T + shift)


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
