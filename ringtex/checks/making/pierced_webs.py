"""The bars between pierced cells, measured where they are thinnest: at the finger hole; and the cells that are left
whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, inverse_permutation, nearest_ratio
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.detail import PatternView, at_place, place_on_cell, place_on_faces, room_advice
from ringtex.checks.making.making_limits import MakingLimits, judged
from ringtex.checks.strip_geometry import BandView
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.finishing.cell_outlines import Whole
from ringtex.solid.finishing.pierced_cells import PiercedCells
from ringtex.solid.mesh.ring_mesh import RingSolid

NEIGHBOURS = 24
"""Places looked at round each place for one of another cell: more than ever lie nearer on its own outline's corner."""


@dataclass(frozen=True)
class PiercedWebs:
    """Narrowest bar between two pierced cells, and narrowest border beside the band's edges, mm, with their places.
    noun: what they are, "cells" or "shapes"."""

    web_mm: float
    place: Floats
    border_mm: float
    border_place: Floats
    noun: str = "cells"


def measure_webs(pierced: PiercedCells | None, band: BandView) -> PiercedWebs | None:
    """Bars on the unrolled bore, where radial cuts come nearest to each other; None where nothing is pierced."""
    if pierced is None or pierced.count == 0:
        return None
    radius = band.bore_radius_mm
    theta, z = pierced.theta, pierced.z
    web, at = _narrowest(pierced, radius) if pierced.count > 1 else (np.inf, 0)
    border = band.half_width(theta) - np.abs(z)
    worst = int(np.argmin(border))
    places = np.column_stack((-radius * np.sin(theta), radius * np.cos(theta), z))
    return PiercedWebs(float(web), places[at], float(border[worst]), places[worst], pierced.noun)


def _narrowest(pierced: PiercedCells, radius: float) -> tuple[float, int]:
    """Least distance between two outlines on the unrolled bore, and the place of one of them where it is."""
    from scipy.spatial import cKDTree

    turn = 2.0 * np.pi * radius
    flat = np.column_stack((pierced.theta * radius % turn, pierced.z - np.min(pierced.z)))
    flat[:, 0] = np.where(flat[:, 0] >= turn, 0.0, flat[:, 0])
    number, after = pierced.outlines.number, pierced.outlines.following
    before = inverse_permutation(after)
    count = min(NEIGHBOURS, len(flat))
    tree = cKDTree(flat, boxsize=(turn, 2.0 * np.max(flat[:, 1]) + 1e3))
    distance, near = tree.query(flat, count)
    other = (number[near] != number[:, None]) & np.isfinite(distance)
    best = np.full(len(flat), np.inf)
    for column in range(count):
        mine = np.flatnonzero(other[:, column])
        foe = near[mine, column]
        for end in (after, before):
            best[mine] = np.minimum(best[mine], _to_line(flat[mine], flat[foe], flat[end[foe]], turn))
    at = int(np.argmin(best))
    return float(best[at]), at


def _to_line(p: Floats, a: Floats, b: Floats, turn: float) -> Floats:
    """(n,) distance of places p from lines a-b, the short way round."""
    away, run = p - a, b - a
    for vector in (away, run):
        vector[:, 0] -= turn * np.rint(vector[:, 0] / turn)
    return np.asarray(np.linalg.norm(away - nearest_ratio(away, run)[:, None] * run, axis=1))


def check_webs(webs: PiercedWebs | None, limits: MakingLimits) -> list[Finding]:
    """Bars and borders that will not cast or will bend."""
    if webs is None:
        return []
    apart, smaller = "Make the wall wider, or use fewer and larger cells", "use fewer and larger cells"
    if webs.noun == "shapes":
        apart, smaller = "Draw them further apart, or use fewer repeats", "a smaller motif"
    message = f"The narrowest bar between two pierced {webs.noun} is {webs.web_mm:.2f} mm at the finger hole"
    found = judged(Kind.THIN_WEB, limits, "web_mm", webs.web_mm, message, apart, webs.place)
    message = f"The narrowest border beside the pierced {webs.noun} is {webs.border_mm:.2f} mm at the finger hole"
    advice = f"Give wider rails, or {smaller}"
    return [*found, *judged(Kind.THIN_WEB, limits, "web_mm", webs.border_mm, message, advice, webs.border_place)]


WHOLE_UNASKED: Final = {
    Whole.NARROW: ("too narrow to be pierced", "too narrow to be pierced"),
    Whole.MEETING: ("holes there would meet or break out", "whose holes would meet or break out"),
    Whole.LOOSE: ("metal inside would come loose", "with metal inside that would come loose"),
    Whole.LONG: ("too long round the ring to be cut in one piece",) * 2,
}
"""Why cells are left whole that were to be pierced, and the same after a number of them; those that are shallow, or
under stones and plain places, are as asked."""


def check_whole_cells(
    pierced: PiercedCells | None, solid: RingSolid, relief: ReliefOptions, pattern: PatternView | None
) -> list[Finding]:
    """Cells that were to be pierced and are not; those that are shallow or under stones and plain places are as asked.

    Parameters:
        pierced: the cells; None where none were to be pierced.
        solid: the ring before finishing.
        relief: as designed, so that advice can name numbers.
        pattern: as built; None where there is none to name.
    Returns: one finding or none.
    """
    if pierced is None:
        return []
    found = {why: pierced.whole_cells(why) for why in WHOLE_UNASKED if len(pierced.whole_cells(why))}
    whole = sum(len(cells) for cells in found.values())
    if not whole:
        return []
    first = next(iter(found))
    why = WHOLE_UNASKED[first][0]
    if len(found) > 1:
        why = ", and ".join(f"{len(cells)} {WHOLE_UNASKED[each][1]}" for each, cells in found.items())
    message = f"{whole} of {pierced.cells} {pierced.noun} {'is' if whole == 1 else 'are'} left whole: {why}"
    advice = room_advice(pattern, "ridge", relief.wall_width_mm, None)
    if Whole.MEETING in found:
        advice = "A wider ridge or wider rails, or fewer cells around, or a lower relief"
    if Whole.LOOSE in found:
        advice = "Draw bridges across shapes that run round metal, as stencils have"
    cell = int(found[first][0])
    on_floor = pierced.outlines.floor == cell
    where = at_place(place_on_faces(solid, on_floor) if np.any(on_floor) else place_on_cell(solid, cell))
    return [Finding(Kind.WHOLE_CELLS, Level.WARNING, message, advice, float(whole), 0.0, "cells", **where)]
