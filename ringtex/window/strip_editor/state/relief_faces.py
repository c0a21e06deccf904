"""The relief as flat polygons of the strip, each with its slope: what the strip's picture is drawn from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.make_ring import ShapedRing
from ringtex.pattern.picture.picture_layout import PictureLayout
from ringtex.pattern.tiling import Tiling
from ringtex.relief.make_relief import Relief
from ringtex.relief.relief_options import FLANKED
from ringtex.relief.smooth_tops import SmoothTops
from ringtex.solid.cells.offset_loops import OffsetLoops, offset_loops
from ringtex.solid.cells.rounded_cells import inside_outlines
from ringtex.solid.free_form.picture_surface import picture_heights
from ringtex.solid.mesh.strip_triangulation import in_one_piece

MIN_AREA_MM2: Final = 1e-8
"""Smaller polygons are sides that have shrunk to a point."""

DRAWN_CHORD_MM: Final = 0.002
"""Arcs of the profile are drawn with this chord: a fifth of a pixel where 1 mm is 100 pixels."""

COARSE_STEPS: Final = 3
"""With more steps than this a domed side is also cut into pieces along its length, half as many as it has steps."""

PICTURE_STEP_MM: Final = 0.04
"""Side of the squares that a picture is drawn with: 4 pixels where 1 mm is 100 pixels."""

MAX_SQUARES: Final = 150_000
"""As many as a finished mesh of a picture has triangles."""

SMOOTH: Final = frozenset({"pillow", "dish"})
"""Forms without creases."""

SMOOTH_DEG: Final = 2.5
"""Smooth shapes' triangles are drawn in pieces whose normals differ by no more than this, as far as MAX_PIECES lets."""

MAX_PARTS: Final = 8
"""Of each side of a triangle."""

MAX_PIECES: Final = 90_000

SAME_HEIGHT_MM: Final = 1e-6
"""Heights nearer than this are level."""

__all__ = ["DRAWN_CHORD_MM", "ReliefFaces", "relief_faces"]


@dataclass(frozen=True, eq=False)
class ReliefFaces:
    """Polygons that lie side by side; what they leave free is level ground at height 0.

    corners  (p, 2) positions (u, v), mm; a cell's polygons are in one piece, so u may lie outside one turn.
    start    (f + 1,) polygon i has the corners start[i] : start[i + 1].
    normal   (f, 3) unit normal along u, along v and outwards, slopes as they are on the ring.
    height   (f,) mean height, mm.
    cell     (f,) the cell it belongs to.
    flank_mm least width in plan of a flank on the strip, mm: what a coarse picture may leave out.
    """

    corners: Floats
    start: Longs
    normal: Floats
    height: Floats
    cell: Longs
    flank_mm: float

    @property
    def count(self) -> int:
        """Number of polygons."""
        return len(self.start) - 1


def relief_faces(built: ShapedRing, fine: bool, steps: Longs) -> ReliefFaces:
    """Polygons of every cell: one a side and a step of the profile, and a top.

    Parameters:
        built: the ring as it was built.
        fine: whether with the profile's rounded corners.
        steps: (cells,) polygons from flank to centre.
    Returns: the polygons with their slopes.
    """
    if built.pattern.motif is not None:
        if fine and isinstance(built.pattern.motif, PictureLayout):
            return picture_faces(built)
        return smooth_faces(built) if fine and built.relief.options.form in SMOOTH else free_form_faces(built)
    rounded = built.solid.rounded
    tiling = built.pattern.tiling if rounded is None else rounded.outlines
    relief = _relief(built, fine)
    if rounded is not None:
        relief = inside_outlines(relief)
    loops, slope = None if fine else _few_rings(built), None
    if loops is not None and built.relief.options.form in FLANKED:
        # The chord of a flank with rounded ends leans less than the flank, and would be lit otherwise.
        slope = float(np.tan(np.radians(built.relief.options.flank_deg)))
    if loops is None:
        # The chord only cuts long parts for the mesh's sake; the drawing needs no such cuts.
        loops = offset_loops(built.strip, tiling, relief, 1.0)
        loops = loops if rounded is None else replace(loops, arc=rounded.arc)
    inward = _inward(tiling)
    rings = loops.corner.shape[1]
    parts = [
        _ring(tiling, loops, inward, loops.corner[:, k], loops.corner[:, k + 1], loops.height[:, k : k + 2], slope)
        for k in range(rings - 1)
        if np.any(np.abs(loops.height[:, k : k + 2]) > SAME_HEIGHT_MM)
    ]
    if np.any(np.abs(loops.rise) > SAME_HEIGHT_MM):
        parts += _bent_tops(tiling, loops, inward, relief, steps)
    else:
        parts.append(_level_tops(tiling, loops))
    return _joined(parts)


