"""The cuts in the outer face as bodies, and the one join and one cut that finish a ring."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ringtex.basics.arrays import Bools, Ints
from ringtex.basics.caches import cached
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FLAT_TRIANGLE_MM
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.decimated_patch import Ball, decimate_far_cells, restore_far_cells
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid
from ringtex.solid.mesh.ruled_rows import with_rows
from ringtex.solid.mesh.thin_triangles import remove_thin_triangles
from ringtex.strip.strip_map import StripMap

if TYPE_CHECKING:
    from manifold3d import Manifold

    from ringtex.solid.finishing.pierced_cells import PiercedCells
    from ringtex.solid.finishing.stone_seats import SetStone


SLIVER_MM = 2.0 * FLAT_TRIANGLE_MM
"""Cuts leave a few triangles without area; a finished ring is rid of them, its surfaces moved by less than this."""

PIERCED_BORE_MM = 1.2
"""Rows in the bore of a pierced ring are this far apart: edges from side to side would be cut into needles."""

MAX_CACHED_STONES = 256
"""Stones whose bodies are remembered: those of a draft and of a fine mesh, of a ring with as many as are usual."""

BALL_MARGIN = 1.3
"""A cut's ball is so much larger than its own reach, for what the face bends away."""


@dataclass(frozen=True, eq=False)
class OuterCuts:
    """Stones, plain places and pierced cells of a ring whose relief is relief_mm[0] deep and [1] high."""

    strip: StripMap
    stones: tuple[SetStone, ...]
    plain: tuple[PlainPlace, ...]
    pierced: PiercedCells | None
    relief_mm: tuple[float, float]
    chord_mm: float

    def bodies(self) -> tuple[list[Manifold], list[Manifold]]:
        """What is joined to the outer face, and what is cut from it: collars and seats, plateaus and recesses."""
        from ringtex.solid.finishing.pierced_cells import prisms
        from ringtex.solid.finishing.plain_slabs import plateau, recess
        from ringtex.solid.mesh.booleans import as_manifold, cut

        strip, (ground, top), chord = self.strip, self.relief_mm, self.chord_mm
        set_bodies = [stone_bodies(strip, each, top, ground, chord) for each in self.stones]
        added, taken = [each.collar for each in set_bodies], [each.cutter for each in set_bodies]
        # Collars stand in recesses, so recesses leave them out.
        columns = [each.column for each in set_bodies]
        for place in self.plain:
            if place.level == "top":
                added.append(plateau(strip, place, top, ground, chord))
            else:
                taken.append(cut(recess(strip, place, top, ground, chord), columns))
        if self.pierced is not None and self.pierced.count:
            taken.append(as_manifold(prisms(strip, self.pierced, top, self.chord_mm), "pierced"))
        return added, taken

    def affected_balls(self) -> list[Ball] | None:
        """Balls that hold what is cut in the outer face; None where cells are pierced, which is everywhere."""
        if self.pierced is not None and self.pierced.count:
            return None
        ground, top = self.relief_mm
        balls = []
        for each in self.stones:
            radius = 0.5 * each.stone.diameter_mm + each.stone.collar_mm + ground + top
            balls.append(Ball(each.place.table, BALL_MARGIN * max(radius, each.stone.depth_mm)))
        for place in self.plain:
            u, v = np.array([place.u * self.strip.length]), np.array([place.v * self.strip.width])
            affected_balls = float(np.hypot(*place.half_mm)) + ground + top
            balls.append(Ball(self.strip.point(u, v)[0], BALL_MARGIN * affected_balls))
        return balls


@dataclass(frozen=True, eq=False)
class StoneBodies:
    """What is joined and cut for one stone, and the column that its collar stands in."""

    collar: Manifold
    cutter: Manifold
    column: Manifold


@cached(MAX_CACHED_STONES)
def stone_bodies(strip: StripMap, each: SetStone, top_mm: float, ground_mm: float, chord_mm: float) -> StoneBodies:
    """The bodies of a stone; cached, so that dragging one stone does not rebuild the others.

    Parameters:
        strip: the strip map.
        each: the stone in its seat.
        top_mm, ground_mm: how far the relief reaches over and under the outer face, mm.
        chord_mm: chord tolerance, mm.
    Returns: what is joined and what is cut.
    """
    from ringtex.solid.finishing.stone_seats import collar, collar_column, seat_cutter

    return StoneBodies(
        collar(strip, each.stone, each.place, top_mm, ground_mm, chord_mm),
        seat_cutter(each.stone, each.place),
        collar_column(each.stone, each.place, ground_mm + top_mm),
    )


def cut_ring(
    solid: RingSolid,
    added: list[Manifold],
    taken: list[Manifold],
    affected_balls: list[Ball] | None,
    draft: bool,
    progress: Progress | None = None,
) -> tuple[RingMesh, Ints, Ints]:
    """The ring with bodies joined to it and then others cut out.

    Parameters:
        solid: the ring with its relief.
        added, taken: bodies to join, and bodies to cut out afterwards.
        affected_balls: where the outer face is cut; cells elsewhere are left out of the boolean. None: all over.
        draft: remove only triangles that files could not hold.
        progress: where cancelling is looked for.
    Returns: the mesh, and original_id and face_id of its triangles as in `FinishedRing`.
    """
    patch = decimate_far_cells(solid, affected_balls) if affected_balls is not None else None
    finished = _cut_everywhere(solid, added, taken) if affected_balls is None and not draft else None
    if patch is not None:
        finished = restore_far_cells(solid, patch, *_apply_cuts(patch.mesh, added, taken, draft))
    if finished is None:
        finished = _apply_cuts(solid.mesh, added, taken, draft)
    at = _at_cuts(solid.mesh, *finished) if draft else None
    return remove_thin_triangles(*finished, at, draft, progress)


def _at_cuts(ring: RingMesh, mesh: RingMesh, original_id: Ints, face_id: Ints) -> Bools:
    """(n,) corners of the triangles of a cut ring that are not as they were in the ring: the others are as thin in a
    draft that nothing is cut from."""
    kept = np.flatnonzero(original_id == 0)
    now, before = mesh.vertices[mesh.faces[kept]], ring.vertices[ring.faces[face_id[kept]]]
    same = [np.any(np.all(now[:, [corner]] == before, axis=2), axis=1) for corner in range(3)]
    found = np.zeros(len(mesh.vertices), dtype=bool)
    found[np.delete(mesh.faces, kept[np.all(same, axis=0)], axis=0)] = True
    return found


def _cut_everywhere(
    solid: RingSolid, added: list[Manifold], taken: list[Manifold]
) -> tuple[RingMesh, Ints, Ints] | None:
    """As `cut_ring` where all of the bore is cut, which gets rows first; None where it has rows already."""
    pieces = math.ceil(float(np.ptp(solid.mesh.vertices[:, 2])) / PIERCED_BORE_MM)
    split = with_rows(solid.mesh, solid.face_ranges["bore"], pieces)
    if split is None:
        return None
    mesh, original_id, face_id = _apply_cuts(split[0], added, taken, False)
    return (
        mesh,
        original_id,
        np.where(original_id == 0, split[1][np.where(original_id == 0, face_id, 0)], face_id).astype(np.int32),
    )


def _apply_cuts(
    ring: RingMesh, added: list[Manifold], taken: list[Manifold], draft: bool
) -> tuple[RingMesh, Ints, Ints]:
    from ringtex.solid.mesh.booleans import as_manifold, cut, join, with_origins, without_loose_slivers

    body = cut(join(as_manifold(ring), added), taken)
    return without_loose_slivers(*with_origins(body if draft else body.simplify(SLIVER_MM)))
