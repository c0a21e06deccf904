"""The last steps on the ring's mesh: collars joined; hollow and seats cut."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FLAT_TRIANGLE_MM
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.expected_genus import expected_genus
from ringtex.solid.hollow_options import HollowOptions
from ringtex.solid.ring_mesh import RingMesh, RingSolid
from ringtex.solid.stone_options import Stone, StoneRow
from ringtex.solid.stone_rows import placed_stones
from ringtex.strip.strip_map import StripMap

if TYPE_CHECKING:
    from manifold3d import Manifold

    from ringtex.solid.pierced_cells import PiercedCells
    from ringtex.solid.stone_seats import SetStone

Ints = NDArray[np.int32]

SLIVER_MM = 2.0 * FLAT_TRIANGLE_MM
"""Cuts leave a few triangles without area; a finished ring is rid of them, its surfaces moved by less than this."""

KEPT_TOOLS = 8
"""Hollows remembered: they depend on band, wall and ground alone, so a change of pattern or stones costs none."""

GROUND_STEP_MM = 0.01
"""The hollow keeps clear of the relief's lowest place rounded down to this, so that most changes find it remembered."""

DRAFT_GROUND_STEP_MM = 0.1
"""The same while the hand moves the depth of a sunk relief."""


@dataclass(frozen=True)
class FinishOptions:
    """What is done to the ring after its relief.

    hollow: what is taken out, or None. stones: single ones and rows. plain: places left smooth. pierced: whether cells
    are cut through the band.
    """

    hollow: HollowOptions | None = None
    stones: tuple[Stone | StoneRow, ...] = ()
    plain: tuple[PlainPlace, ...] = ()
    pierced: bool = False

    def __bool__(self) -> bool:
        return bool(self.hollow or self.stones or self.plain or self.pierced)


@dataclass(frozen=True, eq=False)
class FinishedRing:
    """The ring as it is made.

    mesh         the whole ring.
    part         (m,) int32: of which of `booleans.PARTS` each triangle is.
    source       (m,) int32: the triangle that it was (a piece of) in that part's own mesh; for part 0 that is the ring
                 before it was finished.
    genus        holes through the ring by its construction, to be compared with the mesh's own.
    ground_mm    how far the lowest relief lies under the outer face; top_mm, how far the highest lies over it.
    hollow       the body taken out, or None; hollow_closed: by a floor; saved_mm3, the metal that it saves.
    stones       in the order of the design, rows spread out.
    pierced      the cells that are cut through, or None.
    """

    mesh: RingMesh
    part: Ints
    source: Ints
    genus: int = 1
    ground_mm: float = 0.0
    top_mm: float = 0.0
    hollow: RingMesh | None = None
    hollow_closed: bool = False
    saved_mm3: float = 0.0
    stones: tuple[SetStone, ...] = ()
    pierced: PiercedCells | None = None


@dataclass(frozen=True, eq=False)
class HollowBody:
    """The hollow as a body to cut, ready for it, and the metal that it saves."""

    mesh: RingMesh
    body: Manifold
    saved_mm3: float