def free_form_faces(built: ShapedRing) -> ReliefFaces:
    """The mesh's own triangles between the rails, those at height 0 left out: an own motif has no other polygons."""
    raised, corners = _raised_triangles(built)
    middle = corners.mean(axis=1)
    e, _, g = built.strip.metric(middle[:, 0], middle[:, 1])
    scale = np.column_stack((np.sqrt(e), np.sqrt(g), np.ones(len(e))))
    first, second = ((corners[:, k] - corners[:, 0]) * scale for k in (1, 2))
    normal = np.cross(first, second)
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    start = 3 * np.arange(len(raised) + 1)
    cell = built.solid.face_cell[raised].astype(np.int64)
    return ReliefFaces(corners[:, :, :2].reshape(-1, 2), start, normal, middle[:, 2], cell, np.inf)


def _raised_triangles(built: ShapedRing) -> tuple[Longs, Floats]:
    """(m,) the relief's triangles that are not level ground; (m, 3, 3) u, v, h of their corners, each in one piece."""
    solid = built.solid
    faces = solid.mesh.faces[solid.face_ranges["cells"]]
    height = solid.strip_positions[faces, 2]
    raised = np.flatnonzero(np.any(np.abs(height) > SAME_HEIGHT_MM, axis=1))
    corners = solid.strip_positions[faces[raised]]
    corners[:, :, 0] = in_one_piece(corners[:, :, 0], built.strip.length)
    return raised, corners


def smooth_faces(built: ShapedRing) -> ReliefFaces:
    """The triangles of domed or hollowed shapes in pieces, with normals that run smoothly from corner to corner as the
    ring's own do; creases stay. Flat triangles would show as facets."""
    raised, corners = _raised_triangles(built)
    normals = _corner_normals(built, raised, corners)
    turn = np.degrees(np.arccos(np.clip(np.min(_cosines(normals), axis=1, initial=1.0), -1.0, 1.0)))
    step = SMOOTH_DEG
    parts = _parts(turn, step)
    while np.sum(parts * parts) > MAX_PIECES and step < 90.0:
        step *= 1.25
        parts = _parts(turn, step)
    found: list[tuple[Floats, Floats, Longs]] = [(np.zeros((0, 3, 3)), np.zeros((0, 3)), np.zeros(0, np.int64))]
    for count in np.unique(parts).tolist():
        chosen = np.flatnonzero(parts == count)
        weights = _triangle_parts(count)
        pieces = np.einsum("pcw,mwx->mpcx", weights, corners[chosen]).reshape(-1, 3, 3)
        normal = np.einsum("pw,mwx->mpx", weights.mean(axis=1), normals[chosen]).reshape(-1, 3)
        owner = np.repeat(built.solid.face_cell[raised[chosen]].astype(np.int64), len(weights))
        found.append((pieces, normal, owner))
    pieces, normal = (np.concatenate([each[k] for each in found]) for k in (0, 1))
    owner = np.concatenate([each[2] for each in found])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    start = 3 * np.arange(len(owner) + 1)
    return ReliefFaces(pieces[:, :, :2].reshape(-1, 2), start, normal, pieces[:, :, 2].mean(axis=1), owner, np.inf)


