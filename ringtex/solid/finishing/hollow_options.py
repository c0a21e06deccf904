"""What is taken out of the ring from the bore side to save metal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from ringtex.basics.errors import InputError
from ringtex.basics.limits import Within, require_limits


@dataclass(frozen=True)
class Drain:
    """A round hole from a closed hollow to the bore, so that nothing is trapped.

    angle_deg    from the head, counter-clockwise seen from +z.
    along_mm     from the middle of the width, towards the +z edge.
    diameter_mm  of the hole.
    """

    angle_deg: Annotated[float, Within(-180.0, 180.0, "degrees")]
    along_mm: Annotated[float, Within(-20.0, 20.0, "mm")] = 0.0
    diameter_mm: Annotated[float, Within(0.5, 5.0, "mm")] = 1.5

    def __post_init__(self) -> None:
        """Refuse what cannot be drilled."""
        require_limits(self, "hollow.drains")


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

    wall_mm: Annotated[float, Within(0.4, 5.0, "mm")] = 0.9
    lip_mm: Annotated[float, Within(0.3, 10.0, "mm")] = 1.0
    reach_deg: Annotated[float, Within(20.0, 165.0, "degrees")] = 110.0
    corner_mm: Annotated[float, Within(0.1, 2.0, "mm")] = 0.5
    floor_mm: Annotated[float, Within(0.4, 5.0, "mm")] | None = None
    drains: tuple[Drain, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what cannot be made, naming the key."""
        require_limits(self, "hollow")
        if self.floor_mm is not None:
            if not self.drains:
                message = "a closed hollow without a drain traps wax, resin or water, and can burst when it is heated"
                advice = "Add at least one drain, or leave the hollow open (floor null)"
                raise InputError(message, advice, "hollow.drains")
        elif self.drains:
            raise InputError(
                "an open hollow has no floor to drain", "Remove the drains or give a floor", "hollow.drains"
            )
