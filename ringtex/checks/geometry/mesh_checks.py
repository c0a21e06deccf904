"""Is the mesh one closed, oriented body with one hole? Needs nothing but the mesh."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.tolerances import FLAT_TRIANGLE_MM
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.ring_position import as_place, words_for
from ringtex.solid.mesh.ring_mesh import RingMesh

FEW_FLAT_SHARE: Final = 0.001
"""Share of triangles without area up to which they are only noted."""

_SHOWN_EDGES = 3
"""As many places are named; the rest is counted."""


def check_mesh(mesh: RingMesh, genus: int = 1) -> list[Finding]:
    """Closed, oriented, one body, the expected number of holes, not inside out, no triangle without area.

    A mesh that is not closed has no inside, so that holes and volume are then not judged. Guarantee: an empty list (or
    one with warnings only) means a closed, oriented mesh of one body and that genus with positive volume. Not covered:
    triangles that cross each other.
    """
    if len(mesh.faces) == 0:
        return [_finding(Kind.NOT_CLOSED, "The mesh has no triangles", "Check that the right file was read")]
    if not bool(np.all(np.isfinite(mesh.vertices))):
        return [_finding(Kind.NOT_CLOSED, "A corner of the mesh is not a finite number", "Export the mesh anew")]
    found = [*_edge_findings(mesh), *_body_findings(mesh, genus)]
    if mesh.oriented and mesh.volume <= 0.0:
        advice = "Turn all triangles round (flip the normals) and export again"
        found.append(_finding(Kind.INSIDE_OUT, "All triangles look inwards", advice))
    return [*found, *_flat_triangles(mesh)]


def demote_minor(finding: Finding, triangles: int) -> Finding:
    """Cuts leave a few triangles without area, which nothing but another cut would mind: they are only noted."""
    few = finding.kind is Kind.DEGENERATE_TRIANGLES and (finding.measured or 0.0) <= FEW_FLAT_SHARE * triangles
    return replace(finding, level=Level.NOTE) if few else finding


def check_found_mesh(mesh: RingMesh) -> list[Finding]:
    """As `check_mesh`, for a mesh of unknown design: it may have more holes than the finger's, which is told."""
    holes = mesh.genus if mesh.closed and mesh.bodies == 1 and mesh.euler % 2 == 0 else 1
    found = [demote_minor(finding, len(mesh.faces)) for finding in check_mesh(mesh, max(holes, 1))]
    if holes > 1:
        message = f"Beside the finger hole {holes - 1} more go through the metal"
        advice = "Right where stones, drains or pierced cells are; else look for cuts and bridges"
        found.append(Finding(Kind.MORE_HOLES, Level.NOTE, message, advice, float(holes), 1.0, "holes"))
    return found


def _finding(kind: Kind, message: str, advice: str, level: Level = Level.ERROR) -> Finding:
    return Finding(kind, level, message, advice)


def _edge_findings(mesh: RingMesh) -> list[Finding]:
    found = []
    unmatched = mesh.unmatched_edges
    if len(unmatched):
        message = f"{len(unmatched)} edges are not shared by exactly two triangles"
        advice = "Close the holes and remove doubled faces; a printer cannot tell inside from outside there"
        found.append(_at_edges(mesh, Kind.NOT_CLOSED, unmatched, message, advice))
    misdirected = mesh.misdirected_edges
    if len(misdirected):
        message = f"At {len(misdirected)} edges the two triangles look different ways"
        advice = "Make the normals agree before printing"
        found.append(_at_edges(mesh, Kind.NOT_ORIENTED, misdirected, message, advice))
    return found


def _at_edges(mesh: RingMesh, kind: Kind, edges: NDArray[np.int64], message: str, advice: str) -> Finding:
    middles = mesh.vertices[edges[:_SHOWN_EDGES]].mean(axis=1)
    where = "; ".join(words_for(middle) for middle in middles)
    where += "; and more" if len(edges) > _SHOWN_EDGES else ""
    return Finding(kind, Level.ERROR, message, advice, float(len(edges)), 0.0, "edges", where, as_place(middles[0]))


def _body_findings(mesh: RingMesh, genus: int) -> list[Finding]:
    if mesh.bodies != 1:
        message = f"The mesh is in {mesh.bodies} parts instead of one"
        advice = "Join or remove the loose parts; a shell inside the metal counts as a part too"
        place = _stray_vertex(mesh)
        where = words_for(place)
        return [
            Finding(Kind.NOT_ONE_BODY, Level.ERROR, message, advice, mesh.bodies, 1.0, "parts", where, as_place(place))
        ]
    if not mesh.closed or (mesh.euler % 2 == 0 and mesh.genus == genus):
        return []
    if mesh.euler % 2:
        message, measured = "The surface touches itself in a point", None
    else:
        message, measured = f"The mesh has {mesh.genus} holes through it instead of {genus}", float(mesh.genus)
    if mesh.genus == 0:
        message += ": it is cut open, or the finger hole is closed"
    advice = "A ring has one hole, for the finger; look for cuts, bridges and pierced places"
    return [Finding(Kind.WRONG_GENUS, Level.ERROR, message, advice, measured, float(genus), "holes")]


def _stray_vertex(mesh: RingMesh) -> Floats:
    """A corner of the smallest part."""
    _, first, sizes = np.unique(mesh.vertex_body[mesh.faces[:, 0]], return_index=True, return_counts=True)
    stray: Floats = mesh.vertices[mesh.faces[first[np.argmin(sizes)], 0]]
    return stray


def _flat_triangles(mesh: RingMesh) -> list[Finding]:
    """Triangles whose smallest height is nothing: their three corners lie on a line."""
    # No side is longer than the mesh, so that only a few triangles need their own longest side.
    extent = math.hypot(*(float(np.ptp(mesh.vertices[:, axis])) for axis in range(3)))
    small = np.flatnonzero(2.0 * mesh.triangle_areas <= FLAT_TRIANGLE_MM * extent)
    corners = mesh.vertices[mesh.faces[small]]
    longest = np.linalg.norm(corners[:, [1, 2, 0]] - corners, axis=2).max(axis=1)
    flat = small[2.0 * mesh.triangle_areas[small] <= FLAT_TRIANGLE_MM * longest]
    if len(flat) == 0:
        return []
    place = mesh.vertices[mesh.faces[flat[0]]].mean(axis=0)
    return [
        Finding(
            Kind.DEGENERATE_TRIANGLES,
            Level.WARNING,
            f"{len(flat)} triangles have no area",
            "They do no harm in most printers; remove them if the mesh is to be changed further",
            float(len(flat)),
            0.0,
            "triangles",
            words_for(place),
            as_place(place),
        )
    ]
