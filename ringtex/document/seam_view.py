"""An own motif or picture shown large round the seam, and in words what joins its repeats."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.pattern.motif.motif_options import MotifOptions, decoded_outline
from ringtex.pattern.motif.motif_outline import GRID
from ringtex.pattern.motif.repeats import Repeats
from ringtex.pattern.patterned_part import Pattern
from ringtex.pattern.picture.picture_layout import PictureLayout
from ringtex.relief.distance_profile import distance_profile
from ringtex.relief.make_relief import make_relief
from ringtex.relief.relief_options import FLANKED
from ringtex.solid.free_form.distance_field import DistanceField
from ringtex.solid.free_form.medial_lines import medial_lines, usual_reach
from ringtex.solid.free_form.picture_surface import picture_heights
from ringtex.solid.free_form.shape_outlines import MIN_REACH_MM
from ringtex.solid.free_form.true_offsets import local_scale
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap

CHORD_MM: Final = 0.005
"""Of the profile's rounded corners."""

TILES: Final = 1.1
"""Repeats shown on either side of the seam, where the view is long enough for them."""

MAX_PROPORTION: Final = 2.4
"""Length over width of what is shown: a picture that runs once round the ring is shown in part."""

STEEP_DEG: Final = 75.0
"""Steeper slopes of a picture are hard to polish and to draw from a mould: common practice, no source."""

TOUCHING: Final = 2e-3
"""Of the page: how far two ends of paths at opposite borders may be apart and still meet."""


@dataclass(frozen=True, eq=False)
class SeamView:
    """A piece of the strip with the seam in its middle.

    height_mm   (rows, columns) over the band's face, row 0 at the upper border.
    step_mm     between neighbouring samples, the same both ways.
    slope_deg   steepest slope among them on the ring, degrees.
    columns_mm  borders between repeats in each row, the lowest first, from the seam, mm.
    rows_mm     borders between rows, from the lower border of the piece, mm; of a half-drop of every other column.
    words       sentences on how many repeats there are and what joins them.
    around, across  repeats as used.
    """

    height_mm: Floats
    step_mm: float
    slope_deg: float
    columns_mm: tuple[Floats, ...]
    rows_mm: Floats
    words: tuple[str, ...]
    around: int
    across: int


def seam_view(design: Design, rows: int, progress: Progress) -> SeamView:
    """Work out the piece round the seam.

    Parameters:
        design: has an own motif or picture.
        rows: samples across the patterned part.
        progress: where cancelling is looked for.
    Returns: heights and words.
    Raises: InputError where the motif does not fit the ring; Cancelled.
    """
    strip = unwrap(design.make_band(), design.strip.keep)
    pattern = make_pattern(strip, design.pattern, design.rails, progress)
    layout = pattern.motif
    if layout is None or isinstance(layout, GrowthRings):
        raise InputError("this ring has no motif of its own", "Import a drawing or a picture", "pattern.motif")
    part = layout.part
    step = part.width / rows
    half = min(TILES * layout.tile[0], 0.5 * MAX_PROPORTION * part.width, 0.5 * part.length)
    columns = 2 * max(1, math.ceil(half / step))
    u: Floats = (np.arange(columns, dtype=np.float64) - 0.5 * columns + 0.5) * step
    v: Floats = part.lower + (np.arange(rows, dtype=np.float64) + 0.5) * step
    progress.check()
    if isinstance(layout, PictureLayout):
        relief = make_relief(pattern.tiling.cells, design.relief, CHORD_MM)
        height = picture_heights(strip, layout, relief, np.mod(u, part.length), v).T
    else:
        height = _motif_heights(strip, layout, design, u, v)
    uu, vv = np.meshgrid(np.mod(u, part.length), v)
    scale = local_scale(strip, np.column_stack((uu.ravel(), vv.ravel()))).reshape(uu.shape)
    slopes = np.hypot(*np.gradient(height, step)) / scale
    tile = layout.tile
    slope = math.degrees(math.atan(float(np.max(slopes, initial=0.0))))
    motif = layout.options
    return SeamView(
        height_mm=height[::-1],
        step_mm=step,
        slope_deg=slope,
        columns_mm=tuple(_columns(layout, row, half) for row in range(layout.across)),
        rows_mm=np.arange(1, layout.across, dtype=np.float64) * tile[1],
        words=seam_words(motif, pattern) if motif.grey is None else (*seam_words(motif, pattern), _slope_words(slope)),
        around=pattern.around,
        across=pattern.across,
    )


def _columns(layout: Repeats, row: int, half: float) -> Floats:
    """Where repeats of a row border on each other, from the seam, mm; every other row of bricks half a repeat on."""
    wide = layout.tile[0]
    first = layout.slide[0] + wide * float(layout.row_shift(row))
    borders = first + wide * np.arange(-math.ceil(half / wide) - 2, math.ceil(half / wide) + 3)
    return np.asarray(borders[np.abs(borders) < half])


