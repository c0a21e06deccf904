"""What free-form relief was built from, for those who measure it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ringtex.basics.arrays import Floats, Longs


@dataclass(frozen=True, eq=False)
class ReliefContours:
    """Outlines of an own motif or of growth rings.

    parts     (k,) shapely polygons, mm on the strip, those before and behind one period too. Flanks begin on their
              outlines and rise inwards.
    period    length that is repeated round the ring, mm: from u = 0 on.
    inset_mm  distance from the outlines to the level tops or floors, where arcs end, mm on the ring; 0 where there are
              none.
    height    (cells,) of these, or the largest, mm over the outer face; negative in floors.
    cells_at  from (n, 2) positions on the strip to the cell whose height holds there.
    """

    parts: Any
    period: float
    inset_mm: float
    height: Floats
    cells_at: Callable[[Floats], Longs]
