"""What is taken out of the ring from the bore side to save metal."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringtex.basics.errors import InputError


@dataclass(frozen=True)
class Drain:
    """A round hole from a closed hollow to the bore, so that nothing is trapped.

    angle_deg from the head, counter-clockwise seen from +z; along_mm from the middle of the width; diameter_mm.
    """

    angle_deg: float
    along_mm: float = 0.0
    diameter_mm: float = 1.5

    def __post_init__(self) -> None:
        """Refuse what cannot be drilled."""
        _within("drains.angle", self.angle_deg, -180.0, 180.0)
        _within("drains.along", self.along_mm, -20.0, 20.0)
        _within("drains.diameter", self.diameter_mm, 0.5, 5.0)


@dataclass(frozen=True)
class HollowOptions:
    """A hollow under the head.

    wall_mm    least metal between the hollow and the relief's ground and sides; about 1 is usual (common practice, no
               source).
    lip_mm     plain bore left at each edge of the band; at least the wall is left, so that a narrower lip changes
               nothing.
    reach_deg  how far the hollow goes to each side of the head; the palm side stays full.
    corner_mm  radius of the hollow's inner corners; less where the opening has no room for it.
    floor_mm   None: the hollow is open to the finger. Else it is closed by a floor this thick above the bore, and needs
               drains.
    drains     holes through that floor.
    """

    wall_mm: float = 0.9
    lip_mm: float = 1.0
    reach_deg: float = 110.0
    corner_mm: float = 0.5
    floor_mm: float | None = None
    drains: tuple[Drain, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what cannot be made, naming the key."""
        _within("wall", self.wall_mm, 0.4, 5.0)
        _within("lip", self.lip_mm, 0.3, 10.0)
        _within("reach", self.reach_deg, 20.0, 165.0)
        _within("corner", self.corner_mm, 0.1, 2.0)
        if self.floor_mm is not None:
            _within("floor", self.floor_mm, 0.4, 5.0)
            if not self.drains:
                message = "a closed hollow without a drain traps wax, resin or water, and can burst when it is heated"
                advice = "Add at least one drain, or leave the hollow open (floor null)"
                raise InputError(message, advice, "hollow.drains")
        elif self.drains:
            raise InputError(
                "an open hollow has no floor to drain", "Remove the drains or give a floor", "hollow.drains"
            )


def _within(key: str, value: float, low: float, high: float) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise InputError(f"{value:g} is out of reach", f"Use {low:g} to {high:g}", f"hollow.{key}")
