"""The dimensioned drawing of a ring: cut at mid-width, cut at head and palm, width and height all round."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.export.sheet.dimension_lines import dimension, measure_text
from ringtex.export.sheet.drawing import Anchor, Drawing, Path, Words, moved
from ringtex.export.sheet.mesh_section import section_curves
from ringtex.solid.mesh.ring_mesh import RingMesh

Marks = list[Path | Words]
X, Y, Z = np.eye(3)

WIDTH_MM: Final = 182.0
"""The drawing's own width; it is meant to be printed at exactly this."""

SCALES: Final = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 0.75, 0.5)
"""How much larger than the ring a view may be drawn; the largest that fits is taken."""

_MOST_TALL_MM = 88.0
_GRAPHS_MM = 27.0
_GAP_MM = 5.0
_SIDE_WIDTH_MM = 86.0
_TITLE_MM = 3.2
_GRAPH_FOOT_MM = 4.0
_GRAPH_HEAD_MM = 5.0
_SMALL_MM = 2.5
_NAMED: Final[tuple[tuple[float, str, Anchor], ...]] = (
    (-180.0, "palm", "start"),
    (-90.0, "-90°", "middle"),
    (0.0, "head", "middle"),
    (90.0, "90°", "middle"),
    (180.0, "palm", "end"),
)


def ring_drawing(mesh: RingMesh, band: Band) -> Drawing:
    """All views of one ring; the measures are the band's own, the outlines the finished mesh's with its relief."""
    left = _SIDE_WIDTH_MM + 4.0
    views = _mid_width_view(mesh, band, _SIDE_WIDTH_MM, _MOST_TALL_MM)
    views += moved(_head_and_palm(mesh, band, WIDTH_MM - left, _MOST_TALL_MM), left, 0.0)
    foot = min(_lowest(mark) for mark in views)
    marks = moved(views, 0.0, _GRAPHS_MM + _GAP_MM - foot)
    theta = np.linspace(-np.pi, np.pi, 361)
    half = band.half_width(theta)
    height = band.crown_radius(theta) - band.bore_radius_mm
    wide = (WIDTH_MM - 8.0) / 2.0
    marks += round_graph(np.degrees(theta), -half, half, "Width round the ring", wide, _GRAPHS_MM)
    graph = round_graph(np.degrees(theta), 0.0 * height, height, "Height round the ring", wide, _GRAPHS_MM)
    marks += moved(graph, wide + 8.0, 0.0)
    return Drawing(WIDTH_MM, _GRAPHS_MM + _GAP_MM - foot, tuple(marks))


def _lowest(mark: Path | Words) -> float:
    return mark.y if isinstance(mark, Words) else min(float(row[:, 1].min()) for row in mark.rows)


def fitting_scale(width_mm: float, height_mm: float, room_width_mm: float, room_height_mm: float) -> float:
    """The largest of SCALES at which a rectangle fits into another; the smallest where none does.

    Parameters:
        width_mm: of the rectangle.
        height_mm: of the rectangle.
        room_width_mm: of the paper it must fit on.
        room_height_mm: of the paper it must fit on.
    Returns: the scale.
    """
    fits = [s for s in SCALES if s * width_mm <= room_width_mm and s * height_mm <= room_height_mm]
    return fits[0] if fits else SCALES[-1]


def scale_words(scale: float) -> str:
    """Such as "3 : 1"."""
    return f"{scale:g} : 1" if scale >= 1.0 else f"1 : {1.0 / scale:g}"


def _mid_width_view(mesh: RingMesh, band: Band, width: float, height: float) -> Marks:
    """The cut at z = 0, the head above; it hangs down from y = 0."""
    # Seen from +z with the head up, x points to the right.
    curves = section_curves(mesh, X, Y)
    reach = np.concatenate(curves)
    low, high = reach.min(axis=0), reach.max(axis=0)
    scale = fitting_scale(high[0] - low[0], high[1] - low[1], width - 20.0, height - 22.0)
    middle = np.array([width / 2.0 + 4.0 - scale * (low[0] + high[0]) / 2.0, -9.0 - scale * high[1]])
    low, high = scale * low + middle, scale * high + middle
    marks: Marks = [Path(tuple(c * scale + middle for c in curves), closed=True, filled=True)]
    radius = band.bore_radius_mm * scale
    turn = np.linspace(0.0, 2.0 * np.pi, 181)
    marks.append(Path((middle + radius * np.column_stack((np.cos(turn), np.sin(turn))),), "thin"))
    marks += _centre_lines(middle, low, high, radius)
    x, y = float(middle[0]), float(middle[1])
    marks += dimension((x - radius, y), (x + radius, y), 0.0, measure_text(2.0 * band.bore_radius_mm, "Ø "))
    left, bottom, right, top = float(low[0]), float(low[1]), float(high[0]), float(high[1])
    marks += dimension((left, bottom), (left, top), 5.0, measure_text((top - bottom) / scale))
    marks += dimension((right, bottom), (left, bottom), 6.5, measure_text((right - left) / scale))
    return [*marks, _title(f"Cut at mid-width, head up, {scale_words(scale)}")]


def _centre_lines(middle: Floats, low: Floats, high: Floats, radius: float) -> Marks:
    """The two axes of the bore, kept off the bore's measure."""
    x, y = middle
    # Below, the axis ends before the words of the whole width's measure.
    ends = ((low[1] - 1.2, y - 0.3 * radius), (y + 0.3 * radius, high[1] + 2.0))
    upright = [Path((np.array([[x, first], [x, last]]),), "axis") for first, last in ends]
    level = [
        Path((np.array([[first, y], [last, y]]),), "axis")
        for first, last in ((low[0] - 2.0, x - radius), (x + radius, high[0] + 2.0))
    ]
    return [*upright, *level]


