"""Where cells are to be closer or wider apart than elsewhere, by curves and by painted spots."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Final, TypeAlias

from ringtex.basics.errors import InputError
from ringtex.basics.limits import Within, require_limits

MAX_FACTOR: Final = 8.0
"""At 8 the cells are 2.8 times as fine; beyond, no pattern that can be cast at its fine end is one at its coarse."""

Angle: TypeAlias = Annotated[float, Within(-360.0, 360.0, "degrees")]
LengthFraction: TypeAlias = Annotated[float, Within(0.0, 1.0, "of the length")]
WidthFraction: TypeAlias = Annotated[float, Within(0.0, 1.0, "of the width")]
Factor: TypeAlias = Annotated[float, Within(1.0 / MAX_FACTOR, MAX_FACTOR, "times as many")]

MAX_POINTS: Final = 72
MAX_SPOTS: Final = 500
"""A point every 5 degrees; as many spots as a hand could paint."""

MIN_RADIUS_MM, MAX_RADIUS_MM = 0.3, 15.0
"""Under a cell's size a spot does nothing; over 15 mm it reaches the ring's other side."""


@dataclass(frozen=True)
class DensityOptions:
    """How many times as many cells per area of the ring there are to be: 2 at a place twice as many as 1 elsewhere.

    around  (angle in degrees from the head, factor), joined smoothly and closed round the ring.
    across  (fraction of the strip's width from the -z edge, factor), joined smoothly.
    spots   (u, v, radius, factor): painted round a point, given as fractions of the strip's length and width; the
            radius in mm on the ring; the factor at the middle fades to 1 at the rim.

    Where several act, their factors multiply; only ratios matter, since the number of cells is given.
    Raises InputError naming the key when a value cannot be used.
    """

    around: tuple[tuple[Angle, Factor], ...] = ()
    across: tuple[tuple[WidthFraction, Factor], ...] = ()
    spots: tuple[
        tuple[LengthFraction, WidthFraction, Annotated[float, Within(MIN_RADIUS_MM, MAX_RADIUS_MM, "mm")], Factor], ...
    ] = ()

    def __post_init__(self) -> None:
        _refuse_many("around", len(self.around), MAX_POINTS)
        _refuse_many("across", len(self.across), MAX_POINTS)
        _refuse_many("spots", len(self.spots), MAX_SPOTS)
        require_limits(self, "pattern.density")
        refuse_doubles([point[0] % 360.0 for point in self.around], "pattern.density.around", "angle")
        refuse_doubles([point[0] for point in self.across], "pattern.density.across", "fraction of the width")

    @property
    def even(self) -> bool:
        """Nothing is requested: every factor is 1, or all points of each curve have the same."""
        flat = all(len({factor for _, factor in curve}) <= 1 for curve in (self.around, self.across))
        return flat and all(spot[3] == 1.0 for spot in self.spots)

    @property
    def steepness(self) -> float:
        """The largest ratio of two factors, as a natural logarithm."""
        logs = [[math.log(factor) for _, factor in curve] for curve in (self.around, self.across) if curve]
        ranges = [max(values) - min(values) for values in logs]
        return max([*ranges, *(abs(math.log(spot[3])) for spot in self.spots)], default=0.0)


def refuse_doubles(positions: list[float], where: str, what: str) -> None:
    """Refuse a curve with two points at one position.

    Parameters:
        positions: the points' positions.
        where: the curve's key path.
        what: the word for a position.
    Raises: InputError.
    """
    ordered = sorted(positions)
    for before, after in pairwise(ordered):
        if after - before < 1e-6:
            raise InputError(f"two points lie at the same {what}, {after:g}", "Remove or move one of them", where)


def _refuse_many(key: str, count: int, most: int) -> None:
    if count > most:
        raise InputError(f"{count} entries are too many", f"Give at most {most}", f"pattern.density.{key}")
