"""Stars: of rhombs round a point, and eight-pointed stars with crosses between them."""

from __future__ import annotations

import math
from typing import Final

from ringtex.pattern.lattice.cell_complex import CellComplex, Polygon, Repeat
from ringtex.pattern.lattice.lattice_family import LatticeFamily

ROOT_2: Final = math.sqrt(2.0)
ROOT_3: Final = math.sqrt(3.0)


def _at(degrees: float, length: float = 1.0) -> tuple[float, float]:
    return length * math.cos(math.radians(degrees)), length * math.sin(math.radians(degrees))


def _rhomb(corner: tuple[float, float], first_deg: float, second_deg: float) -> Polygon:
    """The rhomb of side 1 between two directions from a corner, the second to the left of the first."""
    (ax, ay), (bx, by), (x, y) = _at(first_deg), _at(second_deg), corner
    return (x, y), (x + ax, y + ay), (x + ax + bx, y + ay + by), (x + bx, y + by)


def rhomb_star_8() -> CellComplex:
    """Eight rhombs of 45 degrees round every star's middle; squares in all notches, those between neighbours shared."""
    cells = [_rhomb((0.0, 0.0), 45.0 * k, 45.0 * (k + 1)) for k in range(8)]
    notches = (0, 45, 90, 135, 225, 315)
    cells += [_rhomb(_at(turn), turn - 45.0, turn + 45.0) for turn in notches]
    return Repeat(2.0 + ROOT_2, 2.0 + ROOT_2, 0.0, tuple(cells)).cell_complex(0.5)


TIP_SNAP: Final = 0.08
"""In row pitches: borders half a row from the stars' middles lie 0.077 from the tips on both sides, which move onto it,
so that stars stay whole there and no tips of the next ones are left as splinters."""


def rhomb_star_12() -> CellComplex:
    """Twelve rhombs of 30 degrees round every star's middle; rhombs of 60 degrees between neighbours, and three kites
    between three stars."""
    pitch = 2.0 + ROOT_3
    cells = [_rhomb((0.0, 0.0), 30.0 * k, 30.0 * (k + 1)) for k in range(12)]
    cells += [_rhomb(_at(turn), turn - 30.0, turn + 30.0) for turn in (0.0, 60.0, 120.0)]
    for turn in (30.0, 90.0):
        # The triangle between three stars: its corners are their notches, the middles of its sides their tips.
        x, y = _at(turn, pitch / ROOT_3)
        for way in (0.0, 120.0, 240.0):
            (tx, ty), (nx, ny), (sx, sy) = (
                _at(turn + way + 120.0, 1.0 / ROOT_3),
                _at(turn + way + 180.0, 2.0 / ROOT_3),
                _at(turn + way + 240.0, 1.0 / ROOT_3),
            )
            cells.append(((x, y), (x + tx, y + ty), (x + nx, y + ny), (x + sx, y + sy)))
    return Repeat(pitch, pitch * ROOT_3 / 2.0, 0.5, tuple(cells)).cell_complex(0.5, snap_share=TIP_SNAP)


def star_cross() -> CellComplex:
    """Eight-pointed stars (two squares, one turned by 45 degrees) tip to tip, and the crosses between four of them."""
    notch = ROOT_2 / math.cos(math.pi / 8.0) / 2.0
    star = [_at(22.5 * k, 1.0 if k % 2 == 0 else notch) for k in range(16)]
    # Seen from the cross's middle, each of its arms is a quarter of a star's outline.
    cross = []
    for quarter, (x, y) in enumerate(((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))):
        outline = [_at(90.0 * quarter + 22.5 * k, 1.0 if k % 2 == 0 else notch) for k in range(4, 0, -1)]
        cross += [(x + dx, y + dy) for dx, dy in outline]
    return Repeat(2.0, 2.0, 0.0, (tuple(star), tuple(cross))).cell_complex()


FAMILIES: Final = {
    "star_cross": LatticeFamily("star and cross", "Eight-pointed stars with crosses between them", star_cross, 13, 18),
    "rhomb_star_8": LatticeFamily(
        "star of 8 rhombs", "Stars of eight rhombs, squares between them", rhomb_star_8, 7, 9
    ),
    "rhomb_star_12": LatticeFamily(
        "star of 12 rhombs", "Stars of twelve rhombs, rhombs and kites between them", rhomb_star_12, 12, 8
    ),
}
"""Families of stars by their names in the design."""
