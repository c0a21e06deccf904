"""Every lattice family: sound, and the tiling that its name says by vertex configurations, angles and symmetry.

Vertex configurations, angles and symmetry groups: Gruenbaum and Shephard, Tilings and Patterns, 1987, sections 1.4, 2.1
and 2.7, and its tables of isohedral tilings (from memory); sums of angles are elementary geometry.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from types import SimpleNamespace
from typing import NamedTuple

import numpy as np
import pytest
import shapely

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.pattern.lattice.families import LATTICE_FAMILIES, lattice_complex
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.tiling import Tiling

AROUND = 6
ROWS = 8
RIBS = {"ribs", "flutes"}


class Repeats(NamedTuple):
    """Uncut cells of a regular pattern: one of each kind, and the two translations, all in pitches."""

    tiling: Tiling
    uncut: list[int]
    cells: list[Floats]
    translations: Floats


def built(family: str, width: float = 8.0, **options: object) -> Tiling:
    strip = SimpleNamespace(length=58.0, width=width)
    made = PatternOptions(family=family, **options)  # type: ignore[arg-type]
    return make_pattern(strip, made, RailOptions(0.3, 0.2), Progress()).tiling


def regular(family: str, pitch: float = 1.0) -> Repeats:
    form = lattice_complex(family)
    rise = form.regular or 6.0
    strip = SimpleNamespace(length=pitch * AROUND, width=pitch * (ROWS + form.extra_rows) * rise)
    pattern = make_pattern(strip, PatternOptions(family=family, around=AROUND, across=ROWS), RailOptions(), Progress())
    assert pattern.stretch_percent == pytest.approx(0.0, abs=1e-9)
    tiling = replace(pattern.tiling, length=float(AROUND), vertices=pattern.tiling.vertices / pitch)
    translations = np.array([[1.0, 0.0], [form.shift, rise]])
    heights = [tiling.corners[low:high, 1] for low, high in bounds(tiling)]
    uncut = [at for at, v in enumerate(heights) if v.min() > 1e-6 and v.max() < tiling.upper / pitch - 1e-6]
    cells: dict[tuple[int, ...], Floats] = {}
    for at in uncut:
        low, high = bounds(tiling)[at]
        points = without_straight_corners(tiling.corners[low:high])
        cells.setdefault(cell_key(points, translations), points)
    return Repeats(tiling, uncut, list(cells.values()), translations)


def bounds(tiling: Tiling) -> list[tuple[int, int]]:
    return list(zip(tiling.cell_start[:-1].tolist(), tiling.cell_start[1:].tolist(), strict=True))


def interior_angles(points: Floats) -> Floats:
    """(k,) at every corner, degrees, 0 to 360."""
    ahead, back = np.roll(points, -1, axis=0) - points, np.roll(points, 1, axis=0) - points
    return np.degrees(np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(ahead[:, 1], ahead[:, 0])) % 360.0


def without_straight_corners(points: Floats) -> Floats:
    return points[np.abs(interior_angles(points) - 180.0) > 1e-6]


def cell_key(points: Floats, translations: Floats) -> tuple[int, ...]:
    """The same for two cells that a translation carries over each other."""
    middle = np.mean(points, axis=0)
    steps = np.floor(middle @ np.linalg.inv(translations) + 1e-5) @ translations
    rounded = np.rint((points - steps) * 1e4).astype(int)
    return tuple(rounded[np.lexsort(rounded.T)].ravel().tolist())


def vertex_configurations(found: Repeats) -> set[tuple[int, ...]]:
    """Sides of the cells round every vertex of uncut cells alone, in turn, begun where the list is least."""
    tiling, around = found.tiling, set()
    sides = np.diff(tiling.cell_start)
    first = {int(vertex): at for at, vertex in enumerate(tiling.corner_vertex)}
    for start in first.values():
        corner, cells = start, []
        while True:
            cells.append(int(tiling.corner_cell[corner]))
            twin = tiling.twin[tiling.previous_corner[corner]]
            if twin < 0 or twin == start:
                break
            corner = int(twin)
        if set(cells) <= set(found.uncut):
            turns = [[int(sides[cell]) for cell in cells[k:] + cells[:k]] for k in range(len(cells))]
            around.add(min(tuple(turn) for turn in [*turns, *(turn[::-1] for turn in turns)]))
    return around


@pytest.mark.parametrize("family", LATTICE_FAMILIES)
def test_cells_are_sound_wherever_borders_cut_them(family: str) -> None:
    moves = [(0.0, 0.0), (3.1, 0.9), (-7.7, 2.3)]
    for (slide, twist), scatter in zip(zip(moves, (0, 2, -1), strict=True), (1.0, 0.0, 0.6), strict=True):
        for across in ("auto", 2):
            tiling = built(family, around=9, across=across, slide_mm=slide, twist=twist, scatter=scatter)
            assert tiling.problems() == []
    # Exact cover, by shapely's own areas.
    tiling = built(family, around=7, slide_mm=(1.0, 0.83), twist=1)
    polygons = np.array([shapely.Polygon(tiling.corners[low:high]) for low, high in bounds(tiling)])
    np.testing.assert_allclose(shapely.area(polygons), tiling.areas, rtol=1e-9)
    assert np.all(shapely.is_valid(polygons))
    assert shapely.union_all(polygons, grid_size=1e-6).area == pytest.approx(58.0 * (8.0 - 0.5), rel=1e-4)


@pytest.mark.parametrize("family", LATTICE_FAMILIES)
def test_the_pattern_repeats_and_closes(family: str) -> None:
    """One repeat further round, the same cells; every repeat holds each of its faces once."""
    found = regular(family)
    if family not in RIBS:
        assert len(found.cells) == len(lattice_complex(family).faces)
    start, moved = built(family, around=9), built(family, around=9, slide_mm=(58.0 / 9.0, 0.0))
    np.testing.assert_allclose(np.sort(start.areas), np.sort(moved.areas), rtol=1e-9)
    places = [np.round(tiling.vertices % (58.0 - 1e-7), 5) for tiling in (start, moved)]
    sorted_places = [place[np.lexsort(place.T)] for place in places]
    np.testing.assert_allclose(sorted_places[0], sorted_places[1], atol=1e-4)


ARCHIMEDEAN = {
    "triangle": (3, 3, 3, 3, 3, 3), "square": (4, 4, 4, 4), "hexagon": (6, 6, 6), "flat_hexagon": (6, 6, 6),
    "trihexagonal": (3, 6, 3, 6), "octagon_square": (4, 8, 8), "dodecagon_triangle": (3, 12, 12),
    "hexagon_square_triangle": (3, 4, 6, 4), "dodecagon_hexagon_square": (4, 6, 12), "snub_square": (3, 3, 4, 3, 4),
    "snub_hexagon": (3, 3, 3, 3, 6), "square_triangle_rows": (3, 3, 3, 4, 4),
}  # fmt: skip


@pytest.mark.parametrize("family", ARCHIMEDEAN)
def test_archimedean_tilings_have_one_vertex_configuration_of_regular_polygons(family: str) -> None:
    found = regular(family)
    assert vertex_configurations(found) == {ARCHIMEDEAN[family]}
    for points in found.cells:
        np.testing.assert_allclose(interior_angles(points), 180.0 - 360.0 / len(points), atol=1e-6)
        sides = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        np.testing.assert_allclose(sides, sides[0], rtol=1e-6)


LAVES_ANGLES = {
    "rhombille": (60, 60, 120, 120), "cairo_pentagon": (90, 90, 120, 120, 120),
    "floret_pentagon": (60, 120, 120, 120, 120), "prismatic_pentagon": (90, 90, 120, 120, 120),
    "kite": (60, 90, 90, 120), "tetrakis_square": (45, 45, 90), "triakis_triangle": (30, 30, 120),
    "kisrhombille": (30, 60, 90),
}  # fmt: skip
"""At a vertex where k cells meet, each has 360 / k degrees: the numbers of the dual's vertex configuration."""


