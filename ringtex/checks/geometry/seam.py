"""The seam as the mesh has it: is it joined, and does the surface bend there more than elsewhere?

Gap: open edges near the seam's half plane (angle 180) are looked for, and the distance across them is measured. A
mesh without open edges there has the largest distance of no points, 0.

Bend: the relief is taken off first. A triangle whose corners stand h0, h1, h2 over the band has edges a, b and height
differences p, q; the band's unit normal n under it solves n.a = p, n.b = q (exactly where the band is flat under the
triangle, and to second order in its size elsewhere). Seen along the axis n points at some angle; less the angle at
which the triangle stands this lean is 0 on every surface of revolution and varies smoothly on every smooth band.
Round the seam's line, and round eight other lines, a smooth function of the two directions plus a step at the line is
fitted to the lean, for stripes across the band. The step is the bend: 0 up to the mesh's own coarseness on a smooth
band, the angle of a crease on a creased one. Triangles that lie across the line say nothing of its two sides and are
left out. The seam's bend is given beside the largest at the eight other lines: that is the mesh's own coarseness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints, Longs, crosses, dots, sorted_unique
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.geometry.folding import relief_faces
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid

_NEAR_SEAM_MM = 1.0
BEND_LIMIT_DEG = 1.0
"""A crease of one degree is seen on a polished surface (common practice, no source)."""

LINES = 9
"""The seam and eight more, 40 degrees apart."""

STRIPES = 4
_REACH = np.radians(10.0)
_TERMS = 9
_TELLABLE = 1e-3
"""Share of the step that must not be explained by the smooth terms, lest it cannot be told from them."""


@dataclass(frozen=True)
class SeamReading:
    """gap_mm: distance across the open seam, 0 when nothing is open; open_edges: how many edges are open there.

    normal_deg: how much the band bends at the seam, None where the mesh is too coarse to tell; elsewhere_deg: the same
    at eight other lines, at most.
    """

    gap_mm: float
    open_edges: int
    normal_deg: float | None
    elsewhere_deg: float


def measure_seam(solid: RingSolid) -> SeamReading:
    """Measure gap and bend."""
    gap, open_edges = _gap(solid.mesh)
    bends = measure_curvature(solid)
    others = bends[1:][~np.isnan(bends[1:])]
    at_seam = None if np.isnan(bends[0]) else float(bends[0])
    return SeamReading(gap, open_edges, at_seam, float(np.max(others, initial=0.0)))


def _gap(mesh: RingMesh) -> tuple[float, int]:
    if mesh.closed:
        return 0.0, 0
    near = (np.abs(mesh.vertices[:, 0]) <= _NEAR_SEAM_MM) & (mesh.vertices[:, 1] < 0.0)
    # All triangles at an edge with both ends near the seam have two corners there.
    corners = near[mesh.faces]
    two = (corners[:, 0] & corners[:, 1]) | (corners[:, 1] & corners[:, 2]) | (corners[:, 2] & corners[:, 0])
    edges = RingMesh(mesh.vertices, mesh.faces[two]).unmatched_edges
    edges = edges[near[edges[:, 0]] & near[edges[:, 1]]]
    rim = sorted_unique(edges)
    if len(rim) == 0:
        return 0.0, 0
    after = _stands_after(mesh, rim)
    one, other = mesh.vertices[rim[after]], mesh.vertices[rim[~after]]
    if len(one) == 0 or len(other) == 0:
        # Nothing faces the open edge: the hole itself is the gap.
        return float(np.linalg.norm(np.ptp(mesh.vertices[rim], axis=0))), len(edges)
    from scipy.spatial import cKDTree

    across = np.concatenate((cKDTree(one).query(other)[0], cKDTree(other).query(one)[0]))
    return float(np.max(across)), len(edges)


def _stands_after(mesh: RingMesh, rim: NDArray[np.int64]) -> NDArray[np.bool_]:
    """For each rim vertex: its triangles lie after the seam (x > 0 on the palm side), on average."""
    centre_x = mesh.vertices[mesh.faces, 0].mean(axis=1)
    size = len(mesh.vertices)
    total = sum(np.bincount(mesh.faces[:, i], weights=centre_x, minlength=size) for i in range(3))
    uses = np.bincount(mesh.faces.ravel(), minlength=size)
    after: NDArray[np.bool_] = np.asarray(total)[rim] > mesh.vertices[rim, 0] * uses[rim]
    return after


def check_seam(seam: SeamReading) -> list[Finding]:
    """An open seam is an error, a bend that stands out is a warning."""
    found = []
    where = "palm side, 180 degrees"
    if seam.open_edges:
        message = f"The seam is open: {seam.open_edges} edges, {seam.gap_mm:.3f} mm apart"
        advice = "Join the two ends; edges that merely touch are open too"
        found.append(Finding(Kind.SEAM_OPEN, Level.ERROR, message, advice, seam.gap_mm, 0.0, where=where))
    limit = max(BEND_LIMIT_DEG, 2.0 * seam.elsewhere_deg)
    if seam.normal_deg is not None and seam.normal_deg > limit:
        message = f"The surface has a crease of {seam.normal_deg:.1f} degrees at the seam"
        advice = "Report this ring: the band should run smoothly through the palm side"
        unit = "degrees"
        found.append(Finding(Kind.SEAM_BENT, Level.WARNING, message, advice, seam.normal_deg, limit, unit, where))
    return found


def measure_curvature(solid: RingSolid) -> Floats:
    """(9,) degrees: largest bend over the stripes at the lines 180, 220, ... degrees; NaN where it cannot be told."""
    corners, first, last, line = _near_lines(solid)
    if not len(line):
        return np.full(LINES, np.nan)
    normal, weight = band_normals(solid, corners.T)
    middle = 0.5 * (first + last)
    # In the frame of the palm side: 0 at the seam, growing counter-clockwise.
    lean = np.degrees(_around(np.arctan2(normal[0], -normal[1]) - middle - line * (2.0 * np.pi / LINES)))
    v = solid.strip_positions[:, 1].copy()
    centre = sum(v[corner] for corner in corners) / 3.0
    share = (centre - v.min()) / max(float(np.ptp(v)), 1e-9) * STRIPES
    stripe = np.minimum(share.astype(np.int64), STRIPES - 1)
    across = 2.0 * (share - stripe) - 1.0
    steps = _fitted_steps(middle / _REACH, across, lean, weight, line * STRIPES + stripe)
    largest: Floats = np.max(np.nan_to_num(np.abs(steps), nan=-1.0).reshape(LINES, STRIPES), axis=1)
    return np.where(largest < 0.0, np.nan, largest)


def _near_lines(solid: RingSolid) -> tuple[Longs, Floats, Floats, Longs]:
    """(3, m) corners of the faces wholly on one side of a line and near it; their first and last angle from it (rad);
    the line's number."""
    vertices = solid.mesh.vertices[: len(solid.strip_positions)]
    angle = np.arctan2(vertices[:, 0], -vertices[:, 1])
    nearest = np.rint(angle * (LINES / (2.0 * np.pi)))
    faces = relief_faces(solid)
    near = np.abs(angle - nearest * (2.0 * np.pi / LINES)) <= _REACH
    corners = faces.take(np.flatnonzero(near[faces[:, 0]]), axis=0).T.astype(np.int64, order="C")
    line = nearest[corners[0]]
    corner = [_around(angle[each] - line * (2.0 * np.pi / LINES)) for each in corners]
    first = np.minimum(np.minimum(corner[0], corner[1]), corner[2])
    last = np.maximum(np.maximum(corner[0], corner[1]), corner[2])
    slack = 1e-9
    good = np.flatnonzero(((first >= -slack) & (last <= _REACH)) | ((last <= slack) & (first >= -_REACH)))
    return corners.take(good, axis=1), first[good], last[good], line[good].astype(np.int64) % LINES


