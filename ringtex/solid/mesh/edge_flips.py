"""Flips of edges that make thin triangles rounder and hardly move the surface."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs, sorted_unique
from ringtex.solid.mesh.half_edges import paired_half_edges
from ringtex.solid.mesh.triangle_patch import (
    MAX_MOVED_MM,
    MAX_STEP_MM,
    MIN_NORMAL_COSINE,
    PASSES,
    Shapes,
    ThinLimits,
    TrianglePatch,
    best_apart,
    folded,
    shapes_of,
)

MIN_GAIN: Final = 1.1
"""A flip must make the thinner triangle rounder by this factor."""


@dataclass(frozen=True, eq=False)
class _Quads:
    """Pairs of triangles f (a, b, c) and g (b, a, d) on both sides of edges a-b."""

    f: Longs
    g: Longs
    a: Longs
    b: Longs
    c: Longs
    d: Longs

    def flipped(self) -> tuple[Longs, Longs]:
        """(k, 3) corners of each of the two triangles after a flip."""
        return np.stack((self.a, self.d, self.c), axis=1), np.stack((self.d, self.b, self.c), axis=1)

    def chosen(self, which: Longs) -> _Quads:
        return _Quads(*(getattr(self, name)[which] for name in ("f", "g", "a", "b", "c", "d")))


def flip_edges(patch: TrianglePatch, limits: ThinLimits) -> Longs:
    """Flip edges of a patch in place, no two of them near each other; returns the vertices at edges worth a flip.

    A flip moves the surface by at most the distance between the two diagonals. A triangle lower than that takes the
    numbers of its neighbour: its longest edge is then a crease that its third corner lies on.
    """
    shapes = patch.measured(limits)
    quads = _quads(patch, shapes.roundness)
    gap, crossing = _diagonals(*(patch.vertices[each] for each in (quads.a, quads.b, quads.c, quads.d)))
    moved = np.maximum(patch.moved_mm[quads.f], patch.moved_mm[quads.g]) + gap
    near = np.flatnonzero(crossing & (gap <= MAX_STEP_MM) & (moved <= MAX_MOVED_MM))
    quads, moved = quads.chosen(near), moved[near]
    f, g = quads.f, quads.g
    # The first triangle of every flip, then the second.
    made = shapes_of(patch.rows, np.concatenate(quads.flipped()), limits)
    old = np.minimum(shapes.roundness[f], shapes.roundness[g])
    new = np.min(made.roundness.reshape(2, -1), axis=0)
    larger = np.where(shapes.height[f] > shapes.height[g], f, g)
    is_line = np.minimum(shapes.height[f], shapes.height[g]) <= MAX_STEP_MM
    sound = (new > MIN_GAIN * old) & (is_line | (patch.original_id[f] == patch.original_id[g]))
    sound &= np.all(_same_side(made.normal, np.tile(shapes.normal[larger], (2, 1))).reshape(2, -1), axis=0)
    index = np.flatnonzero(sound & (quads.c != quads.d))
    index = index[~patch.has_edges(quads.c[index], quads.d[index])]
    pair = np.concatenate((index, index + len(sound)))
    if len(index):
        index = index[~_folds(patch, shapes, quads.chosen(index), made.chosen(pair))]
    touched = np.concatenate([each[index] for each in (quads.a, quads.b, quads.c, quads.d)])
    best = best_apart(
        (new / np.maximum(old, 1e-9))[index], touched, np.tile(np.arange(len(index)), 4), len(patch.vertices), PASSES
    )
    index = index[best]
    _flip(patch, quads.chosen(index), larger[index], is_line[index], moved[index])
    patch.measure_again(np.concatenate((f[index], g[index])), limits)
    return sorted_unique(touched)


def _quads(patch: TrianglePatch, roundness: Floats) -> _Quads:
    """At edges of thin triangles, in the order of their ends."""
    thin = patch.thin(roundness)
    number, start, end = patch.half_edges(patch.marked(patch.faces[thin]))
    first, second = (number[each] for each in paired_half_edges(start, end, len(patch.vertices)))
    is_thin: Bools = np.zeros(len(patch.faces), dtype=bool)
    is_thin[thin] = True
    near_thin = is_thin[first // 3] | is_thin[second // 3]
    first, second = first[near_thin], second[near_thin]
    f, g, i = first // 3, second // 3, first % 3
    a, b, c = (patch.faces[f, (i + turn) % 3] for turn in range(3))
    return _Quads(f, g, a, b, c, patch.faces[g, (second % 3 + 2) % 3])


def _diagonals(a: Floats, b: Floats, c: Floats, d: Floats) -> tuple[Floats, Bools]:
    """Distance of the lines a-b and c-d, and whether they come nearest between their ends."""
    along, across, offset = b - a, d - c, c - a

    def dot(first: Floats, second: Floats) -> Floats:
        return np.asarray(np.einsum("ij,ij->i", first, second))

    uu, ww, uw = dot(along, along), dot(across, across), dot(along, across)
    ur, wr = dot(along, offset), dot(across, offset)
    determinant = np.maximum(uu * ww - uw * uw, 1e-300)
    # Lines that are parallel, or points, meet nowhere: far beyond their ends, but not so far that squares overflow.
    t, s = (np.clip(part / determinant, -1e6, 1e6) for part in (ur * ww - wr * uw, ur * uw - wr * uu))
    gap = np.linalg.norm(a + t[:, None] * along - c - s[:, None] * across, axis=1)
    # A corner that lies on the edge itself may seem a hair beyond it.
    return gap, (t > 1e-6) & (t < 1.0 - 1e-6) & (s > -1e-3) & (s < 1.0 + 1e-3)


def _folds(patch: TrianglePatch, shapes: Shapes, quads: _Quads, made: Shapes) -> Bools:
    """(k,) flips after which one of the two triangles made would nearly lie on a neighbour.

    Of each other they are neighbours along the new edge, of triangles that stay along the other four; those that are
    not among the patch's are not looked at.
    """
    count, flips = len(patch.vertices), len(quads.f)
    a, b, c, d = quads.a, quads.b, quads.c, quads.d
    number, start, end = patch.half_edges(patch.marked(a, b, c, d))
    keys = start * count + end
    order = np.argsort(keys)
    wanted = np.concatenate((d * count + a, b * count + d, a * count + c, c * count + b))
    side = np.concatenate((np.arange(flips), flips + np.arange(flips)))
    place = np.minimum(np.searchsorted(keys, wanted, sorter=order), len(keys) - 1)
    inside = np.flatnonzero(keys[order[place]] == wanted)
    outer = shapes.chosen(number[order[place[inside]]] // 3)
    turned = np.bincount(inside % flips, folded(made.chosen(np.tile(side, 2)[inside]), outer), flips) > 0
    return np.asarray(turned | folded(made.chosen(np.arange(flips)), made.chosen(flips + np.arange(flips))))


def _same_side(normal: Floats, reference: Floats) -> Bools:
    length = np.linalg.norm(normal, axis=1) * np.linalg.norm(reference, axis=1)
    return np.asarray(np.einsum("ij,ij->i", normal, reference) > MIN_NORMAL_COSINE * length)


def _flip(patch: TrianglePatch, quads: _Quads, larger: Longs, is_line: Bools, moved: Floats) -> None:
    patch.faces[quads.f], patch.faces[quads.g] = quads.flipped()
    for face in (quads.f, quads.g):
        patch.moved_mm[face] = moved
    smaller = np.where(larger == quads.f, quads.g, quads.f)[is_line]
    patch.original_id[smaller] = patch.original_id[larger[is_line]]
    patch.face_id[smaller] = patch.face_id[larger[is_line]]
