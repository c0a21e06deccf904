"""Families of straight rows and blocks: hexagons, bricks, diamonds, squares, triangles, weaves, ribs."""

from __future__ import annotations

import math
from typing import Final

from ringtex.pattern.lattice.cell_complex import CellComplex, Polygon, Repeat
from ringtex.pattern.lattice.lattice_family import LatticeFamily

# Row pitch s, corners at 2/3 s over and under the centre and at 1/3 s on the sides: with s = pitch * sqrt(3) / 2 all
# six walls are equal. A snap of 0.32 s straightens the outer zigzag (1/6 s off the border) of the first and last row
# and never closes a wall between neighbours of a row (2/3 s long).
HEXAGON: Final = CellComplex(
    vertices=((0.0, -2.0 / 3.0), (0.0, 2.0 / 3.0)),
    faces=(((0, 0, 0), (1, 1, -1), (0, 0, 1), (1, 0, 0), (0, -1, 1), (1, 0, -1)),),
    shift=0.5,
    regular=math.sqrt(3.0) / 2.0,
    first_row=0.5,
    extra_rows=0,
    snap_share=0.32,
)
"""Hexagons, a corner pointing across the band."""

# The same neighbours as hexagons, with the zigzag drawn flat. A regular brick is twice as long as high.
BRICK: Final = CellComplex(
    vertices=((0.0, -0.5), (0.0, 0.5)),
    faces=(((0, 0, 0), (1, 1, -1), (0, 0, 1), (1, 0, 0), (0, -1, 1), (1, 0, -1)),),
    shift=0.5,
    regular=0.5,
    first_row=0.5,
    extra_rows=0,
    snap_share=0.45,
)
"""Bricks in stretcher bond: each row half a brick aside, so a brick has six corners, two of them of 180 degrees."""

# A regular diamond is a square on its corner: two row pitches high and one pitch wide.
DIAMOND: Final = CellComplex(
    vertices=((0.0, -1.0),),
    faces=(((0, 0, 0), (0, 0, 1), (0, -1, 2), (0, -1, 1)),),
    shift=0.5,
    regular=0.5,
    first_row=1.0,
    extra_rows=1,
    snap_share=0.55,
)
"""Diamonds standing on a corner; half diamonds (triangles) along the borders are cells of their own."""

HALF_HEIGHT: Final = math.sqrt(3.0) / 2.0


def _box(left: float, low: float, right: float, high: float) -> Polygon:
    return (left, low), (right, low), (right, high), (left, high)


def _turned(points: Polygon, degrees: float) -> Polygon:
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple((cosine * x - sine * y, sine * x + cosine * y) for x, y in points)


def square() -> CellComplex:
    """Squares in rows that stand on each other."""
    return Repeat(1.0, 1.0, 0.0, (_box(0, 0, 1, 1),)).cell_complex()


def half_drop() -> CellComplex:
    """Upright oblongs, each column half a cell lower than the last."""
    return Repeat(2.0, 0.75, 0.5, (_box(0, 0, 1, 1.5),)).cell_complex()


def triangle() -> CellComplex:
    """Equilateral triangles, point up and point down in turn."""
    up: Polygon = ((0, 0), (1, 0), (0.5, HALF_HEIGHT))
    down: Polygon = ((1, 0), (1.5, HALF_HEIGHT), (0.5, HALF_HEIGHT))
    return Repeat(1.0, HALF_HEIGHT, 0.5, (up, down)).cell_complex()


def flat_hexagon() -> CellComplex:
    """Regular hexagons with flat sides along the rails: columns in half drop."""
    points = tuple((math.cos(math.pi * k / 3.0), math.sin(math.pi * k / 3.0)) for k in range(6))
    return Repeat(3.0, HALF_HEIGHT, 0.5, (points,)).cell_complex()


