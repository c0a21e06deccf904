"""The cuts in the outer face as bodies, and the one join and one cut that finish a ring."""

from __future__ import annotations

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
from ringtex.solid.mesh.thin_triangles import remove_thin_triangles
from ringtex.strip.strip_map import StripMap

if TYPE_CHECKING:
    from manifold3d import Manifold

    from ringtex.solid.finishing.pierced_mesh import PiercedMesh
    from ringtex.solid.finishing.stone_seats import SetStone


SLIVER_MM = 2.0 * FLAT_TRIANGLE_MM
"""Cuts leave a few triangles without area; a finished ring is rid of them, its surfaces moved by less than this."""

MAX_CACHED_STONES = 256
"""Stones whose bodies are remembered: those of a draft and of a fine mesh, of a ring with as many as are usual."""

BALL_MARGIN = 1.3
"""A cut's ball is so much larger than its own reach, for what the face bends away."""


@dataclass(frozen=True, eq=False)
class OuterCuts:
    """Stones and plain places of a ring whose relief is relief_mm[0] deep and [1] high."""

    strip: StripMap
    stones: tuple[SetStone, ...]
    plain: tuple[PlainPlace, ...]
    relief_mm: tuple[float, float]
    chord_mm: float

    def bodies(self, progress: Progress) -> tuple[list[Manifold], list[Manifold]]:
        """What is joined to the outer face, and what is cut from it: collars and seats, plateaus and recesses.

        Raises: Cancelled between two plain places.
        """
        from ringtex.solid.finishing.plain_slabs import plateau, recess
        from ringtex.solid.mesh.booleans import cut

        strip, (ground, top), chord = self.strip, self.relief_mm, self.chord_mm
        set_bodies = [stone_bodies(strip, each, top, ground, chord) for each in self.stones]
        added, taken = [each.collar for each in set_bodies], [each.cutter for each in set_bodies]
        for place in self.plain:
            progress.check()
            if place.level == "top":
                added.append(plateau(strip, place, top, ground, chord))
            else:
                # Collars stand in recesses, so recesses leave them out.
                columns = [stone_column(each, ground + top) for each in self.stones]
                taken.append(cut(recess(strip, place, top, ground, chord), columns))
        return added, taken

    def affected_balls(self) -> list[Ball]:
        """Balls that hold what is cut in the outer face."""
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
    """What is joined and cut for one stone."""

    collar: Manifold
    cutter: Manifold


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
    from ringtex.solid.finishing.stone_seats import collar, seat_cutter

    return StoneBodies(
        collar(strip, each.stone, each.place, top_mm, ground_mm, chord_mm),
        seat_cutter(each.stone, each.place),
    )


@cached(MAX_CACHED_STONES)
def stone_column(each: SetStone, relief_mm: float) -> Manifold:
    """The column that a stone's collar stands in, through relief so deep; cached."""
    from ringtex.solid.finishing.stone_seats import collar_column

    return collar_column(each.stone, each.place, relief_mm)


def cut_ring(
    solid: RingSolid,
    added: list[Manifold],
    taken: list[Manifold],
    affected_balls: list[Ball] | None,
    draft: bool,
    progress: Progress | None = None,
    pierced: PiercedMesh | None = None,
) -> tuple[RingMesh, Ints, Ints]:
    """The ring with bodies joined to it and then others cut out.

    Parameters:
        solid: the ring with its relief.
        added, taken: bodies to join, and bodies to cut out afterwards.
        affected_balls: where the outer face is cut; cells elsewhere are left out of the boolean. None: all over.
        draft: remove only triangles that files could not hold.
        progress: where cancelling is looked for.
        pierced: the ring with its cells cut through, all of which then takes part; None where no cells are.
    Returns: the mesh, and original_id and face_id of its triangles as in `FinishedRing`.
    """
    ring = solid.mesh if pierced is None else pierced.mesh
    patch = decimate_far_cells(solid, affected_balls) if pierced is None and affected_balls is not None else None
    finished = None
    if patch is not None:
        finished = restore_far_cells(solid, patch, *_apply_cuts(patch.mesh, added, taken, draft))
    if finished is None:
        finished = _apply_cuts(ring, added, taken, draft)
    at = _at_cuts(ring, *finished) if draft else None
    mesh, original_id, face_id = remove_thin_triangles(*finished, at, draft, progress)
    if pierced is not None:
        own = original_id == 0
        of_ring = np.where(own, face_id, 0)
        original_id = np.where(own, pierced.original_id[of_ring], original_id)
        face_id = np.where(own, pierced.face_id[of_ring], face_id)
    return mesh, original_id, face_id


def _at_cuts(ring: RingMesh, mesh: RingMesh, original_id: Ints, face_id: Ints) -> Bools:
    """(n,) corners of the triangles of a cut ring that are not as they were in the ring: the others are as thin in a
    draft that nothing is cut from."""
    kept = np.flatnonzero(original_id == 0)
    now, before = (
        [rows[:, faces[:, corner]] for corner in range(3)]
        for rows, faces in (
            (np.ascontiguousarray(mesh.vertices.T), mesh.faces[kept]),
            (np.ascontiguousarray(ring.vertices.T), ring.faces[face_id[kept]]),
        )
    )
    same = [np.any([np.all(one == other, axis=0) for other in before], axis=0) for one in now]
    found = np.zeros(len(mesh.vertices), dtype=bool)
    found[np.delete(mesh.faces, kept[np.all(same, axis=0)], axis=0)] = True
    return found


def _apply_cuts(
    ring: RingMesh, added: list[Manifold], taken: list[Manifold], draft: bool
) -> tuple[RingMesh, Ints, Ints]:
    if not added and not taken:
        count = len(ring.faces)
        return ring, np.zeros(count, dtype=np.int32), np.arange(count, dtype=np.int32)
    from ringtex.solid.mesh.booleans import as_manifold, cut, join, with_origins, without_loose_slivers

    body = cut(join(as_manifold(ring), added), taken)
    return without_loose_slivers(*with_origins(body if draft else body.simplify(SLIVER_MM)))
