"""Flips and splits of single edges of a mesh of cells that lie further from the surface than the tolerance.

An edge is turned to the other diagonal of its two triangles where that is nearer to the surface (data-dependent
triangulation; Dyn, Levin and Rippa 1990), or else split. Where it is short beside the longest edge of a triangle, that
one is split in its place (Rivara 1984): splits of short edges alone leave needles and need not come to an end.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, inverse_permutation, short_way, sorted_unique
from ringtex.solid.mesh.half_edges import paired_half_edges
from ringtex.solid.mesh.strip_triangulation import StripMesh
from ringtex.solid.mesh.triangle_patch import best_apart

MAX_ROUNDS: Final = 32
"""Rounds of flips and splits, each with at most one edge of every triangle; two to five are needed, some ten where rows
of edges wait for each other."""

NEARER: Final = 0.7
"""An edge is flipped where the other diagonal takes less than this fraction of what it does."""

MIN_ROUNDNESS: Final = 0.2
"""Height over longest side of triangles that a flip may leave, or no less than before."""

EVEN_DIGITS: Final = 9
"""Gains of flips and lengths count as equal where they differ by less than a picometre, by rounding alone, so that
every repeat of a pattern is treated alike."""

SHORT: Final = 0.5
"""An edge is short under this fraction of the longest of its triangles."""

FLAT: Final = 0.01
"""Height over longest side under which an edge gives way to every longer one: beside a long edge just under the
tolerance, its parts were found to be over it, and split without end."""

MIDDLE: Final = 4.0 / 9.0
"""How far a surface that is bent alike everywhere lies over the middle of a triangle, over the sum of what it does over
the middles of its three edges."""


@dataclass(frozen=True, eq=False)
class EdgesOff:
    """Edges over the tolerance. one, other (k,): their half-edges 3 f + i; place (k, 3): where to split each, on the
    surface; off (k,): how far each lies from it, mm."""

    one: Longs
    other: Longs
    place: Floats
    off: Floats

    def chosen(self, which: Longs | Bools) -> EdgesOff:
        """Some of them."""
        return EdgesOff(self.one[which], self.other[which], self.place[which], self.off[which])


class SurfaceUnderEdges(Protocol):
    """What a mesh is to be near to. at (n, 3) are u, v, h of its vertices."""

    @property
    def limit_mm(self) -> float:
        """How far an edge may be off."""

    def likely(self, at: Floats, start: Ints, end: Ints, cell: Ints) -> Bools:
        """(k,) which lines between vertices may be further off; the others are not measured.

        Parameters:
            at: (n, 3) u, v, h of all vertices.
            start, end: (k,) vertices.
            cell: (k,) the cell of each line.
        Returns: (k,)
        """

    def over(self, at: Floats, start: Ints, end: Ints, cell: Ints) -> tuple[Floats, Floats]:
        """Where on the surface to split lines between vertices, and how far those are off.

        Parameters:
            at: (n, 3) u, v, h of all vertices.
            start, end: (k,) vertices.
            cell: (k,) the cell of each line.
        Returns: (k, 3) u, v, h, and (k,) mm.
        """

    def deep(self, at: Floats, faces: Ints, cell: Ints, over_edges: Floats, known: Bools) -> Bools:
        """(k,) which triangles are further off at their middles than they may be.

        Parameters:
            at: (n, 3) u, v, h of all vertices.
            faces: (k, 3) triangles.
            cell: (k,) the cell of each.
            over_edges: (k,) how far the surface lies over their middles by what it does over their edges, mm.
            known: (k,) whether that holds: all their edges were looked at.
        Returns: (k,)
        """

    def may_flip(self, mesh: StripMesh, edges: EdgesOff) -> Bools:
        """(k,) which edges are no more than a diagonal: no feature lies along them."""


def flip_and_split(surface: SurfaceUnderEdges, mesh: StripMesh, length: float, active: Longs) -> StripMesh:
    """Flip and split edges until they keep the tolerance.

    Parameters:
        surface: what the mesh is to be near to.
        mesh: the triangles; positions are u, v, h of all vertices that they number.
        length: once round the strip, mm.
        active: triangles to look at.
    Returns: the mesh, with new vertices and triangles at the end.
    """
    mesh = StripMesh(mesh.positions, mesh.faces.copy(), mesh.cell)
    for rounds_before in range(MAX_ROUNDS):
        edges = edges_off(surface, mesh, active)
        if not len(edges.one):
            break
        turned = _flip_to_nearer(surface, mesh, length, edges)
        waits = turned[edges.one // 3] | turned[edges.other // 3]
        to_split = _longest_instead(surface, mesh, length, edges.chosen(~waits))
        waiting = np.concatenate((edges.one, edges.other)) // 3
        mesh, active = _split_worst(mesh, length, to_split, waiting, 1 + rounds_before)
    return mesh


def edges_off(surface: SurfaceUnderEdges, mesh: StripMesh, active: Longs) -> EdgesOff:
    """The edges between two of some triangles that are over the tolerance, or the worst of a triangle that is.

    Parameters:
        surface: what the mesh is to be near to.
        mesh: the triangles.
        active: (k,) those to look at.
    Returns: the edges.
    """
    at, chosen = mesh.positions, mesh.faces[active]
    start, end = chosen.ravel(), chosen[:, [1, 2, 0]].ravel()
    one, other = paired_half_edges(start, end, len(at))
    known = np.bincount(np.concatenate((one, other)) // 3, minlength=len(active)) == 3
    owner = mesh.cell[active]
    likely = surface.likely(at, start[one], end[one], owner[one // 3])
    # Between two cells it is enough that one of them says so.
    between = np.flatnonzero(~likely & (owner[one // 3] != owner[other // 3]))
    likely[between] = surface.likely(at, start[one[between]], end[one[between]], owner[other[between] // 3])
    one, other = one[likely], other[likely]
    place, off = surface.over(at, start[one], end[one], owner[one // 3])
    sides = np.stack((one, other)) // 3
    over_edges = np.asarray(MIDDLE * np.bincount(sides.ravel(), np.tile(off, 2), minlength=len(active)))
    deep = surface.deep(at, chosen, owner, over_edges, known)
    over = np.flatnonzero((off > surface.limit_mm) | _worst_of(deep, sides, off))
    one, other = (3 * active[side[over] // 3] + side[over] % 3 for side in (one, other))
    return EdgesOff(one, other, place[over], off[over])


def _worst_of(triangles: Bools, sides: Longs, off: Floats) -> Bools:
    """(k,) which edges, off (k,) mm, are the furthest of one of some triangles (m,); sides (2, k) are those of each."""
    off = np.round(off, EVEN_DIGITS)
    worst = np.zeros(len(triangles))
    for side in sides:
        np.maximum.at(worst, side, off)
    return np.asarray(np.any(triangles[sides] & (off == worst[sides]), axis=0))


def _flip_to_nearer(surface: SurfaceUnderEdges, mesh: StripMesh, length: float, edges: EdgesOff) -> Bools:
    """Flip edges, in place, to the other diagonal of their triangles where that is nearer to the surface.

    Returns: (m,) the triangles that were turned.
    """
    faces, at = mesh.faces, mesh.positions
    edges = edges.chosen(surface.may_flip(mesh, edges))
    edges = edges.chosen(_round_enough(mesh, length, edges))
    f, g, a, b, c, d = _quads(faces, edges)
    _, off = surface.over(at, c, d, mesh.cell[f])
    good = np.flatnonzero(off < NEARER * edges.off)
    touched = np.concatenate((f[good], g[good]))
    gain = _ranked((edges.off - off)[good], at[a[good]], at[b[good]], length)
    chosen = best_apart(gain, touched, np.tile(np.arange(len(good)), 2), len(faces))
    flip = good[chosen]
    faces[f[flip]] = np.stack((a, d, c), axis=1)[flip]
    faces[g[flip]] = np.stack((d, b, c), axis=1)[flip]
    turned = np.zeros(len(faces), dtype=bool)
    turned[f[flip]] = turned[g[flip]] = True
    return turned


def _quads(faces: Ints, edges: EdgesOff) -> tuple[Longs, Longs, Ints, Ints, Ints, Ints]:
    """(k,) each: the two triangles of edges, the ends of each edge, and the corners across, first of the first one."""
    f, g = edges.one // 3, edges.other // 3
    a, b, c = (faces[f, (edges.one + step) % 3] for step in range(3))
    return f, g, a, b, c, faces[g, (edges.other + 2) % 3]


def _round_enough(mesh: StripMesh, length: float, edges: EdgesOff) -> Bools:
    """(k,) which edges leave triangles that are round, or no less so than before, when they are flipped."""
    _, _, a, b, c, d = _quads(mesh.faces, edges)
    before, after = (
        np.minimum(*(_roundness(mesh.positions, length, triangle) for triangle in pair))
        for pair in (((a, b, c), (b, a, d)), ((a, d, c), (d, b, c)))
    )
    return np.asarray((after > 0.0) & (after > np.minimum(before, MIN_ROUNDNESS) - 10.0**-EVEN_DIGITS))


def _ranked(gain: Floats, start: Floats, end: Floats, length: float) -> Floats:
    """(k,) ranks of gains; equal ones by where across the strip edges from start to end (k, 3) lie and how they slant.

    By numbers of vertices, one repeat of a pattern, at the seam, would be treated otherwise than the others.
    """
    step = end - start
    slant = short_way(step[:, 0], length) * step[:, 1]
    keys = (np.sign(np.round(slant, EVEN_DIGITS)), start[:, 1] + end[:, 1], gain)
    return inverse_permutation(np.lexsort([np.round(key, EVEN_DIGITS) for key in keys])).astype(np.float64)


def _roundness(at: Floats, length: float, corners: tuple[Ints, Ints, Ints]) -> Floats:
    """Height over longest side of triangles on the strip, negative where they run clockwise."""
    u, v = at[:, 0], at[:, 1]
    a, b, c = corners
    first_u, second_u = short_way(u[b] - u[a], length), short_way(u[c] - u[a], length)
    first_v, second_v = v[b] - v[a], v[c] - v[a]
    third_u, third_v = second_u - first_u, second_v - first_v
    longest = first_u * first_u + first_v * first_v
    for side_u, side_v in ((second_u, second_v), (third_u, third_v)):
        np.maximum(longest, side_u * side_u + side_v * side_v, out=longest)
    return np.asarray((first_u * second_v - first_v * second_u) / np.maximum(longest, 1e-300))


def _longest_instead(surface: SurfaceUnderEdges, mesh: StripMesh, length: float, edges: EdgesOff) -> EdgesOff:
    """The edges, in place of short ones the longest of their triangles where that has a triangle on both sides."""
    faces, at = mesh.faces, mesh.positions
    sides = np.stack((edges.one, edges.other)) // 3
    step = at[faces[sides][..., [1, 2, 0]]] - at[faces[sides]]
    step[..., 0] = short_way(step[..., 0], length)
    size = np.round(np.linalg.norm(step, axis=-1), EVEN_DIGITS)
    longest = np.argmax(size, axis=-1)
    most = np.max(size, axis=-1)
    own = size[0, np.arange(len(edges.one)), edges.one % 3]
    a, b, c = faces[sides.ravel()].T
    flat = _roundness(at, length, (a, b, c)).reshape(sides.shape) < FLAT
    side, short = np.nonzero(own < np.where(flat, 1.0, SHORT) * most)
    if not len(short):
        return edges
    wanted = 3 * sides[side, short] + longest[side, short]
    one, other = _pairs_near(faces, wanted // 3, len(at))
    gain = np.zeros(3 * len(faces))
    np.maximum.at(gain, wanted, edges.off[short])
    gain = np.maximum(gain[one], gain[other])
    asked = np.flatnonzero(gain > 0.0)
    one, other, gain = one[asked], other[asked], gain[asked]
    start, end = faces[one // 3, one % 3], faces[one // 3, (one + 1) % 3]
    place, off = surface.over(at, start, end, mesh.cell[one // 3])
    # It may be further off itself than those that it stands for.
    off = np.maximum(off, gain)
    found = np.zeros(3 * len(faces), dtype=bool)
    found[one] = found[other] = True
    replaced = np.zeros(len(edges.one), dtype=bool)
    replaced[short[found[wanted]]] = True
    kept = edges.chosen(~replaced & ~found[edges.one])
    return EdgesOff(
        *(
            np.concatenate(pair)
            for pair in zip((kept.one, kept.other, kept.place, kept.off), (one, other, place, off), strict=True)
        )
    )


def _pairs_near(faces: Ints, triangles: Longs, vertices: int) -> tuple[Longs, Longs]:
    """(k,) each: the half-edges on both sides of the edges round some triangles.

    Parameters:
        faces: all triangles.
        triangles: some of them.
        vertices: how many there are.
    Returns: one of each, and the other.
    """
    near = np.zeros(vertices, dtype=bool)
    near[faces[triangles]] = True
    a, b, c = near[faces.T]
    around = np.flatnonzero(a | b | c)
    one, other = paired_half_edges(faces[around].ravel(), faces[around][:, [1, 2, 0]].ravel(), vertices)
    return 3 * around[one // 3] + one % 3, 3 * around[other // 3] + other % 3


def _split_worst(
    mesh: StripMesh, length: float, edges: EdgesOff, waiting: Longs, passes: int
) -> tuple[StripMesh, Longs]:
    """Split the edges that are the furthest off of both their triangles.

    Parameters:
        mesh: the triangles, changed in place where they are divided.
        length: once round the strip, mm.
        edges: the edges.
        waiting: triangles of all edges that are off, for the next round.
        passes: how often to choose edges, each time among those that are left: more in later rounds.
    Returns: the mesh, and the triangles to look at in the next round.
    """
    both = np.concatenate((edges.one, edges.other)) // 3
    a, b = (mesh.faces[edges.one // 3, (edges.one + step) % 3] for step in (0, 1))
    gain = _ranked(edges.off, mesh.positions[a], mesh.positions[b], length)
    split = best_apart(gain, both, np.tile(np.arange(len(gain)), 2), len(mesh.faces), passes)
    # Both triangles of an edge get the same new vertex.
    half_edge = np.concatenate((edges.one[split], edges.other[split]))
    face, corner = half_edge // 3, half_edge % 3
    fresh = edges.place[split]
    vertex = np.tile(len(mesh.positions) + np.arange(len(fresh), dtype=np.int32), 2)
    faces = mesh.faces
    opposite, end = faces[face, (corner + 2) % 3], faces[face, (corner + 1) % 3]
    second = np.stack((vertex, end, opposite), axis=1)
    faces[face, (corner + 1) % 3] = vertex
    active = sorted_unique(np.concatenate((face, len(faces) + np.arange(len(second)), waiting)))
    split_mesh = StripMesh(
        np.concatenate((mesh.positions, fresh)),
        np.concatenate((faces, second)),
        np.concatenate((mesh.cell, mesh.cell[face])),
    )
    return split_mesh, active
