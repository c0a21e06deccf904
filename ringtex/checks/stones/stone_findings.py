"""What is wrong with the stones' seats."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.making_limits import MakingLimits, judged
from ringtex.checks.ring_position import as_place, words_for
from ringtex.checks.stones.stone_seating import StoneSeating
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.finishing.stone_seats import SetStone

PROUD_MM: Final = 0.1
"""A table that stands this far over the metal at its rim can be felt (common practice, no source)."""

MAX_NAMED: Final = 3
"""As many stones are named one by one for the same fault."""


def check_stones(seatings: list[StoneSeating], finished: FinishedRing, limits: MakingLimits) -> list[Finding]:
    """Stones that touch, break out, have no hole through or too little metal; each named by its number and place.

    Parameters:
        seatings: what was measured of each stone.
        finished: the ring as it is made.
        limits: of the process.
    Returns: findings, each naming the stone by number and position.
    """
    found: list[Finding] = []
    for number, (seating, each) in enumerate(zip(seatings, finished.stones, strict=True), start=1):
        found += _one(_Named(number, each, limits), seating, finished.hollow_closed)
    return [*_summed_up(found)]


def _summed_up(found: list[Finding]) -> Iterator[Finding]:
    """One finding, of the worst stone, where many have the same problem."""
    alike: dict[tuple[Kind, Level], list[Finding]] = {}
    for finding in found:
        alike.setdefault((finding.kind, finding.level), []).append(finding)
    for same in alike.values():
        if len(same) <= MAX_NAMED:
            yield from same
            continue
        worst = min(same, key=lambda finding: math.inf if finding.measured is None else finding.measured)
        yield replace(worst, message=f"{worst.message}; {len(same) - 1} more stones have the same problem")


def spoils_genus(findings: list[Finding]) -> bool:
    """Whether a seat breaks out somewhere, so that the number of holes through the ring says nothing."""
    breaks = {Kind.STONES_CLOSE, Kind.STONE_AT_EDGE, Kind.STONE_HOLE_BLIND, Kind.THIN_WEB}
    return any(
        finding.kind is Kind.STONE_AT_RIM or (finding.kind in breaks and finding.level is Level.ERROR)
        for finding in findings
    )


class _Named:
    """A stone with its number in the design, counted from 1."""

    def __init__(self, number: int, each: SetStone, limits: MakingLimits) -> None:
        self.number, self.each, self.limits = number, each, limits

    def message(self, text: str) -> str:
        return f"Stone {self.number} ({self.each.stone.diameter_mm:g} mm) {text}"

    def finding(
        self,
        kind: Kind,
        level: Level,
        text: str,
        advice: str,
        measured: float | None = None,
        limit: float | None = None,
    ) -> Finding:
        table = self.each.place.table
        message, where = self.message(text), words_for(table)
        return Finding(kind, level, message, advice, measured, limit, where=where, place=as_place(table))

    def judged(self, kind: Kind, name: str, measured: float, text: str, advice: str) -> list[Finding]:
        return judged(kind, self.limits, name, measured, self.message(text), advice, self.each.place.table)


def _one(stone: _Named, seating: StoneSeating, closed: bool) -> list[Finding]:
    gap, edge, seat, culet = seating.gap_mm, seating.edge_mm, seating.seat_mm, seating.culet_mm
    found = []
    text = f"has {gap:.2f} mm of metal to the next one" if gap > 0.0 else "overlaps the next one"
    advice = "Set them further apart, or smaller ones"
    found += stone.judged(Kind.STONES_CLOSE, "stone_gap_mm", gap, text, advice)
    text = f"or its hole comes within {edge:.2f} mm of the band's side"
    advice = "Move it towards the middle of the band, or take a smaller one"
    found += stone.judged(Kind.STONE_AT_EDGE, "stone_edge_mm", edge, text, advice)
    text = f"has its culet {culet:.2f} mm from the finger" if culet > 0.0 else "reaches through to the finger"
    advice = "Make the band higher there, or take a smaller stone"
    found += stone.judged(Kind.STONE_DEEP, "culet_mm", culet, text, advice)
    text = f"has {seat:.2f} mm of metal between its girdle and the hollow"
    advice = "Make the hollow's wall thicker, or take a smaller stone"
    found += stone.judged(Kind.THIN_SEAT, "seat_mm", seat, text, advice)
    return [*found, *_holes(stone, seating), *_at_hollow(stone, seating, closed)]


def _holes(stone: _Named, seating: StoneSeating) -> list[Finding]:
    found = []
    least = stone.limits.stone_gap_mm.least
    if seating.hole_gap_mm < least:
        text = "has a hole that runs into another stone's hole inside the metal"
        advice = "Set the stones further apart, or make their holes narrower"
        close = stone.finding(Kind.STONES_CLOSE, Level.ERROR, text, advice, seating.hole_gap_mm, least)
        found.append(replace(close, limit_name="stone_gap_mm"))
    if seating.cuts_letter:
        text = "has a hole that cuts a letter of the inscription"
        advice = "Turn the inscription, make it shorter, or move the stone"
        found.append(stone.finding(Kind.INSCRIPTION_CUT, Level.WARNING, text, advice))
    if seating.wall_mm <= 0.0:
        lower = f"{-seating.wall_mm:.2f} mm under its girdle" if np.isfinite(seating.wall_mm) else "within its girdle"
        text = f"has no wall all round its seat: the metal beside it lies {lower}"
        advice = "Set it deeper, take a smaller stone, or make the face flatter there"
        measured = seating.wall_mm if np.isfinite(seating.wall_mm) else None
        found.append(stone.finding(Kind.LOW_SEAT, Level.ERROR, text, advice, measured, 0.0))
    low = stone.each.place.rim_mm[0]
    if stone.each.stone.flush == "table" and low < -PROUD_MM:
        text = f"stands proud: the metal at its rim lies up to {-low:.2f} mm under its table"
        advice = "Set it flush by its rim, take a smaller stone, or make the face flatter there"
        found.append(stone.finding(Kind.STONE_PROUD, Level.NOTE, text, advice, low, 0.0))
    if not stone.each.place.through:
        advice = "Move it to where its axis meets the finger hole; water and wax would be trapped below it"
        found.append(stone.finding(Kind.STONE_HOLE_BLIND, Level.ERROR, "has a hole that stops in the metal", advice))
    return found


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
