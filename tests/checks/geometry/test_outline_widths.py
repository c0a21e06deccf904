"""Widths of own motifs and growth rings, against known shapes and against shapely on the triangles of meshes."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
import shapely.affinity
from zoo import plain_design

from ringtex.checks.finding import Kind
from ringtex.checks.geometry.outline_widths import OutlineWidths, outline_widths
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import BuiltRing, make_ring
from ringtex.pattern.motif.motif_outline import outline_text
from ringtex.solid.free_form.relief_contours import ReliefContours
from ringtex.solid.mesh.ring_mesh import RingMesh

TURN_MM = 60.0


class FlatStrip:
    """A cylinder of a circumference; heights make it wider."""

    def shell_map(self, u: np.ndarray, v: np.ndarray, h: np.ndarray | float) -> np.ndarray:
        radius, angle = TURN_MM / (2.0 * math.pi) + h, np.asarray(u) * 2.0 * math.pi / TURN_MM
        return np.column_stack((radius * np.cos(angle), radius * np.sin(angle), v))

    def metric(self, u: np.ndarray, v: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        return np.ones_like(u), np.zeros_like(u), np.ones_like(u)


def widths(*parts: Any, inset: float = 0.0, height: float = 1e-9) -> OutlineWidths:
    contours = ReliefContours(
        np.array(parts, dtype=object), TURN_MM, inset, np.array([height]), lambda at: np.zeros(len(at), dtype=np.int64)
    )
    return outline_widths(FlatStrip(), contours)


def test_a_neck_and_a_gap_of_known_width() -> None:
    """A dumb-bell with a bar 0.4 wide, 0.3 beside a square (elementary); tops 0.1 inside are 0.2 narrower."""
    bell = shapely.union_all([shapely.box(5, 1, 7, 3), shapely.box(6, 1.8, 10, 2.2), shapely.box(9, 1, 11, 3)])
    square = shapely.box(11.3, 0.5, 13.3, 2.5)
    found = widths(bell, square)
    assert found.inside_mm == pytest.approx(0.4, rel=1e-3)
    assert found.wall_mm == pytest.approx(0.3, rel=1e-3)
    assert widths(bell, square, inset=0.1).inside_mm == pytest.approx(0.2, rel=2e-3)
    assert found.inside_place is not None
    assert found.inside_place[2] == pytest.approx(2.0, abs=0.01)


def test_tips_do_not_count_and_discs_do() -> None:
    """A long thin triangle, two sides of 20 and a base of 1: its inscribed circle has the radius area over half the
    circumference (Euclid IV.4)."""
    tip = shapely.Polygon([(5, 2), (5, 3), (5 + math.sqrt(20.0**2 - 0.25), 2.5)])
    assert widths(tip).inside_mm == pytest.approx(4.0 * tip.area / tip.length, rel=2e-3)
    assert widths(tip).wall_mm is None


def test_a_ring_is_as_narrow_as_its_narrowest_place_and_its_hole() -> None:
    """Circles of radius 2 and 1.5, 0.3 off centre: 0.2 apart at the nearest; the hole is a chord of 3 mm of arc."""
    ring = shapely.Point(9, 4).buffer(2.0, 64).difference(shapely.Point(9.3, 4).buffer(1.5, 64))
    found = widths(ring)
    assert found.inside_mm == pytest.approx(0.2, abs=0.003)
    assert found.wall_mm == pytest.approx(TURN_MM / math.pi * math.sin(3.0 * math.pi / TURN_MM), rel=0.002)


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.1])
def test_strokes_and_bays_that_end_count(turn: float) -> None:
    """A bay 0.25 wide, and a stroke 0.35 wide, at any angle."""
    comb = shapely.box(5, 1, 8, 3).difference(shapely.box(6.0, 1.5, 6.25, 3.0)).union(shapely.box(8, 1.2, 9.5, 1.55))
    found = widths(shapely.affinity.rotate(comb, turn, use_radians=True))
    assert found.wall_mm == pytest.approx(0.25, rel=3e-3)
    assert found.inside_mm == pytest.approx(0.35, rel=3e-3)


def test_a_bent_stroke_that_ends_counts() -> None:
    """A quarter of a circle of radius 2, drawn 0.3 wide, on a square."""
    angle = np.linspace(0.0, 0.5 * np.pi, 40)
    line = shapely.linestrings(np.column_stack((6 + 2 * np.cos(angle), 1 + 2 * np.sin(angle))))
    drawn = shapely.union(shapely.buffer(line, 0.15, quad_segs=16), shapely.box(7, 0, 9, 1.5))
    assert widths(drawn).inside_mm == pytest.approx(0.3, rel=0.01)


def test_where_there_is_no_relief_there_are_no_widths() -> None:
    assert widths(shapely.box(5, 1, 8, 3), height=0.0) == OutlineWidths(None, None)
    assert widths() == OutlineWidths(None, None)


def built(form: str, **changes: Any) -> BuiltRing:
    relief = {"form": form, "corner": 0.0, "depth": 0.25, "flank": 75, "wall_width": 0.3}
    return make_ring(design_from_json(plain_design(relief=relief, **changes)), 0.01)


def unrolled(mesh: RingMesh, face: float, level: float) -> tuple[Any, Any]:
    """Areas of the triangles of a flat band that lie at a level over its face, mm at their radius, and of all that are
    not in its face, mm at its radius; three turns."""
    corners = mesh.vertices[mesh.faces]
    height = np.hypot(corners[..., 0], corners[..., 1]) - face
    edge = np.all(np.abs(np.abs(corners[..., 2]) - np.abs(mesh.vertices[:, 2]).max()) < 1e-6, axis=1)
    relief = ~edge & np.all(height > -0.5, axis=1) & np.any(np.abs(height) > 1e-4, axis=1)
    corners, height = corners[relief], height[relief]
    angle = np.unwrap(np.arctan2(corners[..., 1], corners[..., 0]), axis=1)
    areas = []
    for radius, chosen in ((face + level, np.all(np.abs(height - level) < 1e-4, axis=1)), (face, height[:, 0] < 9.0)):
        turned = np.concatenate([angle[chosen] + turn * 2.0 * math.pi for turn in (-1, 0, 1)])
        flat = np.stack((radius * turned, np.tile(corners[chosen][..., 2], (3, 1))), axis=2)
        # Slits as narrow as the grid are none.
        whole = shapely.buffer(shapely.union_all(shapely.polygons(flat), grid_size=1e-5), 1e-4, join_style="mitre")
        areas.append(shapely.buffer(whole, -1e-4, join_style="mitre"))
    return areas[0], areas[1]


def topology(parts: Any, width: float) -> list[tuple[int, int]]:
    """How many pieces and holes each part has when what is narrower than a width is eroded away; pieces hardly wider
    are left out."""
    pieces = shapely.buffer(parts, -0.5 * width, quad_segs=16)
    found = []
    for piece in pieces:
        each = shapely.get_parts(piece)
        left = each[~shapely.is_empty(shapely.buffer(each, -0.004))]
        found.append((len(left), int(np.sum(shapely.get_num_interior_rings(left)))))
    return found


def narrowest(parts: Any) -> float:
    """The least width at which erosion parts one of the areas, opens one of its rings or makes it vanish, mm."""
    low, high = 0.01, 0.02
    whole = topology(parts, low)
    while topology(parts, high) == whole:
        low, high = high, 1.1 * high
    while high > 1.002 * low:
        middle = math.sqrt(low * high)
        low, high = (middle, high) if topology(parts, middle) == whole else (low, middle)
    return low


def whole_parts(area: Any) -> Any:
    """Those that are not cut off at the ends of three turns."""
    parts = shapely.get_parts(area)
    low, _, high, _ = shapely.bounds(parts).T
    return parts[(low > low.min() + 2.0) & (high < high.max() - 2.0) & (shapely.area(parts) > 1e-4)]


def measured(ring: BuiltRing, form: str) -> tuple[float, float]:
    """The narrowest inside and the narrowest gap of a ring on a flat band, by its mesh alone, mm."""
    face, depth = ring.strip.length / (2.0 * math.pi), 0.25 if form == "raised" else -0.25
    level, relief = (whole_parts(area) for area in unrolled(ring.finished.mesh, face, depth))
    middle = shapely.get_coordinates(shapely.point_on_surface(level)) * [face / (face + depth), 1.0]
    lying = shapely.STRtree(relief).query(shapely.points(middle), predicate="within")[1]
    inside = narrowest(level) if np.max(np.bincount(lying)) == 1 else 0.0
    pairs = shapely.STRtree(relief).query(relief, predicate="dwithin", distance=9.0)
    pairs = pairs[:, pairs[0] < pairs[1]]
    wall = float(np.min(shapely.distance(relief[pairs[0]], relief[pairs[1]])))
    return inside, wall


@pytest.mark.parametrize("form", ["raised", "sunk"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_readings_of_growth_rings_are_those_of_the_exported_mesh(form: str, seed: int) -> None:
    """Tops or floors: necks by shapely's erosion of the level triangles of a flat band, of no width where flanks meet
    and part them; walls: distances between what all triangles of relief cover."""
    ring = built(form, pattern={"family": "growth_rings", "around": 9, "across": 2, "seed": seed})
    inside, wall = measured(ring, form)
    readings = ring.report.readings
    ridge, groove = (inside, wall) if form == "raised" else (wall, inside)
    assert readings.thinnest_ridge_mm == pytest.approx(ridge, rel=0.02)
    assert readings.thinnest_groove_mm == pytest.approx(groove, rel=0.02)
    assert Kind.WIDTHS_UNKNOWN not in {finding.kind for finding in ring.report.findings}


@pytest.mark.parametrize("form", ["raised", "sunk"])
def test_readings_of_an_own_motif_are_those_of_the_exported_mesh(form: str) -> None:
    """Dumb-bells with a bent bar, leaning, five round the ring."""
    line = shapely.linestrings([(0.2, 0.3), (0.5, 0.55), (0.8, 0.5)])
    ends = [shapely.buffer(shapely.Point(x, y), 0.14) for x, y in ((0.2, 0.3), (0.8, 0.5))]
    bell = shapely.union_all([shapely.buffer(line, 0.05), *ends])
    page = shapely.transform(bell, lambda points: np.rint(points * 50_000.0))
    motif = {"outline": outline_text(shapely.MultiPolygon([page])), "size": 0.95}
    ring = built(form, pattern={"family": "motif", "around": 5, "across": 1, "motif": motif})
    inside, wall = measured(ring, form)
    readings = ring.report.readings
    ridge, groove = (inside, wall) if form == "raised" else (wall, inside)
    assert readings.thinnest_ridge_mm == pytest.approx(ridge, rel=0.02)
    assert readings.thinnest_groove_mm == pytest.approx(groove, rel=0.02)