@pytest.mark.parametrize("family", LAVES_ANGLES)
def test_laves_tilings_have_one_cell_with_equal_angles_round_every_vertex(family: str) -> None:
    for points in regular(family).cells:
        np.testing.assert_allclose(np.sort(interior_angles(points)), LAVES_ANGLES[family], atol=1e-6)


@pytest.mark.parametrize(
    ("family", "angles"),
    [
        ("rhomb_star_8", {(45, 45, 135, 135): 8, (90, 90, 90, 90): 6}),
        ("rhomb_star_12", {(30, 30, 150, 150): 12, (60, 60, 120, 120): 3, (60, 90, 90, 120): 6}),
        ("star_cross", {(*[90] * 8, *[225] * 8): 1, (*[90] * 4, *[135] * 8, *[270] * 4): 1}),
    ],
)
def test_stars_are_made_of_the_cells_that_their_names_say(family: str, angles: dict[tuple[int, ...], int]) -> None:
    found = Counter(tuple(np.rint(np.sort(interior_angles(cell))).astype(int)) for cell in regular(family).cells)
    assert found == angles


def test_circles_and_scales_have_the_areas_and_corners_of_true_arcs() -> None:
    """A lens of two circles of radius r, d apart: 2 r^2 acos(d / 2r) - d / 2 sqrt(4 r^2 - d^2) (Weisstein, MathWorld,
    Circle-Circle Intersection; from memory), less what chords leave; every corner of a scale's edge lies on its
    circle."""
    areas = sorted(shapely.Polygon(cell).area for cell in regular("intersecting_circles", 8.0).cells)
    r = 0.6
    lens = 2.0 * r * r * math.acos(0.5 / r) - 0.5 * math.sqrt(4.0 * r * r - 1.0)
    gap = 1.0 + 2.0 * lens - math.pi * r * r
    np.testing.assert_allclose(areas, sorted([lens, lens, gap, math.pi * r * r - 4.0 * lens]), rtol=0.02)
    (scale,) = regular("round_scale", 8.0).cells
    low = scale[np.argmin(scale[:, 1])]
    radius = 0.5 / math.sin(math.radians(70.0))
    on_edge = np.abs(np.hypot(*(scale - low - (0.0, radius)).T) - radius) < 1e-6
    assert np.count_nonzero(on_edge) >= 17


