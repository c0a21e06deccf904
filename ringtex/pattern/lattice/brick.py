"""Bricks in stretcher bond: each row half a brick aside, so a brick has six corners, two of them of 180 degrees."""

from __future__ import annotations

from ringtex.pattern.lattice.lattice import CellForm

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