def basket_weave() -> CellComplex:
    """Pairs of 2 by 1 blocks, lying and standing in turn."""
    blocks = (_box(0, 0, 2, 1), _box(0, 1, 2, 2), _box(2, 0, 3, 2), _box(3, 0, 4, 2))
    return Repeat(4.0, 2.0, 0.5, blocks).cell_complex()


def herringbone() -> CellComplex:
    """2 by 1 blocks at 45 degrees, in zigzag columns."""
    blocks = (_turned(_box(0, 0, 2, 1), -45.0), _turned(_box(0, 1, 1, 3), -45.0))
    return Repeat(math.sqrt(2.0), 2.0 * math.sqrt(2.0), 0.0, blocks).cell_complex(0.125)


def block_herringbone() -> CellComplex:
    """2 by 1 blocks, lying and standing in steps."""
    return Repeat(4.0, 1.0, 0.25, (_box(0, 0, 2, 1), _box(0, 1, 1, 3))).cell_complex()


def two_squares() -> CellComplex:
    """Squares of two sizes that turn round each other: the Pythagorean tiling, sides 2 and 1."""
    turn = -math.degrees(math.atan2(1.0, 2.0))
    blocks = (_turned(_box(0, 0, 2, 2), turn), _turned(_box(2, 0, 3, 1), turn))
    return Repeat(math.sqrt(5.0), math.sqrt(5.0), 0.0, blocks).cell_complex(0.8)


def chevron() -> CellComplex:
    """Slanting blocks, each row leaning against the one below."""
    one: Polygon = ((0, 0), (1, 0), (1.5, 1), (0.5, 1))
    other: Polygon = ((0.5, 1), (1.5, 1), (1, 2), (0, 2))
    return Repeat(1.0, 2.0, 0.0, (one, other)).cell_complex()


def ribs() -> CellComplex:
    """One straight cell from rail to rail, in each of the rows."""
    return Repeat(1.0, 6.0, 0.0, (_box(0, 0, 1, 6),)).cell_complex(any_height=True)


def flutes() -> CellComplex:
    """Slanting ribs: each ends three ribs further on."""
    return Repeat(1.0, 6.0, 0.0, (((0, 0), (1, 0), (4, 6), (3, 6)),)).cell_complex(any_height=True)


FAMILIES: Final = {
    "hexagon": LatticeFamily("hexagon", "Hexagons, in rows that interlock", lambda: HEXAGON, 16, 24),
    "brick": LatticeFamily("brick", "Bricks, each row moved by half a brick", lambda: BRICK, 11, 18),
    "diamond": LatticeFamily("diamond", "Diamonds that stand on their points", lambda: DIAMOND, 14, 20),
    "square": LatticeFamily("square", "Squares, in rows that stand on each other", square, 20, 27),
    "triangle": LatticeFamily("triangle", "Triangles, point up and point down in turn", triangle, 17, 16),
    "flat_hexagon": LatticeFamily("flat hexagon", "Hexagons with flat sides along the rails", flat_hexagon, 10, 13),
    "half_drop": LatticeFamily(
        "half drop", "Upright cells, each column half a cell lower than the last", half_drop, 12, 16
    ),
    "basket_weave": LatticeFamily("basket weave", "Pairs of blocks, lying and standing in turn", basket_weave, 10, 14),
    "herringbone": LatticeFamily("herringbone", "Slanting blocks in zigzag columns", herringbone, 13, 20),
    "block_herringbone": LatticeFamily("block steps", "Lying and standing blocks in steps", block_herringbone, 8, 13),
    "two_squares": LatticeFamily(
        "two squares", "Large squares with small ones turning round them", two_squares, 13, 18
    ),
    "chevron": LatticeFamily("chevron", "Slanting blocks, each row leaning against the one below", chevron, 27, 20),
    "ribs": LatticeFamily("ribs", "Straight cells from rail to rail", ribs, 20, 40),
    "flutes": LatticeFamily("flutes", "Slanting cells from rail to rail", flutes, 20, 30),
}
"""Families of straight rows and blocks by their names in the design."""
