"""Panels put into a pattern: its cells end on their frames, and their own cells lie within."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, Final

import numpy as np
from shapely import GEOSException

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.clip import shortest_way, without_unused_vertices
from ringtex.pattern.locate import cells_at
from ringtex.pattern.panels.box_cuts import Box, CutCells, cut_by_box, thinnest, without_slivers
from ringtex.pattern.panels.panel_options import Panel
from ringtex.pattern.pattern_options import MAX_CELLS, PatternOptions
from ringtex.pattern.patterned_part import PanelPattern, Pattern, PatternedPart, Strip
from ringtex.pattern.quantisation import in_first_turn, with_vertices
from ringtex.pattern.star_shaped import star_shaped_parts
from ringtex.pattern.tiling import Tiling, tiling_of_loops

MAX_TURN_SHARE: Final = 0.4
"""Of the ring that a panel covers at most: wider, and its two sides could not be told apart round the seam."""

REACH: Final = 0.12
"""Of the size of a cell: corners so near to a side of a panel are moved onto it."""

REACHES: Final = 5
"""Where that folds cells or leaves thin ones, a quarter of it is tried, and so on."""

THIN_MM: Final = 0.02
"""Area over half the outline: thinner cells are slivers, unless the pattern has such cells itself."""

CORNER_CLEARANCE: Final = 0.2
"""Cells that turn inwards round a panel's corner are split unless a point that sees all of them keeps so much of their
size from every wall."""

MIN_INNER_MM: Final = 0.5
"""What a frame leaves at least, both ways: less holds nothing that could be cast (common practice, no source)."""

TO_RAIL_MM: Final = 0.4
"""A panel nearer than this to a rail, or than a quarter of a cell, ends there."""


@dataclass(frozen=True)
class _OwnStrip:
    """A panel's cells laid out as if they went round a ring as long as the panel; evenness and density find there what
    lies under the panel on the strip of the ring, from `left` on."""

    length: float
    width: float
    strip: Any
    left: float

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """As the strip's."""
        found: tuple[Floats, Floats, Floats] = self.strip.metric(*self._on_ring(u, v))
        return found

    def to_band(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """As the strip's."""
        found: tuple[Floats, Floats] = self.strip.to_band(*self._on_ring(u, v))
        return found

    def point(self, u: Floats, v: Floats) -> Floats:
        """As the strip's."""
        return np.asarray(self.strip.point(*self._on_ring(u, v)), dtype=np.float64)

    def _on_ring(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        return (self.left + u % self.length) % self.strip.length, v


def with_panels(
    strip: Strip,
    part: PatternedPart,
    pattern: Pattern,
    panels: Sequence[Panel],
    make: Callable[[Strip, PatternedPart, PatternOptions], Pattern],
    progress: Progress,
) -> Pattern:
    """The pattern with panels in it.

    Parameters:
        strip: its length and width.
        part: what the rails leave of it.
        pattern: the cells round the panels.
        panels: not overlapping.
        make: makes the pattern of one panel.
        progress: asked whether to stop.
    Returns: the pattern; sites of cells are no longer known.
    Raises: InputError naming the panel that cannot be had; Cancelled.
    """
    tiling, made = pattern.tiling, []
    size = float(np.sqrt(np.median(tiling.areas)))
    boxes = panel_boxes(strip, part, panels, size)
    for number, (panel, box) in enumerate(zip(panels, boxes, strict=True)):
        progress.within(number / len(panels))
        inner = box.inset(panel.frame_mm)
        own = PatternedPart(inner.wide, inner.low, inner.high)
        try:
            found = make(_OwnStrip(inner.wide, strip.width, strip, inner.left), own, panel.pattern)
            tiling = _with_panel(tiling, box, inner, found.tiling, progress)
        except InputError as error:
            where = f"panels[{number}].{error.where}" if error.where.startswith("pattern") else f"panels[{number}]"
            raise InputError(f"panel {number + 1}: {error.message}", error.advice, where) from None
        made.append(PanelPattern(box, inner, found))
    if tiling.cells > MAX_CELLS:
        message = f"the pattern and its panels have {tiling.cells} cells, more than {MAX_CELLS}"
        raise InputError(message, "Give fewer repeats around or across", "panels")
    whole = replace(pattern, tiling=tiling, sites=None, grown=None, panels=tuple(made))
    return replace(whole, level=_level_cells(whole, pattern))


def panel_boxes(strip: Strip, part: PatternedPart, panels: Sequence[Panel], size_mm: float) -> list[Box]:
    """Where panels lie.

    Parameters:
        strip: its length and width.
        part: what the rails leave of it.
        panels: in any order.
        size_mm: of the cells round them: their roots of the median area.
    Returns: their rectangles, u running on over the seam.
    Raises: InputError naming the panel that has no room, or is too near to another.
    """
    boxes = [_box(strip, part, panel, number, size_mm) for number, panel in enumerate(panels)]
    _refuse_overlaps(boxes, part.length, max(TO_RAIL_MM, 2.0 * REACH * size_mm))
    return boxes


def _box(strip: Strip, part: PatternedPart, panel: Panel, number: int, size: float) -> Box:
    """Where a panel lies. Raises: InputError where it has no room."""
    where = f"panels[{number}]"
    if panel.width_mm > MAX_TURN_SHARE * part.length:
        most = MAX_TURN_SHARE * part.length
        message = f"panel {number + 1} takes {panel.width_mm:.3g} mm of {part.length:.3g} mm round the ring"
        raise InputError(message, f"Give at most {most:.3g} mm", f"{where}.width")
    u, v = panel.u * strip.length, panel.v * strip.width
    low, high = v - 0.5 * panel.height_mm, v + 0.5 * panel.height_mm
    near = max(TO_RAIL_MM, 0.25 * size)
    low = part.lower if low < part.lower + near else low
    high = part.upper if high > part.upper - near else high
    box = Box(u - 0.5 * panel.width_mm, low, u + 0.5 * panel.width_mm, high)
    inner = box.inset(panel.frame_mm)
    if min(inner.wide, inner.tall) < MIN_INNER_MM:
        message = f"the frame of panel {number + 1} leaves no room for cells"
        raise InputError(message, "Make the frame narrower or the panel larger, or move it", f"{where}.frame")
    return box


def _refuse_overlaps(boxes: Sequence[Box], length: float, least: float) -> None:
    """Raises: InputError for two that are nearer than this: the snapping of one would move the other's frame."""
    for second, box in enumerate(boxes):
        for first, other in enumerate(boxes[:second]):
            away = abs(float(shortest_way(0.5 * (box.left + box.right - other.left - other.right), length)))
            clear = away - 0.5 * (box.wide + other.wide)
            if clear < least and min(box.high, other.high) - max(box.low, other.low) > -least:
                message = f"panels {first + 1} and {second + 1} overlap or touch"
                advice = f"Move one of them, so that at least {math.ceil(100.0 * least) / 100.0:g} mm lie between them"
                raise InputError(message, advice, f"panels[{second}]")


def _with_panel(tiling: Tiling, box: Box, inner: Box, own: Tiling, progress: Progress) -> Tiling:
    """The tiling with the cells under a box taken away, a frame in their place, and own cells within."""
    pool, laid_out = _Pool(tiling, box), _unrolled(own, inner.left)
    outer = _cuts(pool.points, pool.loops, box, REACH * float(np.sqrt(np.median(tiling.areas))), False, progress)
    within = _cuts(*laid_out, inner, REACH * float(np.sqrt(np.median(own.areas))), True, progress)
    for one, other in sorted(product(range(len(outer)), range(len(within))), key=sum):
        progress.check()
        try:
            made = _framed(pool, outer[one], within[other])
        except GEOSException:
            # A cell was folded, which its problems would say too.
            continue
        if not made.problems():
            return made
    message = "its sides cut the cells round it, or its own, to pieces too small to be made"
    raise InputError(message, "Move or size it a little, or change the repeats", "")


def _cuts(
    points: Floats, loops: Sequence[Longs], box: Box, reach: float, inside: bool, progress: Progress
) -> list[CutCells]:
    """Cells cut by a box, those first that are least thin: corners near its sides are moved onto them, ever fewer until
    no cell is thin."""
    least = min(THIN_MM, 0.5 * thinnest(points, loops))
    made: list[tuple[float, CutCells]] = []
    for number in range(REACHES):
        progress.check()
        try:
            cut = without_slivers(cut_by_box(points, loops, box, reach / 4.0**number, inside), least)
        except GEOSException:
            continue
        made.append((thinnest(cut.points, cut.loops), cut))
        if made[-1][0] >= least:
            break
    return [cut for _, cut in sorted(made, key=lambda each: -each[0])]


def _framed(pool: _Pool, outside: CutCells, inside: CutCells) -> Tiling:
    """What is left outside of a box, the frame in four pieces, and what lies within."""
    first = len(outside.points)
    frame = [
        np.concatenate((outer, within[::-1] + first))
        for outer, within in zip(outside.sides, inside.sides, strict=True)
    ]  # fmt: skip
    added = [*frame, *(loop + first for loop in inside.loops)]
    return pool.assembled(outside, np.vstack((outside.points, inside.points)), added)


def _unrolled(own: Tiling, left: float) -> tuple[Floats, list[Longs]]:
    """The cells of one period of a pattern and those that its ends cut, beginning at u = left: points and loops."""
    steps = np.array([-1, 0, 1])
    keys: dict[tuple[int, int], int] = {}
    loops = []
    for step in steps.tolist():
        for cell in range(own.cells):
            at = slice(int(own.cell_start[cell]), int(own.cell_start[cell + 1]))
            ids = zip(own.corner_vertex[at].tolist(), (own.corner_winding[at] + step).tolist(), strict=True)
            corners = own.corners[at, 0] + step * own.length
            if corners.max() > 0.0 and corners.min() < own.length:
                loops.append(np.array([keys.setdefault(key, len(keys)) for key in ids], dtype=np.int64))
    vertex, winding = np.array(list(keys)).T
    return own.vertices[vertex] + np.column_stack((winding * own.length + left, np.zeros(len(vertex)))), loops


class _Pool:
    """The cells near a box, laid out round its middle."""

    def __init__(self, tiling: Tiling, box: Box) -> None:
        self.tiling, self.box = tiling, box
        middle, length = 0.5 * (box.left + box.right), tiling.length
        self.turn = np.rint((middle - tiling.centroids[:, 0]) / length).astype(np.int64)
        shifted = tiling.corners[:, 0] + length * self.turn[tiling.corner_cell]
        first = tiling.cell_start[:-1]
        low, high = np.minimum.reduceat(shifted, first), np.maximum.reduceat(shifted, first)
        v = tiling.corners[:, 1]
        bottom, top = np.minimum.reduceat(v, first), np.maximum.reduceat(v, first)
        more = 2.0 * REACH * float(np.sqrt(np.median(tiling.areas)))
        self.near = np.flatnonzero(
            (high > box.left - more) & (low < box.right + more) & (top > box.low - more) & (bottom < box.high + more)
        )
        corner = np.flatnonzero(np.isin(tiling.corner_cell, self.near))
        winding = tiling.corner_winding[corner] + self.turn[tiling.corner_cell[corner]]
        keys = np.column_stack((tiling.corner_vertex[corner], winding))
        self.keys, number = np.unique(keys, axis=0, return_inverse=True)
        sizes = np.diff(tiling.cell_start)[self.near]
        self.loops = np.split(number.ravel().astype(np.int64), np.cumsum(sizes)[:-1])
        self.points = tiling.vertices[self.keys[:, 0]] + np.column_stack(
            (self.keys[:, 1] * length, np.zeros(len(self.keys)))
        )

    def assembled(self, outside: CutCells, points: Floats, added: Sequence[Longs]) -> Tiling:
        """The tiling with what is left of the near cells, and cells added at the end.

        Parameters:
            outside: the near cells as they were cut.
            points: (n, 2) its points, and those of the added cells behind them.
            added: corners of new cells.
        Returns: the tiling.
        """
        tiling, length, known = self.tiling, self.tiling.length, len(self.keys)
        vertices = np.vstack((tiling.vertices, points[known:]))
        vertices[self.keys[:, 0]] = points[:known] - np.column_stack((self.keys[:, 1] * length, np.zeros(known)))
        fresh = np.arange(len(points) - known) + len(tiling.vertices)
        vertex = np.concatenate((self.keys[:, 0], fresh))
        winding = np.concatenate((self.keys[:, 1], np.zeros(len(fresh), np.int64)))
        parts: dict[int, list[Longs]] = {int(cell): [] for cell in self.near}
        for loop, origin in zip(outside.loops, outside.origin, strict=True):
            parts[int(self.near[origin])].append(loop)
        rings: list[tuple[Longs, Longs]] = []
        for cell in range(tiling.cells):
            at = slice(int(tiling.cell_start[cell]), int(tiling.cell_start[cell + 1]))
            untouched = (tiling.corner_vertex[at].astype(np.int64), tiling.corner_winding[at].astype(np.int64))
            rings += [(vertex[loop], winding[loop]) for loop in parts[cell]] if cell in parts else [untouched]
        rings += [(vertex[loop], winding[loop]) for loop in added]
        whole = tiling_of_loops((length, tiling.lower, tiling.upper), vertices, rings)
        return self._split(without_unused_vertices(in_first_turn(with_vertices(whole, whole.vertices))))

    def _split(self, made: Tiling) -> Tiling:
        """The tiling with cells split that are not star-shaped, or that turn inwards round a corner of the box."""
        made = star_shaped_parts(made)
        at_corner = np.isin(made.vertices[:, 1], (self.box.low, self.box.high))
        away = shortest_way(made.vertices[:, :1] - (self.box.left, self.box.right), self.tiling.length)
        at_corner &= np.min(np.abs(away), axis=1) < 1e-9
        among = np.zeros(made.cells, dtype=np.bool_)
        among[made.corner_cell[at_corner[made.corner_vertex]]] = True
        return in_first_turn(star_shaped_parts(made, CORNER_CLEARANCE, among))


def _level_cells(whole: Pattern, round_: Pattern) -> Bools | None:
    """(cells,) which cells beside and within panels have no relief, by where they lie; None where all have.

    Parameters:
        whole: the pattern with its panels, level cells not known yet.
        round_: the pattern without them.
    Returns: the mask; a panel's frame is not in it.
    """
    patterns = [round_, *(panel.pattern for panel in whole.panels)]
    if all(pattern.level is None for pattern in patterns):
        return None
    level, where = np.zeros(whole.tiling.cells, np.bool_), panel_of_cell(whole)
    points = whole.tiling.kernel[0]
    for number, pattern in enumerate(patterns):
        if pattern.level is not None:
            cells = np.flatnonzero(where == (-1 if number == 0 else 2 * number - 2))
            left = whole.panels[number - 1].inner.left if number else 0.0
            u = (points[cells, 0] - left) % whole.tiling.length
            found = cells_at(pattern.tiling, np.column_stack((u, points[cells, 1])))
            level[cells] = pattern.level[found] & (found >= 0)
    return level


def panel_of_cell(pattern: Pattern) -> Ints:
    """(cells,) for each cell -1 beside all panels, 2 k within panel k, 2 k + 1 in its frame."""
    found = np.full(pattern.tiling.cells, -1, dtype=np.int32)
    points, length = pattern.tiling.kernel[0], pattern.tiling.length
    for number, panel in enumerate(pattern.panels):
        for box, value in ((panel.box, 2 * number + 1), (panel.inner, 2 * number)):
            u = (points[:, 0] - box.left) % length
            v = points[:, 1]
            found[(u < box.wide) & (v > box.low) & (v < box.high)] = value
    return found
