"""The last steps on the ring's mesh: collars joined; hollow and seats cut."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Ints
from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM, MAX_CUT_TRIANGLES
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.expected_genus import expected_genus
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.finishing.inscription_options import InscriptionOptions
from ringtex.solid.finishing.outer_cuts import OuterCuts, cut_ring
from ringtex.solid.finishing.stone_options import Stone, StoneRow, placed_stones
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid
from ringtex.strip.strip_map import StripMap

if TYPE_CHECKING:
    from manifold3d import Manifold

    from ringtex.solid.finishing.pierced_cells import PiercedCells
    from ringtex.solid.finishing.stone_seats import SetStone


SECONDS_A_TRIANGLE = 4e-6
"""Processor time of cuts, measured: 3e-6 to 5e-6 for each triangle of the relief."""

MAX_CACHED_HOLLOWS = 8
"""Hollows remembered: they depend on band, wall and ground alone, so a change of pattern or stones costs none."""

GROUND_STEP_MM = 0.01
"""The hollow keeps clear of the relief's lowest place rounded down to this, so that most changes find it remembered."""

DRAFT_GROUND_STEP_MM = 0.1
"""The same while the depth is dragged of a sunk relief."""


@dataclass(frozen=True)
class FinishOptions:
    """What is done to the ring after its relief.

    hollow: what is taken out, or None. stones: single ones and rows. plain: regions left smooth. pierced: whether cells
    are cut through the band. inscription: letters in the bore, or None.
    """

    hollow: HollowOptions | None = None
    stones: tuple[Stone | StoneRow, ...] = ()
    plain: tuple[PlainPlace, ...] = ()
    pierced: bool = False
    inscription: InscriptionOptions | None = None

    def __bool__(self) -> bool:
        return bool(self.hollow or self.stones or self.plain or self.pierced or self.inscription)


@dataclass(frozen=True, eq=False)
class FinishedRing:
    """The ring as it is made.

    mesh           the whole ring.
    original_id    (m,) int32: the body that each triangle comes from, as an index of `booleans.ORIGINALS`.
    face_id        (m,) int32: the triangle of that body that it is (a piece of), of collars, seats and drains the flat
                   face; for original 0 that body is the ring before it was finished.
    genus          holes through the ring by its construction, to be compared with the mesh's own.
    ground_mm      how far the lowest relief lies under the outer face; top_mm, how far the highest lies over it.
    hollow         the body taken out, or None; hollow_closed: by a floor; saved_mm3, the metal that it saves.
    stones         in the order of the design, rows spread out.
    pierced        the cells that are cut through, or None.
    """

    mesh: RingMesh
    original_id: Ints
    face_id: Ints
    genus: int = 1
    ground_mm: float = 0.0
    top_mm: float = 0.0
    hollow: RingMesh | None = None
    hollow_closed: bool = False
    saved_mm3: float = 0.0
    stones: tuple[SetStone, ...] = ()
    pierced: PiercedCells | None = None

    def stones_mesh(self) -> RingMesh:
        """All stones in their seats as one mesh of separate bodies; without triangles where there are none."""
        start = np.cumsum([0, *(len(each.body.vertices) for each in self.stones)])
        positions = [each.body.vertices for each in self.stones]
        faces = [each.body.faces + first for each, first in zip(self.stones, start[:-1], strict=True)]
        if not self.stones:
            return RingMesh(np.zeros((0, 3)), np.zeros((0, 3), np.int32))
        return RingMesh(np.concatenate(positions), np.concatenate(faces).astype(np.int32))


@dataclass(frozen=True, eq=False)
class HollowBody:
    """The hollow as a body to cut, ready for it, and the metal that it saves."""

    mesh: RingMesh
    body: Manifold
    saved_mm3: float


def finish_ring(
    strip: StripMap, solid: RingSolid, options: FinishOptions, chord_mm: float, progress: Progress | None = None
) -> FinishedRing:
    """Join collars and plateaus to the ring, then cut its hollow, seats, recesses, pierced cells and letters.

    Parameters:
        strip: the strip map.
        solid: the ring with its relief.
        options: what to do; with none of it the mesh is the ring's own, and manifold3d is not imported.
        chord_mm: chord tolerance, mm.
        progress: where cancelling is looked for.
    Returns: the finished ring.
    Raises: InputError where something cannot be made; Cancelled.
    """
    progress = progress or Progress()
    if not options:
        return unfinished(solid)
    if (count := len(solid.mesh.faces)) > MAX_CUT_TRIANGLES:
        message = f"a relief of {count / 1e6:.0f} million triangles is too large to be cut"
        raise InputError(message, "Take fewer cells or a coarser tolerance, or cut nothing", "pattern.around")
    heights = solid.strip_positions[:, 2]
    ground, top = max(0.0, -float(np.min(heights))), max(0.0, float(np.max(heights)))
    return _finished(strip, solid, options, (ground, top), chord_mm, progress)


