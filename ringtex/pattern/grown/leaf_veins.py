"""Leaf veins: a midrib round the ring, side veins that leave it by turns and bend forward, fine meshes between them.

The order of a leaf with pinnate venation (Hickey 1973, Classification of the architecture of dicotyledonous leaves;
from memory): veins of three widths, the areoles between the finest ones being the cells. Midrib and side veins are
level cells.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.pattern.grown.crack_splits import cracked
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.quantisation import with_vertices
from ringtex.pattern.tiling import Tiling, tiling_of_loops

SPACING: Final = 1.15
"""Of side veins along the midrib, in half widths of the band."""

MESHES: Final = 7
"""Least number of meshes between two side veins."""

MIDRIB: Final = 0.34
SIDE_VEIN: Final = (0.20, 0.07)
"""Widths of the veins in roots of the mean mesh's area: a side vein's at the midrib and at the rail."""

SLANT: Final = (0.5, 0.4)
"""How far a side vein leans along the ring, in half widths of the band: straight, and by the square of the way to the
rail. It leaves the midrib at 63 degrees and meets the rail at 38."""

STATIONS: Final = 7
"""Points on each side of a side vein."""

WAVE: Final = 0.05
WAVES: Final = (2, 3)
"""The midrib sways by this fraction of the band's width, in two waves round the ring of random phase."""

IRREGULAR: Final = 0.12
"""How far the feet of side veins are moved at random, in their spacing; up to twice that with scatter."""

ROUNDS: Final = 8
MAX_HALVINGS: Final = 8
MIN_CLEARANCE: Final = 0.06
"""Meshes relax by this many rounds, as far as each keeps a point that is this fraction of its size clear of all its
walls."""