def _parts(turn: Floats, step: float) -> Longs:
    """(m,) parts of each side of triangles whose normals turn by so many degrees."""
    return np.clip(np.ceil(turn / step), 1, MAX_PARTS).astype(np.int64)


def _cosines(normals: Floats) -> Floats:
    """(m, 3) between the normals (m, 3, 3) of each two corners."""
    return np.asarray(np.einsum("mcx,mcx->mc", normals, np.roll(normals, 1, axis=1)))


def _triangle_parts(count: int) -> Floats:
    """(count^2, 3, 3) barycentric weights of the corners of the pieces of a triangle."""
    i, j = (each.ravel() for each in np.meshgrid(np.arange(count), np.arange(count), indexing="ij"))
    up, down = i + j < count, i + j < count - 1
    first = np.stack([np.stack((i[up] + a, j[up] + b), axis=1) for a, b in ((0, 0), (1, 0), (0, 1))], axis=1)
    second = np.stack([np.stack((i[down] + a, j[down] + b), axis=1) for a, b in ((1, 0), (1, 1), (0, 1))], axis=1)
    places = np.concatenate((first, second)) / float(count)
    return np.concatenate((1.0 - places.sum(axis=2, keepdims=True), places), axis=2)


def _corner_normals(built: ShapedRing, raised: Longs, corners: Floats) -> Floats:
    """(m, 3, 3) unit normals at the triangles' corners, along u, along v and outwards, smooth but for creases."""
    from ringtex.export.picture.crease_normals import split_at_creases

    solid = built.solid
    drawn = split_at_creases(solid.mesh.vertices, solid.mesh.faces[solid.face_ranges["cells"]])
    in_space = drawn.normals[drawn.triangles[raised]].astype(np.float64).reshape(-1, 3)
    at = built.strip.jacobian(corners[:, :, 0].ravel(), corners[:, :, 1].ravel())
    frame = [each / np.linalg.norm(each, axis=1)[:, None] for each in (at.d_u, at.d_v, at.normal)]
    found = np.stack([np.einsum("nx,nx->n", in_space, axis) for axis in frame], axis=1)
    return np.asarray(found.reshape(-1, 3, 3))


def picture_faces(built: ShapedRing) -> ReliefFaces:
    """Small squares with the slopes of the surface that the mesh follows: its own triangles would show as facets."""
    layout, strip = built.pattern.motif, built.strip
    assert isinstance(layout, PictureLayout)
    part = layout.part
    step = max(PICTURE_STEP_MM, float(np.sqrt(part.length * part.width / MAX_SQUARES)))
    columns, rows = (max(1, round(size / step)) for size in (part.length, part.width))
    u: Floats = np.arange(columns, dtype=np.float64) * (part.length / columns)
    v: Floats = part.lower + np.arange(rows + 1, dtype=np.float64) * (part.width / rows)
    height = picture_heights(strip, layout, built.relief, u, v)
    height = np.concatenate((height, height[:1]))
    u = np.append(u, part.length)
    a, b, c, d = height[:-1, :-1], height[1:, :-1], height[1:, 1:], height[:-1, 1:]
    raised = np.maximum.reduce([np.abs(each) for each in (a, b, c, d)]) > SAME_HEIGHT_MM
    i, j = np.nonzero(raised)
    ends = [np.column_stack((u[i + right], v[j + up])) for right, up in ((0, 0), (1, 0), (1, 1), (0, 1))]
    corners = np.stack(ends, axis=1)
    middle = corners.mean(axis=1)
    e, _, g = strip.metric(middle[:, 0], middle[:, 1])
    along = 0.5 * (b + c - a - d)[i, j] / (np.sqrt(e) * (u[1] - u[0]))
    over = 0.5 * (c + d - a - b)[i, j] / (np.sqrt(g) * (v[1] - v[0]))
    normal = np.column_stack((-along, -over, np.ones(len(i))))
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    mean = 0.25 * (a + b + c + d)[i, j]
    return ReliefFaces(corners.reshape(-1, 2), 4 * np.arange(len(i) + 1), normal, mean, layout.cells_at(middle), np.inf)


