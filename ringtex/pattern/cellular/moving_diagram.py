"""A power diagram that follows moving sites: its dual triangulation is repaired by edge flips instead of built anew.

The dual of cells that are cut at the borders is a triangulation of the sites and of two more vertices, one for each
border; the dual vertex of a triangle with a border is where a wall meets it. A triangulation is dual to the cells
exactly if every wall runs the way its edge asks for; an edge whose wall runs backwards is flipped (Lawson 1977; with
weights Edelsbrunner and Shah 1996). Sites that move by less than a cell need a few flips, so a step costs a fifth of a
triangulation from nothing. Half-edges 3t, 3t + 1, 3t + 2 of triangle t run counter-clockwise.
"""

from __future__ import annotations

import math
from functools import cached_property
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats, Longs, sorted_unique
from ringtex.basics.errors import InputError
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.clip import wrap
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Tiling

Points: TypeAlias = NDArray[np.complex128]

MAX_PASSES: Final = 100
"""Rounds of flips, each of edges without a common triangle; random sites on a Lloyd step need about ten."""

MAX_HALVINGS: Final = 3
"""A move that turns a triangle over is made in two parts, each of them again in two, before all is built anew."""

BACKWARDS: Final = 1e-9
"""A wall runs backwards if by more than this fraction of the usual distance of sites: over rounding, under sight."""


