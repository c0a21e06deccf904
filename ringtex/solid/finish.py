"""The last steps on the ring's mesh: collars joined, hollow and seats cut."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ringtex.band.band import Band
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.solid import hollow
from ringtex.solid.booleans import as_manifold, cut, from_manifold, join
from ringtex.solid.hollow_drains import closed_by_floor, drain_holes
from ringtex.solid.hollow_options import HollowOptions
from ringtex.solid.ring_mesh import RingMesh
from ringtex.solid.stone_options import Stone
from ringtex.solid.stone_seats import StonePlace, collar, seat_cutter, stone_body, stone_place
from ringtex.strip.strip_map import StripMap

KEPT_TOOLS = 8
"""Hollows remembered: they depend on band, wall and ground alone, so a change of pattern or stones costs none."""


@dataclass(frozen=True, eq=False)
class FinishedRing:
    """The ring as it is made.

    mesh: the whole ring. saved_mm3: metal that the hollow saves. hollow: the body taken out, or None. places, stones:
    where each stone sits, and its own body, in the order of the design.
    """

    mesh: RingMesh
    saved_mm3: float
    hollow: RingMesh | None
    places: tuple[StonePlace, ...]
    stones: tuple[RingMesh, ...]


def finish_ring(
    strip: StripMap,
    ring: RingMesh,
    taken: HollowOptions | None,
    stones: tuple[Stone, ...],
    relief_range_mm: tuple[float, float],
    chord_mm: float,
    progress: Progress | None = None,
) -> FinishedRing:
    """Hollow the ring and cut its stones' seats.

    Parameters: the strip; the ring's full mesh; taken, the hollow or None; stones; relief_range_mm, the relief's lowest
    and highest heights over the outer face; chord_mm, the tolerance; progress.
    Raises: InputError where the hollow cannot be made; Cancelled.
    """
    progress = progress or Progress()
    low, high = relief_range_mm
    ground, top = max(0.0, -low), max(0.0, high)
    places = tuple(stone_place(strip, stone, top) for stone in stones)
    if taken is None and not stones:
        return FinishedRing(ring, 0.0, None, (), ())
    tool = None if taken is None else _hollow_body(strip.band, taken, ground, chord_mm >= DRAFT_CHORD_MM)
    body = as_manifold(ring)
    saved = 0.0
    if tool is not None and taken is not None:
        progress.check()
        full = body.volume()
        body = cut(body, [tool])
        saved = full - body.volume()
        body = cut(body, drain_holes(strip.band, taken))
    progress.check()
    seated = list(zip(stones, places, strict=True))
    body = join(body, [collar(strip, stone, place, top, ground, chord_mm) for stone, place in seated])
    body = cut(body, [seat_cutter(stone, place) for stone, place in seated])
    bodies = tuple(stone_body(stone, place) for stone, place in seated)
    return FinishedRing(from_manifold(body), saved, tool, places, bodies)


@lru_cache(maxsize=KEPT_TOOLS)
def _hollow_body(band: Band, options: HollowOptions, ground_mm: float, draft: bool) -> RingMesh:
    grid = hollow.DRAFT_MM if draft else hollow.FINE_MM
    tool = hollow.hollow_tool(band, options, ground_mm, Progress(), grid)
    return tool if options.floor_mm is None else closed_by_floor(band, tool, options.floor_mm)
