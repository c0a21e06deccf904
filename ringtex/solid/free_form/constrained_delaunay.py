"""Constrained Delaunay triangulation of a rectangle with points on an integer grid, so that every orientation is exact.

Qhull triangulates the points; segments that it left out are restored by flips of the edges that they cross (Sloan
1993, A fast algorithm for generating constrained Delaunay triangulations), many at a time; then edges round them are
flipped until they are Delaunay again (Lawson 1977).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from scipy.spatial import Delaunay

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, contained, sorted_unique
from ringtex.basics.errors import SelfCheckError

MAX_ROUNDS: Final = 400
"""Rounds of flips for segments; they settle within some tens, and what does not is left out."""

LAWSON_ROUNDS: Final = 12
GUARD: Final = 3
"""Far corners, in sides of the rectangle: without them points on its sides would lie on the hull."""


def _sides(points: Longs, size: tuple[int, int]) -> Longs:
    """(k, 2) neighbours along the rectangle's sides."""
    found = []
    for axis in (0, 1):
        for level in (0, size[axis]):
            on = np.flatnonzero(points[:, axis] == level)
            on = on[np.argsort(points[on, 1 - axis], kind="stable")]
            found.append(np.column_stack((on[:-1], on[1:])))
    return np.concatenate(found)


class ConstrainedDelaunay:
    """Triangles of a rectangle, counter-clockwise, that cover it exactly.

    Its tables: points (n, 2) whole numbers, tri (m, 3) and nbr (m, 3), nbr[t, k] across the side opposite corner k, -1
    outside. Four far corners follow the points given; triangles with one of them lie outside the rectangle.
    """

    def __init__(self, points: Longs, segments: Longs, size: tuple[int, int]) -> None:
        """Triangulate, with all segments as edges where they do not cross.

        Parameters:
            points: (n, 2) whole numbers under 2^27 in [0, width] x [0, height], each place once, the four corners
                included.
            segments: (k, 2) pairs of points; those along the sides are added. Of two that cross one is left out.
            size: width and height.
        Raises: SelfCheckError if the triangles do not cover the rectangle.
        """
        wanted = np.concatenate((_sides(points, size), segments))
        wanted = np.sort(wanted[wanted[:, 0] != wanted[:, 1]], axis=1)
        wanted = wanted[np.sort(np.unique(wanted[:, 0] * len(points) + wanted[:, 1], return_index=True)[1])]
        self.size, self.far = size, len(points) + np.arange(4)
        self._triangulate(points, size)
        self.left_out = self._restore(wanted)
        self.check()

    def check(self) -> None:
        """Raises: SelfCheckError if the triangles do not cover the rectangle exactly."""
        turn = self._turn(*self.tri[self._inner()].T)
        if np.any(turn <= 0) or int(np.sum(turn)) != 2 * self.size[0] * self.size[1]:
            raise SelfCheckError("the triangulation of the strip has a gap", "Report this design")

    def _triangulate(self, points: Longs, size: tuple[int, int]) -> None:
        far = GUARD * max(size)
        corners = np.array(
            [[-far, -far], [size[0] + far, -far - 1], [size[0] + far + 1, size[1] + far], [-far - 2, size[1] + far + 1]]
        )
        self.points = np.concatenate((points, corners)).astype(np.int64)
        found = Delaunay(self.points.astype(np.float64))
        if len(found.coplanar):
            # Qhull leaves out points that nearly coincide: ways through them would not end.
            raise SelfCheckError("points of the triangulation lie too near to each other", "Report this design")
        self.tri = found.simplices.astype(np.int64)
        self.nbr = found.neighbors.astype(np.int64)
        clockwise = self._turn(*self.tri.T) < 0
        for table in (self.tri, self.nbr):
            table[clockwise] = table[clockwise][:, [0, 2, 1]]
        self.at_vertex = np.zeros(len(self.points), dtype=np.int64)
        self.at_vertex[self.tri] = np.arange(len(self.tri))[:, None]
        self.locked: Longs = np.zeros(0, dtype=np.int64)
        self.changed = np.ones(len(self.tri), dtype=bool)
        self._random = np.random.Generator(np.random.PCG64(1))

    def _turn(self, a: Longs, b: Longs, c: Longs) -> Longs:
        """Twice the signed area of triangles of vertices, exact."""
        p, q, r = self.points[a], self.points[b], self.points[c]
        turn: Longs = (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (
            r[..., 0] - p[..., 0]
        )
        return turn

    def _key(self, a: Longs, b: Longs) -> Longs:
        return (np.minimum(a, b) << 32) + np.maximum(a, b)

    def _restore(self, wanted: Longs) -> int:
        """Make edges of all segments that can be; returns how many cannot."""
        edges = self._key(self.tri, np.roll(self.tri, -1, axis=1)).ravel()
        keys = self._key(wanted[:, 0], wanted[:, 1])
        present = contained(keys, np.sort(edges))
        self._lock(keys[present])
        missing, dropped = wanted[~present], 0
        touched = np.zeros(len(self.tri), dtype=bool)
        for _ in range(MAX_ROUNDS):
            if not len(missing):
                break
            missing, owner, tri, corner = self._crossings(missing)
            blocked = self._is_locked(tri, corner)
            if np.any(blocked):
                bad = np.zeros(len(missing), dtype=bool)
                bad[owner[blocked]] = True
                dropped += int(np.count_nonzero(bad))
                kept = ~bad[owner]
                renumber = np.cumsum(~bad) - 1
                owner, tri, corner, missing = renumber[owner[kept]], tri[kept], corner[kept], missing[~bad]
            if len(tri):
                self._flip_towards(missing[owner], tri, corner, touched)
        self._lawson(touched)
        return dropped + len(missing)

    def _lock(self, keys: Longs) -> None:
        self.locked = sorted_unique(np.concatenate((self.locked, keys)))

    def _is_locked(self, tri: Longs, corner: Longs) -> Bools:
        keys = self._key(self.tri[tri, (corner + 1) % 3], self.tri[tri, (corner + 2) % 3])
        return contained(keys, self.locked)

    def _crossings(self, segments: Longs) -> tuple[Longs, Longs, Longs, Longs]:
        """Segments still missing (those through a vertex cut there), and for each edge that one crosses: its segment,
        and the triangle and opposite corner on the side where the segment begins."""
        rest, done = [], []
        owners, tris, corners = [], [], []
        base = 0
        while len(segments):
            tri, corner, ends_at = self._first_edges(segments)
            meets = ends_at >= 0
            # The segment runs along an edge to a vertex: this part is there.
            done.append(self._key(segments[meets, 0], ends_at[meets]))
            further = np.flatnonzero(meets & (ends_at != segments[:, 1]))
            more = [np.column_stack((ends_at[further], segments[further, 1]))]
            live = np.flatnonzero(~meets)
            segments, tri, corner = segments[live].copy(), tri[live], corner[live]
            for owner, at_tri, at_corner, beyond in self._walk(segments, tri, corner):
                owners.append(base + owner)
                tris.append(at_tri)
                corners.append(at_corner)
                more.append(beyond)
            rest.append(segments)
            base += len(segments)
            segments = np.concatenate(more)
        self._lock(np.concatenate(done))
        none = np.zeros(0, dtype=np.int64)
        return (
            np.concatenate(rest),
            np.concatenate(owners) if owners else none,
            np.concatenate(tris) if tris else none,
            np.concatenate(corners) if corners else none,
        )

    def _walk(self, segments: Longs, tri: Longs, corner: Longs) -> Iterator[tuple[Longs, Longs, Longs, Longs]]:
        """Follow all segments at once from edge to edge, and end those that meet a vertex there, in place.

        Parameters:
            segments: (k, 2), changed where they end early.
            tri, corner: (k,) where each leaves its first triangle.
        Returns: for each step the segments that cross an edge, its triangle and corner, and (n, 2) what is left beyond
            vertices that were met.
        """
        a, b = segments[:, 0], segments[:, 1].copy()
        number = np.arange(len(segments))
        while len(number):
            across = self.nbr[tri, corner]
            back = np.argmax(self.nbr[across] == tri[:, None], axis=1)
            apex = self.tri[across, back]
            side = self._turn(a[number], b[number], apex)
            through = (side == 0) & (apex != b[number])
            segments[number[through], 1] = apex[through]
            yield number, tri, corner, np.column_stack((apex[through], b[number[through]]))
            on = side != 0
            # In the triangle across, (apex, q, p): leave by (apex, p) where the apex is left of the segment.
            leave = np.where(side > 0, (back + 1) % 3, (back + 2) % 3)
            number, tri, corner = number[on], across[on], leave[on]

    def _first_edges(self, segments: Longs) -> tuple[Longs, Longs, Longs]:
        """For each segment: the triangle and corner whose opposite side it leaves by, or the vertex (else -1)
        that it meets first along an edge."""
        a, b = segments.T
        tri = self.at_vertex[a].copy()
        corner, ends_at = np.zeros(len(a), dtype=np.int64), np.full(len(a), -1)
        active = np.arange(len(a))
        for _ in range(100_000):
            if not len(active):
                break
            t = tri[active]
            k = np.argmax(self.tri[t] == a[active][:, None], axis=1)
            corner[active] = k
            p, q = self.tri[t, (k + 1) % 3], self.tri[t, (k + 2) % 3]
            right, left = self._turn(a[active], b[active], p), self._turn(a[active], b[active], q)
            ahead = (
                np.sum(
                    (self.points[p] - self.points[a[active]]) * (self.points[b[active]] - self.points[a[active]]),
                    axis=1,
                )
                > 0
            )
            along = (right == 0) & ahead
            ends_at[active[along]] = p[along]
            found = along | ((right < 0) & (left > 0))
            tri[active[~found]] = self.nbr[t[~found], (k[~found] + 1) % 3]
            active = active[~found]
        return tri, corner, ends_at

    def _flip_towards(self, segments: Longs, tri: Longs, corner: Longs, touched: Bools) -> None:
        """Flip crossed edges, first those whose other diagonal does not cross the segment (n, 2) that is theirs."""
        f, k, _, _, a, p, q, d = self._quads(tri, corner)
        convex = (self._turn(a, p, d) > 0) & (self._turn(a, d, q) > 0)
        s, e = segments.T
        one, other = self._turn(s, e, a), self._turn(s, e, d)
        clears = (one.astype(np.float64) * other.astype(np.float64) >= 0.0) | (a == s) | (d == e)
        draw = self._random.random(len(tri))
        chosen = convex & (clears | (draw < 0.5))
        if not np.any(chosen):
            chosen = convex
        rank = np.where(clears, draw, 1.0 + draw)[chosen]
        self._flip(f[chosen], k[chosen], rank, touched)

    def _quads(self, f: Longs, k: Longs) -> tuple[Longs, ...]:
        g = self.nbr[f, k]
        j = np.argmax(self.nbr[g] == f[:, None], axis=1)
        return f, k, g, j, self.tri[f, k], self.tri[f, (k + 1) % 3], self.tri[f, (k + 2) % 3], self.tri[g, j]

    def _flip(self, f: Longs, k: Longs, rank: Floats, touched: Bools) -> None:
        """Flip those edges that come first by rank in all triangles round them, so that no two flips meet."""
        f, k, g, j, a, p, q, d = self._quads(f, k)
        beside_p, beside_q = self.nbr[f, (k + 1) % 3], self.nbr[g, (j + 1) % 3]
        order = np.empty(len(f), dtype=np.int64)
        order[np.argsort(rank, kind="stable")] = np.arange(len(f))
        first = np.full(len(self.tri) + 1, len(f))
        around = (f, g, beside_p, beside_q)
        for each in around:
            np.minimum.at(first, each, order)
        chosen = np.logical_and.reduce([(first[each] == order) | (each < 0) for each in around])
        f, k, g, j, a, p, q, d = (each[chosen] for each in (f, k, g, j, a, p, q, d))
        beside_p, beside_q = beside_p[chosen], beside_q[chosen]
        beside_a, beside_d = self.nbr[f, (k + 2) % 3], self.nbr[g, (j + 2) % 3]
        for beside, old, new in ((beside_p, f, g), (beside_q, g, f)):
            inner = np.flatnonzero(beside >= 0)
            slot = np.argmax(self.nbr[beside[inner]] == old[inner, None], axis=1)
            self.nbr[beside[inner], slot] = new[inner]
        self.tri[f], self.tri[g] = np.column_stack((a, p, d)), np.column_stack((a, d, q))
        self.nbr[f], self.nbr[g] = np.column_stack((beside_q, g, beside_a)), np.column_stack((beside_d, beside_p, f))
        for each in (f, g):
            self.at_vertex[self.tri[each]] = each[:, None]
            touched[each] = self.changed[each] = True

    def _lawson(self, touched: Bools) -> None:
        """Flip edges near restored segments until they are Delaunay."""
        for _ in range(LAWSON_ROUNDS):
            active = np.flatnonzero(touched)
            if not len(active):
                return
            f, k = np.repeat(active, 3), np.tile(np.arange(3), len(active))
            other = self.nbr[f, k]
            single = (other >= 0) & ((f < other) | ~touched[other])
            f, k = f[single], k[single]
            free = ~self._is_locked(f, k)
            f, k = f[free], k[free]
            _, _, _, _, a, p, q, d = self._quads(f, k)
            excess = self._excess(a, p, q, d)
            bad = (excess > 1e-9) & (self._turn(a, p, d) > 0) & (self._turn(a, d, q) > 0)
            touched[:] = False
            if np.any(bad):
                self._flip(f[bad], k[bad], -excess[bad], touched)
                beside = self.nbr[touched].ravel()
                touched[beside[beside >= 0]] = True

    def _excess(self, a: Longs, p: Longs, q: Longs, d: Longs) -> Floats:
        """-sin of the sum of the angles at a and d over the edge p q: positive where the edge is not Delaunay."""
        x, y, z, w = (self.points[each].astype(np.float64) for each in (a, p, q, d))

        def angle(apex: Floats, first: Floats, second: Floats) -> tuple[Floats, Floats]:
            u, v = first - apex, second - apex
            size = np.hypot(*u.T) * np.hypot(*v.T)
            return np.sum(u * v, axis=1) / size, (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / size

        (cos_a, sin_a), (cos_d, sin_d) = angle(x, y, z), angle(w, z, y)
        return np.asarray(-(cos_a * sin_d + sin_a * cos_d))

    def _inner(self) -> Bools:
        return np.asarray(np.all((self.tri < self.far[0]) | (self.tri > self.far[3]), axis=1))

    def vertices_and_faces(self) -> tuple[Longs, Ints]:
        """The points without the far corners, those given first and in their order, and the triangles inside."""
        faces = self.tri[self._inner()]
        faces = np.where(faces > self.far[3], faces - 4, faces)
        return np.delete(self.points, self.far, axis=0), faces.astype(np.int32)

    def changed_edges(self, segments: bool = False) -> tuple[Longs, Longs]:
        """Edges that were not given before with the triangles that they have now.

        Parameters: segments, whether those are among them that are segments, but for the rectangle's sides.
        Returns: triangle and opposite corner of each, once.
        """
        inner = self._inner()
        tri, corner = np.divmod(np.flatnonzero(np.repeat(inner & self.changed, 3)), 3)
        other = self.nbr[tri, corner]
        once = inner[other] & ((other > tri) | ~self.changed[other])
        self.changed[:] = False
        tri, corner = tri[once], corner[once]
        free = segments | ~self._is_locked(tri, corner)
        return tri[free], corner[free]

    def ends(self, tri: Longs, corner: Longs) -> tuple[Longs, Longs]:
        """(k,), (k,) the vertices at both ends of the sides opposite those corners."""
        return self.tri[tri, (corner + 1) % 3], self.tri[tri, (corner + 2) % 3]

    def split(self, tri: Longs, corner: Longs, rank: Floats) -> None:
        """Halve edges, those first by rank where they share a triangle, and make the neighbourhood Delaunay again.

        Parameters:
            tri, corner: edges from `changed_edges`; those not halved count as changed, halves of segments are segments.
            rank: (k,) the smallest comes first.
        """
        f, k, g, j, a, p, q, d = self._quads(tri, corner)
        middle = (self.points[p] + self.points[q]) // 2
        new = len(self.points) + np.arange(len(f))
        self.points = np.concatenate((self.points, middle))
        turns = [self._turn(*each) for each in ((a, p, new), (a, new, q), (d, q, new), (d, new, p))]
        order = np.empty(len(f), dtype=np.int64)
        order[np.argsort(rank, kind="stable")] = np.arange(len(f))
        order = np.where(np.min(turns, axis=0) > 0, order, len(f))
        around = (f, g, *(self.nbr[t, (c + s) % 3] for t, c in ((f, k), (g, j)) for s in (1, 2)))
        first = np.full(len(self.tri) + 1, len(f))
        for each in around:
            np.minimum.at(first, each, order)
        chosen = np.logical_and.reduce([(first[each] == order) | (each < 0) for each in around]) & (order < len(f))
        self.points = np.concatenate((self.points[: len(self.points) - len(f)], middle[chosen]))
        self.changed[f[~chosen]] = True
        halved = chosen & self._is_locked(f, k)
        middles = new[0] + np.cumsum(chosen)[halved] - 1
        self._lock(np.concatenate((self._key(p[halved], middles), self._key(middles, q[halved]))))
        touched = self._halve(*(each[chosen] for each in (f, k, g, j, a, p, q, d)))
        self._lawson(touched)

    def _halve(self, f: Longs, k: Longs, g: Longs, j: Longs, a: Longs, p: Longs, q: Longs, d: Longs) -> Bools:
        """Four triangles round each new vertex, the last ones of the table, in place of the two beside its edge."""
        count = len(f)
        new = len(self.points) - count + np.arange(count)
        beside_p, beside_q = self.nbr[f, (k + 1) % 3], self.nbr[g, (j + 1) % 3]
        beside_a, beside_d = self.nbr[f, (k + 2) % 3], self.nbr[g, (j + 2) % 3]
        f2, g2 = len(self.tri) + np.arange(count), len(self.tri) + count + np.arange(count)
        for beside, old, now in ((beside_p, f, f2), (beside_q, g, g2)):
            inner = np.flatnonzero(beside >= 0)
            slot = np.argmax(self.nbr[beside[inner]] == old[inner, None], axis=1)
            self.nbr[beside[inner], slot] = now[inner]
        self.tri[f], self.tri[g] = np.column_stack((a, p, new)), np.column_stack((d, q, new))
        self.nbr[f], self.nbr[g] = np.column_stack((g2, f2, beside_a)), np.column_stack((f2, g2, beside_d))
        tri = np.concatenate((np.column_stack((a, new, q)), np.column_stack((d, new, p))))
        nbr = np.concatenate((np.column_stack((g, beside_p, f)), np.column_stack((f, beside_q, g))))
        self.tri, self.nbr = np.concatenate((self.tri, tri)), np.concatenate((self.nbr, nbr))
        self.changed = np.concatenate((self.changed, np.ones(2 * count, dtype=bool)))
        self.at_vertex = np.concatenate((self.at_vertex, np.zeros(count, dtype=np.int64)))
        touched = np.zeros(len(self.tri), dtype=bool)
        for each in (f, g, f2, g2):
            self.at_vertex[self.tri[each]] = each[:, None]
            touched[each] = self.changed[each] = True
        return touched