def _motif_heights(strip: StripMap, layout: MotifLayout, design: Design, u: Floats, v: Floats) -> Floats:
    """(rows, columns) mm, as the mesh has them."""
    # Domed shapes are as high at their middles on every repeat: their distances need no scale.
    is_domed = design.relief.form not in FLANKED
    profile = distance_profile(design.relief, _reach(layout) if is_domed else 0.0, CHORD_MM)
    reach = math.ceil(max(abs(u[0]), abs(u[-1])) / layout.tile[0]) + 2 + layout.reach[0]
    field = DistanceField(layout.shapes(range(-reach, reach)))
    uu, vv = (each.ravel() for each in np.meshgrid(u, v))
    places = np.column_stack((uu, vv))
    inside = np.flatnonzero(field.inside(places))
    height = np.zeros(len(places))
    away = field.unsigned(places[inside])
    height[inside] = profile.heights(away if is_domed else away * local_scale(strip, places[inside]))
    return height.reshape(len(v), len(u))


def _reach(layout: MotifLayout) -> float:
    """Usual distance of the shapes' middles from the outline, mm on the strip."""
    parts = shapely.get_parts(shapely.union_all(shapely.get_parts(layout.shapes(range(layout.columns)))))
    lines, away = medial_lines(parts)
    return max(usual_reach(away, shapely.length(lines)), MIN_REACH_MM)


def _slope_words(slope_deg: float) -> str:
    words = f"The steepest slope shown here is {slope_deg:.0f} degrees"
    if slope_deg <= STEEP_DEG:
        return f"{words}."
    return (
        f"{words}: over {STEEP_DEG:.0f} degrees it is hard to polish and to draw from a mould (common practice, no "
        f"source). Smooth the picture more, make the relief lower, or use fewer repeats."
    )


def seam_words(motif: MotifOptions, pattern: Pattern) -> tuple[str, ...]:
    """How many repeats there are, and what joins them, as sentences."""
    once = motif.grey is not None and motif.grey.once
    counts = "Once round the ring" if once else f"{pattern.around} repeats round the ring"
    counts += f", {pattern.across} {'row' if pattern.across == 1 else 'rows'}"
    if abs(pattern.stretch_percent) >= 1.0:
        way = "across the ring" if pattern.stretch_percent > 0.0 else "round the ring"
        counts += f", stretched {way} by {abs(pattern.stretch_percent):.0f} %"
    layout = pattern.motif
    slides = not isinstance(layout, Repeats) or layout.slide[0] != 0.0
    cut = not once and (motif.arrangement == "brick" or slides)
    seam = "cuts through repeats, which run on across it" if cut else "lies where one repeat ends and the next begins"
    joined = _picture_words(motif) if motif.grey is not None else _outline_words(motif)
    return f"{counts}. The seam {seam}.", joined


def _picture_words(motif: MotifOptions) -> str:
    grey = motif.grey
    assert grey is not None
    if grey.blend == 0.0:
        return "Nothing is blended: opposite borders stand beside each other as they are."
    return (
        f"Borders are blended: in the outer {grey.blend:g} of a repeat each side goes over into the mirror "
        f"image of its neighbour, so that both are equal at the border."
    )


def _outline_words(motif: MotifOptions) -> str:
    if motif.fit == "motif":
        if motif.size > 1.0:
            return "Repeats reach over one another: where they cross they are joined to one outline."
        return "Each motif stands free within its repeat: nothing crosses the borders."
    sides = [_crossings(motif, axis) for axis in (0, 1)]
    total, open_ends = (sum(each) for each in zip(*sides, strict=True))
    if not total:
        return "No path crosses the page's borders."
    if motif.alternate != "none" or motif.arrangement != "straight":
        return f"{total} paths reach the page's borders; those that meet a neighbour's are joined with it."
    if not open_ends:
        return f"All {total} path ends at the page's borders meet their neighbour and are joined with it."
    return (
        f"{total - open_ends} of {total} path ends at the page's borders meet their neighbour and are joined; "
        f"{open_ends} end there in a flank."
    )


def _crossings(motif: MotifOptions, axis: int) -> tuple[int, int]:
    """How many pieces of the outline lie on two opposite borders of the page, and how many meet none opposite."""
    page = np.array([motif.width_mm, motif.height_mm])
    page = page / page.max() * GRID
    outline = decoded_outline(motif.outline)
    low, high = (_pieces(outline, axis, at, page) for at in (0.0, float(page[axis])))
    limit = TOUCHING * float(page[1 - axis])
    alone = sum(
        not any(abs(one[0] - other[0]) <= limit and abs(one[1] - other[1]) <= limit for other in opposite)
        for those, opposite in ((low, high), (high, low))
        for one in those
    )
    return len(low) + len(high), alone


def _pieces(outline: Any, axis: int, at: float, page: Floats) -> list[tuple[float, float]]:
    """From where to where the outline covers a border of the page, in steps."""
    # A hair inside, so that a shape that ends on the border counts.
    inside = at + (1.5 if at == 0.0 else -1.5)
    ends = np.array([[inside, 0.0], [inside, page[1]]] if axis == 0 else [[0.0, inside], [page[0], inside]])
    line = shapely.intersection(outline, shapely.LineString(ends))
    bounds = [shapely.bounds(part) for part in shapely.get_parts(line) if part.length > 0.0]
    return [(float(each[1 - axis]), float(each[3 - axis])) for each in bounds]
