"""From painted shapes to one outline, and the outline as the text that a design file keeps."""

from __future__ import annotations

import re
import time
from typing import Any, Final

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.pattern.motif.svg_paths import Polyline
from ringtex.pattern.motif.svg_reader import MAX_SECONDS, PaintedShape, SvgDrawing

GRID: Final = 50_000
"""Steps of an outline along the longer side of its page: 0.2 micrometres on a motif of 10 mm."""

MAX_POINTS: Final = 20_000
"""Of an outline in a design file: some 200 kB, and ten times what can be told apart on a ring."""

MIN_AREA: Final = 400.0
"""Parts under this area, in steps squared (20 by 20 of 50,000), are specks."""

MAX_CROSSINGS: Final = 300_000
"""Pairs of segments that may cross."""

JOINS: Final = {"miter": "mitre", "round": "round", "bevel": "bevel", "miter-clip": "mitre", "arcs": "mitre"}
CAPS: Final = {"butt": "flat", "round": "round", "square": "square"}


def outline_of(drawing: SvgDrawing, where: str) -> MultiPolygon:
    """The painted shapes as one outline in steps of GRID, page corner (0, 0), y upwards: dark shapes joined, white ones
    taken away from those under them.

    Raises: InputError for a drawing that has no area or too many points.
    """
    scale = GRID / max(drawing.width_mm, drawing.height_mm)
    until = time.monotonic() + MAX_SECONDS
    made: Any = Polygon()
    for white, shapes in _runs(drawing.shapes):
        areas = []
        for shape in shapes:
            if time.monotonic() > until:
                message = f"the drawing's shapes take more than {MAX_SECONDS:g} s to join up to this one"
                raise InputError(message, "Simplify the drawing, or use a part of it", f"{where}, {shape.element}")
            areas.append(_area(shape, scale, where))
        joined = shapely.union_all(areas)
        made = made.difference(joined) if white else made.union(joined)
    return cleaned(made, where, _why_no_area(drawing))


def _why_no_area(drawing: SvgDrawing) -> str:
    """What there was instead of areas, for the refusal of a drawing without any."""
    if drawing.left_out:
        return ": " + "; ".join(drawing.left_out)
    if drawing.shapes:
        return f": {drawing.shapes[0].element} has none"
    return ": none of its elements has a fill or a stroke that covers any"


def _runs(shapes: list[PaintedShape]) -> list[tuple[bool, list[PaintedShape]]]:
    """Neighbours of one kind, dark or white, together."""
    runs: list[tuple[bool, list[PaintedShape]]] = []
    for shape in shapes:
        if not runs or runs[-1][0] != shape.white:
            runs.append((shape.white, []))
        runs[-1][1].append(shape)
    return runs


def _area(shape: PaintedShape, scale: float, where: str) -> Any:
    """The area that one shape covers, in steps."""
    if shape.rule is None:
        return _stroke(shape, scale, f"{where}, {shape.element}")
    rings = [_moved(line.points, shape.matrix) * scale for line in shape.lines]
    return filled(rings, shape.rule, f"{where}, {shape.element}")


def _moved(points: Floats, matrix: Floats) -> Floats:
    return np.asarray(points @ matrix[:2, :2].T + matrix[:2, 2])


def _stroke(shape: PaintedShape, scale: float, where: str) -> Any:
    lines = [_stroke_line(line) for line in shape.lines]
    lines = [line for line in lines if line is not None]
    _refuse_tangles([np.asarray(line.coords) for line in lines], where)
    size = 0.5 * shape.width
    # Arcs that stay within a step of the circle.
    steps = scale * np.sqrt(abs(np.linalg.det(shape.matrix[:2, :2]))) * size
    quadrant = int(np.clip(np.ceil(0.25 * np.pi * np.sqrt(max(steps, 1.0) / 2.0)), 2, 64))
    areas = [
        line.buffer(
            size, quad_segs=quadrant, cap_style=CAPS.get(shape.cap, "flat"), join_style=JOINS.get(shape.join, "mitre"),
            mitre_limit=shape.mitre,
        )
        for line in lines
    ]  # fmt: skip
    return shapely.transform(shapely.union_all(areas), lambda points: _moved(points, shape.matrix) * scale)


def _stroke_line(line: Polyline) -> Any:
    points = line.points[np.concatenate(([True], np.any(np.diff(line.points, axis=0) != 0.0, axis=1)))]
    if line.closed and len(points) > 2:
        if np.array_equal(points[0], points[-1]):
            points = points[:-1]
        return shapely.LinearRing(points) if len(points) > 2 else shapely.LineString(points)
    return shapely.LineString(points) if len(points) > 1 else None


def filled(rings: list[Floats], rule: str, where: str) -> Any:
    """The area that rings fill; crossing and open ones too.

    Parameters:
        rings: (n, 2) points each, closed or not.
        rule: "nonzero" or "evenodd".
        where: named in errors.
    Returns: a shapely geometry, valid.
    Raises: InputError for rings that cross too often.
    """
    rings = [ring for ring in rings if len(ring) >= 3]
    if not rings:
        return Polygon()
    if len(rings) == 1 and (simple := Polygon(rings[0])).is_valid:
        return simple
    closed = [np.vstack((ring, ring[:1])) for ring in rings]
    _refuse_tangles(closed, where)
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all([shapely.LineString(ring) for ring in closed])]))
    if not len(faces):
        return Polygon()
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    turns = _windings(closed, inside)
    chosen = turns % 2 != 0 if rule == "evenodd" else turns != 0
    return shapely.union_all(faces[chosen])


