"""Judges a built ring without asking the program: its mesh by counting and by libigl, its file by reading it back."""

from __future__ import annotations

import igl
import numpy as np
from ring_promises import KEYS, strip_areas

from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import FOLDED_AREA_MM2
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.make_ring import BuiltRing
from ringtex.solid.mesh.ring_mesh import RingMesh

LONGEST_SENTENCE = 500


def refusal_faults(error: InputError, keyed: bool = True) -> list[str]:
    """What is wrong with a refusal: it must name a key and say in one sentence what to do."""
    wrong = []
    if keyed and error.where.split(".")[0].split("[")[0] not in KEYS:
        wrong.append(f"no key: {error}")
    if not (error.message and error.advice) or "\n" in str(error) or len(str(error)) > LONGEST_SENTENCE:
        wrong.append(f"no sentence: {error}")
    return wrong


def round_trip_faults(design: Design) -> list[str]:
    """A design must come back from its file as it was."""
    return [] if design_from_json(design_to_json(design)) == design else ["comes back otherwise from its file"]


def mesh_faults(ring: BuiltRing) -> list[str]:
    """Closed, oriented, one body, the genus of its construction (1 where nothing was done after the relief), volume
    positive, nothing folded on the strip, and every corner used and finite.
    """
    mesh, wrong = ring.finished.mesh, []
    faces = mesh.faces.astype(np.int64)
    count = len(mesh.vertices)
    directed = (faces * count + np.roll(faces, -1, axis=1)).ravel()
    against = (np.roll(faces, -1, axis=1) * count + faces).ravel()
    directed.sort()
    against.sort()
    if np.any(directed[1:] == directed[:-1]) or not np.array_equal(directed, against):
        wrong.append("not closed and oriented: some edge has not one triangle on each side")
        return wrong
    if np.any(np.diff(np.sort(faces, axis=1), axis=1) == 0):
        wrong.append("a triangle without three corners")
    if not igl.is_vertex_manifold(faces).all():
        wrong.append("a corner where bodies touch in one point")
    bodies = int(igl.facet_components(faces)[0])
    if bodies != 1:
        wrong.append(f"bodies: {bodies}")
    euler = count - len(directed) // 2 + len(faces)
    genus = ring.finished.genus if ring.design.finish else 1
    if euler != 2 * bodies - 2 * genus:
        wrong.append(f"genus: {1 - euler / 2:g} instead of {genus}")
    corners = mesh.vertices[faces]
    volume = np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0
    if not volume > 0.0 or not np.all(np.isfinite(mesh.vertices)):
        wrong.append(f"volume: {volume} mm3")
    if not np.all(np.bincount(faces.ravel(), minlength=count)):
        wrong.append("a corner that no triangle uses")
    folded = int(np.sum(strip_areas(ring.solid, ring.strip.length) < -FOLDED_AREA_MM2))
    if folded:
        wrong.append(f"folded: {folded} triangles are turned over on the strip")
    return wrong


def crossing_pairs(mesh: RingMesh) -> int:
    """Pairs of triangles that cross, in exact arithmetic (libigl's binding of CGAL, for tests only)."""
    from igl.copyleft import cgal

    found = cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)
    return len(found[2])
