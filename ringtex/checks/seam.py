"""The seam as the mesh has it: is it joined, and does the surface bend there more than elsewhere?

Gap: open edges near the seam's half plane (angle 180) are looked for, and the distance across them is measured. A mesh
without open edges there has the largest distance of no points, 0.

Bend: each triangle's normal, seen along the axis, points at some angle; taken less the angle at which the triangle
itself stands this is 0 on every surface of revolution and varies smoothly on every smooth band, whatever the section.
Its mean is taken in sectors of five degrees, on triangles that lie in one sector, for several stripes across the
band; the step from the sector before a line to the one after it, less the mean of the steps on both sides (which
takes away a steady change), is the bend at that line. It is taken at the seam and at the 69 lines not next to it: a
crease in the band at the seam stands out from them. The relief tilts triangles too, so level ones are used where they
reach the seam; where there are none, all are used, and the other lines then show how much bending is the pattern's
own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.tolerances import SAME_PLACE_MM
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.folding import relief_faces
from ringtex.solid.ring_mesh import RingMesh, RingSolid

Floats = NDArray[np.float64]

_NEAR_SEAM_MM = 1.0
_SECTORS = 72
_STRIPES = 6
BEND_LIMIT_DEG = 1.0
"""A crease of one degree is seen on a polished surface (common practice, no source)."""


@dataclass(frozen=True)
class SeamReading:
    """gap_mm: distance across the open seam, 0 when nothing is open; open_edges: how many edges are open there.

    normal_deg: largest bend at the seam line; elsewhere_deg: largest at any other line, so what the pattern and the
    mesh's own facets amount to. normal_deg is None where no triangles lie on both sides.
    """

    gap_mm: float
    open_edges: int
    normal_deg: float | None
    elsewhere_deg: float


def measure_seam(solid: RingSolid) -> SeamReading:
    """Measure gap and bend."""
    gap, open_edges = _gap(solid.mesh)
    faces = relief_faces(solid)
    height = solid.strip_places[:, 2].copy()
    first, second, third = (height[faces[:, corner]] for corner in range(3))
    level = (np.abs(second - first) <= SAME_PLACE_MM) & (np.abs(third - first) <= SAME_PLACE_MM)
    bends = _bends(solid, faces[level])
    if np.isnan(bends[0]):
        bends = _bends(solid, faces)
    # The lines next to the seam have its step as their neighbour, so that they are not independent of it.
    others = bends[2:-1][~np.isnan(bends[2:-1])]
    at_seam = None if np.isnan(bends[0]) else float(bends[0])
    return SeamReading(gap, open_edges, at_seam, float(np.max(others, initial=0.0)))


def _gap(mesh: RingMesh) -> tuple[float, int]:
    edges = mesh.unmatched_edges
    ends = mesh.vertices[edges]
    near = np.all((np.abs(ends[:, :, 0]) <= _NEAR_SEAM_MM) & (ends[:, :, 1] < 0.0), axis=1)
    rim = np.unique(edges[near])
    if len(rim) == 0:
        return 0.0, 0
    after = _stands_after(mesh, rim)
    one, other = mesh.vertices[rim[after]], mesh.vertices[rim[~after]]
    if len(one) == 0 or len(other) == 0:
        # Nothing faces the open edge: the hole itself is the gap.
        return float(np.linalg.norm(np.ptp(mesh.vertices[rim], axis=0))), int(np.sum(near))
    from scipy.spatial import cKDTree

    across = np.concatenate((cKDTree(one).query(other)[0], cKDTree(other).query(one)[0]))
    return float(np.max(across)), int(np.sum(near))


def _stands_after(mesh: RingMesh, rim: NDArray[np.int64]) -> NDArray[np.bool_]:
    """For each rim vertex: its triangles lie after the seam (x > 0 on the palm side), on average."""
    centre_x = mesh.vertices[mesh.faces, 0].mean(axis=1)
    size = len(mesh.vertices)
    total = sum(np.bincount(mesh.faces[:, i], weights=centre_x, minlength=size) for i in range(3))
    uses = np.bincount(mesh.faces.ravel(), minlength=size)
    after: NDArray[np.bool_] = np.asarray(total)[rim] > mesh.vertices[rim, 0] * uses[rim]
    return after


def _bends(solid: RingSolid, faces: NDArray[np.int32]) -> Floats:
    """(72,) degrees: largest bend over the stripes at the lines 180, 185, ... degrees; NaN where nothing was there."""
    if len(faces) == 0:
        return np.full(_SECTORS, np.nan)
    vertices = solid.mesh.vertices
    x, y, z = (np.ascontiguousarray(vertices[:, axis])[faces.T] for axis in range(3))
    # Seen from the palm side: 0 at the seam, growing counter-clockwise.
    angle = np.arctan2(x, -y)
    angle = angle[0] + _around(angle - angle[0])
    first, last = angle.min(axis=0), angle.max(axis=0)
    normal_x = (y[1] - y[0]) * (z[2] - z[0]) - (z[1] - z[0]) * (y[2] - y[0])
    normal_y = (z[1] - z[0]) * (x[2] - x[0]) - (x[1] - x[0]) * (z[2] - z[0])
    middle = 0.5 * (first + last)
    lean = np.degrees(_around(np.arctan2(normal_x, -normal_y) - middle))
    sector = np.floor(first * _SECTORS / (2.0 * np.pi))
    inside = last * _SECTORS / (2.0 * np.pi) <= sector + 1.0 + 1e-9
    weight = inside * np.hypot(normal_x, normal_y)
    stripe = _stripe(solid.strip_places[:, 1], faces)
    cell = (sector.astype(np.int64) % _SECTORS) * _STRIPES + stripe
    weights = np.bincount(cell, weights=weight, minlength=_SECTORS * _STRIPES)
    sums = np.bincount(cell, weights=weight * lean, minlength=_SECTORS * _STRIPES)
    mean = np.where(weights > 0.0, sums / np.where(weights > 0.0, weights, 1.0), np.nan).reshape(_SECTORS, _STRIPES)
    step = _degrees_around(mean - np.roll(mean, 1, axis=0))
    bend = np.abs(step - 0.5 * (np.roll(step, 1, axis=0) + np.roll(step, -1, axis=0)))
    largest: Floats = np.max(np.where(np.isnan(bend), -1.0, bend), axis=1)
    return np.where(largest < 0.0, np.nan, largest)


def _stripe(v: Floats, faces: NDArray[np.int32]) -> NDArray[np.int64]:
    low, high = float(v.min()), float(v.max())
    share = (v[faces].mean(axis=1) - low) / max(high - low, SAME_PLACE_MM)
    stripe: NDArray[np.int64] = np.clip((share * _STRIPES).astype(np.int64), 0, _STRIPES - 1)
    return stripe


def _around(angle: Floats) -> Floats:
    short: Floats = angle - 2.0 * np.pi * np.rint(angle / (2.0 * np.pi))
    return short


def _degrees_around(angle: Floats) -> Floats:
    short: Floats = angle - 360.0 * np.rint(angle / 360.0)
    return short


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
