"""A curve drawn by hand on the strip, smoothed, as the outline of a motif."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any, Final, Literal

import numpy as np
import shapely

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.motif_edits import with_motif
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import GRID, cleaned, filled, outline_text
from ringtex.pattern.motif.repeats import alternates
from ringtex.pattern.patterned_part import PatternedPart

MIN_PEN_MM: Final = 0.2
MAX_PEN_MM: Final = 4.0
"""Widths of strokes: what can be cast (common practice, no source), and half a wide band."""

MIN_SMOOTHING_MM: Final = 0.05
MAX_SMOOTHING_MM: Final = 0.6
"""From a pixel at the usual scale to the sway of an unsteady hand."""

CLOSES: Final = 0.06
"""Of a stroke's length: ends nearer than this, or than its width, are joined."""

OVERSHOOT: Final = 0.1
"""Of a closed stroke's length, at either end: where its ends are looked for that meet."""

MIN_LENGTH_MM: Final = 0.5
"""Shorter strokes are a click."""

CHORD_MM: Final = 0.001
"""Of the smoothed curve and the round ends of its stroke: a fifth of a finished ring's tolerance."""

MAX_SAMPLES: Final = 400
"""Points of a stroke that the curve is fitted to: at 60 mm, the turn of a usual ring, one every 0.15 mm."""

FILL: Final = 0.9
"""Of its repeat that a curve takes at most, both ways."""

MAX_COUNTS: Final = (80, 12)
"""Repeats round and across that a small curve is given: enough that one sees them as a texture."""

MIN_COUNT: Final = 3
CURVE_NAME: Final = "drawn by hand"


@dataclass(frozen=True)
class Pen:
    """What a stroke becomes.

    kind       "line": a ridge of a width, its ends joined where they meet; "area": the area that the curve encloses.
    width_mm   of a line, on the strip.
    smooth_mm  how far the curve may leave the hand's way.
    adds       the stroke is added to the motif that is there; otherwise it is a new motif.
    """

    kind: Literal["line", "area"] = "line"
    width_mm: float = 0.8
    smooth_mm: float = 0.15
    adds: bool = False

    @property
    def label(self) -> str:
        """How undo calls a stroke."""
        return "add a curve to the motif" if self.adds else "draw a curve"


@dataclass(frozen=True, eq=False)
class SmoothCurve:
    """points (n, 2) of a smooth curve, mm on the strip; of a closed one the first is not repeated."""

    points: Floats
    closed: bool


def load_curve_fitting() -> None:
    """Import what fits curves, which takes some tenths of a second the first time."""
    import_module("scipy.interpolate")


def smooth_curve(stroke: Floats, pen: Pen) -> SmoothCurve:
    """The cubic spline with the fewest knots that stays within the pen's smoothing of a stroke; periodic where the ends
    meet. Source: Dierckx, Curve and Surface Fitting with Splines (1993), by scipy.

    Raises: InputError for a stroke without length.
    """
    stroke = np.asarray(stroke, dtype=np.float64).reshape(-1, 2)
    lengths = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(stroke, axis=0), axis=1))))
    total = float(lengths[-1]) if len(lengths) else 0.0
    if total < MIN_LENGTH_MM:
        raise InputError("this stroke is too short for a curve", "Press, draw along the strip, and let go", "curve")
    gap = float(np.linalg.norm(stroke[-1] - stroke[0]))
    meets = gap <= max(CLOSES * total, 0.5 * pen.width_mm)
    closed = meets or pen.kind == "area"
    if closed:
        stroke = _joined(stroke, lengths) if meets else stroke
        stroke = np.vstack((stroke, stroke[:1]))
        lengths = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(stroke, axis=0), axis=1))))
        total = float(lengths[-1])
    tolerance = min(max(pen.smooth_mm, MIN_SMOOTHING_MM), MAX_SMOOTHING_MM)
    count = min(max(math.ceil(4.0 * total / tolerance), 16), MAX_SAMPLES)
    even = np.linspace(0.0, total, count + 1)
    samples = np.column_stack([np.interp(even, lengths, along) for along in stroke.T])
    # A way back on itself may have two samples in one place, which have no length between them.
    samples = samples[np.append(True, np.linalg.norm(np.diff(samples, axis=0), axis=1) > 1e-6)]
    if closed:
        samples[-1] = samples[0]
    curve = _spline(samples, closed, total, tolerance)
    curve = shapely.get_coordinates(shapely.simplify(shapely.LineString(curve), 0.5 * CHORD_MM))
    return SmoothCurve(curve[:-1] if closed else curve, closed)


