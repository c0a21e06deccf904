"""Thin triangles that cuts leave are removed by edge flips and collapses within a micrometre."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Ints, Longs
from ringtex.basics.progress import Progress
from ringtex.solid.mesh.edge_collapses import collapse_edges
from ringtex.solid.mesh.edge_flips import flip_edges
from ringtex.solid.mesh.ring_mesh import RingMesh, without_unused_vertices
from ringtex.solid.mesh.triangle_patch import ThinLimits, TrianglePatch, shapes_of

FINAL_LIMITS: Final = ThinLimits(height_mm=5e-4, sine=math.sin(math.radians(1.2)))
"""Slicers and text formats round to 1e-4 mm: a triangle a few times as high cannot turn over."""

DRAFT_LIMITS: Final = ThinLimits(height_mm=2e-5, sine=0.0)
"""Files of seven digits keep positions at 20 mm to 2e-6 mm: ten times that is enough for a draft."""

MAX_ROUNDS: Final = 24
"""Each round changes places that do not touch each other; on most rings nothing is left to do after fifteen."""

MAX_REGIONS: Final = 3
"""Round the thin triangles a region is taken out, so that a round does not cost as much as the whole mesh."""

AT_ONCE: Final = 8192
"""Triangles of a whole mesh that are measured at a time: their numbers stay in the processor's cache."""

SECONDS_A_CORNER: Final = 1.5e-4
"""Processor time for each corner of a thin triangle, measured where a third of a million triangles were thin."""


def remove_thin_triangles(
    mesh: RingMesh,
    original_id: Ints,
    face_id: Ints,
    at: Bools | None = None,
    draft: bool = False,
    progress: Progress | None = None,
) -> tuple[RingMesh, Ints, Ints]:
    """The mesh with its thin triangles flipped or collapsed away where that moves the surface by less than 1e-3 mm.

    Vertices stay where they are or vanish.

    Parameters:
        mesh: a closed mesh.
        original_id, face_id: (m,) of its triangles, as in `FinishedRing`.
        at: (n,) vertices at which thin triangles are looked for, and round about; None: everywhere.
        draft: remove only triangles that files could not hold.
        progress: where cancelling is looked for.
    Returns: the mesh and both arrays, still closed, oriented and of the same genus.
    Raises: Cancelled if progress was cancelled.
    """
    progress, limits = progress or Progress(), DRAFT_LIMITS if draft else FINAL_LIMITS
    everywhere: Bools = np.ones(len(mesh.vertices), dtype=bool)
    numbers = original_id.copy(), face_id.copy()
    whole = TrianglePatch(mesh.vertices, mesh.faces.astype(np.int64), *numbers, np.zeros(len(mesh.faces)), everywhere)
    active = everywhere if at is None else at
    for _ in range(MAX_REGIONS):
        marked = _thin_corners(whole, active, limits)
        if not np.any(marked):
            break
        progress.expect(SECONDS_A_CORNER * int(np.sum(marked)))
        marked[whole.faces[whole.touching(marked)]] = True
        region, number, vertex = whole.around(marked)
        region.measured(limits)
        left = _improve_region(region, limits, progress)
        whole.put_back(region, number, vertex)
        whole = whole.without_vanished()
        active = np.zeros(len(mesh.vertices), dtype=bool)
        active[vertex[left]] = True
    return without_unused_vertices(mesh.vertices, whole.faces), whole.original_id, whole.face_id


def _improve_region(region: TrianglePatch, limits: ThinLimits, progress: Progress) -> Longs:
    """Flip and collapse until nothing is left to do; the vertices where there may be, once more is known round them."""
    active: Bools = np.ones(len(region.vertices), dtype=bool)
    for _ in range(MAX_ROUNDS):
        progress.check()
        changed = [_improve(region, active, limits, change) for change in (flip_edges, collapse_edges)]
        active = np.zeros(len(region.vertices), dtype=bool)
        active[np.concatenate(changed)] = True
        if not np.any(active):
            break
    return np.flatnonzero(active | ~region.complete)


def _thin_corners(patch: TrianglePatch, active: Bools, limits: ThinLimits) -> Bools:
    """(n,) corners of the thin triangles that touch active vertices."""
    if patch.shapes is None:
        nearby, rows = patch.touching(active), patch.rows
        parts = np.split(nearby, np.arange(AT_ONCE, len(nearby), AT_ONCE))
        thin = np.concatenate([part[shapes_of(rows, patch.faces[part], limits).roundness < 1.0] for part in parts])
    else:
        thin = np.flatnonzero(patch.shapes.roundness < 1.0)
        thin = thin[np.any(active[patch.faces[thin]], axis=1)]
    return patch.marked(patch.faces[thin])


def _improve(
    whole: TrianglePatch, active: Bools, limits: ThinLimits, change: Callable[[TrianglePatch, ThinLimits], Longs]
) -> Longs:
    """Make one round of changes round the thin triangles at active vertices; the vertices where there were any to make.

    Parameters:
        whole: all triangles, changed in place.
        active: (n,) vertices where something may have changed.
        limits: which triangles are thin.
        change: changes a patch in place and returns vertices.
    Returns: (k,) vertices.
    """
    marked = _thin_corners(whole, active, limits)
    if not np.any(marked):
        return np.zeros(0, dtype=np.int64)
    patch, number, vertex = whole.around(marked)
    changed = vertex[change(patch, limits)]
    whole.put_back(patch, number, vertex)
    return changed
