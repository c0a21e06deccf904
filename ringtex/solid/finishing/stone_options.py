"""Round stones: their proportions, weight and where they sit."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from ringtex.basics.errors import InputError

CARAT_PER_MM3 = 0.0061
"""Weight of a round brilliant: carat = diameter^2 x depth x 0.0061, in mm (the usual estimate of gem tables)."""

GRAM_PER_CARAT = 0.2
"""The metric carat, exactly."""


@dataclass(frozen=True)
class Proportions:
    """A round brilliant as shares of its girdle diameter and angles. Defaults: Tolkowsky, Diamond Design, 1919."""

    table: float = 0.53
    crown_deg: float = 34.5
    pavilion_deg: float = 40.75
    girdle: float = 0.007

    def __post_init__(self) -> None:
        """Refuse what is no brilliant."""
        _within("proportions.table", self.table, 0.3, 0.8)
        _within("proportions.crown", self.crown_deg, 15.0, 50.0)
        _within("proportions.pavilion", self.pavilion_deg, 30.0, 55.0)
        _within("proportions.girdle", self.girdle, 0.0, 0.1)

    @property
    def crown_height(self) -> float:
        """Table to girdle, as a share of the diameter."""
        return 0.5 * (1.0 - self.table) * math.tan(math.radians(self.crown_deg))

    @property
    def pavilion_depth(self) -> float:
        """Girdle to culet, as a share of the diameter."""
        return 0.5 * math.tan(math.radians(self.pavilion_deg))

    @property
    def depth(self) -> float:
        """Table to culet, as a share of the diameter."""
        return self.crown_height + self.girdle + self.pavilion_depth


@dataclass(frozen=True)
class Stone:
    """A round brilliant set flush: its table is level with the metal round it.

    u, v             where, as shares of the strip's length and width (u 0.5 is the head, v 0.5 the middle).
    diameter_mm      across the girdle.
    collar_mm        plain metal round the stone, which the cells end on.
    hole             the through hole's diameter as a share of the stone's; half to two thirds is usual (bench
                     practice, no source).
    bearing_deg      slope of the bearing that carries the girdle, 45 with a usual cutter (bench practice, no source).
    undersize_mm     how much the seat is smaller than the stone, to be opened when setting (bench practice, no source).
    """

    u: float
    v: float
    diameter_mm: float
    collar_mm: float = 0.5
    hole: float = 0.6
    bearing_deg: float = 45.0
    undersize_mm: float = 0.05
    proportions: Proportions = field(default_factory=Proportions)

    def __post_init__(self) -> None:
        """Refuse what cannot be set, naming the key."""
        _within("u", self.u, 0.0, 1.0)
        _within("v", self.v, 0.0, 1.0)
        _within("diameter", self.diameter_mm, 0.8, 12.0)
        _within("collar", self.collar_mm, 0.2, 5.0)
        _within("hole", self.hole, 0.3, 0.85)
        _within("bearing", self.bearing_deg, 20.0, 70.0)
        _within("undersize", self.undersize_mm, 0.0, 0.3)

    @property
    def depth_mm(self) -> float:
        """Table to culet."""
        return self.diameter_mm * self.proportions.depth

    @property
    def carat(self) -> float:
        """Estimated weight."""
        return self.diameter_mm**2 * self.depth_mm * CARAT_PER_MM3

    @property
    def weight_g(self) -> float:
        """Estimated weight in grams."""
        return self.carat * GRAM_PER_CARAT


MAX_IN_ROW = 120
"""Stones of 1 mm with a hair between them all round the largest finger."""


@dataclass(frozen=True)
class StoneRow:
    """Several stones alike, in one row.

    count          how many.
    stone          what each is, and where: (u, v) is the row's middle.
    spacing_mm     from middle to middle on the ring; None spreads a row along "around" evenly over the whole turn, and
                   gives rows "across" the stone's diameter and a half.
    direction      "around" the ring or "across" the band.
    also_opposite  the same row once more half a turn away: head and palm in one go.
    """

    count: int
    stone: Stone
    spacing_mm: float | None = None
    direction: Literal["around", "across"] = "around"
    also_opposite: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be set, naming the key."""
        if not 1 <= self.count <= MAX_IN_ROW:
            raise InputError(f"{self.count} is no number of stones", f"Use 1 to {MAX_IN_ROW}", "stones.count")
        if self.spacing_mm is not None:
            _within("spacing", self.spacing_mm, 0.5, 50.0)
        if self.direction not in ("around", "across"):
            raise InputError(f"'{self.direction}' is no direction", "Use around or across", "stones.direction")


def diameter_of(carat: float, proportions: Proportions | None = None) -> float:
    """Diameter, mm, of a round brilliant of so many carat: the weight estimate turned round."""
    shape = proportions or Proportions()
    return float((carat / (CARAT_PER_MM3 * shape.depth)) ** (1.0 / 3.0))


def _within(key: str, value: float, low: float, high: float) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise InputError(f"{value:g} is out of reach", f"Use {low:g} to {high:g}", f"stones.{key}")
