"""Archimedean tilings: regular polygons of one side, the same ones round every vertex.

Named in the comments by their vertex configurations (Gruenbaum and Shephard, Tilings and Patterns, 1987, section 2.1;
the repeats are derived here). Each is the set of its vertices, the corners of one regular polygon per repeat, joined
where they are one side apart.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import Final

from ringtex.pattern.lattice.cell_complex import CellComplex, Polygon, Repeat, faces_between
from ringtex.pattern.lattice.lattice_family import LatticeFamily

ROOT_2: Final = math.sqrt(2.0)
ROOT_3: Final = math.sqrt(3.0)


def regular_polygon(sides: int, first_deg: float, centre: tuple[float, float] = (0.0, 0.0)) -> Polygon:
    """The corners of a regular polygon of side 1.

    Parameters:
        sides: their number.
        first_deg: direction of its first corner from the centre, degrees.
        centre: of the polygon.
    Returns: its corners, counter-clockwise.
    """
    radius = 0.5 / math.sin(math.pi / sides)
    turns = [math.radians(first_deg) + 2.0 * math.pi * k / sides for k in range(sides)]
    return tuple((centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)) for turn in turns)


def _rhombic(points: Polygon, pitch: float) -> Repeat:
    """On the lattice of equilateral triangles."""
    return faces_between(points, pitch, pitch * ROOT_3 / 2.0, 0.5)


def _snub_square() -> Repeat:
    pitch = math.sqrt(2.0 + ROOT_3)
    return faces_between(regular_polygon(4, 60.0), pitch, pitch, 0.0)


SNUB_TURN_DEG: Final = math.degrees(math.atan2(ROOT_3 / 2.0, 2.5))
"""The snub hexagonal tiling's translation is two sides ahead and one at 60 degrees: root 7 long, in this direction."""

REPEATS: Final[dict[str, Callable[[], Repeat]]] = {
    # 3.6.3.6
    "trihexagonal": partial(_rhombic, regular_polygon(6, 0.0), 2.0),
    # 4.8.8
    "octagon_square": lambda: faces_between(regular_polygon(8, 22.5), 1.0 + ROOT_2, 1.0 + ROOT_2, 0.0),
    # 3.12.12
    "dodecagon_triangle": partial(_rhombic, regular_polygon(12, 15.0), 2.0 + ROOT_3),
    # 3.4.6.4
    "hexagon_square_triangle": partial(_rhombic, regular_polygon(6, 30.0), 1.0 + ROOT_3),
    # 4.6.12
    "dodecagon_hexagon_square": partial(_rhombic, regular_polygon(12, 15.0), 3.0 + ROOT_3),
    # 3.3.4.3.4
    "snub_square": _snub_square,
    # 3.3.3.3.6
    "snub_hexagon": partial(_rhombic, regular_polygon(6, -SNUB_TURN_DEG), math.sqrt(7.0)),
    # 3.3.3.4.4
    "square_triangle_rows": lambda: faces_between(((0.0, 0.0), (0.0, 1.0)), 1.0, 1.0 + ROOT_3 / 2.0, 0.5),
}
"""One repeat of each tiling, side 1."""


def archimedean(name: str, first_row: float = 0.0, snap_share: float | None = None) -> CellComplex:
    """The complex of one of `REPEATS`.

    Parameters:
        name: of the tiling.
        first_row: height of its origin over the lower border, in row pitches, where borders leave no small pieces.
        snap_share: as in `CellComplex`; given where corners that lie near such a border leave slivers if they stay.
    Returns: the complex.
    """
    return REPEATS[name]().cell_complex(first_row, snap_share=snap_share)


FAMILIES: Final = {
    "trihexagonal": LatticeFamily(
        "hexagon and triangle", "Hexagons with triangles between them, as woven of cane",
        partial(archimedean, "trihexagonal", 0.5), 12, 16,
    ),
    "octagon_square": LatticeFamily(
        "octagon and square", "Octagons with small squares between them",
        partial(archimedean, "octagon_square", 0.5), 13, 18,
    ),
    "dodecagon_triangle": LatticeFamily(
        "dodecagon", "Twelve-sided cells with triangles between them",
        partial(archimedean, "dodecagon_triangle"), 12, 16,
    ),
    "hexagon_square_triangle": LatticeFamily(
        "ringed hexagon", "Hexagons ringed by squares and triangles",
        partial(archimedean, "hexagon_square_triangle", 0.125, 0.1), 12, 16,
    ),
    "dodecagon_hexagon_square": LatticeFamily(
        "ringed dodecagon", "Twelve-sided cells ringed by squares and hexagons",
        partial(archimedean, "dodecagon_hexagon_square", 0.14), 12, 16,
    ),
    "snub_square": LatticeFamily(
        "turned squares", "Squares turned either way, pairs of triangles between them",
        partial(archimedean, "snub_square", 0.25, 0.08), 13, 18,
    ),
    "snub_hexagon": LatticeFamily(
        "turned hexagons", "Hexagons, all turned the same way, in triangles",
        partial(archimedean, "snub_hexagon", 0.175, 0.12), 12, 16,
    ),
    "square_triangle_rows": LatticeFamily(
        "squares and triangles", "Rows of squares and rows of triangles in turn",
        partial(archimedean, "square_triangle_rows"), 25, 18,
    ),
}  # fmt: skip
"""Archimedean tilings by their names in the design."""
