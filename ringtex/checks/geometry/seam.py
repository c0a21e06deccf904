"""The seam as the mesh has it: is it joined, and does the surface bend there more than elsewhere?

Gap: open edges near the seam's half plane (angle 180) are looked for, and the distance across them is measured. A
mesh without open edges there has the largest distance of no points, 0.

Bend: see `seam_bend`; the seam's is given beside the largest at eight other lines, which is what the mesh's own
coarseness amounts to.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.geometry.seam_curvature import measure_curvature
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid

_NEAR_SEAM_MM = 1.0
BEND_LIMIT_DEG = 1.0
"""A crease of one degree is seen on a polished surface (common practice, no source)."""


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
