"""The finest detail of the relief, measured on the ring."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final, Protocol

import numpy as np

from ringtex.basics.arrays import Bools, Floats, sorted_unique
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.geometry.cell_widths import CellWidths
from ringtex.checks.making.making_limits import MakingLimits, judged
from ringtex.checks.ring_position import Place, as_place, words_for
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.motif.repeats import Repeats
from ringtex.pattern.pattern_options import MIN_AROUND
from ringtex.pattern.tiling import Tiling
from ringtex.relief.relief_options import FLANKED, SUNKEN, ReliefOptions
from ringtex.solid.mesh.ring_mesh import RingSolid

if TYPE_CHECKING:
    from ringtex.checks.geometry.outline_widths import OutlineWidths

RIDGE_AT_WALL: Final = SUNKEN
"""Forms whose walls stand as ridges between pits; in the others the wall is a groove between standing cells."""

POINTED: Final = frozenset({"peak"})
"""Forms whose cells rise to a point, so that their own width is no ridge's."""

_WORDS: Final = {
    "ridge": (Kind.THIN_RIDGE, "it may not fill or be polished away"),
    "groove": (Kind.THIN_GROOVE, "it may close in making"),
}

STRETCH_NOTE_PERCENT: Final = 10.0
STRETCH_WARNING_PERCENT: Final = 25.0
"""From about a tenth the eye sees that a hexagon is not regular (common practice, no source)."""


@dataclass(frozen=True)
class FinestDetail:
    """Thinnest ridge and groove, mm on the ring; None where the relief has none. shrunk: cells too small for
    theirs. The places are on the cell that each was measured at (of the shrunk ones the first), None where it is not
    known. is_known: widths were measured."""

    ridge_mm: float | None
    groove_mm: float | None
    shrunk: int
    cells: int
    ridge_place: Place | None = None
    groove_place: Place | None = None
    shrunk_place: Place | None = None
    is_known: bool = True


class PatternView(Protocol):
    """The cells, and how many of them go once round."""

    @property
    def tiling(self) -> Tiling:
        """The cells."""

    @property
    def around(self) -> int:
        """Cells once round."""

    @property
    def family(self) -> str:
        """Its name in the design."""

    @property
    def motif(self) -> object | None:
        """The own motif or growth rings, whose outlines are no walls of cells; None for cells."""

    @property
    def stretch_percent(self) -> float:
        """How far cells are from regular, per cent; positive: longer across the band."""


def measure_detail(solid: RingSolid, widths: CellWidths, relief_form: str) -> FinestDetail:
    """Which is the thinnest ridge and which the thinnest groove.

    One of them is the level strip along a wall, the other one the inside of a cell. A wall without a level strip
    (width 0) is a crease and has no width of its own.

    Parameters:
        solid: the ring.
        widths: of its walls and cells.
        relief_form: one of FORMS.
    Returns: the thinnest ridge and groove, and where.
    """
    at_wall, wall = _narrowest(widths.wall)
    inside, cell = (None, None) if relief_form in POINTED else _narrowest(widths.inside)
    wall_place = None if wall is None else place_on_cell(solid, int(widths.cell[wall]))
    inside_place = None if cell is None else place_on_cell(solid, cell)
    shrunk = np.flatnonzero(solid.shrunk)
    first = place_on_cell(solid, int(shrunk[0])) if len(shrunk) else None
    level = 0 if solid.loops is None or solid.loops.level is None else int(np.count_nonzero(solid.loops.level))
    size = len(shrunk), len(solid.shrunk) - level
    if relief_form in RIDGE_AT_WALL:
        return FinestDetail(at_wall, inside, *size, wall_place, inside_place, first)
    return FinestDetail(inside, at_wall, *size, inside_place, wall_place, first)


def detail_of_outlines(detail: FinestDetail, found: OutlineWidths | None, relief_form: str) -> FinestDetail:
    """The detail of a ring of an own motif or of growth rings: ridges and grooves lie inside of outlines and between
    them.

    Parameters:
        detail: as measured on cells, which only tells how many are too small.
        found: widths of the outlines; None where there are none, as in pictures.
        relief_form: one of FORMS.
    Returns: the detail with these widths.
    """
    if found is None:
        return replace(detail, is_known=False)
    wall = found.wall_mm, None if found.wall_place is None else as_place(found.wall_place)
    inside = found.inside_mm, None if found.inside_place is None else as_place(found.inside_place)
    if relief_form in POINTED:
        inside = None, None
    ridge, groove = (wall, inside) if relief_form in RIDGE_AT_WALL else (inside, wall)
    return replace(detail, ridge_mm=ridge[0], groove_mm=groove[0], ridge_place=ridge[1], groove_place=groove[1])


def _narrowest(widths: Floats) -> tuple[float | None, int | None]:
    """The smallest real width, and its number."""
    real = np.where(np.isfinite(widths) & (widths > 0.0), widths, np.inf)
    number = int(np.argmin(real)) if len(real) else 0
    return (float(real[number]), number) if len(real) and np.isfinite(real[number]) else (None, None)


def place_on_cell(solid: RingSolid, cell: int) -> Place | None:
    """The mesh's vertex nearest to the middle of a cell; None for a cell without triangles."""
    return place_on_faces(solid, solid.face_cell == cell)


def place_on_faces(solid: RingSolid, chosen: Bools) -> Place | None:
    """The mesh's vertex nearest to the middle of some of the relief's triangles (m,); None for none."""
    faces = solid.mesh.faces[solid.face_ranges["cells"]][chosen]
    if not len(faces):
        return None
    corners = solid.mesh.vertices[sorted_unique(faces)]
    nearest = np.argmin(np.linalg.norm(corners - corners.mean(axis=0), axis=1))
    return as_place(corners[nearest])


