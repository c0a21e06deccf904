"""The closed list of findings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Level(Enum):
    """How bad a finding is; sorted worst first."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return list(Level).index(self)


class Kind(Enum):
    """Everything that a check can find. The value is what files and `--json` carry."""

    NOT_CLOSED = "not_closed"
    NOT_ORIENTED = "not_oriented"
    NOT_ONE_BODY = "not_one_body"
    WRONG_GENUS = "wrong_genus"
    MORE_HOLES = "more_holes"
    INSIDE_OUT = "inside_out"
    DEGENERATE_TRIANGLES = "degenerate_triangles"
    FOLDED_RELIEF = "folded_relief"
    SEAM_OPEN = "seam_open"
    SEAM_BENT = "seam_bent"
    THIN_METAL = "thin_metal"
    THIN_RIDGE = "thin_ridge"
    THIN_GROOVE = "thin_groove"
    SMALL_CELLS = "small_cells"
    WHOLE_CELLS = "whole_cells"
    WIDTHS_UNKNOWN = "widths_unknown"
    STRETCHED_CELLS = "stretched_cells"
    STONES_CLOSE = "stones_close"
    STONE_AT_EDGE = "stone_at_edge"
    STONE_AT_RIM = "stone_at_rim"
    STONE_HOLE_BLIND = "stone_hole_blind"
    STONE_DEEP = "stone_deep"
    THIN_SEAT = "thin_seat"
    FEATHER_SEAT = "feather_seat"
    LOW_SEAT = "low_seat"
    STONE_PROUD = "stone_proud"
    INSCRIPTION_CUT = "inscription_cut"
    THIN_WEB = "thin_web"
    LOW_RELIEF = "low_relief"
    STEEP_FLANK = "steep_flank"
    SMALL_HOLE = "small_hole"
    NOT_FROM_FLAT = "not_from_flat"
    WRONG_SIZE = "wrong_size"
    HIGH_HEAD = "high_head"
    WIDE_HEAD = "wide_head"
    OFF_BALANCE = "off_balance"
    HEAVY = "heavy"


@dataclass(frozen=True)
class Finding:
    """One thing found: what, how bad, measured against its limit, where, and what to do.

    measured and limit are in `unit`; either may be None where there is nothing to measure. where is words for a person
    ("head, 12 degrees"); place is the point (x, y, z) in mm on the ring, or None. limit_name is the field of
    `MakingLimits` that was broken, "" where the limit is none of a process.
    """

    kind: Kind
    level: Level
    message: str
    advice: str
    measured: float | None = None
    limit: float | None = None
    unit: str = "mm"
    where: str = ""
    place: tuple[float, float, float] | None = None
    limit_name: str = ""


def worst_first(findings: list[Finding]) -> list[Finding]:
    """The findings sorted by level, errors first, otherwise in the order found."""
    return sorted(findings, key=lambda finding: finding.level.rank)
