"""What the process itself asks of the design: relief high enough, flanks that let go, holes that stay open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.making_limits import Limit, MakingLimits


@dataclass(frozen=True)
class AskedMaking:
    """What was asked for that a process may not be able to do.

    depth_mm: the relief's; flank_deg: its flanks against the face, None for forms without flanks; polish_mm: taken off
    each face; holes: each hole's name and diameter, mm; flat_strip: None, or whether the band can be bent from a flat
    strip, where the process asks for that.
    """

    depth_mm: float
    flank_deg: float | None
    polish_mm: float = 0.0
    holes: tuple[tuple[str, float], ...] = ()
    flat_strip: bool | None = None


def check_making(asked: AskedMaking, limits: MakingLimits) -> list[Finding]:
    """Findings with the figure measured, the limit and what to do."""
    found = [*_low_relief(asked, limits.relief_mm), *_small_holes(asked.holes, limits.hole_mm)]
    if asked.flank_deg is not None:
        found += _steep(90.0 - asked.flank_deg, limits.draft_deg)
    if asked.flat_strip is False:
        message = "This ring cannot be bent from a flat strip: it is domed, tapered, rounded or hollow"
        advice = "Use a flat section with one station and no hollow, or another process"
        found.append(Finding(Kind.NOT_FROM_FLAT, Level.ERROR, message, advice))
    return found


def _low_relief(asked: AskedMaking, limit: Limit) -> list[Finding]:
    left = asked.depth_mm - asked.polish_mm
    level = limit.judge(left)
    if level is None:
        return []
    least = _judged_by(limit, level)
    lost = f", less {asked.polish_mm:.2f} for polishing" if asked.polish_mm else ""
    message = f"The relief is {asked.depth_mm:.2f} mm high{lost}: it may not show"
    advice = f"Make the depth {least + asked.polish_mm:.2f} or more"
    return [Finding(Kind.LOW_RELIEF, level, message, advice, left, least)]


def _steep(draft_deg: float, limit: Limit) -> list[Finding]:
    level = limit.judge(draft_deg)
    if level is None:
        return []
    least = _judged_by(limit, level)
    message = f"The flanks lean {draft_deg:.0f} degrees from upright: the mould or the cutter needs more"
    advice = f"Make the flank {90.0 - least:g} degrees or less"
    return [Finding(Kind.STEEP_FLANK, level, message, advice, draft_deg, least, "degrees")]


def _small_holes(holes: Sequence[tuple[str, float]], limit: Limit) -> list[Finding]:
    """One finding for all holes that are too small, by the smallest of them."""
    small = [(name, size) for name, size in holes if limit.judge(size) is not None]
    if not small:
        return []
    name, size = min(small, key=lambda hole: hole[1])
    level = limit.judge(size) or Level.WARNING
    least = _judged_by(limit, level)
    others = f" (and {len(small) - 1} more)" if len(small) > 1 else ""
    message = f"The hole of {name}{others} is {size:.2f} mm wide: it may close in making"
    advice = f"Make it {least:g} mm or more, or drill it afterwards"
    return [Finding(Kind.SMALL_HOLE, level, message, advice, size, least)]


def _judged_by(limit: Limit, level: Level) -> float:
    return limit.least if level is Level.ERROR else limit.near
