"""Families with curved walls: intersecting circles, scales, waves, ropes, braids, ogees. Curves are drawn in straight
steps, whose corners the cells on both sides share; how many there are follows the size of the cells."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from ringtex.pattern.lattice.cell_complex import CellComplex, Polygon, Repeat
from ringtex.pattern.lattice.lattice_family import LatticeFamily

Points = list[tuple[float, float]]


SNAP_FRACTION: Final = 0.3
"""A vertex may move onto a border by this fraction of a step: two that follow each other never change their order."""


def curved(repeat: Repeat, first_row: float = 0.0) -> CellComplex:
    """The complex of outlines whose curves are drawn in steps."""
    made = repeat.cell_complex(first_row)
    shortest = made.shortest_wall * repeat.pitch / repeat.row
    return replace(made, snap_share=min(made.snap_share, SNAP_FRACTION * shortest))


def moved(points: Polygon, x: float, y: float) -> Points:
    """The points of an outline moved.

    Parameters:
        points: of the outline.
        x, y: along and up.
    Returns: the moved points.
    """
    return [(px + x, py + y) for px, py in points]


def arc(first_deg: float, last_deg: float, radius: float, steps: int) -> Points:
    """Points of a circle round the origin.

    Parameters:
        first_deg, last_deg: from where to where, counter-clockwise from the right.
        radius: of the circle.
        steps: straight ones.
    Returns: steps + 1 points.
    """
    turns = [math.radians(first_deg + (last_deg - first_deg) * k / steps) for k in range(steps + 1)]
    return [(radius * math.cos(turn), radius * math.sin(turn)) for turn in turns]


ROOT_HALF: Final = math.sqrt(0.5)

CIRCLE_RADIUS: Final = 0.6
"""In pitches: over a half, so that neighbours intersect; well under root 1/2, where four circles meet in one point.
Near 1/4 + root 1/8, lenses and gaps are equally wide."""


def intersecting_circles(steps: int) -> CellComplex:
    """Circles in square rows, each overlapping its four neighbours: lenses, what they leave of the circles, and the
    four-sided gaps between."""
    half = math.degrees(math.acos(0.5 / CIRCLE_RADIUS))
    disc: Points = []
    lenses = []
    gap: Points = []
    for turn in (0.0, 90.0, 180.0, 270.0):
        x, y = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        bite = moved(arc(turn + 180.0 + half, turn + 180.0 - half, CIRCLE_RADIUS, steps), x, y)
        disc += bite[:-1] + arc(turn + half, turn + 90.0 - half, CIRCLE_RADIUS, steps)[:-1]
        if turn < 180.0:
            lenses.append(tuple(bite[:-1] + arc(turn + half, turn - half, CIRCLE_RADIUS, steps)[:-1]))
        # The gap's middle is half a pitch from this circle's middle both ways.
        middle = (0.5 - ROOT_HALF * math.cos(math.radians(turn + 45.0)),
                  0.5 - ROOT_HALF * math.sin(math.radians(turn + 45.0)))  # fmt: skip
        gap += moved(arc(turn + 90.0 - half, turn + half, CIRCLE_RADIUS, steps), *middle)[:-1]
    return curved(Repeat(1.0, 1.0, 0.0, (tuple(disc), *lenses, tuple(gap))))


SCALE_STRETCH: Final = 1.5
"""How much longer than a circle's arc a scale hangs down."""


def scale(steps: int) -> CellComplex:
    """Overlapping scales: each edge an arc of 120 degrees, drawn out, hanging over the row below."""
    edge = [(x, SCALE_STRETCH * (y + 0.5)) for x, y in arc(-150.0, -30.0, 1.0, 2 * steps)]
    return _scales(edge, math.sqrt(3.0), 0.5 * SCALE_STRETCH)


def _scales(edge: Points, pitch: float, row: float, first_row: float = 0.0) -> CellComplex:
    """Scales in rows half a pitch aside, each hanging by its edge over two of the row below."""
    half = len(edge) // 2
    right = moved(edge[:half], 0.5 * pitch, row)[::-1]
    left = moved(edge[half:], -0.5 * pitch, row)[::-1]
    return curved(Repeat(pitch, row, 0.5, (tuple(edge + right + left[1:-1]),)), first_row)


