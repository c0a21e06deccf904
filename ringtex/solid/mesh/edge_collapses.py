"""Collapses of edges that take thin triangles away and hardly move the surface."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs, sorted_unique
from ringtex.solid.mesh.half_edges import paired_half_edges
from ringtex.solid.mesh.triangle_distance import squared_by_rows
from ringtex.solid.mesh.triangle_patch import (
    LINE_MM,
    MAX_MOVED_MM,
    MAX_STEP_MM,
    MIN_NORMAL_COSINE,
    PASSES,
    Shapes,
    ThinLimits,
    TrianglePatch,
    best_apart,
    folded,
    shapes_by_rows,
)


@dataclass(frozen=True, eq=False)
class _Collapses:
    """Collapses of vertices b (k,) into neighbours a (k,), and all triangles round each b.

    first   (k,) where the triangles of each collapse begin.
    owner   (t,) the collapse that each triangle belongs to.
    face    (t,) the triangle; after (t,) and last (t,) its other two corners, counter-clockwise from b.
    stays   (s,) numbers of those that have no corner a, and so do not vanish.
    """

    b: Longs
    a: Longs
    first: Longs
    owner: Longs
    face: Longs
    after: Longs
    last: Longs
    stays: Longs

    def largest(self, values: Floats) -> Floats:
        """(k,) the largest value (t,) of each collapse."""
        return np.asarray(np.maximum.reduceat(values, self.first))

    def least(self, values: Floats) -> Floats:
        """(k,) the least value (t,) of each collapse."""
        return np.asarray(np.minimum.reduceat(values, self.first))

    def of_all(self, values: Floats, vanished: float) -> Floats:
        """(t,) values (s,) of the triangles that stay, and one for the others."""
        found = np.full(len(self.owner), vanished)
        found[self.stays] = values
        return found


def collapse_edges(patch: TrianglePatch, limits: ThinLimits) -> Longs:
    """Collapse edges of a patch in place, no two of them near each other; returns the vertices near edges worth it.

    Vanished triangles are left with a corner twice. After a collapse of b into a, every triangle round b lies as far
    from its old plane as a did, so the largest of these distances bounds the move (as in Ronfard and Rossignac 1996,
    Full-range approximation of triangulated polyhedra). Only thin triangles whose corners have complete stars are
    looked at; the link condition (Dey et al. 1999, Topology preserving edge contraction) keeps the genus.
    """
    shapes = patch.measured(limits)
    thin = patch.thin(shapes.roundness)
    if len(thin) == 0:
        return np.zeros(0, dtype=np.int64)
    work = _candidates(patch, thin)
    rows, owner = patch.rows, work.owner[work.stays]
    ends = (work.a[owner], work.after[work.stays], work.last[work.stays])
    a, b, c = (rows[:, each] for each in ends)
    new = shapes_by_rows(a, b, c, limits)
    moved = _moved(patch, work, shapes, squared_by_rows(rows[:, work.b[owner]], a, b, c))
    sound = _link_condition(patch, work) & (moved <= MAX_MOVED_MM)
    cosine, lies_in = _cosines(work, shapes, new)
    sound &= work.least(work.of_all(cosine, 1.0)) > MIN_NORMAL_COSINE
    before = shapes.roundness[work.face]
    old = np.minimum(work.least(before), 9.0)
    after = np.minimum(work.least(work.of_all(new.roundness, 9.0)), 9.0)
    thin_before = np.bincount(work.owner, before < 1.0, len(work.b))
    thin_after = np.bincount(owner, new.roundness < 1.0, len(work.b))
    sound &= (after > 1.05 * old) | ((after >= 0.98 * old) & (thin_after < thin_before))
    sound &= ~_folds(patch, work, shapes, new, sound)
    index = np.flatnonzero(sound)
    number = np.full(len(sound), -1)
    number[index] = np.arange(len(index))
    near = sound[work.owner]
    touched = np.concatenate((work.b[index], work.after[near]))
    owner = np.concatenate((np.arange(len(index)), number[work.owner[near]]))
    gain = np.minimum(after, 1.0) - old + 0.2 * (thin_before - thin_after) - moved / MAX_MOVED_MM
    best = best_apart(gain[index], touched, owner, len(patch.vertices), PASSES)
    star = _collapse(patch, work, index[best], moved, lies_in)
    patch.measure_again(star, limits)
    return sorted_unique(touched)


def _collapse(patch: TrianglePatch, work: _Collapses, index: Longs, moved: Floats, lies_in: Longs) -> Longs:
    """Make some of the collapses; returns the triangles that have changed.

    Parameters:
        patch, work: the triangles, changed in place, and the collapses.
        index: those to make.
        moved: (k,) how far the surface then lies from the mesh that was given, mm.
        lies_in: (t,) the triangle whose numbers each triangle takes.
    Returns: (c,) numbers of triangles, those that vanish among them.
    """
    chosen: Bools = np.zeros(len(work.b), dtype=bool)
    chosen[index] = True
    changed = chosen[work.owner]
    star = work.face[changed]
    patch.moved_mm[star] = moved[work.owner[changed]]
    for number in (patch.original_id, patch.face_id):
        number[star] = number[lies_in[changed]]
    target = np.arange(len(patch.vertices))
    target[work.b[index]] = work.a[index]
    patch.faces[star] = target[patch.faces[star]]
    return star


def _candidates(patch: TrianglePatch, thin: Longs) -> _Collapses:
    """Both ways along the shortest edge of every thin triangle."""
    count, corner = len(patch.vertices), patch.faces[thin]
    place = patch.vertices[corner]
    shortest = np.argmin(np.sum((place[:, [1, 2, 0]] - place) ** 2, axis=2), axis=1)
    row = np.arange(len(thin))
    one, other = corner[row, shortest], corner[row, (shortest + 1) % 3]
    b, a = np.divmod(sorted_unique(np.concatenate((one * count + other, other * count + one))), count)
    start = patch.faces.ravel()
    order = np.flatnonzero(patch.marked(b)[start])
    order = order[np.argsort(start[order], kind="stable")]
    first, last = (np.searchsorted(start[order], b, side) for side in ("left", "right"))
    size = last - first
    owner = np.repeat(np.arange(len(b)), size)
    begin = np.cumsum(size) - size
    half_edge = order[np.arange(len(owner)) - np.repeat(begin - first, size)]
    face, i = half_edge // 3, half_edge % 3
    after, last = patch.faces[face, (i + 1) % 3], patch.faces[face, (i + 2) % 3]
    stays = np.flatnonzero((after != a[owner]) & (last != a[owner]))
    return _Collapses(b, a, begin, owner, face, after, last, stays)


def _link_condition(patch: TrianglePatch, work: _Collapses) -> Bools:
    """(k,) a and b share no neighbours but the two across their own two triangles, and are not a tetrahedron's.

    With three triangles each, both have one with those two neighbours: two triangles back to back would be left.
    """
    a = work.a[work.owner]
    common = (work.after != a) & patch.has_edges(work.after, a)
    valence = np.bincount(work.owner, minlength=len(work.b))
    a_valence = np.bincount(patch.faces.ravel(), minlength=len(patch.vertices))[work.a]
    return np.asarray((np.bincount(work.owner, common, len(work.b)) == 2) & ((valence > 3) | (a_valence > 3)))


def _folds(patch: TrianglePatch, work: _Collapses, shapes: Shapes, new: Shapes, asked: Bools) -> Bools:
    """(k,) collapses that are asked for after which a triangle would nearly lie on a neighbour.

    Neighbours are the triangle on the outer side, and the next ones round b; where one of these vanishes, the triangle
    on its own outer side.
    """
    count, total = len(patch.vertices), len(work.owner)
    # Round b every triangle begins where another one ends.
    group = work.owner * count
    before = np.empty(total, dtype=np.int64)
    before[np.argsort(group + work.after)] = np.argsort(group + work.last)
    behind = np.empty(total, dtype=np.int64)
    behind[before] = np.arange(total)
    # Neighbours by number: the new triangles, and behind them those of the patch.
    outer = _outer_faces(patch, work)
    outer[outer >= 0] += len(work.stays)
    number = np.full(total, -1)
    number[work.stays] = np.arange(len(work.stays))
    near = np.flatnonzero(asked[work.owner[work.stays]])
    own = work.stays[near]
    ahead, back = behind[own], before[own]
    beside = np.stack(
        (
            outer[own],
            number[back],
            np.where(number[back] < 0, outer[back], -1),
            np.where(number[ahead] < 0, outer[ahead], -1),
        )
    )
    side, one = np.nonzero(beside >= 0)
    turned = folded(new.chosen(near[one]), new.followed_by(shapes).chosen(beside[side, one]))
    return np.asarray(np.bincount(work.owner[own[one]], turned, len(work.b)) > 0)


def _outer_faces(patch: TrianglePatch, work: _Collapses) -> Longs:
    """(t,) the triangle on the other side of the edge that lies across from b; -1 where it is not in the patch."""
    number, start, end = patch.half_edges(patch.marked(work.after, work.last))
    one, other = (number[each] for each in paired_half_edges(start, end, len(patch.vertices)))
    twin = np.full(3 * len(patch.faces), -1)
    twin[one], twin[other] = other, one
    corner = np.argmax(patch.faces[work.face] == work.after[:, None], axis=1)
    across = twin[3 * work.face + corner]
    return np.where(across >= 0, across // 3, -1)


def _moved(patch: TrianglePatch, work: _Collapses, shapes: Shapes, squared: Floats) -> Floats:
    """(k,) how far the surface lies from the mesh that was given after each collapse, mm; infinite where one step moves
    it too far.

    On a sharp crease a may be near all planes round b while b itself is further from the new triangles.

    Parameters:
        patch, work, shapes: the triangles, the collapses, and the triangles' shapes.
        squared: (s,) squared distance of b from each triangle that stays, mm2.
    Returns: mm.
    """
    normal = shapes.normal[work.face]
    unit = normal / np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    way = patch.vertices[work.a] - patch.vertices[work.b]
    off = np.abs(np.einsum("ij,ij->i", unit, way[work.owner]))
    height = shapes.height[work.face]
    is_line = height < LINE_MM
    step = work.largest(np.where(is_line, height, work.of_all(off[work.stays], 0.0)))
    # Nothing moves further than b itself.
    step = np.minimum(step, np.linalg.norm(way, axis=1))
    step = np.maximum(step, np.sqrt(work.least(work.of_all(squared, np.inf))))
    return np.asarray(np.where(step <= MAX_STEP_MM, work.largest(patch.moved_mm[work.face]) + step, np.inf))


def _cosines(work: _Collapses, shapes: Shapes, new: Shapes) -> tuple[Floats, Longs]:
    """(s,) of the angle between each new triangle and its old one; where that was a line, the one of those round b that
    it agrees with best, or itself where both are lines: among lines alone one that is turned over crosses the others.
    And (t,) that old triangle.
    """
    old = shapes.normal / np.maximum(np.linalg.norm(shapes.normal, axis=1), 1e-300)[:, None]
    normal = new.normal / np.maximum(np.linalg.norm(new.normal, axis=1), 1e-300)[:, None]
    face, owner = work.face[work.stays], work.owner[work.stays]
    cosine = np.einsum("ij,ij->i", normal, old[face])
    asked = np.flatnonzero(shapes.height[face] < LINE_MM)
    lies_in = work.face.copy()
    if not len(asked):
        return np.asarray(cosine), lies_in
    first = work.first[owner[asked]]
    count = np.diff(work.first, append=len(work.owner))[owner[asked]]
    which = np.repeat(np.arange(len(asked)), count)
    other = work.face[np.arange(len(which)) - np.repeat(np.cumsum(count) - count - first, count)]
    agreement = np.einsum("ij,ij->i", normal[asked][which], old[other])
    agreement[shapes.height[other] < LINE_MM] = -1.0
    last = np.lexsort((agreement, which))[np.cumsum(count) - 1]
    best, stays_line = agreement[last], new.height[asked] < LINE_MM
    lies_in[work.stays[asked[~stays_line]]] = other[last[~stays_line]]
    cosine[asked] = np.where(stays_line, np.maximum(best, cosine[asked]), best)
    return np.asarray(cosine), lies_in
