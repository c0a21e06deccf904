"""Rows of points along the sides of cells, and triangles between rows of different counts, by index alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints, Longs, short_way
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import MAX_TRIANGLES
from ringtex.pattern.tiling import Tiling


def segments_of_sides(counts: NDArray[np.integer]) -> tuple[Longs, Longs]:
    """For sides with so many segments each: the side of every segment, and its number within the side."""
    side = np.repeat(np.arange(len(counts)), counts)
    first = np.cumsum(counts) - counts
    return side, np.arange(len(side)) - first[side]


def in_one_piece(u: Floats, length: float) -> Floats:
    """(m, k) u of m groups of places, each within half a turn of the first of its group."""
    return np.asarray(u - length * np.rint((u - u[:, :1]) / length))


def double_areas(positions: Floats, faces: Ints, length: float) -> Floats:
    """Twice the signed areas of triangles on the strip, negative where they run clockwise.

    Parameters:
        positions: (n, 2 or 3) on the strip, mm.
        faces: (m, 3) positions of each.
        length: of a turn, mm.
    Returns: (m,) mm2.
    """
    corners = np.ascontiguousarray(faces.T, dtype=np.intp)
    u, v = (np.ascontiguousarray(positions[:, axis]).take(corners) for axis in (0, 1))
    u_first, u_second = (short_way(u[i] - u[0], length) for i in (1, 2))
    u_first *= v[2] - v[0]
    u_second *= v[1] - v[0]
    u_first -= u_second
    return u_first


def triangulate_strip(
    outer_count: NDArray[np.integer],
    inner_count: NDArray[np.integer],
    outer_start: NDArray[np.integer],
    inner_start: NDArray[np.integer],
    following: NDArray[np.integer],
) -> tuple[Ints, Longs]:
    """Triangles between an outer and an inner row of points that are split into the same sides.

    The outer row runs counter-clockwise round the inner one (so, in a strip with u to the right, it is below). A side
    with no segments in one row stands still there.

    Parameters:
        outer_count, inner_count: (s,) segments of each side in the two rows; either may be 0.
        outer_start, inner_start: (s,) first point of each side; its others follow by number.
        following: (s,) the side after each.
    Returns: faces (m, 3) and the side of each face (m,); m is the sum of both counts.
    """
    side, i = segments_of_sides(outer_count)
    outer, inner = outer_count[side], inner_count[side]
    apex = ((2 * i + 1) * inner + outer) // (2 * outer)
    outer_faces = np.stack(
        (
            outer_start[side] + i,
            np.where(i + 1 < outer, outer_start[side] + i + 1, outer_start[following[side]]),
            np.where(apex < inner, inner_start[side] + apex, inner_start[following[side]]),
        ),
        axis=1,
    )
    other_side, j = segments_of_sides(inner_count)
    outer, inner = outer_count[other_side], inner_count[other_side]
    # The outer point after which the apex has passed segment j: the same staircase seen from the other row.
    base = np.clip(-((inner - outer * (2 * j + 1)) // (2 * inner)), 0, outer)
    inner_faces = np.stack(
        (
            np.where(j + 1 < inner, inner_start[other_side] + j + 1, inner_start[following[other_side]]),
            inner_start[other_side] + j,
            np.where(base < outer, outer_start[other_side] + base, outer_start[following[other_side]]),
        ),
        axis=1,
    )
    faces = np.concatenate((outer_faces, inner_faces)).astype(np.int32)
    return faces, np.concatenate((side, other_side))


def triangulate_annulus(lower_angle: NDArray[np.float64], upper_angle: NDArray[np.float64]) -> Ints:
    """Triangles between two closed rows of points, each sorted by angle (radians) within one turn, from any start.

    Returns faces (n + m, 3): points of the lower row are 0 … n - 1, of the upper row n … n + m - 1; counter-clockwise
    for one who sees angles grow to the right and the lower row below. Every segment meets the point of the other row
    that is nearest to its middle, so no triangle leans further than one segment.
    """
    size, other = len(lower_angle), len(upper_angle)
    turn = 2.0 * np.pi
    # Start the upper row at its point nearest to the lower row's first.
    offset = (upper_angle - lower_angle[0] + np.pi) % turn - np.pi
    first = int(np.argmin(np.abs(offset)))
    upper = np.roll(upper_angle, -first)
    upper = np.unwrap(upper - upper[0]) + lower_angle[0] + offset[first]
    lower = np.append(lower_angle, lower_angle[0] + turn)
    upper = np.append(upper, upper[0] + turn)
    apex_low = np.searchsorted(0.5 * (upper[1:] + upper[:-1]), 0.5 * (lower[1:] + lower[:-1]), side="right")
    apex_up = np.searchsorted(apex_low, np.arange(other), side="right")
    i, j = np.arange(size), np.arange(other)

    def above(point: NDArray[np.integer]) -> NDArray[np.integer]:
        return size + (point + first) % other

    faces = (np.stack((i, (i + 1) % size, above(apex_low))), np.stack((above(j + 1), above(j), apex_up % size)))
    return np.concatenate(faces, axis=1).T.astype(np.int32)


@dataclass(frozen=True, eq=False)
class StripMesh:
    """Part of the relief's mesh on the strip: positions (n, 3) as (u, v, h), faces (m, 3), and the cell of each face
    (m,)."""

    positions: Floats
    faces: Ints
    cell: Ints


def graded(fraction: Floats, grading: Floats | None) -> Floats:
    """(n,) where points at even fractions (n,) of a side lie, the same seen from both of its ends.

    With a grading g (n,) segments at the ends are 1 - g times as long as even ones, those in the middle 1 + g times.
    """
    if grading is None:
        return fraction
    return np.asarray(fraction - grading * np.sin(2.0 * np.pi * fraction) / (2.0 * np.pi))


class SideRows:
    """A row of points round every cell: point p starts segment number[p] of side[p], at fraction[p] of its length.

    count (half-edges,) segments of each side. grading (half-edges,) of each side, see `graded`; None for even
    segments. start (half-edges,) each side's first point; a side without segments starts where the next one of its
    cell does.
    """

    def __init__(self, tiling: Tiling, count: Longs, grading: Floats | None = None) -> None:
        self.count, self.grading = count, grading
        self.side, self.number = segments_of_sides(count)
        self.fraction = graded(self.number / count[self.side], None if grading is None else grading[self.side])
        self.first = np.cumsum(count) - count
        cell_first = self.first[tiling.cell_start[:-1]]
        total = np.add.reduceat(count, tiling.cell_start[:-1])
        cell = tiling.corner_cell
        self.start = cell_first[cell] + (self.first - cell_first[cell]) % np.maximum(total[cell], 1)
        # The side that really begins at each side's start: itself, or the next one that has segments.
        self.living = self.side[np.minimum(self.start, max(len(self.side) - 1, 0))] if len(self.side) else self.first

    def __len__(self) -> int:
        return len(self.side)

    def positions(self, tiling: Tiling, corner: Floats) -> Floats:
        """(points, 2) every point of the row, given the position (half-edges, 2) where each side starts."""
        edge = corner[self.living[tiling.next_corner]] - corner
        positions: Floats = corner[self.side] + self.fraction[:, None] * edge[self.side]
        return positions


def join_meshes(positions: list[Floats], faces: list[Ints], cells: list[Ints]) -> StripMesh:
    """The pieces as one, without triangles that have shrunk to a line by index, nor points that no other one uses.

    Parameters:
        positions: (n, 3) each, one after the other.
        faces: (m, 3) each, numbering all positions.
        cells: (m,) each, the cell of every face.
    Returns: one mesh.
    """
    all_faces, cell = np.concatenate(faces), np.concatenate(cells)
    a, b, c = all_faces.T
    same = (a == b) | (b == c) | (a == c)
    all_places = np.concatenate(positions)
    if np.any(same):
        all_faces, cell = all_faces[~same], cell[~same]
    used = np.zeros(len(all_places), dtype=bool)
    used[all_faces] = True
    if not np.all(used):
        renumbered = np.cumsum(used, dtype=np.int32) - 1
        all_faces, all_places = renumbered[all_faces], all_places[used]
    return StripMesh(all_places, all_faces, cell.astype(np.int32))


def refuse_oversized(triangles: int, chord_mm: float) -> None:
    """Refuse a relief of so many triangles.

    Raises: InputError for a mesh that no memory would hold.
    """
    if triangles > MAX_TRIANGLES:
        message = f"at a tolerance of {chord_mm:g} mm this relief would take {triangles / 1e6:.0f} million triangles"
        advice = "Take fewer or lower cells, a band without sharp turns, or a coarser tolerance"
        raise InputError(message, advice, "pattern.around")