def _spline(samples: Floats, closed: bool, total: float, tolerance: float) -> Floats:
    """(n, 2) points of the spline with the fewest knots that stays within a tolerance, mm, of samples of a way as long
    as `total`."""
    from scipy import interpolate

    dense = np.linspace(0.0, 1.0, min(max(math.ceil(total / 0.01), 64), 4000) + 1)
    # The spline bounds the sum of squares: the largest distance is brought down to the tolerance by halving.
    sum_of_squares = len(samples) * (0.5 * tolerance) ** 2
    for _ in range(12):
        try:
            knots, _ = interpolate.splprep(samples.T, s=sum_of_squares, per=closed, quiet=2)
        except (TypeError, ValueError):
            message = "no smooth curve runs through this stroke"
            raise InputError(message, "Draw it once more, without going back on itself", "curve") from None
        curve = np.column_stack(interpolate.splev(dense, knots))
        segments = shapely.STRtree(shapely.linestrings(np.stack((curve[:-1], curve[1:]), axis=1)))
        _, away = segments.query_nearest(shapely.points(samples), return_distance=True, all_matches=False)
        if float(np.max(away)) <= tolerance:
            break
        sum_of_squares *= 0.5
    return curve


def _joined(stroke: Floats, lengths: Floats) -> Floats:
    """A stroke whose ends meet, cut off where they come nearest: what a hand draws beyond its beginning goes."""
    head = np.flatnonzero(lengths <= OVERSHOOT * lengths[-1])
    tail = np.flatnonzero(lengths >= (1.0 - OVERSHOOT) * lengths[-1])
    apart = np.linalg.norm(stroke[head, None] - stroke[tail], axis=2)
    first, last = np.unravel_index(int(np.argmin(apart)), apart.shape)
    return stroke[head[first] : tail[last]]


def curve_area(curve: SmoothCurve, pen: Pen) -> Any:
    """The area that a curve covers, mm on the strip: inside of it, or along it as wide as the pen.

    Raises: InputError where it covers none.
    """
    if pen.kind == "area":
        area = filled([curve.points], "nonzero", "curve")
    else:
        half = 0.5 * pen.width_mm
        quadrant = max(3, math.ceil(0.25 * math.pi / math.acos(1.0 - CHORD_MM / half)))
        # A way there and back may be smoothed to two points, or to one.
        is_ring = curve.closed and len(curve.points) > 2
        points = curve.points if len(curve.points) > 1 else np.repeat(curve.points, 2, axis=0)
        line = shapely.LinearRing(points) if is_ring else shapely.LineString(points)
        area = line.buffer(half, quad_segs=quadrant)
    if area.area < MIN_PEN_MM**2:
        raise InputError("this curve encloses next to no area", "Draw it wider, or choose a line", "curve")
    return area