def _few_rings(built: ShapedRing) -> OffsetLoops | None:
    """Of the rings that the mesh was made of the wall, the flank's foot and the last, which costs nothing anew; None
    where a profile has more to show than that."""
    loops = built.solid.loops
    if loops is None or built.relief.options.form == "step":
        return None
    level = np.all(np.abs(loops.height) <= SAME_HEIGHT_MM, axis=0)
    rings = np.unique([0, max(int(np.sum(np.logical_and.accumulate(level))) - 1, 0), len(level) - 1])
    return replace(loops, corner=loops.corner[:, rings], alive=loops.alive[:, rings], height=loops.height[:, rings])


def _relief(built: ShapedRing, fine: bool) -> Relief:
    """The built relief with its profile as finely or coarsely rounded as the picture needs."""
    from ringtex.relief.cell_profile import cell_profile

    options = built.relief.options
    profile = cell_profile(options if fine else replace(options, corner_mm=0.0), DRAWN_CHORD_MM)
    return replace(built.relief, profile=profile)


def _inward(tiling: Tiling) -> Floats:
    """(half-edges, 2) unit direction from each wall into its cell."""
    along = tiling.corners[tiling.next_corner] - tiling.corners
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    return np.column_stack((-along[:, 1], along[:, 0]))


@dataclass(frozen=True, eq=False)
class _Part:
    corners: Floats
    sizes: Longs
    normal: Floats
    height: Floats
    cell: Longs
    flank_mm: float


def _ring(
    tiling: Tiling,
    loops: OffsetLoops,
    inward: Floats,
    outer: Floats,
    inner: Floats,
    height: Floats,
    slope: float | None,
) -> _Part:
    """One polygon for each half-edge between two rings; height (cells, 2) is theirs. slope: how steep it is drawn; None
    for as steep as it lies."""
    following, cell = tiling.next_corner, tiling.corner_cell
    quads = np.stack((outer, outer[following], inner[following], inner), axis=1)
    kept = np.abs(_areas(quads)) > MIN_AREA_MM2
    away = np.einsum("hi,hi->h", inward, inner - outer)
    climb = (height[:, 1] - height[:, 0])[cell]
    run = np.maximum(away * loops.across if slope is None else np.abs(climb) / slope, 1e-6)
    normal = np.column_stack((inward * (-climb / run)[:, None], np.ones(len(run))))
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    sloped = kept & (np.abs(climb) > SAME_HEIGHT_MM)
    flank = float(np.quantile(away[sloped], 0.05)) if np.any(sloped) else np.inf
    owner = cell[kept].astype(np.int64)
    sizes = np.full(len(owner), 4, dtype=np.int64)
    return _Part(quads[kept].reshape(-1, 2), sizes, normal[kept], height.mean(axis=1)[owner], owner, flank)