def scale_edge(half_deg: float, steps: int) -> tuple[Points, float, float]:
    """The round edge of a scale, an arc of radius 1 about the origin, and its rows.

    Parameters:
        half_deg: half the arc.
        steps: straight ones.
    Returns: steps + 1 points, the pitch and the row pitch at which such edges hang over each other.
    """
    half = math.radians(half_deg)
    return arc(-90.0 - half_deg, -90.0 + half_deg, 1.0, steps), 2.0 * math.sin(half), 1.0 - math.cos(half)


SCALE_HALF_DEG: Final = 70.0
"""Half the arc of a round scale's edge: at 90 degrees the scale above it would end in a cusp."""

ROUND_SCALE_FIRST: Final = 0.5
"""Where the borders cut off no crumbs of round scales, in row pitches: what they leave is at least 0.4 times as wide as
a scale, under a quarter where a row begins on the border."""


def round_scale(steps: int) -> CellComplex:
    """Overlapping scales whose edges are true arcs of a circle, hanging over the row below."""
    return _scales(*scale_edge(SCALE_HALF_DEG, 2 * steps), ROUND_SCALE_FIRST)


WAVE_ROW: Final = 0.44
WAVE_HEIGHT: Final = 0.1
"""Row pitch and amplitude of the waves, in wave lengths: rows are 0.24 high where they are narrowest, 0.64 where
they are widest. Much steeper waves than these of 32 degrees read as a lattice of slanting lines."""


WAVE_SNAP: Final = 0.3
"""In rows of waves, over WAVE_HEIGHT / WAVE_ROW: a wave along a border moves onto it, so that the first and the last
row are whole."""


def _wave(first: float, height: float, steps: int, sign: float = 1.0) -> Points:
    """One wave length from x = first, about a height; its crests lie at whole x, or with sign -1 its troughs."""
    along = [first + k / (2.0 * steps) for k in range(2 * steps + 1)]
    return [(x, height + sign * WAVE_HEIGHT * math.cos(2.0 * math.pi * x)) for x in along]


def waves(steps: int) -> CellComplex:
    """Rows between waves that run on round the ring, each half a wave ahead of the next; the short walls across a row
    stand where it is narrowest."""
    outline = _wave(-0.5, -0.5 * WAVE_ROW, steps, -1.0) + _wave(-0.5, 0.5 * WAVE_ROW, steps)[::-1]
    return replace(curved(Repeat(1.0, WAVE_ROW, 0.5, (tuple(outline),)), 0.5), snap_share=WAVE_SNAP)


def ripples(steps: int) -> CellComplex:
    """Waves in step: rows of one height between them; the walls across a row stand at the crests of one row and in the
    troughs of the next."""
    rows = [
        tuple(_wave(0.5 * row, (row - 0.5) * WAVE_ROW, steps) + _wave(0.5 * row, (row + 0.5) * WAVE_ROW, steps)[::-1])
        for row in (0, 1)
    ]
    made = curved(Repeat(1.0, 2.0 * WAVE_ROW, 0.0, tuple(rows)), 0.25)
    return replace(made, snap_share=0.5 * WAVE_SNAP)


STRAND_HEIGHT: Final = 1.4
STRAND_BEND: Final = 0.07
"""Of a rope's strands, in their width: height of the rope, and how far a strand swings from the straight line."""


def _strand(steps: int, *, leans_back: bool, low: float) -> Polygon:
    shares = [k / (2.0 * steps) for k in range(2 * steps + 1)]
    side = [(t + STRAND_BEND * math.sin(2.0 * math.pi * t), low + STRAND_HEIGHT * t) for t in shares]
    if leans_back:
        side = [(1.0 - x, y) for x, y in side]
    return tuple(moved(side, 1.0, 0.0) + side[::-1])