def finish_ring(
    strip: StripMap, solid: RingSolid, options: FinishOptions, chord_mm: float, progress: Progress | None = None
) -> FinishedRing:
    """Hollow the ring and cut its stones' seats.

    Parameters: the strip; the ring with its relief; options; chord_mm, the tolerance; progress.
    Raises: InputError where something cannot be made; Cancelled.
    Guarantees: without options the mesh is the ring's own, and manifold3d is not imported.
    """
    progress = progress or Progress()
    if not options:
        return unfinished(solid)
    heights = solid.strip_places[:, 2]
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
    from ringtex.solid.booleans import as_manifold, cut, join, with_origins
    from ringtex.solid.hollow_drains import drain_holes
    from ringtex.solid.pierced_cells import pierced_cells, prisms
    from ringtex.solid.plain_slabs import UNDER_MM
    from ringtex.solid.stone_seats import set_stone

    ground, top = relief_mm
    stones = tuple(set_stone(strip, stone, top) for stone in placed_stones(strip, options.stones))
    lowest = ground + (UNDER_MM if any(place.level == "ground" for place in options.plain) else 0.0)
    hollow = hollow_body(strip.band, options.hollow, lowest, chord_mm >= DRAFT_CHORD_MM) if options.hollow else None
    progress.check()
    added, taken = _outer_bodies(strip, stones, options.plain, relief_mm, chord_mm)
    if hollow is not None and options.hollow is not None:
        taken += [hollow.body, *drain_holes(strip.band, options.hollow)]
    pierced = None
    if solid.outlines is not None and len(solid.outlines.cell):
        pierced = pierced_cells(strip, solid.outlines, stones, options.plain)
        if pierced.count:
            taken.append(as_manifold(prisms(strip, pierced, top), "pierced"))
    body = join(as_manifold(solid.mesh), added)
    progress.check()
    body = cut(body, taken)
    if chord_mm < DRAFT_CHORD_MM:
        body = body.simplify(SLIVER_MM)
    mesh, part, source = with_origins(body)
    return FinishedRing(
        mesh=mesh,
        part=part,
        source=source,
        genus=expected_genus(
            strip.band, options.hollow, hollow.mesh if hollow else None, stones, pierced.count if pierced else 0
        ),
        ground_mm=ground,
        top_mm=top,
        hollow=hollow.mesh if hollow else None,
        hollow_closed=options.hollow is not None and options.hollow.floor_mm is not None,
        saved_mm3=hollow.saved_mm3 if hollow else 0.0,
        stones=stones,
        pierced=pierced,
    )


def _outer_bodies(
    strip: StripMap,
    stones: tuple[SetStone, ...],
    plain: tuple[PlainPlace, ...],
    relief_mm: tuple[float, float],
    chord_mm: float,
) -> tuple[list[Manifold], list[Manifold]]:
    """What is joined to the outer face, and what is cut from it: collars and seats, plateaus and recesses."""
    from ringtex.solid.booleans import cut
    from ringtex.solid.plain_slabs import plateau, recess
    from ringtex.solid.stone_seats import collar, collar_column, seat_cutter

    ground, top = relief_mm
    added = [collar(strip, each.stone, each.place, top, ground, chord_mm) for each in stones]
    taken = [seat_cutter(each.stone, each.place) for each in stones]
    # Collars stand in recesses, so recesses leave them out.
    columns = [collar_column(each.stone, each.place, ground + top) for each in stones]
    for place in plain:
        if place.level == "top":
            added.append(plateau(strip, place, top, ground, chord_mm))
        else:
            taken.append(cut(recess(strip, place, top, ground, chord_mm), columns))
    return added, taken


def hollow_body(band: Band, options: HollowOptions, ground_mm: float, draft: bool) -> HollowBody:
    """The hollow of a band for a relief whose lowest places are ground_mm under the outer face; remembered."""
    step = DRAFT_GROUND_STEP_MM if draft else GROUND_STEP_MM
    return _hollow_body(band, options, round(math.ceil(ground_mm / step - 1e-6) * step, 6), draft)


@lru_cache(maxsize=KEPT_TOOLS)
def _hollow_body(band: Band, options: HollowOptions, ground_mm: float, draft: bool) -> HollowBody:
    from ringtex.solid import hollow
    from ringtex.solid.booleans import as_manifold
    from ringtex.solid.hollow_drains import closed_by_floor, outside_bore

    grid = hollow.DRAFT_MM if draft else hollow.FINE_MM
    tool = hollow.hollow_tool(band, options, ground_mm, Progress(), grid)
    if options.floor_mm is not None:
        tool = closed_by_floor(band, tool, options.floor_mm)
    body = as_manifold(tool, "hollow")
    return HollowBody(tool, body, outside_bore(band, body))
