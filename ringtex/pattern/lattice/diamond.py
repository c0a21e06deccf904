"""Diamonds standing on a corner; half diamonds (triangles) along the borders are cells of their own."""

from __future__ import annotations

from ringtex.pattern.lattice.lattice import CellForm

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
