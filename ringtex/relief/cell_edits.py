"""Depths of single cells, set by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.limits import Within, require_limits
from ringtex.pattern.locate import cells_at
from ringtex.pattern.tiling import Tiling

DEEPEST: Final = 2.0
"""With the deepest relief of 1.0 mm this is 2.0 mm; more would leave no room for the flank."""

MAX_CELL_EDITS: Final = 5000
"""As many cells as a hand could ever change one by one; keeps a design file under a megabyte."""


@dataclass(frozen=True)
class CellEdit:
    """One cell's depth.

    u, v   a place in the cell, as shares of the strip's length and width, 0 to 1: it names the cell that contains it,
           so the edit survives small changes of the pattern. In a rail it names none, and rests.
    depth  multiple of the relief's depth: 0 flat, 1 as it is without depth scatter, 1.5 deeper, -1 the other way
           (raised instead of sunk); -2 to 2.
    """

    u: Annotated[float, Within(0.0, 1.0, "", "the place along the strip is a share of its length")]
    v: Annotated[float, Within(0.0, 1.0, "", "the place across the strip is a share of its width")]
    depth: Annotated[float, Within(-DEEPEST, DEEPEST, "", "the depth is a multiple of the relief's")]

    def __post_init__(self) -> None:
        require_limits(self, "")


def edited_depths(edits: Sequence[CellEdit], tiling: Tiling, width_mm: float) -> Floats | None:
    """The depth that each cell was given by hand; of several edits in one cell the last one counts.

    Parameters:
        edits: in the design's order.
        tiling: the cells.
        width_mm: the whole strip's width.
    Returns: (cells,) multiples of the relief's depth, NaN for cells without an edit; None where no cell has one.
    """
    if not edits:
        return None
    depths = np.full(tiling.cells, np.nan)
    table = np.array([(edit.u, edit.v, edit.depth) for edit in edits])
    cell = cells_at(tiling, table[:, :2] * (tiling.length, width_mm))
    named = np.flatnonzero(cell >= 0)[::-1]
    cells, last = np.unique(cell[named], return_index=True)
    depths[cells] = table[named[last], 2]
    return depths
