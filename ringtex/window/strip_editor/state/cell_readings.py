"""What the strip says about the cell under the pointer, as it is on the ring."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.checks.geometry.cell_widths import cell_widths
from ringtex.checks.making.detail import POINTED, RIDGE_AT_WALL
from ringtex.make_ring import ShapedRing
from ringtex.strip.true_size import length_on_ring
from ringtex.window.building.cell_numbers import CellNumbers, cell_numbers


@dataclass(frozen=True)
class CellReading:
    """One cell on the ring: area in mm2, width round the ring and height across it, depth, level strip along its walls
    (None where there is none) and inside (None for points), mm; shrunk: too small for its walls; zone: its number from
    the lower edge, None without zones."""

    cell: int
    area_mm2: float
    width_mm: float
    height_mm: float
    depth_mm: float
    wall_mm: float | None
    inside_mm: float | None
    wall_is_ridge: bool
    shrunk: bool
    zone: int | None = None


class CellReadings:
    """Reads cells of one built ring."""

    def __init__(self, built: ShapedRing, known: CellNumbers | None = None) -> None:
        self._built, self._known = built, known

    @cached_property
    def areas(self) -> Floats:
        """(cells,) area of each cell on the ring's outer face, mm2."""
        return self.numbers.area

    @cached_property
    def numbers(self) -> CellNumbers:
        """Sizes and shapes of all cells."""
        return self._known or cell_numbers(self._built)

    def read(self, cell: int) -> CellReading:
        """The reading of one cell."""
        built = self._built
        tiling, solid = built.pattern.tiling, built.solid
        walls = slice(int(tiling.cell_start[cell]), int(tiling.cell_start[cell + 1]))
        places = tiling.corners[walls]
        low, high = places.min(axis=0), places.max(axis=0)
        widths = cell_widths(built.strip, tiling, solid)
        wall = widths.wall[walls]
        wall = wall[np.isfinite(wall) & (wall > 0.0)]
        inside = float(widths.inside[cell])
        form = built.design.relief.form
        level_inside = form not in POINTED and np.isfinite(inside) and inside > 0.0
        middle = 0.5 * (low + high)
        return CellReading(
            cell=cell,
            area_mm2=float(self.areas[cell]),
            width_mm=length_on_ring(built.strip, (low[0], middle[1]), (high[0], middle[1])),
            height_mm=length_on_ring(built.strip, (middle[0], low[1]), (middle[0], high[1])),
            depth_mm=self._depth(cell),
            wall_mm=float(wall.min()) if len(wall) else None,
            inside_mm=inside if level_inside else None,
            wall_is_ridge=form in RIDGE_AT_WALL,
            shrunk=bool(solid.shrunk[cell]),
            zone=built.pattern.zone_at(float(middle[1])),
        )

    def _depth(self, cell: int) -> float:
        depths = self._built.solid.cell_depths
        return float(depths[cell]) if len(depths) else self._built.design.relief.depth_mm


def words_for_cell(reading: CellReading) -> list[str]:
    """Two or three short lines."""
    wall, inside = ("ridge", "floor") if reading.wall_is_ridge else ("groove", "top")
    size = f"{reading.width_mm:.2f} × {reading.height_mm:.2f} mm   {reading.area_mm2:.2f} mm²"
    parts = [f"{wall} {reading.wall_mm:.2f}"] if reading.wall_mm is not None else []
    if reading.inside_mm is not None:
        parts.append(f"{inside} {reading.inside_mm:.2f}")
    parts.append(f"depth {reading.depth_mm:.2f} mm")
    lines = [size, "   ".join(parts)]
    if reading.zone is not None:
        lines.append(f"zone {reading.zone + 1} from the lower edge")
    if reading.shrunk:
        lines.append("△ shrunk: too small for its walls")
    return lines


def words_for_distortion(built: ShapedRing, cell: int) -> str:
    """What became of lengths and angles in the middle of a cell, from the strip to the ring."""
    centre = built.pattern.tiling.kernel[0][[cell]]
    found = built.strip.distortion(centre[:, 0], centre[:, 1])
    least, most = float(found.stretch_min[0]), float(found.stretch_max[0])
    lengths = f"{least:.2f}" if most - least < 0.01 else f"{least:.2f} to {most:.2f}"
    angle = float(found.angle_error_deg[0])
    return f"1 mm of strip is {lengths} mm here; angles {f'off by up to {angle:.1f}°' if angle >= 0.05 else 'true'}"