def _areas(quads: Floats) -> Floats:
    """(n,) signed areas of quadrilaterals (n, 4, 2)."""
    first, second = quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1]
    areas: Floats = 0.5 * (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    return areas


def _level_tops(tiling: Tiling, loops: OffsetLoops) -> _Part:
    sizes = np.diff(tiling.cell_start).astype(np.int64)
    normal = np.tile([0.0, 0.0, 1.0], (tiling.cells, 1))
    return _Part(loops.corner[:, -1], sizes, normal, loops.height[:, -1], np.arange(tiling.cells), np.inf)


def _bent_tops(tiling: Tiling, loops: OffsetLoops, inward: Floats, relief: Relief, steps: Longs) -> list[_Part]:
    """Loops from the last one to the centre. Smooth tops lean as the ring's own do at the middle of each piece; the
    sides of a peak are plane and meet in creases."""
    profile, cell = relief.profile, tiling.corner_cell
    if not profile.is_smooth:
        plane = inward * (loops.rise[cell] / np.maximum(loops.inner_distance, 1e-3))[:, None]
        quads, half = _quads(tiling, loops, np.ones(len(cell), np.bool_), (0.0, 1.0), np.array([0.0, 1.0]))
        return [_bent_part(loops, quads, cell[half].astype(np.int64), plane[half], np.full(len(half), 0.5))]
    tops = SmoothTops(tiling, loops.corner[:, -1], loops.alive[:, -1], loops.centre, loops.arc)
    parts = []
    for count in np.unique(steps).tolist():
        chosen = steps[cell] == count
        pieces = 1 if count <= COARSE_STEPS else (count + 1) // 2
        # Narrower towards the corners, where a smooth top turns fastest.
        shares = 0.5 - 0.5 * np.cos(np.pi * np.linspace(0.0, 1.0, pieces + 1))
        for fraction in pairwise(np.linspace(0.0, 1.0, count + 1).tolist()):
            for piece in range(pieces):
                quads, half = _quads(tiling, loops, chosen, fraction, shares[piece : piece + 2])
                middle, owner = quads.mean(axis=1), cell[half].astype(np.int64)
                slope = tops.gradient(middle, owner) * (loops.rise[owner] / loops.across[half])[:, None]
                parts.append(_bent_part(loops, quads, owner, slope, tops.height(middle, owner)))
    return parts


def _quads(
    tiling: Tiling, loops: OffsetLoops, chosen: Bools, fraction: tuple[float, float], share: Floats
) -> tuple[Floats, Longs]:
    """(q, 4, 2) quadrilaterals of the chosen half-edges' sides between two loops, each a fraction of the way from the
    last loop to the centre, and (q,) their half-edges; those without area are left out."""
    last, centre = loops.corner[:, -1], loops.centre[tiling.corner_cell]
    outer, inner = (last + (centre - last) * part for part in fraction)
    half = np.flatnonzero(chosen)
    quads = _piece_of_sides(half, tiling.next_corner[half].astype(np.int64), outer, inner, share)
    kept = np.abs(_areas(quads)) > MIN_AREA_MM2
    return quads[kept], half[kept]


def _bent_part(loops: OffsetLoops, quads: Floats, owner: Longs, slope: Floats, lift: Floats) -> _Part:
    normal = np.column_stack((-slope, np.ones(len(slope))))
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    height = loops.height[owner, -1] + loops.rise[owner] * lift
    return _Part(quads.reshape(-1, 2), np.full(len(owner), 4, np.int64), normal, height, owner, np.inf)


def _piece_of_sides(half: Longs, following: Longs, outer: Floats, inner: Floats, share: Floats) -> Floats:
    """(half-edges, 4, 2) a piece of each side between two loops, from one fraction of its length to another."""
    from_outer, to_outer = (outer[half] + (outer[following] - outer[half]) * part for part in share.tolist())
    from_inner, to_inner = (inner[half] + (inner[following] - inner[half]) * part for part in share.tolist())
    return np.stack((from_outer, to_outer, to_inner, from_inner), axis=1)


def _joined(parts: list[_Part]) -> ReliefFaces:
    corners = np.concatenate([part.corners for part in parts])
    start = np.concatenate(([0], np.cumsum(np.concatenate([part.sizes for part in parts]))))
    return ReliefFaces(
        corners=corners,
        start=start,
        normal=np.concatenate([part.normal for part in parts]),
        height=np.concatenate([part.height for part in parts]),
        cell=np.concatenate([part.cell for part in parts]),
        flank_mm=min(part.flank_mm for part in parts),
    )
