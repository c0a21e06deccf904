"""What the ring is made of and how."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ringtex.band.limits import require_between
from ringtex.checks.alloys import Alloy, alloy_named
from ringtex.checks.limits import LIMITS, MakingLimits, Process, process_named

MOST_SHRINKAGE_PERCENT: Final = 15.0
"""Published allowances run from 0.6 to 12 %, so that more is a slip of the hand."""


@dataclass(frozen=True)
class MakeOptions:
    """Alloy, process and shrinkage.

    shrinkage_percent is the linear shrinkage p from the printed or carved pattern to the finished metal, so that the
    pattern is made 1 / (1 - p) as large. Published figures differ tenfold (0.6 to 12 %): it is the user's to measure,
    and 0 here. Raises `InputError` for an unknown alloy or process, or a shrinkage outside 0 to 15 %.
    """

    alloy: str = "silver_925"
    process: str = "print_and_cast"
    shrinkage_percent: float = 0.0

    def __post_init__(self) -> None:
        alloy_named(self.alloy)
        process_named(self.process)
        reason = "casters allow for 0 to 12 per cent"
        where = "make.shrinkage_percent"
        require_between(self.shrinkage_percent, 0.0, MOST_SHRINKAGE_PERCENT, "per cent", where, reason)

    @property
    def material(self) -> Alloy:
        """The alloy itself."""
        return alloy_named(self.alloy)

    @property
    def way(self) -> Process:
        """The process itself."""
        return process_named(self.process)

    @property
    def limits(self) -> MakingLimits:
        """What this process can make."""
        return LIMITS[self.way]

    @property
    def pattern_scale(self) -> float:
        """How much larger the pattern must be made, 1 / (1 - p)."""
        return 1.0 / (1.0 - self.shrinkage_percent / 100.0)
