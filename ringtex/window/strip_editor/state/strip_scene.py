"""What the strip's picture shows: the built ring's polygons, made when first needed, and how they are lit."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bytes, Floats, Longs, next_in_loops
from ringtex.make_ring import ShapedRing
from ringtex.pattern.locate import CellLocator
from ringtex.pattern.measure import areas_on_ring
from ringtex.pattern.picture.picture_layout import PictureLayout
from ringtex.strip.true_size import true_size
from ringtex.window.strip_editor.state.metal_tones import (
    ground_tone,
    light_direction,
    metal_colours,
    tone_number,
    tones,
)
from ringtex.window.strip_editor.state.relief_faces import COARSE_STEPS, ReliefFaces, relief_faces

FINE_STEPS: Final = 6
LARGER: Final = ((32.0, 10), (60.0, 16))
"""Rings from flank to centre of domed and hollowed cells in a picture at rest; more for those larger than so many
pixels, or facets would be seen."""

MAX_FACES: Final = 90_000
"""Polygons that are made in 50 ms: if there would be more, the smaller ones of the larger cells get no more rings."""

COARSE_CELLS: Final = 2500
"""With more cells than this a moving picture shows tops alone where flanks are thin: 5,000 cells then take 10 ms."""


HOLE_SHADOW: Final = 0.55
"""How much darker the ground behind the strip is in the shadow of a hole's edge."""

HOLE_SHADOW_DEPTHS: Final = 0.5
"""Length of that shadow in depths of the relief, within 0.1 to 0.3 mm; chosen by eye."""

SIDE_MM: Final = 0.5
COARSE_SIDE_MM: Final = 1.5
"""Longest straight part of a polygon's side in true size, in a picture at rest and in a moving one: at a bend of radius
10 mm it leaves the curve by 0.003 and 0.03 mm."""


@dataclass(frozen=True)
class Look:
    """How the strip is lit and coloured.

    light: azimuth and elevation, degrees; finish: one of the metals; cell_colours: (cells,) index into table and table
    (n, 3) sRGB, where an overlay colours the cells, else None; plain: colour of what no overlay colours; behind: sRGB
    of what is seen through pierced cells.
    """

    light: tuple[float, float]
    finish: str
    overlay: OverlayColours | None = None
    behind: tuple[int, int, int] = (240, 239, 236)


@dataclass(frozen=True, eq=False)
class OverlayColours:
    """index (cells,) into table (n, 3) sRGB; plain (3,) for the rails, which have no value."""

    index: NDArray[np.int64]
    table: Bytes
    plain: tuple[int, int, int]


@dataclass(frozen=True, eq=False)
class Painted:
    """Polygons ready to be filled: group (f,) numbers a row of colours (n, 4) sRGB and opacity."""

    corners: Floats
    start: NDArray[np.int64]
    group: NDArray[np.int64]
    colours: Bytes
    low: tuple[Floats, Floats]
    high: tuple[Floats, Floats]


