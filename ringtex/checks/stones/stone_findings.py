"""What is wrong with the stones' seats."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.making_limits import Limit, MakingLimits
from ringtex.checks.ring_position import as_place, words_for
from ringtex.checks.stones.stone_seating import StoneSeating
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.finishing.stone_seats import SetStone

MAX_NAMED: Final = 3
"""As many stones are named one by one for the same fault."""


def check_stones(seatings: list[StoneSeating], finished: FinishedRing, limits: MakingLimits) -> list[Finding]:
    """Stones that touch, break out, have no hole through or too little metal; each named by its number and place."""
    found: list[Finding] = []
    for number, (seating, each) in enumerate(zip(seatings, finished.stones, strict=True), start=1):
        found += _one(_Named(number, each), seating, limits, finished.hollow_closed)
    return [*_summed_up(found)]


def _summed_up(found: list[Finding]) -> Iterator[Finding]:
    """What many stones alike have is said once, of the worst of them."""
    alike: dict[tuple[Kind, Level], list[Finding]] = {}
    for finding in found:
        alike.setdefault((finding.kind, finding.level), []).append(finding)
    for same in alike.values():
        if len(same) <= MAX_NAMED:
            yield from same
            continue
        worst = min(same, key=lambda finding: math.inf if finding.measured is None else finding.measured)
        yield replace(worst, message=f"{worst.message}; so have {len(same) - 1} more stones, or less badly")


def spoils_genus(findings: list[Finding]) -> bool:
    """Whether a seat breaks out somewhere, so that the number of holes through the ring says nothing."""
    breaks = {Kind.STONES_CLOSE, Kind.STONE_AT_EDGE, Kind.STONE_HOLE_BLIND, Kind.THIN_WEB}
    return any(
        finding.kind is Kind.STONE_AT_RIM or (finding.kind in breaks and finding.level is Level.ERROR)
        for finding in findings
    )


class _Named:
    def __init__(self, number: int, each: SetStone) -> None:
        self.number, self.each = number, each

    def finding(
        self,
        kind: Kind,
        level: Level,
        message: str,
        advice: str,
        measured: float | None = None,
        limit: float | None = None,
    ) -> Finding:
        table = self.each.place.table
        text = f"Stone {self.number} ({self.each.stone.diameter_mm:g} mm) {message}"
        return Finding(kind, level, text, advice, measured, limit, where=words_for(table), place=as_place(table))

    def judged(self, kind: Kind, limit: Limit, measured: float, message: str, advice: str) -> list[Finding]:
        level = limit.judge(measured)
        if level is None:
            return []
        least = limit.least if level is Level.ERROR else limit.near
        return [self.finding(kind, level, message, advice, measured, least)]


def _one(stone: _Named, seating: StoneSeating, limits: MakingLimits, closed: bool) -> list[Finding]:
    gap, edge, seat, culet = seating.gap_mm, seating.edge_mm, seating.seat_mm, seating.culet_mm
    apart = f"has {gap:.2f} mm of metal to the next one" if gap > 0.0 else "overlaps the next one"
    found = [
        *stone.judged(Kind.STONES_CLOSE, limits.stone_gap_mm, gap, apart, "Set them further apart, or smaller ones"),
        *stone.judged(
            Kind.STONE_AT_EDGE,
            limits.stone_edge_mm,
            edge,
            f"or its hole comes within {edge:.2f} mm of the band's side",
            "Move it towards the middle of the band, or take a smaller one",
        ),
        *_depth(stone, culet, limits.culet_mm),
        *stone.judged(
            Kind.THIN_SEAT,
            limits.seat_mm,
            seat,
            f"has {seat:.2f} mm of metal between its girdle and the hollow",
            "Make the hollow's wall thicker, or take a smaller stone",
        ),
    ]
    if seating.hole_gap_mm < limits.stone_gap_mm.least:
        message = "has a hole that runs into another stone's hole inside the metal"
        advice = "Set the stones further apart, or make their holes narrower"
        measured, least = seating.hole_gap_mm, limits.stone_gap_mm.least
        found.append(stone.finding(Kind.STONES_CLOSE, Level.ERROR, message, advice, measured, least))
    if not stone.each.place.through:
        advice = "Move it to where its axis meets the finger hole; water and wax would be trapped below it"
        found.append(stone.finding(Kind.STONE_HOLE_BLIND, Level.ERROR, "has a hole that stops in the metal", advice))
    return [*found, *_at_hollow(stone, seating, closed)]


def _depth(stone: _Named, culet: float, limit: Limit) -> list[Finding]:
    message = f"has its culet {culet:.2f} mm from the finger" if culet > 0.0 else "reaches through to the finger"
    return stone.judged(Kind.STONE_DEEP, limit, culet, message, "Make the band higher there, or take a smaller stone")


def _at_hollow(stone: _Named, seating: StoneSeating, closed: bool) -> list[Finding]:
    rims, found = seating.rims, []
    if rims.on_bearing_mm > 0.0:
        message = f"has a bearing that runs out into the hollow, in a feather edge {rims.on_bearing_mm:.2f} mm wide"
        advice = "Make the hollow's wall thicker, the stone smaller, or its hole wider"
        found.append(stone.finding(Kind.FEATHER_SEAT, Level.WARNING, message, advice, rims.on_bearing_mm, 0.0))
    whole = rims.rims in (0, 2) if closed else rims.rims == 0 or (rims.rims == 1 and not rims.meets_bore)
    if not whole:
        advice = "Move the stone, or change the hollow's reach or lip, so that the hole is all in or all out of it"
        found.append(stone.finding(Kind.STONE_AT_RIM, Level.WARNING, "has a hole that cuts the hollow's rim", advice))
    return found