def unfinished(solid: RingSolid) -> FinishedRing:
    """A ring to which nothing is done."""
    count = len(solid.mesh.faces)
    return FinishedRing(solid.mesh, np.zeros(count, np.int32), np.arange(count, dtype=np.int32))


def _finished(
    strip: StripMap,
    solid: RingSolid,
    options: FinishOptions,
    relief_mm: tuple[float, float],
    chord_mm: float,
    progress: Progress,
) -> FinishedRing:
    from ringtex.solid.finishing.pierced_mesh import pierced_mesh
    from ringtex.solid.finishing.stone_seats import set_stones

    ground, top = relief_mm
    stones = set_stones(strip, placed_stones(strip, options.stones), top)
    pierced, through = pierced_mesh(strip, solid, stones, options.plain, chord_mm)
    hollow = hollow_under(strip.band, options, ground, chord_mm) if options.hollow else None
    progress.check()
    outer = OuterCuts(strip, stones, options.plain, relief_mm, chord_mm)
    added, taken = outer.bodies(progress)
    added_inside, taken_inside = _bore_bodies(strip.band, options, hollow, pierced, chord_mm)
    progress.check()
    progress.expect(len(solid.mesh.faces) * SECONDS_A_TRIANGLE)
    draft = chord_mm >= DRAFT_CHORD_MM
    added, taken = [*added, *added_inside], [*taken, *taken_inside]
    mesh, original_id, face_id = cut_ring(solid, added, taken, outer.affected_balls(), draft, progress, through)
    return FinishedRing(
        mesh=mesh,
        original_id=original_id,
        face_id=face_id,
        genus=expected_genus(
            strip.band, options.hollow, hollow.body if hollow else None, stones, pierced.count if pierced else 0
        ),
        ground_mm=ground,
        top_mm=top,
        hollow=hollow.mesh if hollow else None,
        hollow_closed=options.hollow is not None and options.hollow.floor_mm is not None,
        saved_mm3=hollow.saved_mm3 if hollow else 0.0,
        stones=stones,
        pierced=pierced,
    )


def _bore_bodies(
    band: Band, options: FinishOptions, hollow: HollowBody | None, pierced: PiercedCells | None, chord_mm: float
) -> tuple[list[Manifold], list[Manifold]]:
    """What is joined to the bore, and what is cut from it: raised letters; hollow, drains and sunk letters."""
    added: list[Manifold] = []
    taken: list[Manifold] = []
    if hollow is not None and options.hollow is not None:
        from ringtex.solid.finishing.hollow_drains import drain_holes

        taken += [hollow.body, *drain_holes(band, options.hollow, hollow.body)]
    if options.inscription is not None:
        from ringtex.solid.finishing.inscription import letters

        line = letters(band, options.inscription, options.hollow, pierced, chord_mm)
        (added if options.inscription.raised else taken).append(line)
    return added, taken


def hollow_under(band: Band, options: FinishOptions, ground_mm: float, chord_mm: float) -> HollowBody | None:
    """The hollow under a relief, and under recesses in it.

    Parameters:
        band: the band.
        options: all finishing; None is returned if it has no hollow.
        ground_mm: how far the lowest relief lies under the outer face, mm.
        chord_mm: chord tolerance, mm.
    Returns: the body to cut, or None.
    Raises: InputError where the band is too thin for it.
    """
    from ringtex.solid.finishing.plain_slabs import UNDER_MM

    if options.hollow is None:
        return None
    lowest = ground_mm + (UNDER_MM if any(place.level == "ground" for place in options.plain) else 0.0)
    return hollow_body(band, options.hollow, lowest, chord_mm >= DRAFT_CHORD_MM)


def hollow_body(band: Band, options: HollowOptions, ground_mm: float, draft: bool) -> HollowBody:
    """The hollow of a band; cached.

    Parameters:
        band, options: the band and its hollow.
        ground_mm: how far the lowest relief lies under the outer face, mm.
        draft: on a coarser grid.
    Returns: the body to cut.
    Raises: InputError where the band is too thin for it.
    """
    step = DRAFT_GROUND_STEP_MM if draft else GROUND_STEP_MM
    return _hollow_body(band, options, round(math.ceil(ground_mm / step - 1e-6) * step, 6), draft)


@cached(MAX_CACHED_HOLLOWS)
def _hollow_body(band: Band, options: HollowOptions, ground_mm: float, draft: bool) -> HollowBody:
    from ringtex.solid.finishing import hollow
    from ringtex.solid.finishing.hollow_drains import closed_by_floor, outside_bore
    from ringtex.solid.mesh.booleans import as_manifold

    grid = hollow.DRAFT_MM if draft else hollow.FINE_MM
    tool = hollow.hollow_tool(band, options, ground_mm, Progress(), grid)
    if options.floor_mm is not None:
        tool = closed_by_floor(band, tool, options.floor_mm)
    body = as_manifold(tool, "hollow")
    return HollowBody(tool, body, outside_bore(band, body))
