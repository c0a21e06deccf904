"""The part of the strip that carries the pattern, and the pattern that comes back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats
from ringtex.pattern.tiling import Tiling

if TYPE_CHECKING:
    from ringtex.pattern.grown.ring_layout import GrowthRings
    from ringtex.pattern.motif.motif_layout import MotifLayout
    from ringtex.pattern.panels.box_cuts import Box
    from ringtex.pattern.picture.picture_layout import PictureLayout

CACHED_PATTERNS: Final = 8
"""Patterns that each cellular family keeps for re-use while only the relief changes; 1000 cells take about 0.3 MB."""


class Strip(Protocol):
    """What a pattern needs of the strip: its length round the ring and its width, mm."""

    @property
    def length(self) -> float:
        """Length of one turn, mm."""

    @property
    def width(self) -> float:
        """Width from edge to edge, mm."""


MIN_RAIL_MM: Final = 0.01
"""Narrower rails are dropped: a quarter of a printer's pixel, whose triangles would be slivers."""


def kept_rail(rail_mm: float) -> float:
    """The width of a plain rail as it is made: none where it is too narrow."""
    return rail_mm if rail_mm >= MIN_RAIL_MM else 0.0


@dataclass(frozen=True)
class PatternedPart:
    """The rectangle [0, length) x [lower, upper] between the rails, mm; periodic in u."""

    length: float
    lower: float
    upper: float

    @property
    def width(self) -> float:
        """Width between the rails, mm."""
        return self.upper - self.lower

    @property
    def area(self) -> float:
        """Area of one turn, mm2."""
        return self.length * self.width


@dataclass(frozen=True, eq=False)
class GrownSites:
    """The sites that cells grow from, and where they came from.

    places (n, 2) mm. grown (g, 2): the sites before any edits, mm. origin (n,): which of the grown sites each one is;
    -1 - k for the k-th that was added by hand. fixed (n,): True where a hand holds it.
    """

    places: Floats
    grown: Floats
    origin: NDArray[np.int64]
    fixed: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Pattern:
    """A tiling and how it came about.

    tiling           the cells.
    family           name of the family.
    around, across   the counts used (across is a number here, also when it was asked for as auto).
    stretch_percent  how much longer across the band than regular the cells are drawn, per cent; negative: longer round
                     it.
    sites            (n, 2) the points that the cells grew from, for cellular families; None for lattices.
    grown            where those sites came from, where some were changed by hand; else None.
    motif            the repeats of an own motif, whose cells are only their rectangles, or of an own picture, or growth
                     rings, whose cells are a grid; None for all other families.
    zones            the patterns of the design's zones, from the lower edge up, where it has some; no sites are known
                     then, and the counts are those of the first zone that has the design's own pattern.
    own_zone         the number of that zone.
    panels           the design's panels, where it has some; no sites are known then.
    level            (cells,) True for cells without relief, such as the veins of a leaf; None where there are none.
    """

    tiling: Tiling
    family: str
    around: int
    across: int
    stretch_percent: float
    sites: Floats | None = None
    grown: GrownSites | None = None
    motif: MotifLayout | PictureLayout | GrowthRings | None = None
    zones: tuple[Zone, ...] = ()
    own_zone: int = 0
    panels: tuple[PanelPattern, ...] = ()
    level: Bools | None = None

    @property
    def own_tiling(self) -> Tiling:
        """The cells that the design's own pattern has, alone: of its first zone, or all."""
        return self.zones[self.own_zone].pattern.tiling if self.zones else self.tiling

    @property
    def counted(self) -> tuple[int, str]:
        """How many there are of what the pattern is made of: cells, those that are level left out, or, where cells only
        carry depths, repeats of an own motif or picture, or growth rings."""
        if self.motif is not None:
            return self.motif.counted
        return self.tiling.cells - (0 if self.level is None else int(np.count_nonzero(self.level))), "cells"

    def zone_at(self, v: float) -> int | None:
        """The zone that covers v, mm; the nearest one on a rail. None without zones."""
        if not self.zones:
            return None
        away = [max(z.pattern.tiling.lower - v, v - z.pattern.tiling.upper, 0.0) for z in self.zones]
        return away.index(min(away))


@dataclass(frozen=True, eq=False)
class Zone:
    """One zone of a pattern: the pattern it has alone, and the number of its first cell among all."""

    pattern: Pattern
    first_cell: int


@dataclass(frozen=True, eq=False)
class PanelPattern:
    """A panel as it is made: where it lies on the strip, u running on over the seam, and the pattern that it has."""

    box: Box
    inner: Box
    pattern: Pattern
