"""How finished tilings are written down: in the first turn, and iterated ones rounded to a fixed grid, so that the last
bits of a machine's arithmetic do not reach the file.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.tolerances import QUANTUM_MM
from ringtex.pattern.clip import wrap
from ringtex.pattern.tiling import Tiling


def rounded(tiling: Tiling) -> Tiling:
    """The tiling with every vertex rounded to QUANTUM_MM; those on a border stay exactly on it."""
    u, v = np.round(tiling.vertices / QUANTUM_MM).T * QUANTUM_MM
    v = np.clip(v, tiling.lower, tiling.upper)
    for border in (tiling.lower, tiling.upper):
        v[tiling.vertices[:, 1] == border] = border
    return in_first_turn(with_vertices(tiling, np.column_stack([u, v])))


def with_vertices(tiling: Tiling, positions: Floats) -> Tiling:
    """The tiling with its vertices moved to positions (n, 2), mm, that may lie beyond the seam; its cells go with
    them."""
    u, turn = wrap(positions[:, 0], tiling.length)
    corner_winding = (tiling.corner_winding + turn[tiling.corner_vertex]).astype(np.int32)
    return replace(tiling, vertices=np.column_stack([u, positions[:, 1]]), corner_winding=corner_winding)


def in_first_turn(tiling: Tiling) -> Tiling:
    """The tiling with every cell drawn so that its leftmost corner has u in [0, length)."""
    least = np.minimum.reduceat(tiling.corner_winding, tiling.cell_start[:-1])
    return replace(tiling, corner_winding=(tiling.corner_winding - least[tiling.corner_cell]).astype(np.int32))