class MovingDiagram:
    """Cells of sites on the strip, cut at the borders, with the triangulation that tells which of them meet.

    sites (n, 2) mm; weights (n,) mm2, None for Voronoi cells. Of half-edges (h,): `origin`, the site that each starts
    from (n and n + 1 stand for the lower and the upper border); `turn`, whole turns that bring this site beside the
    others of its triangle; `opposite`, the half-edge that runs the other way. Points are complex numbers u + iv, mm:
    `places` (h,), the origins beside each other, and `ends` (h,), seen from the origin the point where its cell meets
    the two others of the triangle: there the wall that belongs to the half-edge ends, counter-clockwise.
    """

    def __init__(self, part: PatternedPart, sites: Floats, weights: Floats | None = None) -> None:
        """From nothing. Raises InputError where cells do not close or, with weights, a site has no cell."""
        self.part, self.sites, self.weights = part, sites, weights
        self.origin, self.turn, self.opposite = _dual(voronoi_tiling(part, sites, weights), len(sites))
        self._following = next_half_edge(np.arange(len(self.origin)))
        self._locate()

    @property
    def count(self) -> int:
        """Number of sites."""
        return len(self.sites)

    def moved(self, sites: Floats, weights: Floats | None = None) -> MovingDiagram:
        """The diagram of the same sites at other places (n, 2) mm and with other weights (n,) mm2.

        Raises InputError where the new cells do not close or, with weights, a site has no cell.
        """
        found = self._followed(sites, weights, MAX_HALVINGS)
        return MovingDiagram(self.part, sites, weights) if found is None else found

    def reweighted(self, weights: Floats) -> MovingDiagram | None:
        """The diagram with other weights (n,) mm2; None where flips do not lead there, as when a cell vanishes."""
        return self._followed(self.sites, weights, 1)

    def _followed(self, sites: Floats, weights: Floats | None, halvings: int) -> MovingDiagram | None:
        found = self._repaired(sites, weights)
        if found is not None or halvings == 0:
            return found
        away = sites - self.sites
        away[:, 0] -= self.part.length * np.round(away[:, 0] / self.part.length)
        middle = self.sites + 0.5 * away
        middle[:, 0] = wrap(middle[:, 0], self.part.length)[0]
        halfway = None if weights is None else 0.5 * (weights + (0.0 if self.weights is None else self.weights))
        first = self._followed(middle, halfway, halvings - 1)
        return None if first is None else first._followed(sites, weights, halvings - 1)

    def _repaired(self, sites: Floats, weights: Floats | None) -> MovingDiagram | None:
        """The same triangulation at other places, repaired by flips; None where that is not enough."""
        found = object.__new__(MovingDiagram)
        found.part, found.sites, found.weights = self.part, sites, weights
        jump = np.round((sites[:, 0] - self.sites[:, 0]) / self.part.length).astype(np.int64)
        found.origin, found.opposite, found._following = self.origin.copy(), self.opposite.copy(), self._following
        found.turn = self.turn - np.append(jump, (0, 0))[self.origin] if np.any(jump) else self.turn.copy()
        found._locate()
        return found if np.all(found._areas > 0.0) and found._flip_all() else None

    # Geometry of triangles and walls

    def _locate(self) -> None:
        # The two borders have no place of their own.
        self._points = np.append(self.sites[:, 0] + 1j * self.sites[:, 1], (0.0, 0.0))
        self._weights = None if self.weights is None else np.append(self.weights, (0.0, 0.0))
        self.places, self.ends = np.empty((2, len(self.origin)), np.complex128)
        self._areas = np.empty(len(self.origin) // 3)
        self._place(slice(None))

    def _place(self, triangles: Longs | slice) -> None:
        """Bring places, ends and areas (t,) of triangles up to date."""
        origin, turn = self.origin.reshape(-1, 3)[triangles], self.turn.reshape(-1, 3)[triangles]
        points = self._points[origin] + self.part.length * turn
        first = points[:, 0]
        b, c = points[:, 1] - first, points[:, 2] - first
        b_square, c_square = b.real**2 + b.imag**2, c.real**2 + c.imag**2
        if self._weights is not None:
            weights = self._weights[origin]
            b_square += weights[:, 0] - weights[:, 1]
            c_square += weights[:, 0] - weights[:, 2]
        area = b.real * c.imag - c.real * b.imag
        # With b and c seen from the first corner, the centre is i (b |c|^2 - c |b|^2) / (2 area).
        centre = first + (b * c_square - c * b_square) * (0.5j / np.where(area == 0.0, np.inf, area))
        border = np.flatnonzero(np.max(origin, axis=1) >= self.count)
        centre[border] = self._border_points(origin[border], points[border])
        area[border] = _run_on_border(origin[border], points[border], self.count)
        self._areas[triangles] = area
        self.places.reshape(-1, 3)[triangles] = points
        self.ends.reshape(-1, 3)[triangles] = centre[:, None] - points

    def _border_points(self, origin: Longs, points: Points) -> Points:
        """(k,) where the walls of triangles (k, 3) with a border meet it."""
        row = np.arange(len(origin))
        at = np.argmax(origin, axis=1)
        line = np.where(origin[row, at] == self.count, self.part.lower, self.part.upper)
        a, b = (at + 1) % 3, (at + 2) % 3
        first, second = points[row, a], points[row, b]
        away = second.real - first.real
        square = away**2 + (second.imag - line) ** 2 - (first.imag - line) ** 2
        if self._weights is not None:
            square += self._weights[origin[row, a]] - self._weights[origin[row, b]]
        return np.asarray(first.real + square / np.where(away == 0.0, np.inf, 2.0 * away) + 1j * line)

    @property
    def starts(self) -> Points:
        """(h,) as `ends`, where walls start."""
        return self.ends[self.before(slice(None))]

    def before(self, half: Longs | slice) -> Longs:
        """The half-edge of the same origin that comes before, counter-clockwise."""
        return np.asarray(self._following[self.opposite[half]])

    def _backwards(self, half: Longs | slice) -> Longs:
        """Those half-edges from sites whose wall runs the wrong way, each wall named by one of its two."""
        end, following = self.ends[half], self._following[half]
        along = end - self.ends[self.before(half)]
        to = self.places[following] - self.places[half]
        run = along.imag * to.real - along.real * to.imag
        target, opposite = self.origin[following], self.opposite[half]
        border = np.flatnonzero(target >= self.count)
        run[border] = np.where(target[border] == self.count, along[border].real, -along[border].real)
        to[border] = 1.0
        every = np.arange(len(self.origin))[half]
        own = (self.origin[half] < self.count) & ((every < opposite) | (target >= self.count))
        wrong = np.flatnonzero(own & (run < 0.0))
        shortest = BACKWARDS * math.sqrt(self.part.area / self.count)
        return np.asarray(every[wrong[run[wrong] < -shortest * np.abs(to[wrong])]])

    # Flips

    def _flip_all(self) -> bool:
        """Flip edges until every wall runs the right way; whether that was reached."""
        wrong = self._backwards(slice(None))
        for _ in range(MAX_PASSES):
            if not len(wrong):
                return True
            done = self._independent(wrong)
            if not len(done):
                return False
            changed = self._flip(done)
            # What was wrong and could not be flipped yet is looked at again.
            touched = sorted_unique(np.concatenate([changed, wrong // 3]))
            half = ((3 * touched)[:, None] + np.arange(3)).ravel()
            wrong = self._backwards(sorted_unique(np.concatenate([half, self.opposite[half]])))
        return False

    def _independent(self, half: Longs) -> Longs:
        """Half-edges that may be flipped, no two with a common triangle."""
        other = self.opposite[half]
        a, b, c, d = half, self._following[half], self._following[self._following[half]], self._beyond(other)
        shifted = self.places[d] + self.part.length * self._shift(half, other)
        may = half // 3 != other // 3
        for corners, points in (((a, d, c), (0, 2, 1)), ((b, c, d), (3, 1, 2))):
            places = (self.places[a], self.places[c], shifted, self.places[b])
            origin = np.column_stack([self.origin[corner] for corner in corners])
            may &= _counter_clockwise(origin, np.column_stack([places[k] for k in points]), self.count)
        half, other = half[may], other[may]
        owner = np.full(len(self._areas), -1)
        number = np.arange(len(half))
        owner[half // 3] = number
        owner[other // 3] = number
        return np.asarray(half[(owner[half // 3] == number) & (owner[other // 3] == number)])

    def _beyond(self, half: Longs) -> Longs:
        """The half-edge before each one in its triangle, which starts from the corner across from it."""
        return np.asarray(self._following[self._following[half]])

    def _shift(self, half: Longs, other: Longs) -> Longs:
        """Turns from the frame of the other triangle to that of the first; read at an end that is a site."""
        by_start = self.turn[half] - self.turn[self._following[other]]
        by_end = self.turn[self._following[half]] - self.turn[other]
        return np.where(self.origin[half] < self.count, by_start, by_end)

    def _flip(self, half: Longs) -> Longs:
        """Flip edges a-b without a common triangle: triangles (a, b, c) and (b, a, d) become (a, d, c) and (b, c, d).
        Returns the triangles that changed."""
        other = self.opposite[half]
        first, second = half // 3, other // 3
        a, b, c, d, to_d = half, self._following[half], self._beyond(half), self._beyond(other), self._following[other]
        origin, turn = self.origin[np.stack([a, b, c, d])], self.turn[np.stack([a, b, c, d])]
        turn[3] += np.where(origin[3] < self.count, self._shift(half, other), 0)
        # The four outer half-edges move; each may lie opposite to one that moves too.
        old = np.concatenate([to_d, c, b, d])
        new = np.concatenate([3 * first, 3 * first + 2, 3 * second, 3 * second + 2])
        at = np.arange(len(self.origin))
        at[old] = new
        across = at[self.opposite[old]]
        self.opposite[new] = across
        self.opposite[across] = new
        self.opposite[3 * first + 1], self.opposite[3 * second + 1] = 3 * second + 1, 3 * first + 1
        for triangle, corners in ((first, (0, 3, 2)), (second, (1, 2, 3))):
            for k, corner in enumerate(corners):
                self.origin[3 * triangle + k], self.turn[3 * triangle + k] = origin[corner], turn[corner]
        changed = np.concatenate([first, second])
        self._place(changed)
        return changed

    # Cells

    @cached_property
    def half_edges(self) -> Longs:
        """(m,) the half-edges that start from a site: one for each wall of each cell."""
        return np.flatnonzero(self.origin < self.count)

    @cached_property
    def targets(self) -> Longs:
        """(m,) the site or border that each of `half_edges` leads to."""
        return np.asarray(self.origin[self._following[self.half_edges]])

    @cached_property
    def edges(self) -> Points:
        """(m,) the way from the origin of each of `half_edges` to its target, where that is a site."""
        return np.asarray(self.places[self._following[self.half_edges]] - self.places[self.half_edges])

    @cached_property
    def sides(self) -> Longs:
        """(n,) number of walls of each cell, those on a border included."""
        return np.bincount(self.origin[self.half_edges], minlength=self.count)

    @cached_property
    def on_border(self) -> Bools:
        """(n,) whether a cell has a wall on a border."""
        found = np.zeros(self.count, np.bool_)
        found[self.origin[self.half_edges[self.targets >= self.count]]] = True
        return found

    def tiling(self) -> Tiling:
        """The cells as a tiling, cell i of site i; vertices are numbered as they first occur."""
        corner, start = self._corner_order()
        number = np.full(len(self.origin), -1)
        number[corner] = np.arange(len(corner))
        before = self.before(corner)
        triangle = self.opposite[corner] // 3
        _, first, which = np.unique(triangle, return_index=True, return_inverse=True)
        rank = np.empty(len(first), np.int64)
        rank[np.argsort(first)] = np.arange(len(first))
        centre = self.places[::3] + self.ends[::3]
        border = self.origin.reshape(-1, 3).max(axis=1)
        v = np.where(border == self.count, self.part.lower, centre.imag)
        v = np.where(border > self.count, self.part.upper, v)
        u, turn = wrap(centre.real, self.part.length)
        return Tiling(
            length=self.part.length,
            lower=self.part.lower,
            upper=self.part.upper,
            vertices=np.column_stack([u, v])[triangle[np.sort(first)]],
            cell_start=start.astype(np.int32),
            corner_vertex=rank[which].astype(np.int32),
            corner_winding=(turn[triangle] - self.turn[before]).astype(np.int32),
            twin=number[self.opposite[corner]].astype(np.int32),
        )

    def _corner_order(self) -> tuple[Longs, Longs]:
        """Half-edges from sites, cell by cell and counter-clockwise, from the wall whose start is lowest in angle; and
        where each cell starts."""
        half = self.half_edges
        # By rotation from there on and not by angle, for a weighted cell need not contain its site.
        order = np.lexsort((np.angle(self.starts[half]), self.origin[half]))
        start = np.concatenate([[0], np.cumsum(self.sides)])
        at = half[order][start[:-1]]
        corner = np.empty(len(half), np.int64)
        for k in range(int(self.sides.max())):
            left = np.flatnonzero(self.sides > k)
            corner[start[left] + k] = at[left]
            at[left] = self.opposite[self._beyond(at[left])]
        return corner, start


def next_half_edge(half: Longs) -> Longs:
    """The half-edge that follows each one in its triangle."""
    return np.asarray(half + np.where(half % 3 == 2, -2, 1), dtype=np.int64)


def _counter_clockwise(origin: Longs, points: Points, count: int) -> Bools:
    """(k,) whether triangles of origins (k, 3) at points (k, 3) run counter-clockwise."""
    b, c = points[:, 1] - points[:, 0], points[:, 2] - points[:, 0]
    area = b.real * c.imag - c.real * b.imag
    border = np.flatnonzero(np.max(origin, axis=1) >= count)
    area[border] = _run_on_border(origin[border], points[border], count)
    return np.asarray(area > 0.0)


def _run_on_border(origin: Longs, points: Points, count: int) -> Floats:
    """(k,) how far the site before the wall lies from the one after it, along the border of triangles (k, 3)."""
    row, at = np.arange(len(origin)), np.argmax(origin, axis=1)
    ahead = points[row, (at + 2) % 3].real - points[row, (at + 1) % 3].real
    ahead[np.sum(origin >= count, axis=1) > 1] = -np.inf
    return np.asarray(np.where(origin[row, at] == count, -ahead, ahead), dtype=np.float64)


def _dual(tiling: Tiling, count: int) -> tuple[Longs, Longs, Longs]:
    """Origin, turn and opposite of the half-edges of the triangulation that is dual to a tiling of so many sites."""
    corners = len(tiling.twin)
    border = np.flatnonzero(tiling.twin < 0)
    # Dual half-edge k of corner k goes from its cell through the wall; those from a border come after.
    opposite = np.append(tiling.twin.astype(np.int64), border)
    opposite[border] = corners + np.arange(len(border))
    before = np.empty(len(opposite), np.int64)
    before[:corners] = opposite[tiling.next_corner]
    # The half-edge before one from a border starts at the site beyond the wall's start.
    inverse = np.full(len(opposite), -1)
    inverse[before[:corners]] = np.arange(corners)
    ghosts = np.arange(corners, len(opposite))
    before[ghosts] = inverse[inverse[ghosts]] if len(ghosts) else ghosts
    if tiling.cells != count or np.any(before < 0) or np.any(before[before[before]] != np.arange(len(before))):
        message = "the cells of the sites do not close round the ring"
        raise InputError(message, "Change the seed or the scatter", "pattern.seed")
    return _numbered_by_triangles(tiling, opposite, before, count)


def _numbered_by_triangles(tiling: Tiling, opposite: Longs, before: Longs, count: int) -> tuple[Longs, Longs, Longs]:
    corners = len(tiling.twin)
    every = np.arange(len(before))
    least = np.minimum(every, np.minimum(before, before[before]))
    first = np.flatnonzero(least == every)
    members = np.column_stack([first, before[before[first]], before[first]]).ravel()
    number = np.empty(len(before), np.int64)
    number[members] = every
    origin = np.empty(len(before), np.int64)
    origin[:corners] = tiling.corner_cell
    wall = opposite[corners:]
    origin[corners:] = np.where(tiling.corners[wall, 1] == tiling.lower, count, count + 1)
    turn = np.zeros(len(before), np.int64)
    turn[:corners] = -tiling.corner_winding[tiling.next_corner]
    return origin[members], turn[members], number[opposite[members]]
