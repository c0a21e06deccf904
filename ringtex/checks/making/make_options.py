"""What the ring is made of and how."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Final

from ringtex.basics.limits import Within, require_limits
from ringtex.checks.making.alloys import Alloy, alloy_named
from ringtex.checks.making.making_limits import LIMITS, MakingLimits, OwnLimits, Process, process_named

MAX_SHRINKAGE_PERCENT: Final = 15.0
"""Published allowances run from 0.6 to 12 %, so that more is a slip of the hand."""

MAX_POLISH_MM: Final = 0.5
"""Five times what was measured on a polished ring."""


SHRINKAGE: Final = Within(0.0, MAX_SHRINKAGE_PERCENT, "per cent", "casters allow for 0 to 12 per cent")
POLISH: Final = Within(0.0, MAX_POLISH_MM, "mm", "finishing takes about 0.1 off a face")


@dataclass(frozen=True)
class MakeOptions:
    """Alloy, process, what the making takes away, and the maker's own limits.

    alloy              for the weight.
    process            which limits the checks judge by.
    shrinkage_percent  linear shrinkage p from the printed or carved pattern to the finished metal, so that the pattern
                       is made 1 / (1 - p) as large. Published figures differ tenfold (0.6 to 12 %): measure it.
    polish_mm          metal that finishing takes off each face; the pattern's bore is made that much smaller all round,
                       so that the finished ring has the size asked for (`export/casting_pattern.py`).
    limits             the maker's own in place of the process's.

    Shrinkage and polish act on what is exported alone.
    Raises `InputError` for an unknown alloy or process, a shrinkage outside 0 to 15 %, a loss outside 0 to 0.5 mm.
    """

    alloy: str = "silver_925"
    process: str = "print_and_cast"
    shrinkage_percent: Annotated[float, SHRINKAGE] = 0.0
    polish_mm: Annotated[float, POLISH] = 0.0
    limits: OwnLimits = field(default_factory=OwnLimits)

    def __post_init__(self) -> None:
        alloy_named(self.alloy)
        process_named(self.process)
        require_limits(self, "make")

    @property
    def material(self) -> Alloy:
        """The alloy itself."""
        return alloy_named(self.alloy)

    @property
    def way(self) -> Process:
        """The process itself."""
        return process_named(self.process)

    @property
    def making_limits(self) -> MakingLimits:
        """What this process can make, the maker's own limits in place of the shipped ones."""
        return self.limits.over(LIMITS[self.way])

    @property
    def pattern_scale(self) -> float:
        """How much larger the pattern must be made, 1 / (1 - p)."""
        return 1.0 / (1.0 - self.shrinkage_percent / 100.0)

    @property
    def changes_export(self) -> bool:
        """What is exported differs from the ring as drawn."""
        return self.shrinkage_percent > 0.0 or self.polish_mm > 0.0