def _windings(rings: list[Floats], points: Floats) -> Any:
    """(n,) how often the rings run round each point, counter-clockwise."""
    start = np.concatenate([ring[:-1] for ring in rings])
    end = np.concatenate([ring[1:] for ring in rings])
    turns = np.zeros(len(points), dtype=np.int64)
    batch = max(1, 4_000_000 // len(start))
    for first in range(0, len(points), batch):
        x, y = points[first : first + batch, :, None].transpose(1, 0, 2)
        side = (end[:, 0] - start[:, 0]) * (y - start[:, 1]) - (x - start[:, 0]) * (end[:, 1] - start[:, 1])
        up = (start[:, 1] <= y) & (end[:, 1] > y) & (side > 0.0)
        down = (start[:, 1] > y) & (end[:, 1] <= y) & (side < 0.0)
        turns[first : first + batch] = up.sum(axis=1) - down.sum(axis=1)
    return turns


def _refuse_tangles(lines: list[Floats], where: str) -> None:
    """Raises: InputError for lines that cross one another so often that joining them has no end."""
    if sum(len(line) for line in lines) < 2000:
        return
    start = np.concatenate([line[:-1] for line in lines])
    end = np.concatenate([line[1:] for line in lines])
    boxes = shapely.box(*np.minimum(start, end).T, *np.maximum(start, end).T)
    every = max(1, len(boxes) // 1000)
    tree = shapely.STRtree(boxes)
    found = sum(len(tree.query(box)) for box in boxes[::every])
    if found * every > MAX_CROSSINGS + 8 * len(boxes):
        message = f"the lines of this shape may cross one another more than {MAX_CROSSINGS:,} times"
        raise InputError(message, "Simplify the drawing", where)


def cleaned(made: Any, where: str, why_no_area: str = "") -> MultiPolygon:
    """An area in steps as an outline in whole steps, without specks.

    Parameters:
        made: the area.
        where: named in errors.
        why_no_area: said of an area that comes to nothing.
    Returns: the outline.
    Raises: InputError for what has no area or too many points.
    """
    made = shapely.set_precision(made, 1.0)
    made = shapely.set_precision(shapely.simplify(made, 1.5), 1.0)
    parts = [part for part in shapely.get_parts(made) if part.geom_type == "Polygon" and part.area >= MIN_AREA]
    parts = [
        Polygon(part.exterior, [hole for hole in part.interiors if Polygon(hole).area >= MIN_AREA]) for part in parts
    ]
    outline = shapely.normalize(MultiPolygon(parts))
    if outline.is_empty:
        advice = "Draw closed shapes with a fill, or lines with a stroke"
        raise InputError(f"the drawing covers no area{why_no_area}", advice, where)
    if (count := shapely.get_num_coordinates(outline)) > MAX_POINTS:
        message = f"the outline has {count} points, more than {MAX_POINTS}"
        raise InputError(message, "Simplify the drawing, or use a part of it", where)
    return outline


def outline_text(outline: MultiPolygon) -> str:
    """The outline as SVG path data in whole steps: every ring "M x y l dx dy ... z", outer rings counter-clockwise,
    each followed by its holes, clockwise.

    >>> outline_text(MultiPolygon([shapely.box(0, 0, 30, 20)]))
    'M30 0l0 20 -30 0 0 -20z'
    """
    parts = []
    for polygon in shapely.get_parts(shapely.orient_polygons(outline)):
        for ring in (polygon.exterior, *polygon.interiors):
            points = np.rint(shapely.get_coordinates(ring)[:-1]).astype(np.int64)
            steps = " ".join(f"{x} {y}" for x, y in np.diff(points, axis=0).tolist())
            parts.append(f"M{points[0, 0]} {points[0, 1]}l{steps}z")
    return "".join(parts)


# Numbers are parted by exactly one space: where there is one way to read a text only, a damaged one is refused at once.
_RING = re.compile(r"M(-?\d{1,7}) (-?\d{1,7})l((?:-?\d{1,7} )*-?\d{1,7})z")


def outline_from_text(text: str) -> MultiPolygon:
    """The outline that a design file keeps. Raises: InputError (where "pattern.motif.outline") for any other text."""
    where, advice = "pattern.motif.outline", "Import the drawing again"
    rings, at = [], 0
    while at < len(text):
        found = _RING.match(text, at)
        steps = found[3].split() if found else []
        if found is None or len(steps) % 2 or len(steps) < 4:
            raise InputError(f"this is no outline at character {at}", advice, where)
        deltas = np.array([found[1], found[2], *steps], dtype=np.int64).reshape(-1, 2)
        rings.append(np.cumsum(deltas, axis=0).astype(np.float64))
        at = found.end()
        if sum(map(len, rings[-1:])) > MAX_POINTS or len(text) > 40 * MAX_POINTS:
            raise InputError("the outline has too many points", advice, where)
    polygons: list[tuple[Floats, list[Floats]]] = []
    for ring in rings:
        if shapely.LinearRing(ring).is_ccw or not polygons:
            polygons.append((ring, []))
        else:
            polygons[-1][1].append(ring)
    outline = MultiPolygon(polygons)
    if outline.is_empty or not outline.is_valid:
        raise InputError("the outline is empty or crosses itself", advice, where)
    return outline