class StripScene:
    """One built ring as polygons, of the rectangle or in true size; what was made is cached, so that a change of light
    costs no geometry."""

    def __init__(self, built: ShapedRing, in_true_size: bool = False, is_draft: bool = False) -> None:
        self.built = built
        self._finished: ShapedRing | None = None if is_draft and _is_drawn_by_mesh(built) else built
        self._in_true_size = in_true_size
        self._faces: dict[tuple[tuple[int, ...], bool], ReliefFaces] = {}

    @property
    def awaits_finished(self) -> bool:
        """Whether the picture at rest is drawn from the finished ring, which is still to come."""
        return self._finished is None

    def finish(self, built: ShapedRing) -> None:
        """Take the finished ring of the same design, for the picture at rest."""
        if self._finished is None:
            self._finished = built

    @property
    def length(self) -> float:
        """Length of a turn, mm."""
        return self.built.strip.length

    @property
    def _is_small(self) -> bool:
        return self.built.pattern.tiling.cells <= COARSE_CELLS

    @cached_property
    def finder(self) -> CellLocator:
        """Finds the cell at a place."""
        return CellLocator(self.built.pattern.tiling)

    def _drawn(self, fine: bool) -> ShapedRing:
        """What a moving picture, or one at rest, is drawn from."""
        return self._finished if fine and self._finished is not None else self.built

    def faces(self, larger: tuple[int, ...], fine: bool) -> ReliefFaces:
        """The relief's polygons, finely or coarsely made.

        larger: how many cells, the largest first, get the rings of each entry of LARGER; none while coarse.
        """
        if (larger, fine) not in self._faces:
            steps = np.full(len(self._by_size), FINE_STEPS if larger else COARSE_STEPS)
            for count, (_, rings) in zip(larger, LARGER, strict=False):
                steps[self._by_size[:count]] = rings
            faces = relief_faces(self._drawn(fine), fine, steps)
            corners, start = self._placed(faces.corners, faces.start, fine)
            self._faces[larger, fine] = replace(faces, corners=corners, start=start)
        return self._faces[larger, fine]

    def _placed(self, corners: Floats, start: Longs, fine: bool) -> tuple[Floats, Longs]:
        """Polygons where they are drawn: in true size their sides are curved, and so cut into straight parts."""
        if not self._in_true_size:
            return corners, start
        corners, start = subdivided(corners, start, SIDE_MM if fine else COARSE_SIDE_MM)
        return np.column_stack(true_size(self.built.strip).to_plane(corners[:, 0], corners[:, 1])), start

    @cached_property
    def _sizes_mm(self) -> Floats:
        """(cells,) side of a square of each cell's area as it is drawn."""
        tiling, strip = self.built.pattern.tiling, self.built.strip
        return np.asarray(np.sqrt(areas_on_ring(tiling, strip) if self._in_true_size else tiling.areas))

    @cached_property
    def _by_size(self) -> Longs:
        """Cells, the largest first."""
        return np.argsort(-self._sizes_mm, kind="stable")

    def _larger(self, fine: bool, scale: float) -> tuple[int, ...]:
        """How many cells are larger than each size of LARGER, by tens so that zooming makes few anew."""
        tiling = self.built.pattern.tiling
        if not fine or not self._is_small:
            return ()
        sides = len(tiling.corner_vertex) / tiling.cells
        left = MAX_FACES - sides * tiling.cells * _polygons(FINE_STEPS)
        found = 0
        counts = []
        for limit, rings in reversed(LARGER):
            more = sides * (_polygons(rings) - _polygons(FINE_STEPS))
            wanted = 10 * math.ceil(int(np.sum(self._sizes_mm * scale > limit)) / 10) - found
            count = 10 * int(max(0.0, min(wanted, left / more)) / 10)
            left -= count * more
            found += count
            counts.append(found)
        return tuple(reversed(counts))

    def layers(self, look: Look, fine: bool, scale: float) -> tuple[tuple[int, int, int], list[Painted]]:
        """The ground's colour and the polygons over it, in the order of painting.

        scale: pixels for a millimetre; coarse pictures leave out flanks that are thinner than a pixel.

        Parameters:
            look: the light and the metal.
            fine: whether with the profile's rounded corners.
            scale: pixels for a millimetre.
        Returns: the ground's colour, and the polygons in the order of painting.
        """
        faces = self.faces(self._larger(fine, scale), fine)
        depth = self.built.design.relief.depth_mm
        tone = tones(faces.normal, faces.height, look.light, depth)
        highest = float(np.max(faces.height, initial=0.0))
        level = ground_tone(look.light, highest, depth)
        kept = np.ones(faces.count, dtype=bool)
        if not fine and faces.flank_mm * scale < 1.0 and not self._is_small:
            kept = faces.normal[:, 2] > 0.999
        number = tone_number(tone)
        holes = self._holes(look, fine)
        if look.overlay is None:
            metal = metal_colours(look.finish)
            red, green, blue = metal[int(tone_number(np.array(level)))].tolist()
            opaque = np.column_stack((metal, np.full(len(metal), 255, dtype=np.uint8)))
            return (red, green, blue), [_painted(faces, number, opaque, kept), *holes]
        kept &= faces.normal[:, 2] < 0.9999
        shades = _painted(faces, number, _shades(level), kept)
        return look.overlay.plain, [self._coloured_cells(look.overlay), shades, *holes]

    def _holes(self, look: Look, fine: bool) -> list[Painted]:
        """What is seen through pierced cells: the ground behind the strip, at rest with the shadow that edges throw."""
        pierced = self._drawn(fine).finished.pierced
        if pierced is None or not pierced.count:
            return []
        corners, start = self._placed(pierced.outlines.positions, pierced.outlines.start, fine)
        behind = np.array([*look.behind, 255], dtype=np.uint8)
        shadow = np.array([*(HOLE_SHADOW * behind[:3]), 255], dtype=np.uint8)
        colours, none = np.array([shadow, behind]), np.zeros(len(start) - 1, dtype=np.int64)
        if not fine:
            # Shadows of 900 cells take 10 ms, as long as all the rest of a moving picture.
            return [_bounded(corners, start, none + 1, colours)]
        depth = self.built.design.relief.depth_mm
        towards = light_direction(*look.light)[:2]
        away = -towards / max(float(np.hypot(*towards)), 1e-9) * min(max(HOLE_SHADOW_DEPTHS * depth, 0.1), 0.3)
        lit, lit_start = lit_parts(corners, start, away)
        shaded = _bounded(corners, start, none, colours)
        return [shaded, _bounded(lit, lit_start, np.ones(len(lit_start) - 1, dtype=np.int64), colours)]

    def _coloured_cells(self, overlay: OverlayColours) -> Painted:
        tiling = self.built.pattern.tiling
        start = tiling.cell_start.astype(np.int64)
        table = np.column_stack((overlay.table, np.full(len(overlay.table), 255, dtype=np.uint8)))
        corners, start = self._placed(tiling.corners, start, fine=False)
        return _bounded(corners, start, overlay.index, table)


