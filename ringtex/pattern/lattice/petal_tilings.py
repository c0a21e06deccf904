"""Families of petals and shells: rosettes of arcs, scallop shells in rows."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.pattern.lattice.cell_complex import CellComplex, Polygon, Repeat
from ringtex.pattern.lattice.curved_tilings import Points, arc_sagitta, curved, moved, scale_edge
from ringtex.pattern.lattice.lattice_family import LatticeFamily

PETAL_HALF_DEG: Final = 25.0
"""Half the angle at a petal's tip: six petals leave as many tips of 60 - 2 x 25 degrees between them."""


def _bulged(a: tuple[float, float], b: tuple[float, float], steps: int) -> Points:
    """From a to b along an arc that bulges to the left and meets the straight line at PETAL_HALF_DEG."""
    half = math.radians(PETAL_HALF_DEG)
    way = np.subtract(b, a)
    left = np.array([-way[1], way[0]])
    turns = np.linspace(-half, half, steps + 1)
    along, aside = (
        np.sin(turns) / (2.0 * math.sin(half)) + 0.5,
        (np.cos(turns) - math.cos(half)) / (2.0 * math.sin(half)),
    )
    points = np.array(a) + along[:, None] * way + aside[:, None] * left
    return [(float(x), float(y)) for x, y in points]


def rosettes(steps: int) -> CellComplex:
    """Rosettes of six petals, each petal shared by two of them, and the three-sided gaps between: what is left of
    circles that pass through each other's middles, drawn a little slimmer so that no tip ends in a cusp."""
    a, b, c, d = (0.0, 0.0), (1.0, 0.0), (0.5, math.sqrt(0.75)), (1.5, math.sqrt(0.75))
    petals = [_bulged(p, q, steps)[:-1] + _bulged(q, p, steps)[:-1] for p, q in ((a, b), (b, c), (c, a))]
    gaps = [[point for p, q in zip(three, three[1:] + three[:1], strict=True) for point in _bulged(p, q, steps)[:-1]]
            for three in ([a, b, c], [b, d, c])]  # fmt: skip
    return curved(Repeat(1.0, math.sqrt(0.75), 0.5, tuple(tuple(face) for face in petals + gaps)))


SHELL_HALF_DEG: Final = 70.0
SHELL_RIBS: Final = 6
"""Half the arc of a shell's edge, as of a scale's; its ribs, an even number."""

SHELL_FIRST: Final = 0.05
SHELL_SNAP: Final = 0.1
"""Where the borders leave no splinters of ribs, in row pitches, when corners so near to them move onto them: pieces at
least 0.7 times as wide as the narrowest cell, a tenth where a row begins on the border."""


def shells(steps: int) -> CellComplex:
    """Scallop shells in rows, hanging like scales: ribs that spread from a hinge to the edge."""
    half = SHELL_RIBS // 2 * steps
    edge, pitch, row = scale_edge(SHELL_HALF_DEG, 2 * half)
    right = moved(edge[: half + 1], 0.5 * pitch, row)
    left = moved(edge[half:], -0.5 * pitch, row)[::-1]
    rim = _rim(left[steps], right[steps], right[0])
    hinge: Polygon = right[: steps + 1] + rim[::-1][1:-1] + left[steps:0:-1]
    ribs = []
    for at in range(SHELL_RIBS):
        low = edge[at * steps : (at + 1) * steps + 1]
        up = right[steps:-1][::-1] if at == SHELL_RIBS - 1 else [rim[at + 1]]
        down = left[steps:-1] if at == 0 else [rim[at]]
        ribs.append(tuple(low + up + down))
    return replace(curved(Repeat(pitch, row, 0.5, (tuple(hinge), *ribs)), SHELL_FIRST), snap_share=SHELL_SNAP)


def _rim(first: tuple[float, float], last: tuple[float, float], apex: tuple[float, float]) -> Points:
    """Points round the apex from the first to the last, evenly turned, one for each side of a rib."""
    start, end = (math.atan2(y - apex[1], x - apex[0]) for x, y in (first, last))
    radius = math.dist(first, apex)
    turns = [start + (end - start) * k / SHELL_RIBS for k in range(SHELL_RIBS + 1)]
    inner = [(apex[0] + radius * math.cos(turn), apex[1] + radius * math.sin(turn)) for turn in turns[1:-1]]
    return [first, *inner, last]


SHELL_SAGITTA: Final = arc_sagitta(2.0 * SHELL_HALF_DEG / SHELL_RIBS, 0.5 / math.sin(math.radians(SHELL_HALF_DEG)))
PETAL_SAGITTA: Final = arc_sagitta(2.0 * PETAL_HALF_DEG, 0.5 / math.sin(math.radians(PETAL_HALF_DEG)))

FAMILIES: Final = {
    "rosettes": LatticeFamily("rosettes", "Rosettes of six petals that share them", rosettes, 12, 16, PETAL_SAGITTA),
    "shells": LatticeFamily(
        "shells", "Scallop shells in rows, ribs spreading from a hinge", shells, 9, 10, SHELL_SAGITTA
    ),
}
"""Families of petals and shells by their names in the design."""