def leaf_veins(part: PatternedPart, count: int, scatter: float, seed: int) -> tuple[Tiling, Bools]:
    """About `count` meshes between veins.

    Parameters:
        part: the rectangle between the rails.
        count: meshes wanted.
        scatter: 0 to 1, how irregular.
        seed: of all that is random.
    Returns: star-shaped cells, and (cells,) which of them are veins.
    """
    random = np.random.Generator(np.random.PCG64([seed, 5]))
    half = 0.5 * part.width
    veins = max(3, min(round(part.length / (SPACING * half)), count // (2 * MESHES)))
    web = _Web(part, veins, math.sqrt(part.area / count), IRREGULAR * (1.0 + scatter), random)
    tiling = tiling_of_loops((part.length, part.lower, part.upper), web.points, web.loops)
    tiling = with_vertices(tiling, tiling.vertices)
    level = np.arange(tiling.cells) >= 2 * veins
    tiling = cracked(tiling, count + int(np.count_nonzero(level)), random, level)
    level = np.concatenate([level, np.zeros(tiling.cells - len(level), np.bool_)])
    return _relaxed(_arched(tiling, part, random), level), level


class _Web:
    """Midrib and straight side veins. points (n, 2) mm; loops: the fields between side veins, above and below by turns,
    then the veins: vertices and turns of each."""

    def __init__(self, part: PatternedPart, veins: int, size: float, move: float, random: np.random.Generator) -> None:
        self.veins, self.points = veins, np.empty((0, 2))
        self.loops: list[tuple[Longs, Longs]] = []
        for side in (1.0, -1.0):
            self.points = np.concatenate([self.points, self._side(part, size, move, side, random)])
        self._fields()
        self._side_veins()
        self._midrib()

    def _side(self, part: PatternedPart, size: float, move: float, side: float, random: np.random.Generator) -> Floats:
        """Both sides of all side veins above (1) or below (-1) the midrib, from it to the rail: left, then right."""
        half, pitch = 0.5 * part.width, part.length / self.veins
        middle = part.lower + half
        rib = min(0.5 * MIDRIB * size, 0.2 * half)
        number = np.arange(self.veins) + 0.25 - 0.25 * side
        foot = pitch * (number + move * random.uniform(-1.0, 1.0, self.veins))
        lean = sum(SLANT) * half + 0.8 * move * pitch * random.uniform(-1.0, 1.0, self.veins)
        along = np.linspace(0.0, 1.0, STATIONS)
        v = middle + side * (rib + along * (half - rib))
        v[-1] = part.upper if side > 0.0 else part.lower
        thick = np.minimum(np.interp(along, (0.0, 1.0), SIDE_VEIN) * size, 0.3 * pitch)
        u = foot[:, None] + along * lean[:, None]
        both = np.stack([u - 0.5 * thick, u + 0.5 * thick], axis=1)
        return np.stack([both, np.broadcast_to(v, both.shape)], axis=-1).reshape(-1, 2)

    def _ids(self, side: int, vein: int, right: int) -> Longs:
        """Points of one side of a side vein, from the midrib to the rail; the one after the last is the first again."""
        return (((side * self.veins + vein % self.veins) * 2 + right) * STATIONS) + np.arange(STATIONS)

    def _add(self, side: int, pieces: list[tuple[Longs, int]]) -> None:
        """A cell from its pieces: counter-clockwise above the midrib, the other way below it, where it is mirrored."""
        vertex = np.concatenate([ids for ids, _ in pieces])
        turn = np.concatenate([np.full(len(ids), turns, np.int64) for ids, turns in pieces])
        self.loops.append((vertex, turn) if side == 0 else (vertex[::-1], turn[::-1]))

    def _fields(self) -> None:
        for vein in range(self.veins):
            turn = (vein + 1) // self.veins
            for side in (0, 1):
                right_of, left_of = self._ids(side, vein, 1), self._ids(side, vein + 1, 0)
                self._add(side, [(right_of[:1], 0), (left_of, turn), (right_of[:0:-1], 0)])

    def _side_veins(self) -> None:
        for vein in range(self.veins):
            for side in (0, 1):
                left, right = self._ids(side, vein, 0), self._ids(side, vein, 1)
                for first in range(STATIONS - 1):
                    here = slice(first, first + 2)
                    self._add(side, [(right[here], 0), (left[here][::-1], 0)])

    def _midrib(self) -> None:
        """One piece from each upper side vein to the next, its ends slanting to the lower one that follows."""
        for vein in range(self.veins):
            turn = (vein + 1) // self.veins
            below = [self._ids(1, vein, 0)[0], self._ids(1, vein, 1)[0], self._ids(1, vein + 1, 0)[0]]
            above = [self._ids(0, vein + 1, 1)[0], self._ids(0, vein + 1, 0)[0], self._ids(0, vein, 1)[0]]
            self.loops.append((np.array(below + above), np.array([0, 0, turn, turn, turn, 0])))


def _arched(tiling: Tiling, part: PatternedPart, random: np.random.Generator) -> Tiling:
    """The straight side veins bent forward, and the midrib swayed, as far as every cell stays star-shaped: what a point
    moves along the ring depends on its height alone, what it moves across, and dies away at the rails, mostly on its
    place round the ring."""
    half = 0.5 * part.width
    u, v = tiling.vertices.T
    way = (v - part.lower - half) / half
    along = SLANT[1] * half * (way * way - np.abs(way))
    angle = 2.0 * math.pi * (np.outer(WAVES, u / part.length) + random.random((len(WAVES), 1)))
    across = WAVE * part.width * np.mean(np.sin(angle), axis=0) * (1.0 - way * way)
    border = (v == part.lower) | (v == part.upper)
    move = np.column_stack([along, np.where(border, 0.0, across)])
    for _ in range(MAX_HALVINGS):
        made = with_vertices(tiling, tiling.vertices + move)
        if np.all(made.kernel[1] > 0.5 * MIN_CLEARANCE * np.sqrt(np.maximum(made.areas, 0.0))):
            return made
        move *= 0.5
    return tiling


def _relaxed(tiling: Tiling, level: Bools) -> Tiling:
    """Corners between meshes moved towards the centroids of theirs, of large ones more, so that T-junctions open and
    small meshes grow; veins and rails stay."""
    at, cell = tiling.corner_vertex, tiling.corner_cell
    fixed = np.zeros(len(tiling.vertices), np.bool_)
    fixed[at[level[cell]]] = True
    fixed[np.isin(tiling.vertices[:, 1], (tiling.lower, tiling.upper))] = True
    for _ in range(ROUNDS):
        weight = tiling.areas[cell]
        way = (tiling.centroids[cell] - tiling.corners) * weight[:, None]
        total = np.column_stack([np.bincount(at, way[:, axis], len(fixed)) for axis in (0, 1)])
        move = 0.6 * total / np.bincount(at, weight, len(fixed))[:, None]
        move[fixed] = 0.0
        tiling = _moved(tiling, move)
    return tiling


def _moved(tiling: Tiling, move: Floats) -> Tiling:
    """The tiling with its vertices moved, less round cells that would fold."""
    for _ in range(MAX_HALVINGS):
        made = with_vertices(tiling, tiling.vertices + move)
        wrong = ~(made.kernel[1] > MIN_CLEARANCE * np.sqrt(np.maximum(made.areas, 0.0)))
        wrong &= made.kernel[1] < tiling.kernel[1]
        if not np.any(wrong):
            return made
        move[tiling.corner_vertex[wrong[tiling.corner_cell]]] *= 0.5
    return tiling