def _title(text: str) -> Words:
    return Words(text, 0.0, -_TITLE_MM, _TITLE_MM, "start", bold=True)


def _head_and_palm(mesh: RingMesh, band: Band, width: float, height: float) -> Marks:
    """The cut through the ring's axis, at the head and below it at the palm, at one scale."""
    # Seen from the ring's left: the finger runs from left to right, the bore lies below.
    curves = section_curves(mesh, Z, Y)
    rows = {0.0: [c for c in curves if np.mean(c[:, 1]) > 0.0], 180.0: [c for c in curves if np.mean(c[:, 1]) <= 0.0]}
    for deg, turned in rows.items():
        down = np.array([1.0, 1.0 if deg == 0.0 else -1.0])
        rows[deg] = [c * down - np.array([0.0, band.bore_radius_mm]) for c in turned]
    sizes = [_box(band, deg, rows[deg]) for deg in rows]
    widest = max(size[0] for size in sizes)
    scale = fitting_scale(widest, sum(size[1] for size in sizes), width - 26.0, height - 40.0)
    marks: Marks = [_title(f"Cuts at head and palm, {scale_words(scale)}")]
    floor = -9.0
    for (deg, part), size in zip(rows.items(), sizes, strict=True):
        floor -= size[1] * scale
        name = "Head" if deg == 0.0 else "Palm"
        marks += moved(_section_view(band, deg, part, name, scale), width / 2.0 - 2.0, floor)
        floor -= 18.0
    return marks


def _box(band: Band, deg: float, curves: list[Floats]) -> tuple[float, float]:
    """Width and height that a section takes."""
    theta = np.radians([deg])
    tall = float(band.crown_radius(theta)[0]) - band.bore_radius_mm
    wide = 2.0 * float(band.half_width(theta)[0])
    if curves:
        reach = np.concatenate(curves)
        wide, tall = max(wide, float(np.ptp(reach[:, 0]))), max(tall, float(reach[:, 1].max()))
    return wide, tall


def _section_view(band: Band, deg: float, curves: list[Floats], name: str, scale: float) -> Marks:
    """One section with its dimensions; (0, 0) is mid-width on the bore."""
    theta = np.radians([deg])
    half = float(band.half_width(theta)[0])
    bore = band.bore_radius_mm
    height = float(band.crown_radius(theta)[0]) - bore
    edge = float(band.edge_radius(theta)[0]) - bore
    inner = float(band.bore_radius_at(theta, np.array([half]))[0]) - bore
    marks: Marks = [Path(tuple(c * scale for c in curves), closed=True, filled=True)] if curves else []
    across = np.linspace(-1.0, 1.0, 121)
    r, z = band.profile(np.full_like(across, theta[0]), across)
    marks.append(Path((np.column_stack((z, r - bore)) * scale,), "thin"))
    along = np.linspace(-half, half, 61)
    inside = band.bore_radius_at(np.full_like(along, theta[0]), along) - bore
    marks.append(Path((np.column_stack((along, inside)) * scale,), "thin"))
    reach = max([half, *(float(np.abs(c[:, 0]).max()) for c in curves)]) * scale
    marks += dimension((half * scale, 0.0), (-half * scale, 0.0), 7.5, measure_text(2.0 * half), f"{name} width")
    marks += dimension((0.0, 0.0), (0.0, height * scale), reach + 4.0, measure_text(height))
    at_edge = (half * scale, inner * scale), (half * scale, edge * scale)
    if edge - inner > 1e-6 and abs(edge - height) > 1e-6:
        marks += dimension(*at_edge, -(reach - half * scale + 4.0), measure_text(edge - inner))
    return marks


def round_graph(angle_deg: Floats, low: Floats, high: Floats, title: str, width_mm: float, height_mm: float) -> Marks:
    """A small graph of one measure round the ring, from palm over head to palm, filled between low and high.

    Parameters:
        angle_deg: (n,) -180 to 180 from the head.
        low: (n,) mm.
        high: (n,) mm.
        title: what is measured; the smallest and largest measure (high - low) are written after it.
        width_mm: of the graph on paper.
        height_mm: of the graph on paper.
    Returns: the marks; (0, 0) is the lower left corner.
    """
    measure = high - low
    tall = height_mm - _GRAPH_FOOT_MM - _GRAPH_HEAD_MM
    scale = tall / max(float(np.max(high) - np.min(low)), 1e-9)
    x = (angle_deg + 180.0) / 360.0 * width_mm
    bottom = _GRAPH_FOOT_MM - float(np.min(low)) * scale
    upper = np.column_stack((x, bottom + high * scale))
    lower = np.column_stack((x, bottom + low * scale))
    marks: list[Path | Words] = [Path((np.concatenate((upper, lower[::-1])),), "outline", True, True)]
    for deg, name, anchor in _NAMED:
        position = (deg + 180.0) / 360.0 * width_mm
        line = [[position, _GRAPH_FOOT_MM - 1.0], [position, height_mm - _GRAPH_HEAD_MM + 1.0]]
        marks.append(Path((np.array(line),), "thin"))
        marks.append(Words(name, position, 0.2, _SMALL_MM, anchor))
    spread = float(np.ptp(measure))
    least, most = measure_text(float(np.min(measure))), measure_text(float(np.max(measure)))
    words = f"{title}: {least} mm" if spread < 0.005 else f"{title}: {least} to {most} mm"
    marks.append(Words(words, 0.0, height_mm - _TITLE_MM, _TITLE_MM, "start", bold=True))
    return marks
