"""Laves tilings: the duals of the Archimedean ones, whose cells are all alike.

Gruenbaum and Shephard, Tilings and Patterns, 1987, section 2.7 (from memory).
"""

from __future__ import annotations

import math
from functools import partial
from typing import Final

from ringtex.pattern.lattice.archimedean_tilings import REPEATS
from ringtex.pattern.lattice.cell_complex import CellComplex, dual
from ringtex.pattern.lattice.lattice_family import LatticeFamily


def laves(name: str, first_row: float = 0.0, snap_share: float | None = None) -> CellComplex:
    """The complex dual to an Archimedean tiling.

    Parameters:
        name: of the Archimedean tiling.
        first_row, snap_share: as there.
    Returns: the complex.
    """
    return dual(REPEATS[name]()).cell_complex(first_row, snap_share=snap_share)


GABLE_ROW: Final = -0.5 / (1.0 + math.sqrt(3.0) / 2.0)
"""The line half-way up the squares of 3.3.3.4.4, where the long sides of the pentagons end."""


FAMILIES: Final = {
    "rhombille": LatticeFamily(
        "rhombs in threes", "Rhombs in threes, as blocks seen from a corner",
        partial(laves, "trihexagonal", 0.5), 12, 16,
    ),
    "cairo_pentagon": LatticeFamily(
        "pentagon", "Pentagons in pairs, that make long hexagons lying across each other",
        partial(laves, "snub_square", 0.0, 0.12), 13, 18,
    ),
    "floret_pentagon": LatticeFamily(
        "petals", "Pentagons as petals, six round a point", partial(laves, "snub_hexagon", 0.0, 0.1), 12, 16
    ),
    "prismatic_pentagon": LatticeFamily(
        "house pentagon", "Pentagons, gable to gable in rows", partial(laves, "square_triangle_rows", GABLE_ROW), 25, 18
    ),
    "kite": LatticeFamily(
        "kite", "Kites, six round a point and three round the next", partial(laves, "hexagon_square_triangle"), 12, 16
    ),
    "tetrakis_square": LatticeFamily(
        "quartered square", "Right-angled triangles, eight round a point", partial(laves, "octagon_square"), 13, 18
    ),
    "triakis_triangle": LatticeFamily(
        "split triangle", "Flat triangles, three to a large one", partial(laves, "dodecagon_triangle"), 12, 16
    ),
    "kisrhombille": LatticeFamily(
        "twelve rays", "Right-angled triangles, twelve round a point",
        partial(laves, "dodecagon_hexagon_square", 0.5), 12, 9,
    ),
}  # fmt: skip
"""Laves tilings by their names in the design."""