def test_rosettes_have_petals_of_true_arcs_that_meet_by_sixes() -> None:
    """Area of a segment of a circle: r^2 (a - sin a) / 2 (Bronshtein and Semendyayev, Handbook of Mathematics; from
    memory), twice for a petal; the gaps have the rest of the triangle lattice."""
    found = regular("rosettes", 8.0)
    areas = np.sort([shapely.Polygon(cell).area for cell in found.cells])
    a = math.radians(50.0)
    petal = (a - math.sin(a)) / (4.0 * math.sin(a / 2.0) ** 2)
    gap = (math.sqrt(0.75) - 3.0 * petal) / 2.0
    np.testing.assert_allclose(areas, [petal] * 3 + [gap] * 2, rtol=0.02)
    tips = np.bincount(found.tiling.corner_vertex)
    assert np.max(tips) == 12


@pytest.mark.parametrize(
    ("family", "least"),
    [
        ("round_scale", 0.4), ("shells", 0.7), ("intersecting_circles", 0.8), ("scale", 0.4), ("cairo_pentagon", 0.8),
        ("floret_pentagon", 0.8), ("snub_square", 0.9), ("snub_hexagon", 0.8), ("hexagon_square_triangle", 0.95),
        ("rhomb_star_12", 0.75),
    ],
)  # fmt: skip
@pytest.mark.parametrize("pitch", [1.0, 4.0, 12.0])
def test_borders_leave_no_crumbs_and_slivers(family: str, least: float, pitch: float) -> None:
    """Diameters of largest inscribed circles by shapely: pieces at the borders against the narrowest whole cell."""
    found = regular(family, pitch)
    tiling = found.tiling
    circles = [
        shapely.maximum_inscribed_circle(shapely.Polygon(tiling.corners[low:high]), tolerance=0.002).length
        for low, high in bounds(tiling)
    ]
    assert min(circles) >= least * min(circles[at] for at in found.uncut)


CURVED = [family for family, known in LATTICE_FAMILIES.items() if known.sagitta]


