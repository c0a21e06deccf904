"""Collapses of edges that take thin triangles away and hardly move the surface."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs, contained, sorted_unique
from ringtex.solid.mesh.triangle_distance import squared_distances
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
    triangle_shapes,
)


@dataclass(frozen=True, eq=False)
class _Collapses:
    """Collapses of vertices b (k,) into neighbours a (k,), and all triangles round each b.

    owner   (t,) the collapse that each triangle belongs to.
    face    (t,) the triangle; after (t,) and last (t,) its other two corners, counter-clockwise from b.
    stays   (t,) it has no corner a, and so does not vanish.
    """

    b: Longs
    a: Longs
    owner: Longs
    face: Longs
    after: Longs
    last: Longs
    stays: Bools

    def worst(self, values: Floats, start: float = 0.0) -> Floats:
        """(k,) the largest value (t,) of each collapse."""
        largest = np.full(len(self.b), start)
        np.maximum.at(largest, self.owner, values)
        return largest


def collapse_edges(patch: TrianglePatch, limits: ThinLimits) -> Longs:
    """Collapse edges of a patch in place, no two of them near each other; returns the vertices near edges worth it.

    Vanished triangles are left with a corner twice. After a collapse of b into a, every triangle round b lies as far
    from its old plane as a did, so the largest of these distances bounds the move (as in Ronfard and Rossignac 1996,
    Full-range approximation of triangulated polyhedra). Only thin triangles whose corners have complete stars are
    looked at; the link condition (Dey et al. 1999, Topology preserving edge contraction) keeps the genus.
    """
    shapes = triangle_shapes(patch.vertices[patch.faces], limits)
    thin = np.flatnonzero(patch.thin(shapes.roundness))
    if len(thin) == 0:
        return np.zeros(0, dtype=np.int64)
    work = _candidates(patch, thin)
    corners = np.stack([patch.vertices[each] for each in (work.a[work.owner], work.after, work.last)], axis=1)
    moved = _moved(patch, work, shapes, corners)
    sound = _link_condition(patch, work) & (moved <= MAX_MOVED_MM)
    new = triangle_shapes(corners, limits)
    cosine, lies_in = _cosines(work, shapes, new)
    sound &= -work.worst(np.where(work.stays, -cosine, -1.0), -1.0) > MIN_NORMAL_COSINE
    old = -work.worst(-shapes.roundness[work.face], -9.0)
    after = -work.worst(np.where(work.stays, -new.roundness, -9.0), -9.0)
    thin_before = np.bincount(work.owner, shapes.roundness[work.face] < 1.0, len(work.b))
    thin_after = np.bincount(work.owner, work.stays & (new.roundness < 1.0), len(work.b))
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
    index = index[best]
    chosen: Bools = np.zeros(len(sound), dtype=bool)
    chosen[index] = True
    changed = chosen[work.owner]
    patch.moved_mm[work.face[changed]] = moved[work.owner[changed]]
    for number in (patch.original_id, patch.face_id):
        number[work.face[changed]] = number[lies_in[changed]]
    target = np.arange(len(patch.vertices))
    target[work.b[index]] = work.a[index]
    patch.faces = target[patch.faces]
    return sorted_unique(touched)


def _candidates(patch: TrianglePatch, thin: Longs) -> _Collapses:
    """Both ways along the shortest edge of every thin triangle."""
    count, corner = len(patch.vertices), patch.faces[thin]
    place = patch.vertices[corner]
    shortest = np.argmin(np.sum((np.roll(place, -1, axis=1) - place) ** 2, axis=2), axis=1)
    row = np.arange(len(thin))
    one, other = corner[row, shortest], corner[row, (shortest + 1) % 3]
    b, a = np.divmod(sorted_unique(np.concatenate((one * count + other, other * count + one))), count)
    start = patch.faces.ravel()
    order = np.argsort(start, kind="stable")
    first = np.searchsorted(start[order], np.arange(count + 1))
    size = first[b + 1] - first[b]
    owner = np.repeat(np.arange(len(b)), size)
    half_edge = order[np.arange(len(owner)) - np.repeat(np.cumsum(size) - size - first[b], size)]
    face, i = half_edge // 3, half_edge % 3
    after, last = patch.faces[face, (i + 1) % 3], patch.faces[face, (i + 2) % 3]
    stays = (after != a[owner]) & (last != a[owner])
    return _Collapses(b, a, owner, face, after, last, stays)


def _link_condition(patch: TrianglePatch, work: _Collapses) -> Bools:
    """(k,) a and b share no neighbours but the two across their own two triangles, and are not a tetrahedron's.

    With three triangles each, both have one with those two neighbours: two triangles back to back would be left.
    """
    keys = sorted_unique(patch.edge_keys())
    a = work.a[work.owner]
    common = (work.after != a) & contained(patch.keys(work.after, a), keys)
    valence = np.bincount(work.owner, minlength=len(work.b))
    a_valence = np.bincount(patch.faces.ravel(), minlength=len(patch.vertices))[work.a]
    return np.asarray((np.bincount(work.owner, common, len(work.b)) == 2) & ((valence > 3) | (a_valence > 3)))


def _folds(patch: TrianglePatch, work: _Collapses, shapes: Shapes, new: Shapes, asked: Bools) -> Bools:
    """(k,) collapses that are asked for after which a triangle would nearly lie on a neighbour."""
    near = work.stays & asked[work.owner]
    owner = work.owner[near]
    corner = np.stack((work.a[owner], work.after[near], work.last[near]), axis=1)
    turned = folded(patch, shapes, corner, owner, new.chosen(near))
    return np.asarray(np.bincount(owner, turned, len(work.b)) > 0)


def _moved(patch: TrianglePatch, work: _Collapses, shapes: Shapes, corners: Floats) -> Floats:
    """(k,) how far the surface lies from the mesh that was given after each collapse, mm; infinite where one step moves
    it too far.

    On a sharp crease a may be near all planes round b while b itself is further from the new triangles.
    """
    normal = shapes.normal[work.face]
    unit = normal / np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    way = patch.vertices[work.a] - patch.vertices[work.b]
    off = np.abs(np.einsum("ij,ij->i", unit, way[work.owner]))
    height = shapes.height[work.face]
    is_line = height < LINE_MM
    step = np.maximum(work.worst(np.where(work.stays & ~is_line, off, 0.0)), work.worst(np.where(is_line, height, 0.0)))
    # Nothing moves further than b itself.
    step = np.minimum(step, np.linalg.norm(way, axis=1))
    squared = squared_distances(patch.vertices[work.b[work.owner]], corners)
    step = np.maximum(step, np.sqrt(-work.worst(np.where(work.stays, -squared, -np.inf), -np.inf)))
    return np.asarray(np.where(step <= MAX_STEP_MM, work.worst(patch.moved_mm[work.face]) + step, np.inf))


def _cosines(work: _Collapses, shapes: Shapes, new: Shapes) -> tuple[Floats, Longs]:
    """(t,) of the angle between each new triangle and its old one; where that was a line, the one of those round b that
    it agrees with best, or itself where both are lines: among lines alone one that is turned over crosses the others.
    And (t,) that old triangle.
    """
    old = shapes.normal / np.maximum(np.linalg.norm(shapes.normal, axis=1), 1e-300)[:, None]
    normal = new.normal / np.maximum(np.linalg.norm(new.normal, axis=1), 1e-300)[:, None]
    cosine = np.einsum("ij,ij->i", normal, old[work.face])
    was_line = work.stays & (shapes.height[work.face] < LINE_MM)
    asked = np.flatnonzero(was_line)
    size = np.bincount(work.owner, minlength=len(work.b))
    first = (np.cumsum(size) - size)[work.owner[asked]]
    count = size[work.owner[asked]]
    which = np.repeat(np.arange(len(asked)), count)
    other = work.face[np.arange(len(which)) - np.repeat(np.cumsum(count) - count - first, count)]
    agreement = np.einsum("ij,ij->i", normal[asked][which], old[other])
    agreement[shapes.height[other] < LINE_MM] = -1.0
    last = np.lexsort((agreement, which))[np.cumsum(count) - 1]
    lies_in = work.face.copy()
    best, stays_line = agreement[last], new.height[asked] < LINE_MM
    lies_in[asked[~stays_line]] = other[last[~stays_line]]
    cosine[asked] = np.where(stays_line, np.maximum(best, cosine[asked]), best)
    return np.asarray(cosine), lies_in
