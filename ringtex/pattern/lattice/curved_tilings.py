"""Families with curved walls: intersecting circles, round scales, waves, ropes, braids, ogees. Curves are drawn in
straight steps, whose corners the cells on both sides share."""

from __future__ import annotations

import math
from typing import Final

from ringtex.pattern.lattice.cell_complex import CellComplex, Polygon, Repeat
from ringtex.pattern.lattice.lattice_family import LatticeFamily

STEPS: Final = 8
"""Straight steps of a curve between two corners of a cell."""

Points = list[tuple[float, float]]


def _moved(points: Polygon, x: float, y: float) -> Points:
    return [(px + x, py + y) for px, py in points]


def _arc(first_deg: float, last_deg: float, radius: float) -> Points:
    turns = [math.radians(first_deg + (last_deg - first_deg) * k / STEPS) for k in range(STEPS + 1)]
    return [(radius * math.cos(turn), radius * math.sin(turn)) for turn in turns]


ROOT_HALF: Final = math.sqrt(0.5)

CIRCLE_RADIUS: Final = 0.58
"""In pitches: over a half, so that neighbours intersect; well under root 1/2, where four circles meet in one point."""


def intersecting_circles() -> CellComplex:
    """Circles in square rows, each overlapping its four neighbours: lenses, what they leave of the circles, and the
    four-sided gaps between."""
    half = math.degrees(math.acos(0.5 / CIRCLE_RADIUS))
    disc: Points = []
    lenses = []
    gap: Points = []
    for turn in (0.0, 90.0, 180.0, 270.0):
        x, y = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        bite = _moved(_arc(turn + 180.0 + half, turn + 180.0 - half, CIRCLE_RADIUS), x, y)
        disc += bite[:-1] + _arc(turn + half, turn + 90.0 - half, CIRCLE_RADIUS)[:-1]
        if turn < 180.0:
            lenses.append(tuple(bite[:-1] + _arc(turn + half, turn - half, CIRCLE_RADIUS)[:-1]))
        # The gap's middle is half a pitch from this circle's middle both ways.
        middle = (0.5 - ROOT_HALF * math.cos(math.radians(turn + 45.0)),
                  0.5 - ROOT_HALF * math.sin(math.radians(turn + 45.0)))  # fmt: skip
        gap += _moved(_arc(turn + 90.0 - half, turn + half, CIRCLE_RADIUS), *middle)[:-1]
    return Repeat(1.0, 1.0, 0.0, (tuple(disc), *lenses, tuple(gap))).cell_complex(0.5)


SCALE_HALF_DEG: Final = 70.0
"""Half the arc of a round scale's edge: at 90 degrees the scale above it would end in a cusp."""


def round_scale() -> CellComplex:
    """Overlapping scales whose edges are true arcs of a circle, hanging over the row below."""
    edge = _arc(-90.0 - SCALE_HALF_DEG, -90.0, 1.0) + _arc(-90.0, -90.0 + SCALE_HALF_DEG, 1.0)[1:]
    pitch, row = 2.0 * math.sin(math.radians(SCALE_HALF_DEG)), 1.0 - math.cos(math.radians(SCALE_HALF_DEG))
    right = _moved(edge[:STEPS], 0.5 * pitch, row)[::-1]
    left = _moved(edge[STEPS:], -0.5 * pitch, row)[::-1]
    return Repeat(pitch, row, 0.5, (tuple(edge + right + left[1:-1]),)).cell_complex()


WAVE_ROW: Final = 0.6
WAVE_HEIGHT: Final = 0.11
"""Row pitch and amplitude of the waves, in wave lengths."""


def waves() -> CellComplex:
    """Rows between waves that run round the ring, walls at the troughs of one row and at the crests of the next."""

    def cell(start: float, low: float) -> Polygon:
        across = [start + k / (2.0 * STEPS) for k in range(2 * STEPS + 1)]
        line = [(x, low - WAVE_HEIGHT * math.cos(2.0 * math.pi * x)) for x in across]
        return tuple(line + _moved(line, 0.0, WAVE_ROW)[::-1])

    return Repeat(1.0, 2.0 * WAVE_ROW, 0.0, (cell(0.0, 0.0), cell(0.5, WAVE_ROW))).cell_complex()


STRAND_HEIGHT: Final = 1.4
STRAND_BEND: Final = 0.07
"""Of a rope's strands, in their width: height of the rope, and how far a strand swings from the straight line."""


def _strand(*, leans_back: bool, low: float) -> Polygon:
    shares = [k / (2.0 * STEPS) for k in range(2 * STEPS + 1)]
    side = [(t + STRAND_BEND * math.sin(2.0 * math.pi * t), low + STRAND_HEIGHT * t) for t in shares]
    if leans_back:
        side = [(1.0 - x, y) for x, y in side]
    return tuple(_moved(side, 1.0, 0.0) + side[::-1])


def rope() -> CellComplex:
    """Twisted ropes round the ring, each strand a slanting S."""
    return Repeat(1.0, STRAND_HEIGHT, 0.0, (_strand(leans_back=False, low=0.0),)).cell_complex()


def braid() -> CellComplex:
    """Ropes in pairs, twisted against each other as the strands of a plait."""
    pair = (_strand(leans_back=False, low=0.0), _strand(leans_back=True, low=STRAND_HEIGHT))
    return Repeat(1.0, 2.0 * STRAND_HEIGHT, 0.0, pair).cell_complex()


OGEE_HEIGHT: Final = 1.5
OGEE_BEND: Final = 0.045
"""Of an ogee, in its width: its height, and how far its sides swing from the straight line."""


def ogee() -> CellComplex:
    """Ogees: diamonds whose sides are S-curves, full at the waist and drawn out to a tip."""
    half = 0.5 * OGEE_HEIGHT
    shares = [k / STEPS for k in range(STEPS + 1)]
    # From the lower tip to the right corner, swung to the upper left first.
    side = [(0.5 * t - OGEE_BEND * math.sin(2.0 * math.pi * t), half * (t - 1.0)) for t in shares]
    outline = side[:-1] + [(x, -y) for x, y in side[:0:-1]] + [(-x, -y) for x, y in side[:-1]]
    outline += [(-x, y) for x, y in side[:0:-1]]
    return Repeat(1.0, half, 0.5, (tuple(outline),)).cell_complex()


FAMILIES: Final = {
    "intersecting_circles": LatticeFamily(
        "circles", "Circles that intersect, with lenses where they overlap", intersecting_circles, 12
    ),
    "round_scale": LatticeFamily("round scale", "Scales with edges of true arcs, one over another", round_scale, 12),
    "waves": LatticeFamily("waves", "Rows between waves that run round the ring", waves, 9),
    "rope": LatticeFamily("rope", "Twisted ropes, each strand a slanting S", rope, 16),
    "braid": LatticeFamily("braid", "Ropes in pairs, twisted against each other", braid, 16),
    "ogee": LatticeFamily("ogee", "Diamonds with S-curved sides, drawn out to tips", ogee, 14),
}
"""Families with curved walls by their names in the design."""