def at_place(place: Place | None) -> dict[str, Any]:
    """A finding's words and place."""
    return {} if place is None else {"where": words_for(np.array(place)), "place": place}


def check_detail(
    detail: FinestDetail, limits: MakingLimits, relief: ReliefOptions, pattern: PatternView | None = None
) -> list[Finding]:
    """Ridges that will not fill or will be polished away, grooves that will close, cells too small for their walls.

    Parameters:
        detail: what was measured.
        limits: of the process.
        relief: as designed, so that advice can name numbers.
        pattern: as built; None where there is none to name.
    Returns: findings about ridges, grooves and small cells.
    """
    wall = relief.wall_name
    found = [
        *_thin("ridge", relief, limits, detail.ridge_mm, detail.ridge_place, pattern),
        *_thin("groove", relief, limits, detail.groove_mm, detail.groove_place, pattern),
    ]
    if detail.shrunk:
        count, cells = detail.shrunk, detail.cells
        message = f"{count} of {cells} cells are too small for their walls, which were made narrower there"
        if pattern is not None and pattern.motif is not None:
            message = f"In {count} of {cells} parts of the pattern the {wall}s leave nothing between them"
        left = detail.ridge_mm if wall == "ridge" else detail.groove_mm
        advice = room_advice(pattern, wall, relief.wall_width_mm, left)
        where = at_place(detail.shrunk_place)
        found.append(Finding(Kind.SMALL_CELLS, Level.WARNING, message, advice, float(count), 0.0, "cells", **where))
    if pattern is not None and not detail.is_known:
        message = "The widths of ridges and grooves of grey pictures are not measured"
        advice = f"Let nothing come out narrower than {limits.ridge_mm.least:g} mm on the ring, nor gaps under "
        advice += f"{limits.groove_mm.least:g} mm"
        found.append(Finding(Kind.WIDTHS_UNKNOWN, Level.NOTE, message, advice))
    return [*found, *(_stretched(pattern) if pattern else ())]


def _stretched(pattern: PatternView) -> list[Finding]:
    stretch = abs(pattern.stretch_percent)
    if stretch <= STRETCH_NOTE_PERCENT:
        return []
    level = Level.WARNING if stretch > STRETCH_WARNING_PERCENT else Level.NOTE
    limit = STRETCH_WARNING_PERCENT if level is Level.WARNING else STRETCH_NOTE_PERCENT
    what = "cells are" if pattern.motif is None else "own motif is"
    message = f"The {what} stretched by {stretch:.0f} per cent to fit whole rows into the band"
    advice = "Change the number around or across, or the rails, so that whole rows fit"
    layout = pattern.motif
    if isinstance(layout, Repeats) and (grey := layout.options.grey) is not None and grey.once:
        message = f"The picture is stretched by {stretch:.0f} per cent to run once round the ring"
        proportion = layout.tile[0] / layout.tile[1]
        advice = f"Take a picture {proportion:.2g} times as long as high, or repeat it round the ring"
    return [Finding(Kind.STRETCHED_CELLS, level, message, advice, stretch, limit, "per cent")]


def _thin(
    name: str,
    relief: ReliefOptions,
    limits: MakingLimits,
    measured: float | None,
    place: Place | None,
    pattern: PatternView | None,
) -> list[Finding]:
    """name: "ridge" or "groove"; the relief's `wall_name` lies along the walls, the other one inside of the cells."""
    wall = relief.wall_name
    kind, why = _WORDS[name]
    message = f"The thinnest {name} on the ring is {measured:.2f} mm: {why}" if measured is not None else ""
    if measured == 0.0:
        message = f"Where outlines are narrowest, their flanks meet and leave no level {name}: {why}"
    change = (f"a wider {name}" if name == wall else f"a narrower {wall}") + ", or fewer and larger cells"
    if pattern is not None and pattern.motif is not None:
        change = _change_of_outlines(pattern, relief, name)
    point = None if place is None else np.array(place)

    def advice(least: float) -> str:
        return f"Make it {least:g} mm or more: {change}"

    return judged(kind, limits, f"{name}_mm", measured, message, advice, point)


def _change_of_outlines(pattern: PatternView, relief: ReliefOptions, name: str) -> str:
    """What would widen the gaps between outlines (the relief's `wall_name`), or what lies inside of them."""
    is_wall = name == relief.wall_name
    flanks = "" if is_wall or relief.form not in FLANKED else ", or steeper flanks"
    fewer = f"fewer than {pattern.around} around" if pattern.around > MIN_AROUND else "a larger size in its repeat"
    fewer += flanks
    if pattern.family in GROWN_FAMILIES:
        return f"a wider {name}, or {fewer}" if is_wall else fewer
    is_text = isinstance(pattern.motif, Repeats) and bool(pattern.motif.options.text)
    return f"{'take a bolder font' if is_text and not is_wall else 'draw it wider'}, or {fewer}"


def room_advice(pattern: PatternView | None, wall: str, width_mm: float | None, left_mm: float | None) -> str:
    """What would make every cell large enough. Of fewer cells around no number is named: other cells would be small.

    Parameters:
        pattern: as built; None where there is none to name.
        wall: "ridge" or "groove", whichever lies along the walls.
        width_mm: its width as designed; None where tops have a size instead.
        left_mm: its least width as made; None where no width is to be named.
    Returns: a sentence without its stop.
    """
    narrower = f"a narrower {wall}"
    if width_mm and left_mm and 0.05 <= left_mm < width_mm:
        narrower = f"a {wall} width of {math.floor(left_mm * 20.0 + 1e-6) / 20.0:.2f} or less"
    fewer = f"Fewer than {pattern.around} around" if pattern else "Fewer cells around"
    return f"{fewer}, or {narrower}, or wider rails that leave out the smallest cells"
