"""Hexagons, a corner pointing across the band."""

from __future__ import annotations

import math

from ringtex.pattern.lattice.lattice import CellForm

# Row pitch s, corners at 2/3 s over and under the centre and at 1/3 s on the sides: with s = pitch * sqrt(3) / 2 all
# six walls are equal. A snap of 0.32 s straightens the outer zigzag (1/6 s off the border) of the first and last row
# and never closes a wall between neighbours of a row (2/3 s long).
HEXAGON = CellForm(
    kinds=(-2.0 / 3.0, 2.0 / 3.0),
    corners=((0, 0, 0), (1, 1, -1), (0, 0, 1), (1, 0, 0), (0, -1, 1), (1, 0, -1)),
    neighbours=((1, -1), (1, 0), (0, 1), (-1, 1), (-1, 0), (0, -1)),
    regular=math.sqrt(3.0) / 2.0,
    first_row=0.5,
    extra_rows=0,
    snap_share=0.32,
)