def rope(steps: int) -> CellComplex:
    """Twisted ropes round the ring, each strand a slanting S."""
    return curved(Repeat(1.0, STRAND_HEIGHT, 0.0, (_strand(steps, leans_back=False, low=0.0),)))


def braid(steps: int) -> CellComplex:
    """Ropes in pairs, twisted against each other as the strands of a plait."""
    pair = (_strand(steps, leans_back=False, low=0.0), _strand(steps, leans_back=True, low=STRAND_HEIGHT))
    return curved(Repeat(1.0, 2.0 * STRAND_HEIGHT, 0.0, pair))


OGEE_HEIGHT: Final = 1.5
OGEE_BEND: Final = 0.06
"""Of an ogee, in its width: its height, and how far its sides swing from the straight line."""


def ogee(steps: int) -> CellComplex:
    """Ogees: diamonds whose sides are S-curves, full at the waist and drawn out to a tip."""
    shares = [k / (2.0 * steps) for k in range(2 * steps + 1)]
    # From the lower tip to the right corner, swung to the upper left first.
    side = [(0.5 * t - OGEE_BEND * math.sin(2.0 * math.pi * t), 0.5 * OGEE_HEIGHT * (t - 1.0)) for t in shares]
    outline = side[:-1] + [(x, -y) for x, y in side[:0:-1]] + [(-x, -y) for x, y in side[:-1]]
    outline += [(-x, y) for x, y in side[:0:-1]]
    return curved(Repeat(1.0, 0.5 * OGEE_HEIGHT, 0.5, (tuple(outline),)))


def arc_sagitta(angle_deg: float, radius: float) -> float:
    """At most how far an arc lies from its chord: r (1 - cos(a / 2)) <= r a^2 / 8 (the sagitta of a circle), so that of
    each of n steps is an n^2-th of it."""
    return radius * math.radians(angle_deg) ** 2 / 8.0


def _sine_sagitta(amplitude: float) -> float:
    """The same for one of two steps of a whole sine wave: h^2 max |f''| / 8, the error of linear interpolation."""
    return amplitude * math.pi**2 / 8.0


CIRCLE_SAGITTA: Final = arc_sagitta(2.0 * math.degrees(math.acos(0.5 / CIRCLE_RADIUS)), CIRCLE_RADIUS)
ROUND_SCALE_SAGITTA: Final = arc_sagitta(SCALE_HALF_DEG, 0.5 / math.sin(math.radians(SCALE_HALF_DEG)))
SCALE_SAGITTA: Final = arc_sagitta(60.0, SCALE_STRETCH / math.sqrt(3.0))

FAMILIES: Final = {
    "scale": LatticeFamily("scale", "Scales that overlap, as of a fish", scale, 12, 16, SCALE_SAGITTA),
    "intersecting_circles": LatticeFamily(
        "circles",
        "Circles that intersect, with lenses where they overlap",
        intersecting_circles,
        12,
        18,
        CIRCLE_SAGITTA,
    ),
    "round_scale": LatticeFamily(
        "round scale", "Scales with edges of true arcs, one over another", round_scale, 12, 16, ROUND_SCALE_SAGITTA
    ),
    "waves": LatticeFamily(
        "waves", "Rows between waves that run round the ring", waves, 9, 12, _sine_sagitta(WAVE_HEIGHT)
    ),
    "ripples": LatticeFamily(
        "ripples", "Waves in step, one behind the other, as in sand", ripples, 12, 16, _sine_sagitta(WAVE_HEIGHT)
    ),
    "rope": LatticeFamily("rope", "Twisted ropes, each strand a slanting S", rope, 16, 25, _sine_sagitta(STRAND_BEND)),
    "braid": LatticeFamily(
        "braid", "Ropes in pairs, twisted against each other", braid, 16, 25, _sine_sagitta(STRAND_BEND)
    ),
    "ogee": LatticeFamily(
        "ogee", "Diamonds with S-curved sides, drawn out to tips", ogee, 14, 14, _sine_sagitta(OGEE_BEND)
    ),
}
"""Families with curved walls by their names in the design."""
