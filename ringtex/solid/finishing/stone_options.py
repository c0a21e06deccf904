"""Round stones: their proportions, weight and positions, single or in rows."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Annotated, Final, Literal

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.limits import FRACTION, Within, require_limits
from ringtex.strip.strip_map import StripMap

CARAT_PER_MM3 = 0.0061
"""Weight of a round brilliant: carat = diameter^2 x depth x 0.0061, in mm (the usual estimate of gem tables)."""

GRAM_PER_CARAT = 0.2
"""The metric carat, exactly."""


@dataclass(frozen=True)
class Proportions:
    """A round brilliant as fractions of its girdle diameter and angles. Defaults: Tolkowsky, Diamond Design, 1919.

    table         its width.
    crown_deg     slope of the crown's main facets.
    pavilion_deg  slope of the pavilion's.
    girdle        its height.
    """

    table: Annotated[float, Within(0.3, 0.8)] = 0.53
    crown_deg: Annotated[float, Within(15.0, 50.0, "degrees")] = 34.5
    pavilion_deg: Annotated[float, Within(30.0, 55.0, "degrees")] = 40.75
    girdle: Annotated[float, Within(0.0, 0.1)] = 0.007

    def __post_init__(self) -> None:
        """Refuse what is no brilliant."""
        require_limits(self, "stones.proportions")

    @property
    def crown_height(self) -> float:
        """Table to girdle, as a fraction of the diameter."""
        return 0.5 * (1.0 - self.table) * math.tan(math.radians(self.crown_deg))

    @property
    def pavilion_depth(self) -> float:
        """Girdle to culet, as a fraction of the diameter."""
        return 0.5 * math.tan(math.radians(self.pavilion_deg))

    @property
    def depth(self) -> float:
        """Table to culet, as a fraction of the diameter."""
        return self.crown_height + self.girdle + self.pavilion_depth


FLUSH: Final = ("table", "rim", "girdle")
"""What of a stone is level with the metal; see `Stone`."""


@dataclass(frozen=True)
class Stone:
    """A round brilliant set flush with the metal round it.

    u, v             position, as fractions of the strip's length and width (u 0.5 is the head, v 0.5 the middle).
    diameter_mm      across the girdle.
    collar_mm        plain metal round the stone, which the cells end on.
    hole             the through hole's diameter as a fraction of the stone's; half to two thirds is usual (bench
                     practice, no source).
    bearing_deg      slope of the bearing that carries the girdle, 45 with a usual cutter (bench practice, no source).
    undersize_mm     how much the seat is smaller than the stone, to be opened when setting (bench practice, no source).
    proportions      of the brilliant.
    flush            what is level with the metal, which on a curved face falls away from the stone's middle: "table",
                     the table with the face at the stone's middle; "rim", the table with the lowest metal at its rim,
                     so that nothing stands out; "girdle", the girdle with it, so that the crown stands free.
    """

    u: Annotated[float, FRACTION]
    v: Annotated[float, FRACTION]
    diameter_mm: Annotated[float, Within(0.8, 12.0, "mm")]
    collar_mm: Annotated[float, Within(0.2, 5.0, "mm")] = 0.5
    hole: Annotated[float, Within(0.3, 0.85)] = 0.6
    bearing_deg: Annotated[float, Within(20.0, 70.0, "degrees")] = 45.0
    undersize_mm: Annotated[float, Within(0.0, 0.3, "mm")] = 0.05
    proportions: Proportions = field(default_factory=Proportions)
    flush: Literal["table", "rim", "girdle"] = "table"

    def __post_init__(self) -> None:
        """Refuse what cannot be set, naming the key."""
        require_limits(self, "stones")
        if self.flush not in FLUSH:
            raise InputError(f"'{self.flush}' is no way to set a stone", "Use table, rim or girdle", "stones.flush")

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
"""Stones of 1 mm set close all round the largest finger."""


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
    spacing_mm: Annotated[float, Within(0.5, 50.0, "mm")] | None = None
    direction: Literal["around", "across"] = "around"
    also_opposite: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be set, naming the key."""
        if not 1 <= self.count <= MAX_IN_ROW:
            raise InputError(f"{self.count} is no number of stones", f"Use 1 to {MAX_IN_ROW}", "stones.count")
        require_limits(self, "stones")
        if self.direction not in ("around", "across"):
            raise InputError(f"'{self.direction}' is no direction", "Use around or across", "stones.direction")


