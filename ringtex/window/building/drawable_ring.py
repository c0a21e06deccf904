"""A built ring made ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.caches import BoundedCache
from ringtex.checks.check_ring import Report
from ringtex.checks.making.weights import Amounts
from ringtex.design.design import Design
from ringtex.document.ring_weights import ring_amounts
from ringtex.make_ring import BuiltRing, ShapedRing
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.window.building.cell_numbers import CellNumbers, cell_numbers
from ringtex.window.building.finished_positions import cells_of_triangles, outer_places, ring_triangles

if TYPE_CHECKING:
    from ringtex.export.picture.crease_normals import DrawnMesh

CACHED_DRAWN: Final = 2
"""A draft and a fine mesh."""

_drawn_meshes: Final[BoundedCache[tuple[RingMesh, bool], DrawnMesh]] = BoundedCache(CACHED_DRAWN)


@dataclass(frozen=True, eq=False)
class View:
    """What both views draw; made whole in the worker thread, never changed afterwards.

    positions (n, 3) float32, mm; normals (n, 3) float32, unit, smooth where the surface is; triangles (m, 3) uint32;
    cell_of_triangle (m,) int32, -1 outside the cells. In a fine mesh vertices on creases are doubled: mesh_vertex (n,)
    int32 is then the mesh's vertex that each position belongs to, the mesh's own ones first. The mesh is the finished
    one: ring_triangle (m,) int32 is the triangle before finishing, -1 for what was cut or joined; places (mesh's
    vertices, 3) are u, v, h on the outer face, NaN elsewhere. cells: how large and regular they are; amounts: how much
    metal there is; both None for a draft. is_draft: built to the coarse tolerance while a value is dragged, and not
    checked: `report` is None until it rests.
    """

    design: Design
    built: ShapedRing
    is_draft: bool
    positions: NDArray[np.float32]
    normals: NDArray[np.float32]
    triangles: NDArray[np.uint32]
    cell_of_triangle: NDArray[np.int32]
    ring_triangle: NDArray[np.int32]
    places: NDArray[np.float64]
    mesh_vertex: NDArray[np.int32] | None = None
    cells: CellNumbers | None = None
    amounts: Amounts | None = None

    @property
    def report(self) -> Report | None:
        """What the checks found and measured; None for a draft, whose checks would take longer than its shape."""
        return self.built.report if isinstance(self.built, BuiltRing) else None


def make_view(built: ShapedRing, is_draft: bool) -> View:
    """Lay a built ring's mesh out for drawing."""
    ring_triangle = ring_triangles(built)
    drawn = _drawn(built.finished.mesh, is_draft)
    return View(
        design=built.design,
        built=built,
        is_draft=is_draft,
        positions=drawn.positions,
        normals=drawn.normals,
        triangles=drawn.triangles,
        cell_of_triangle=cells_of_triangles(built, ring_triangle),
        ring_triangle=ring_triangle,
        places=outer_places(built, ring_triangle),
        mesh_vertex=drawn.vertex,
        cells=None if is_draft else cell_numbers(built),
        amounts=ring_amounts(built) if isinstance(built, BuiltRing) else None,
    )


def _drawn(mesh: RingMesh, is_draft: bool) -> DrawnMesh:
    """The mesh as it is drawn; the last few are remembered, for changes of alloy, process or name leave it as it is."""
    from ringtex.export.picture.crease_normals import MAX_SPLIT_IN_DRAFT, drawn_mesh

    # The key holds the mesh, which is equal to itself alone.
    key = mesh, is_draft and len(mesh.faces) > MAX_SPLIT_IN_DRAFT
    drawn = _drawn_meshes.get(key)
    if drawn is None:
        # Made without a lock: a draft must not wait for a fine mesh.
        drawn = drawn_mesh(mesh.vertices, mesh.faces, is_draft)
        _drawn_meshes.put(key, drawn)
    return drawn