@pytest.mark.parametrize("family", CURVED)
def test_curves_keep_to_the_chord_tolerance_with_as_few_steps_as_it_allows(family: str) -> None:
    """Against the same walls in many steps, by shapely's Hausdorff distance of each cell from its twin."""
    known = LATTICE_FAMILIES[family]
    fine = lattice_complex(family, 64)
    for pitch in (0.2, 4.0):
        for steps, fits in ((known.steps_at(pitch), True), (known.steps_at(pitch) // 2, False)):
            form = lattice_complex(family, steps)
            scale = (pitch, pitch * (form.regular or 1.0))
            pairs = zip(form.outlines(), fine.outlines(), strict=True)
            off = max(shapely.LinearRing(a * scale).hausdorff_distance(shapely.LinearRing(b * scale)) for a, b in pairs)
            if fits:
                assert off <= FINAL_CHORD_MM
            elif steps >= 2:
                assert off > FINAL_CHORD_MM


OFF_TIES = 0.2137
"""So that no simple fraction of a thousandth is rounded either way."""

GROUPS = {
    "hexagon": "p6m", "flat_hexagon": "p6m", "triangle": "p6m", "square": "p4m", "diamond": "p4m", "brick": "cmm",
    "half_drop": "cmm", "basket_weave": "p4g", "herringbone": "pgg", "block_herringbone": "pgg", "two_squares": "p4",
    "chevron": "pmg", "scale": "cm", "trihexagonal": "p6m", "octagon_square": "p4m", "dodecagon_triangle": "p6m",
    "hexagon_square_triangle": "p6m", "dodecagon_hexagon_square": "p6m", "snub_square": "p4g", "snub_hexagon": "p6",
    "square_triangle_rows": "cmm", "rhombille": "p6m", "cairo_pentagon": "p4g", "floret_pentagon": "p6",
    "prismatic_pentagon": "cmm", "kite": "p6m", "tetrakis_square": "p4m", "triakis_triangle": "p6m",
    "kisrhombille": "p6m", "star_cross": "p4m", "rhomb_star_8": "p4m", "rhomb_star_12": "p6m",
    "intersecting_circles": "p4m", "round_scale": "cm", "waves": "cmm", "ripples": "pmg", "rope": "p2", "braid": "pmg",
    "ogee": "cmm",
    "rosettes": "p6m", "shells": "cm",
}  # fmt: skip


@pytest.mark.parametrize("family", GROUPS)
def test_plane_symmetry_group(family: str) -> None:
    found = regular(family)
    assert symmetry_group(found.cells, found.translations) == GROUPS[family]


def symmetry_group(cells: list[Floats], translations: Floats) -> str:
    """The name of the group of all motions that carry the cells over themselves; its translations are given."""
    order = max(n for n in (1, 2, 3, 4, 6) if motion(cells, translations, rotation(2.0 * math.pi / n)) is not None)
    mirrors, glides, centred = 0, 0, False
    for angle in np.arange(0.0, 180.0, 15.0) + math.degrees(math.atan2(*tilt(translations))):
        aside = motion(cells, translations, reflection(math.radians(angle)))
        if aside is None:
            continue
        axis = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
        steps = np.array([[i, j] for i in range(-4, 5) for j in range(-4, 5)]) @ translations
        along = np.abs((aside + steps) @ axis)
        lengths = np.abs(steps @ axis)[np.hypot(*(steps - np.outer(steps @ axis, axis)).T) < 1e-5]
        period = float(np.min(lengths[lengths > 1e-5]))
        is_mirror = bool(np.min(np.abs((along + 1e-4) % period)) < 3e-4)
        mirrors, glides = mirrors + is_mirror, glides + 1
        centred |= is_mirror and bool(np.any(np.abs(along % period - period / 2.0) < 1e-3))
    if glides == 0:
        return f"p{order}"
    if order in (3, 6):
        return f"p{order}m"
    if order == 4:
        return "p4m" if mirrors == 4 else "p4g"
    if order == 2:
        return {0: "pgg", 1: "pmg", 2: "cmm" if centred else "pmm"}[mirrors]
    return "pg" if mirrors == 0 else "cm" if centred else "pm"


def tilt(translations: Floats) -> tuple[float, float]:
    return float(translations[0, 1]), float(translations[0, 0])


def rotation(turn: float) -> Floats:
    return np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])


def reflection(axis: float) -> Floats:
    return np.array([[math.cos(2 * axis), math.sin(2 * axis)], [math.sin(2 * axis), -math.cos(2 * axis)]])


def motion(cells: list[Floats], translations: Floats, linear: Floats) -> Floats | None:
    """The translation with which a linear map carries all cells over cells; None where there is none."""
    turned = translations @ linear @ np.linalg.inv(translations)
    if np.max(np.abs(turned - np.rint(turned))) > 1e-5:
        return None
    present = {loose_key(cell, translations) for cell in cells}
    first = np.mean(cells[0] @ linear, axis=0)
    for other in cells:
        aside = np.mean(other, axis=0) - first
        if all(loose_key(cell @ linear + aside, translations) in present for cell in cells):
            return np.asarray(aside)
    return None


def loose_key(points: Floats, translations: Floats) -> tuple[int, ...]:
    """As `cell_key`, from the shape about its middle and the middle's place in the repeat, to a thousandth."""
    middle = np.mean(points, axis=0)
    place = middle @ np.linalg.inv(translations)
    place = np.rint(1000.0 * (place - np.floor(place + 3e-4)) + OFF_TIES).astype(int) % 1000
    shape = np.rint(1000.0 * (points - middle) + OFF_TIES).astype(int)
    return (*place.tolist(), *shape[np.lexsort(shape.T)].ravel().tolist())
