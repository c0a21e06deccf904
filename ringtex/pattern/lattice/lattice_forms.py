"""The lattice families: hexagons, bricks and diamonds, each as the corners and neighbours of one cell."""

from __future__ import annotations

import math
from typing import Final

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
"""Hexagons, a corner pointing across the band."""

# The same neighbours as hexagons, with the zigzag drawn flat. A regular brick is twice as long as high.
BRICK = CellForm(
    kinds=(-0.5, 0.5),
    corners=((0, 0, 0), (1, 1, -1), (0, 0, 1), (1, 0, 0), (0, -1, 1), (1, 0, -1)),
    neighbours=((1, -1), (1, 0), (0, 1), (-1, 1), (-1, 0), (0, -1)),
    regular=0.5,
    first_row=0.5,
    extra_rows=0,
    snap_share=0.45,
)
"""Bricks in stretcher bond: each row half a brick aside, so a brick has six corners, two of them of 180 degrees."""

# A regular diamond is a square on its corner: two row pitches high and one pitch wide.
DIAMOND = CellForm(
    kinds=(-1.0,),
    corners=((0, 0, 0), (0, 0, 1), (0, -1, 2), (0, -1, 1)),
    neighbours=((1, -1), (0, 1), (-1, 1), (0, -1)),
    regular=0.5,
    first_row=1.0,
    extra_rows=1,
    snap_share=0.55,
)
"""Diamonds standing on a corner; half diamonds (triangles) along the borders are cells of their own."""

LATTICES: Final[dict[str, CellForm]] = {"hexagon": HEXAGON, "brick": BRICK, "diamond": DIAMOND}
"""Every lattice family by its name in the design."""
