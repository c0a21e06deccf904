"""Fill of level tops and peaks: ever smaller loops of fewer points inside the last offset loop, down to the medial
segment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.solid.cells.medial_segments import (
    CURVED_SAGITTA,
    LEVEL_SAGITTA,
    MedialSegment,
    level_top_segments,
    peak_segments,
)
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.strip_triangulation import SideRows, StripMesh, refuse_oversized, triangulate_strip

LOOPS_SAGITTA, DRAFT_LOOPS_SAGITTA = 2.0, 0.75
"""As LEVEL_SAGITTA, where a level top needs loops. Of final meshes most edges then keep the tolerance, as the forms of
a cell are its largest, and `split_edges_off_face` sees to those that do not: a dome's tops took half as many triangles
again. In drafts diagonals between loops reach over both of their sides."""

CURVED_RISE = 0.5
"""Fraction of the tolerance that the rise of a curved top may take, beside CURVED_SAGITTA of the surface under it."""

TRIANGLES_A_POINT = 1.25
"""Triangles of a fill for each point of the last loop and each level, measured: 1.0 to 1.3 where there are many."""

SECONDS_A_TRIANGLE = 10e-6
"""Processor time of a fill, measured: 8e-6 to 11e-6 in long smooth tops, which are filled several times."""

TIP_SAMPLES = 64
"""Steps in which the curvature of a peak's tip is added up."""

SHARPEST_TIP = 1e-6
"""Least radius of a tip over the cell's inner radius: a nanometre is sharp."""


@dataclass(frozen=True, eq=False)
class LastLoop:
    """What cells are filled from.

    tiling, loops, profile  the cells, their offset loops and their profile.
    rows, ids               the points of the last loop and their vertex numbers.
    chord_mm                chord tolerance, mm.
    """

    tiling: Tiling
    loops: OffsetLoops
    profile: CellProfile
    rows: SideRows
    ids: Ints
    chord_mm: float