def with_curve(design: Design, part: PatternedPart, stroke: Floats, pen: Pen) -> Design:
    """The design with a curve as its motif, as large as it was drawn where it can be, one of its repeats lying where it
    was drawn; as many repeats as stand free of one another.

    Parameters:
        design: the design before the change.
        part: the patterned part of the strip.
        stroke: (n, 2) positions on the strip, mm, u running on over the seam.
        pen: what it becomes.
    Returns: the changed design.
    Raises: InputError.
    """
    area = curve_area(smooth_curve(stroke, pen), pen)
    low, high = np.reshape(shapely.bounds(area), (2, 2))
    span = high - low
    scale = GRID / float(span.max())
    outline = cleaned(shapely.transform(area, lambda points: (points - low) * scale), "curve")
    motif = MotifOptions(outline_text(outline), CURVE_NAME, float(span[0]), float(span[1]))
    made = with_motif(design, motif)
    kept = made.pattern.motif
    assert kept is not None
    step = 2 if alternates(kept) else 1
    around = int(part.length * FILL / span[0]) // step * step
    around = min(max(around, MIN_COUNT + MIN_COUNT % step), MAX_COUNTS[0])
    rows = min(max(int(part.width * FILL / span[1]), 1), MAX_COUNTS[1])
    tried = (_laid(part, kept, (around, across), 0.5 * (low + high), span) for across in range(rows, 0, -1))
    layout = next(layout for layout, is_there in tried if is_there or layout.across == 1)
    pattern = replace(made.pattern, motif=layout.options, around=around, across=layout.across, slide_mm=layout.slide)
    return replace(made, pattern=pattern)


def _laid(
    part: PatternedPart, motif: MotifOptions, counts: tuple[int, int], centre: Floats, span: Floats
) -> tuple[MotifLayout, bool]:
    """The repeats of a motif of this size, moved so that one lies at a point; whether that leaves all rows whole.
    Otherwise they are moved across as far as none is cut off."""
    tile = np.array([part.length / counts[0], part.width / counts[1]])
    size = min(float(np.max(span / tile)), FILL)
    motif = replace(motif, fit="motif", size=round(max(size, 0.05), 4), turn_deg=0.0)
    layout = MotifLayout(part, motif, *counts, (0.0, 0.0))
    column, row, x, y = (float(each[0]) for each in layout.repeat_at(centre[:1], centre[1:]))
    if motif.alternate != "none" and (column + row) % 2:
        # The next repeat is drawn as the hand drew: round the ring, or in a half-drop, whose next column lies half a
        # row higher, across it.
        x, y = (x, y + 1.0) if layout.is_half_drop else (x + 1.0, y)
    along, across = (x - 0.5) * float(tile[0]), (y - 0.5) * float(tile[1])
    # Rows of a half-drop are cut off at the rails in any case.
    free = 0.5 * float(tile[1] - motif.size * np.min(tile / span) * span[1])
    room = math.inf if layout.is_half_drop else free
    slide = round(along, 3), round(min(max(across, -room), room), 3)
    return replace(layout, slide=slide), abs(across) <= room + 1e-3


def with_curve_added(design: Design, layout: MotifLayout, stroke: Floats, pen: Pen) -> Design:
    """The design with a curve joined to the outline of its motif, in every repeat where it was drawn in one of them.

    The repeat becomes the motif's page, so that what was there stays as large and where it is.

    Parameters:
        design: the design before the change, with an own drawing as its motif.
        layout: the repeats as they are shown.
        stroke: (n, 2) positions on the strip, mm, u running on over the seam.
        pen: what it becomes.
    Returns: the changed design.
    Raises: InputError.
    """
    before = design.pattern.motif
    assert before is not None
    area = curve_area(smooth_curve(stroke, pen), pen)
    middle = 0.5 * np.reshape(shapely.bounds(area), (2, 2)).sum(axis=0)
    column, row, _, _ = (int(each[0]) for each in layout.repeat_at(middle[:1], middle[1:]))
    there, old = layout.to_page(column, row), layout.outline_on_page()
    tile = layout.tile
    scale = GRID / max(tile)
    new = shapely.transform(area, there)
    outline = cleaned(shapely.transform(shapely.union(old, new), lambda points: points * scale), "curve")
    motif = replace(
        before, outline=outline_text(outline), width_mm=tile[0], height_mm=tile[1], fit="page", size=FILL, turn_deg=0.0,
        text="", font="",
    )  # fmt: skip
    return replace(design, pattern=replace(design.pattern, motif=motif))