def diameter_of(carat: float, proportions: Proportions | None = None) -> float:
    """Diameter, mm, of a round brilliant of so many carat: the weight estimate turned round."""
    shape = proportions or Proportions()
    return float((carat / (CARAT_PER_MM3 * shape.depth)) ** (1.0 / 3.0))


MAX_STONES: Final = 300
"""Each has a seat to be cut; a ring set all over with stones of 1 mm has about as many."""

TABLE_STEPS: Final = 4096
"""Steps of the table of lengths along a line of the strip: right to 1e-4 mm."""

ACROSS_SPACING: Final = 1.5
"""Diameters from middle to middle in a row across, where none is given."""


def placed_stones(strip: StripMap, entries: tuple[Stone | StoneRow, ...]) -> tuple[Stone, ...]:
    """Every stone by itself, in the order of the design.

    Raises: InputError where a row is longer than the ring or wider than the band, or there are too many stones.
    """
    stones: list[Stone] = []
    for number, entry in enumerate(entries):
        stones += [entry] if isinstance(entry, Stone) else _row(strip, entry, f"stones[{number}]")
    if len(stones) > MAX_STONES:
        raise InputError(f"{len(stones)} stones are more than are set", f"Use at most {MAX_STONES}", "stones")
    return tuple(stones)


def _row(strip: StripMap, row: StoneRow, where: str) -> list[Stone]:
    offset = np.arange(row.count, dtype=np.float64) - 0.5 * (row.count - 1)
    if row.direction == "across":
        v = _across(strip, row, offset, where)
        stones = [replace(row.stone, v=float(fraction)) for fraction in v]
    else:
        u = _around(strip, row, offset, where)
        stones = [replace(row.stone, u=float(fraction)) for fraction in u]
    if row.also_opposite:
        stones += [replace(stone, u=(stone.u + 0.5) % 1.0) for stone in stones]
    return stones


def _around(strip: StripMap, row: StoneRow, offset: Floats, where: str) -> Floats:
    """(count,) u of each stone as a fraction of the strip's length."""
    u = np.linspace(0.0, strip.length, TABLE_STEPS + 1)
    e = strip.metric(u, np.full(len(u), row.stone.v * strip.width))[0]
    length = _cumulative_lengths(u, np.sqrt(e))
    spacing = length[-1] / row.count if row.spacing_mm is None else row.spacing_mm
    if spacing * row.count > length[-1] * (1.0 + 1e-9):
        raise InputError(
            f"{row.count} stones {spacing:g} mm apart are longer than the {length[-1]:.1f} mm round the ring there",
            "Use fewer stones or a smaller spacing",
            f"{where}.spacing",
        )
    middle = np.interp(row.stone.u * strip.length, u, length)
    return np.asarray(np.interp((middle + offset * spacing) % length[-1], length, u) / strip.length % 1.0)


def _across(strip: StripMap, row: StoneRow, offset: Floats, where: str) -> Floats:
    """(count,) v of each stone as a fraction of the strip's width."""
    v = np.linspace(0.0, strip.width, TABLE_STEPS + 1)
    g = strip.metric(np.full(len(v), row.stone.u * strip.length), v)[2]
    length = _cumulative_lengths(v, np.sqrt(g))
    spacing = ACROSS_SPACING * row.stone.diameter_mm if row.spacing_mm is None else row.spacing_mm
    place = np.interp(row.stone.v * strip.width, v, length) + offset * spacing
    if place[0] < 0.0 or place[-1] > length[-1]:
        raise InputError(
            f"{row.count} stones {spacing:g} mm apart do not fit across the {length[-1]:.1f} mm of the band there",
            "Use fewer stones or a smaller spacing",
            f"{where}.spacing",
        )
    return np.asarray(np.interp(place, length, v) / strip.width)


def _cumulative_lengths(place: Floats, scale: Floats) -> Floats:
    """Length on the ring from the first position to each, by the trapezium rule."""
    return np.concatenate(([0.0], np.cumsum(0.5 * (scale[1:] + scale[:-1]) * np.diff(place))))