def _is_drawn_by_mesh(built: ShapedRing) -> bool:
    """Whether the ring's own triangles are what is drawn: a draft's leave curved outlines further."""
    layout = built.pattern.motif
    return layout is not None and not isinstance(layout, PictureLayout)


def lit_parts(corners: Floats, start: Longs, away: Floats) -> tuple[Floats, Longs]:
    """The parts of polygons that lie in the light when their edges throw a shadow.

    Parameters:
        corners: (p, 2) of simple polygons.
        start: (n + 1,) polygon i has the corners start[i] : start[i + 1].
        away: (2,) from an edge to the end of its shadow.
    Returns: corners (q, 2) and start (m + 1,) of the parts.
    """
    import shapely

    offsets = np.arange(len(start), dtype=np.int64)
    rings = shapely.linearrings(corners, indices=np.repeat(offsets[:-1], np.diff(start)))
    holes = shapely.make_valid(shapely.polygons(rings))
    moved = shapely.transform(holes, lambda points: points + away)
    parts = shapely.get_parts(shapely.intersection(holes, moved))
    parts = parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
    lines = shapely.get_exterior_ring(parts)
    count = shapely.get_num_coordinates(lines)
    return shapely.get_coordinates(lines), np.concatenate(([0], np.cumsum(count)))


def _polygons(rings: int) -> int:
    """Of one side of a domed cell."""
    return rings * ((rings + 1) // 2)


def subdivided(corners: Floats, start: Longs, longest: float) -> tuple[Floats, Longs]:
    """The same polygons with their sides cut into even parts.

    Parameters:
        corners: (p, 2) corners of all polygons.
        start: (f + 1,) polygon i has the corners start[i] : start[i + 1].
        longest: no part is longer than this, mm.
    Returns: corners (q, 2) and start (f + 1,).
    """
    side = corners[next_in_loops(start)] - corners
    parts = np.maximum(np.ceil(np.hypot(side[:, 0], side[:, 1]) / longest), 1.0).astype(np.int64)
    end = np.cumsum(parts)
    share = (np.arange(int(end[-1])) - np.repeat(end - parts, parts)) / np.repeat(parts, parts)
    cut = np.repeat(corners, parts, axis=0) + share[:, None] * np.repeat(side, parts, axis=0)
    return cut, np.concatenate(([0], end[start[1:] - 1]))


def _shades(level: float) -> Bytes:
    """(TONES, 4) black or white with the opacity that makes level metal into each tone."""
    tone = np.linspace(0.0, 1.0, len(metal_colours("silver")))
    change = tone - level
    opacity = np.where(change > 0.0, 0.85 * change / max(1.0 - level, 0.05), -0.85 * change / max(level, 0.05))
    white = np.where(change > 0.0, 255.0, 0.0)
    return np.column_stack((white, white, white, 255.0 * np.clip(opacity, 0.0, 1.0))).astype(np.uint8)


def _painted(faces: ReliefFaces, group: NDArray[np.int64], colours: Bytes, kept: NDArray[np.bool_]) -> Painted:
    if bool(np.all(kept)):
        return _bounded(faces.corners, faces.start, group, colours)
    size = np.diff(faces.start)
    corners = faces.corners[np.repeat(kept, size)]
    return _bounded(corners, np.concatenate(([0], np.cumsum(size[kept]))), group[kept], colours)


def _bounded(corners: Floats, start: NDArray[np.int64], group: NDArray[np.int64], colours: Bytes) -> Painted:
    if len(group) == 0:
        none = (np.zeros(0), np.zeros(0))
        return Painted(corners, start, group, colours, none, none)
    first = start[:-1]
    u, v = corners[:, 0], corners[:, 1]
    low = (np.minimum.reduceat(u, first), np.minimum.reduceat(v, first))
    high = (np.maximum.reduceat(u, first), np.maximum.reduceat(v, first))
    return Painted(corners, start, group, colours, low, high)
