"""What every design is promised: a sound ring, or a refusal in a sentence."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from ringtex.basics.arrays import sorted_unique
from ringtex.basics.errors import InputError, SelfCheckError
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FOLDED_AREA_MM2
from ringtex.checks.finding import Kind, Level
from ringtex.design.design import Design
from ringtex.document.ring_files import BREAKS_OUT, refuse_unsound
from ringtex.make_ring import BuiltRing, make_ring
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.rounded_cells import RoundedCells
from ringtex.solid.mesh.ring_mesh import RingSolid

KEYS = (
    "name", "size", "band", "bore", "strip", "pattern", "edits", "rails", "relief", "hollow", "stones", "plain",
    "inscription", "make", "zones", "panels",
)  # fmt: skip


def broken_promises(design: Design, tolerance_mm: float = DRAFT_CHORD_MM) -> tuple[str, list[str]]:
    """How building a design ends ("built", or "refused" with the key), and every promise that is broken."""
    try:
        ring = make_ring(design, tolerance_mm)
    except InputError as error:
        return f"refused {error.where.split('[')[0]}", refusal_problems(error)
    return "built", built_problems(ring)


def refusal_problems(error: InputError) -> list[str]:
    broken = []
    if error.where.split(".")[0].split("[")[0] not in KEYS:
        broken.append(f"no key named: {error}")
    if not (error.message and error.advice) or "\n" in str(error) or len(str(error)) > 400:
        broken.append(f"no plain sentence with advice: {error}")
    return broken


def built_problems(ring: BuiltRing) -> list[str]:
    """Closed, oriented, one part, genus 1, positive volume, relief positive in the strip, seam shared."""
    solid = ring.solid
    broken = [f"mesh: {problem}" for problem in solid.mesh.problems(genus=1)]
    try:
        refuse_unsound(ring.report.findings)
        broken += [f"finished mesh: {problem}" for problem in ring.finished.mesh.problems(told_genus(ring))]
    except SelfCheckError as error:
        broken.append(f"finished mesh: {error}")
    except InputError:
        pass  # cuts that run into each other or out of the ring, which the report says
    broken += [f"tiling: {problem}" for problem in ring.pattern.tiling.problems()]
    backward = int(np.sum(strip_areas(solid, ring.strip.length) < -FOLDED_AREA_MM2))
    if backward:
        broken.append(f"backward triangles: {backward} of {len(solid.mesh.faces)}")
    used = sorted_unique(solid.mesh.faces.ravel())
    if len(used) != len(solid.mesh.vertices):
        broken.append(f"unused vertices: {len(solid.mesh.vertices) - len(used)}")
    if ring.report.readings.seam_gap_mm != 0.0:
        broken.append(f"seam gap: {ring.report.readings.seam_gap_mm}")
    if not np.all(np.isfinite(solid.cell_depths)):
        broken.append("not finite: cell_depths")
    return broken


def told_genus(ring: BuiltRing) -> int:
    """The holes that the design asks for, or those that the report counts where an error says that cuts run into each
    other: a web thinner than the tolerance may break."""
    errors = {finding.kind for finding in ring.report.findings if finding.level is Level.ERROR}
    counted = [finding.measured for finding in ring.report.findings if finding.kind is Kind.WRONG_GENUS]
    return int(counted[0] or 0) if counted and errors & BREAKS_OUT else ring.finished.genus


def strip_areas(solid: RingSolid, length: float) -> NDArray[np.float64]:
    """(faces of cells and rails,) signed area of each in the flat strip, mm2: positive where it is not folded."""
    faces = solid.mesh.faces[: solid.face_ranges["rails"].stop]
    u, v = solid.strip_positions[:, 0][faces], solid.strip_positions[:, 1][faces]
    u = u - length * np.rint((u - u[:, :1]) / length)
    u1, u2 = u[:, 1] - u[:, 0], u[:, 2] - u[:, 0]
    v1, v2 = v[:, 1] - v[:, 0], v[:, 2] - v[:, 0]
    areas: NDArray[np.float64] = 0.5 * (u1 * v2 - u2 * v1)
    return areas


def outline_faults(tiling: Tiling, rounded: RoundedCells) -> list[str]:
    """What is wrong with the outlines of rounded cells, judged by shapely (GEOS)."""
    whole, made = (
        shapely.polygons([shapely.linearrings(part) for part in np.split(each.corners, each.cell_start[1:-1])])
        for each in (tiling, rounded.outlines)
    )
    faults = {
        "not simple": ~shapely.is_valid(made),
        "not inside their cells": ~shapely.contains_properly(whole, made),
        "from a corner to one before": rounded.key[:, 1] < rounded.key[:, 0],
    }
    return [f"{int(np.sum(wrong))} {name}" for name, wrong in faults.items() if np.any(wrong)]