class LoopFill:
    """Fills every cell from its last offset loop to its medial segment; see `cell_fill`.

    Parameters: all_corners (cells,), cells whose loops keep every corner; finer (cells,), fraction of the tolerance
    that a cell is planned for.
    """

    def __init__(self, last: LastLoop, all_corners: Bools, finer: Floats) -> None:
        self.tiling, self.loops, self.profile = last.tiling, last.loops, last.profile
        self.rows, self.ids, self.chord_mm = last.rows, last.ids, last.chord_mm
        self.all_corners, self.finer = all_corners, finer
        self.corner, self.level_top = self.loops.corner[:, -1], self.profile.rise_mm == 0.0
        self.sagitta_mm = (LEVEL_SAGITTA if self.level_top else CURVED_SAGITTA) * self.chord_mm * finer
        self.top_mm = np.maximum(self.loops.height[:, -1], self.loops.height[:, -1] + self.loops.rise)
        self.medial_segment = self._medial_segments(np.where(self.loops.alive[:, -1], self.rows.count, 0))
        vertex = self.medial_segment.vertex
        self.medial_steps = np.abs(vertex[self.tiling.next_corner] - vertex)
        distance = np.where(self.loops.alive[:, -1], self.medial_segment.distance, np.inf)
        self.nearest = np.minimum.reduceat(distance, self.tiling.cell_start[:-1])

    def _medial_segments(self, living: Longs) -> MedialSegment:
        find = level_top_segments if self.level_top else peak_segments
        return find(self.tiling, self.loops, living, self.chord_mm, self.all_corners)

    def loops_inwards(self, first_id: int, tip_mm: float, progress: Progress) -> list[StripMesh]:
        """Every loop and the medial segments, outermost first.

        Parameters:
            first_id: number of the first new vertex.
            tip_mm: radius that rounds a peak's tip, mm.
            progress: told how long it will take, where that is long.
        Returns: the pieces.
        Raises: InputError for more triangles than any memory would hold; Cancelled.
        """
        self.tip = tip_mm / np.maximum(self.nearest, tip_mm + 1e-9)
        self._plan_levels()
        if self.loops.level is not None:
            # Their triangles are made from the walls alone (`cell_faces.py`).
            self.levels[self.loops.level] = 1
        self._announce(progress)
        deepest = int(self.levels.max())
        pieces: list[StripMesh] = []
        lookup, rows = self.ids, self.rows
        for level in range(1, deepest):
            medial_segments = self._medial_segment_mesh(self.levels == level, rows, lookup, first_id)
            first_id += len(medial_segments.positions)
            ring, rows = self._loop_mesh(level, rows, lookup, first_id)
            pieces += [medial_segments, ring]
            lookup = first_id + np.arange(len(ring.positions), dtype=np.int32)
            first_id += len(ring.positions)
        pieces.append(self._medial_segment_mesh(self.levels == deepest, rows, lookup, first_id))
        return pieces

    def _plan_levels(self) -> None:
        """How many loops each cell has and how far inside each is, so that no edge inwards is over the tolerance.

        A level top needs as many as its longest way inwards has tolerable edges; a curved one also follows its rise: n
        equal steps of a parabola of height d lie within d / (4 n^2) of it.
        """
        loops = self.loops
        steps = self._steps_inwards()
        if self.level_top:
            needed = steps > 1.0 + 1e-6
            loops_sagitta = DRAFT_LOOPS_SAGITTA if self.chord_mm >= DRAFT_CHORD_MM else LOOPS_SAGITTA
            self.sagitta_mm[needed] = loops_sagitta * self.chord_mm * self.finer[needed]
            steps = self._steps_inwards()
        if self.level_top or self.profile.bend == 2:
            rise_steps = np.sqrt(np.abs(loops.rise) / (4.0 * CURVED_RISE * self.chord_mm))
            self.levels = np.ceil(np.maximum(np.maximum(steps, rise_steps) - 1e-6, 1.0)).astype(np.int64)
            level = np.arange(1, int(self.levels.max()) + 1)
            self.fraction = np.minimum(level / self.levels[:, None], 1.0)
        else:
            self._plan_tip(steps)

    def _announce(self, progress: Progress) -> None:
        """Say how long the planned loops will take, or refuse so many."""
        points = np.add.reduceat(self.rows.count, self.tiling.cell_start[:-1])
        triangles = int(TRIANGLES_A_POINT * np.sum(points * self.levels))
        refuse_oversized(triangles, self.chord_mm)
        progress.expect(triangles * SECONDS_A_TRIANGLE)
        progress.check()

    def _steps_inwards(self) -> Floats:
        """(cells,) tolerable edges between the last loop and the medial segment."""
        inwards = self._tolerable_edges(self.medial_segment.target - self.corner)
        inwards = np.where(self.loops.alive[:, -1], inwards, 0.0)
        return np.asarray(np.maximum.reduceat(inwards, self.tiling.cell_start[:-1]))

    def _plan_tip(self, steps: Floats) -> None:
        """Loops of a peak: dense where its rounded tip is curved, by the integral of the root of the curvature.

        The samples are evenly spaced in w, tip * sinh(w) from the tip: however sharp it is, they resolve its curvature.
        """
        tip = np.maximum(self.tip, SHARPEST_TIP)[:, None]
        left = tip * np.sinh(np.arcsinh(1.0 / tip) * np.linspace(1.0, 0.0, TIP_SAMPLES + 1))
        slope = np.sqrt(1.0 + tip * tip) - tip
        curvature = np.abs(self.loops.rise)[:, None] * tip * tip / ((left * left + tip * tip) ** 1.5 * slope)
        density = np.maximum(np.sqrt(curvature / (8.0 * CURVED_RISE * self.chord_mm)), steps[:, None])
        total = np.cumsum(0.5 * (density[:, 1:] + density[:, :-1]) * -np.diff(left), axis=1)
        total = np.concatenate((np.zeros((len(total), 1)), total), axis=1)
        self.levels = np.ceil(np.maximum(total[:, -1] - 1e-6, 1.0)).astype(np.int64)
        level = np.arange(1, int(self.levels.max()) + 1)
        wanted = total[:, -1:] * np.minimum(level / self.levels[:, None], 1.0)
        self.fraction = np.stack([np.interp(w, t, 1.0 - each) for w, t, each in zip(wanted, total, left, strict=True)])

    def _tolerable_edges(self, edge: Floats) -> Floats:
        """(half-edges,) how many times as long as the tolerance allows edges (half-edges, 2) on the strip are."""
        cell = self.tiling.corner_cell
        return np.asarray(np.sqrt(self.loops.forms.sagitta(cell, edge, self.top_mm[cell]) / self.sagitta_mm[cell]))

    def _shrunk(self, fraction: Floats) -> Floats:
        """(half-edges, 2) the last loop's corners, moved a fraction (cells,) of the way to the medial segment."""
        return self.corner + fraction[self.tiling.corner_cell, None] * (self.medial_segment.target - self.corner)

    def _loop_mesh(self, level: int, outer: SideRows, lookup: Ints, first_id: int) -> tuple[StripMesh, SideRows]:
        """The loop at a level, in the cells that have one, and the triangles out to the loop before."""
        tiling = self.tiling
        included = (self.levels > level)[tiling.corner_cell]
        fraction = self.fraction[:, level - 1]
        count = np.where(included, self._counts(level, fraction, outer.count), 0)
        rows = SideRows(tiling, count, self.rows.grading)
        faces, side = triangulate_strip(
            np.where(included, outer.count, 0), count, outer.start, len(lookup) + rows.start, tiling.next_corner
        )
        numbers = np.concatenate((lookup, np.arange(first_id, first_id + len(rows), dtype=np.int32)))
        cell = tiling.corner_cell[rows.side]
        flat = rows.positions(tiling, self._shrunk(fraction))
        positions = np.column_stack((flat, self._height(flat, cell, fraction[cell])))
        return StripMesh(positions, numbers[faces], tiling.corner_cell[side]), rows

    def _counts(self, level: int, fraction: Floats, outer: Longs) -> Longs:
        """Segments of each side of a loop: by its length, at least three in all, never more than the loop before."""
        shrunk = self._shrunk(fraction)
        edges = self._tolerable_edges(shrunk[self.tiling.next_corner] - shrunk)
        count = np.ceil(np.maximum(edges - 1e-6, 1.0)).astype(np.int64)
        return np.where(self.loops.alive[:, -1], np.minimum(np.maximum(count, self.medial_steps), outer), 0)

    def _height(self, flat: Floats, cell: Ints, fraction: Floats) -> Floats:
        base: Floats = self.loops.height[cell, -1]
        if self.profile.rise_mm == 0.0:
            return base
        return base + self.loops.rise[cell] * self.profile.inner_height(fraction, self.tip[cell])

    def _medial_segment_mesh(self, which: Bools, rows: SideRows, lookup: Ints, first_id: int) -> StripMesh:
        """The medial segments of some cells and the triangles from the loop round them."""
        tiling, medial_segment = self.tiling, self.medial_segment
        included = which[tiling.corner_cell]
        owner = np.repeat(
            np.arange(tiling.cells), np.diff(np.append(medial_segment.first, len(medial_segment.positions)))
        )
        chosen = which[owner]
        renumbered = first_id + np.cumsum(chosen, dtype=np.int32) - 1
        count, inner_start, ids = medial_segment.row(rows.living, tiling.next_corner)
        faces, side = triangulate_strip(
            np.where(included, rows.count, 0),
            np.where(included, count, 0),
            rows.start,
            len(lookup) + inner_start,
            tiling.next_corner,
        )
        numbers = np.concatenate((lookup, renumbered[ids]))
        cell = owner[chosen].astype(np.int32)
        flat = medial_segment.positions[chosen]
        positions = np.column_stack((flat, self._height(flat, cell, np.ones(len(cell)))))
        return StripMesh(positions, numbers[faces].astype(np.int32), tiling.corner_cell[side])
