"""What the process asks of the design: relief high enough, flanks that let go, holes that stay open."""

from __future__ import annotations

from collections.abc import Sequence

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.making.making_limits import MakingLimits, Process, judged
from ringtex.relief.relief_options import FLANKED, ReliefOptions


def check_process(
    relief: ReliefOptions, make: MakeOptions, holes: Sequence[tuple[str, float]] = (), bends_from_flat: bool = True
) -> list[Finding]:
    """Findings with the figure measured, the limit and what to do.

    Parameters:
        relief: as designed.
        make: process, allowances and limits.
        holes: each hole's name and diameter, mm.
        bends_from_flat: whether the band is one that can be bent from a flat strip.
    Returns: findings about what the process cannot make.
    """
    limits = make.making_limits
    found = [*_low_relief(relief.depth_mm, make.polish_mm, limits), *_small_holes(holes, limits)]
    if relief.form in FLANKED and relief.form != "pierced":  # pierced cells are cut straight through
        draft = 90.0 - relief.flank_deg
        message = f"The flanks lean {draft:.0f} degrees from upright: the mould or the cutter needs more"
        found += judged(Kind.STEEP_FLANK, limits, "draft_deg", draft, message, _flatter, unit="degrees")
    if make.way is Process.ENGRAVE_FLAT and not bends_from_flat:
        message = "This ring cannot be bent from a flat strip: it is domed, tapered, rounded or hollow"
        advice = "Use a flat section with one station and no hollow, or another process"
        found.append(Finding(Kind.NOT_FROM_FLAT, Level.ERROR, message, advice))
    return found


def _flatter(least: float) -> str:
    return f"Make the flank {90.0 - least:g} degrees or less"


def _low_relief(depth_mm: float, polish_mm: float, limits: MakingLimits) -> list[Finding]:
    lost = f", less {polish_mm:.2f} for polishing" if polish_mm else ""
    message = f"The relief is {depth_mm:.2f} mm high{lost}: it may not show"

    def advice(least: float) -> str:
        return f"Make the depth {least + polish_mm:.2f} or more"

    return judged(Kind.LOW_RELIEF, limits, "relief_mm", depth_mm - polish_mm, message, advice)


def _small_holes(holes: Sequence[tuple[str, float]], limits: MakingLimits) -> list[Finding]:
    """One finding for all holes that are too small, by the smallest of them."""
    small = [(name, size) for name, size in holes if limits.hole_mm.judge(size) is not None]
    if not small:
        return []
    name, size = min(small, key=lambda hole: hole[1])
    others = f" (and {len(small) - 1} more)" if len(small) > 1 else ""
    message = f"The hole of {name}{others} is {size:.2f} mm wide: it may close in making"
    return judged(Kind.SMALL_HOLE, limits, "hole_mm", size, message, _drill)


def _drill(least: float) -> str:
    return f"Make it {least:g} mm or more, or drill it afterwards"