def band_normals(solid: RingSolid, faces: Ints | Longs) -> tuple[Floats, Floats]:
    """(3, m) unit normals of the band under each relief triangle, and (m,) weights: the area seen along them, mm2."""
    corners = np.ascontiguousarray(faces.T, dtype=np.intp)
    x, y, z = (solid.mesh.vertices[: len(solid.strip_positions), axis].copy()[corners] for axis in range(3))
    height = solid.strip_positions[:, 2].copy()[corners]
    a, b = (np.stack((x[i] - x[0], y[i] - y[0], z[i] - z[0])) for i in (1, 2))
    p, q = height[1] - height[0], height[2] - height[0]
    normal = crosses(a, b)
    aa, ab, bb = dots(a, a), dots(a, b), dots(b, b)
    gram = np.maximum(aa * bb - ab * ab, 1e-300)
    # n = x a + y b + rest * normal / |normal|, where |normal|^2 is Gram's determinant.
    tilt = ((p * bb - q * ab) / gram) * a + ((q * aa - p * ab) / gram) * b
    rest = np.sqrt(np.maximum(1.0 - dots(tilt, tilt), 0.0))
    return tilt + rest * normal / np.sqrt(gram), 0.5 * rest * np.sqrt(gram)


def _fitted_steps(along: Floats, across: Floats, lean: Floats, weight: Floats, cell: Longs) -> Floats:
    """(lines * stripes,) the step at along = 0, least squares beside the smooth terms; NaN where it cannot be told."""
    cells = LINES * STRIPES
    order = np.argsort(cell.astype(np.uint8), kind="stable")
    along, across, lean, weight = (values[order] for values in (along, across, lean, weight))
    # The smooth terms: 1, across, across^2; these times along; along^2, along^2 across, along^3.
    columns = np.empty((_TERMS + 2, len(order)))
    columns[0] = 1.0
    columns[1] = across
    np.multiply(across, across, out=columns[2])
    np.multiply(columns[:3], along, out=columns[3:6])
    np.multiply(columns[3:5], along, out=columns[6:8])
    np.multiply(columns[6], along, out=columns[8])
    columns[9] = np.where(along > 0.0, 0.5, -0.5)
    columns[10] = lean
    weighted = columns * weight
    ends = np.cumsum(np.bincount(cell, minlength=cells))[:-1]
    pairs = zip(np.split(weighted, ends, axis=1), np.split(columns, ends, axis=1), strict=True)
    products = np.stack([one @ other.T for one, other in pairs])
    inverse = np.linalg.pinv(products[:, :_TERMS, :_TERMS], rcond=1e-10, hermitian=True)
    mixed = products[:, :_TERMS, _TERMS:]
    left = products[:, _TERMS:, _TERMS:] - np.swapaxes(mixed, 1, 2) @ inverse @ mixed
    whole = products[:, _TERMS, _TERMS]
    tellable = (left[:, 0, 0] > _TELLABLE * whole) & (whole > 0.0)
    step = left[:, 0, 1] / np.where(tellable, left[:, 0, 0], 1.0)
    return np.where(tellable, step, np.nan)


def _around(angle: Floats) -> Floats:
    short: Floats = angle - 2.0 * np.pi * np.rint(angle / (2.0 * np.pi))
    return short
