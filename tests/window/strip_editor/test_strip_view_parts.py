"""The strip's parts without a widget: finding cells, the viewport, changes of the design, light on metal."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon
from strip_rings import design_named, view_of

from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.edits.motif_edits import with_motif
from ringtex.make_ring import shape_ring
from ringtex.pattern.locate import CellLocator
from ringtex.pattern.measure import areas_on_ring
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import GRID, outline_text
from ringtex.pattern.picture.grey_options import GreyOptions
from ringtex.pattern.picture.grey_reader import picture_text
from ringtex.strip.true_size import CrownLine
from ringtex.window.building.view_state import FINISHES
from ringtex.window.strip_editor.painting.finding_marks import strip_position
from ringtex.window.strip_editor.painting.polygon_paths import polygon_paths
from ringtex.window.strip_editor.state.metal_tones import LEVEL_TONE, light_direction, metal_colours, tones
from ringtex.window.strip_editor.state.relief_faces import free_form_faces, relief_faces
from ringtex.window.strip_editor.state.strip_scene import Look, OverlayColours, StripScene
from ringtex.window.strip_editor.state.viewport import Viewport

RINGS = ["flat", "dome", "cellular", "rails"]


@pytest.mark.parametrize("name", RINGS)
def test_cells_are_found_as_shapely_finds_them(name: str) -> None:
    tiling = view_of(design_named(name)).built.pattern.tiling
    finder = CellLocator(tiling)
    polygons = [
        shapely.Polygon(tiling.corners[a:b]) for a, b in zip(tiling.cell_start, tiling.cell_start[1:], strict=False)
    ]
    random = np.random.default_rng(5)
    places = random.uniform((-tiling.length, tiling.lower), (2.0 * tiling.length, tiling.upper), (300, 2))
    for u, v in places.tolist():
        found = finder.cell_at(u, v)
        assert found is not None
        points = [shapely.Point(u % tiling.length + turn * tiling.length, v) for turn in (-1, 0, 1)]
        assert min(polygons[found].distance(point) for point in points) < 1e-9
    assert finder.cell_at(1.0, tiling.lower - 0.01) is None
    assert finder.cell_at(1.0, tiling.upper + 0.01) is None


@pytest.mark.parametrize("name", RINGS)
@pytest.mark.parametrize("fine", [False, True])
def test_drawn_faces_lie_side_by_side_within_their_cells(name: str, fine: bool) -> None:
    shaped = view_of(design_named(name)).built
    faces = relief_faces(shaped, fine, np.full(shaped.pattern.tiling.cells, 6 if fine else 3))
    tiling = shaped.pattern.tiling
    polygons = shapely.polygons(
        [shapely.linearrings(faces.corners[a:b]) for a, b in zip(faces.start, faces.start[1:], strict=False)]
    )
    drawn = np.bincount(faces.cell, weights=shapely.area(polygons), minlength=tiling.cells)
    assert np.all(drawn < tiling.areas * (1.0 + 1e-6))
    assert np.all(drawn > 0.2 * tiling.areas)
    for cell in (0, tiling.cells // 2):
        mine = polygons[faces.cell == cell]
        assert shapely.area(shapely.union_all(mine)) == pytest.approx(drawn[cell], rel=1e-4)
    np.testing.assert_allclose(np.linalg.norm(faces.normal, axis=1), 1.0, atol=1e-9)
    assert np.all(faces.normal[:, 2] > 0.0)


def test_slopes_of_flanks_are_those_asked_for() -> None:
    # Flat band, flank 70 degrees: every flank's normal leans 70 degrees from straight outwards.
    faces = relief_faces(view_of(design_named("flat")).built, False, np.full(144, 3))
    lean = np.degrees(np.arccos(faces.normal[:, 2]))
    np.testing.assert_allclose(lean[lean > 1.0], 70.0, atol=0.1)


def test_the_lit_side_is_brighter_and_level_metal_keeps_its_tone() -> None:
    towards = light_direction(90.0, 30.0)
    np.testing.assert_allclose(towards, (np.cos(np.radians(30.0)), 0.0, 0.5), atol=1e-12)
    np.testing.assert_allclose(light_direction(0.0, 0.0), (0.0, 1.0, 0.0), atol=1e-12)
    normal = np.array([[0.5, 0.0, 0.75**0.5], [-0.5, 0.0, 0.75**0.5], [0.0, 0.0, 1.0]])
    for elevation in (5.0, 30.0, 55.0):
        lit, dark, level = tones(normal, np.full(3, 0.3), (90.0, elevation), 0.3)
        assert lit > level > dark
        assert level == pytest.approx(LEVEL_TONE, abs=1e-9)
    low = np.ptp(tones(normal[:2], np.full(2, 0.3), (90.0, 10.0), 0.3))
    high = np.ptp(tones(normal[:2], np.full(2, 0.3), (90.0, 80.0), 0.3))
    assert low > 2.0 * high


@pytest.mark.parametrize("finish", [finish for finish in FINISHES if finish != "alloy"])
def test_metals_grow_lighter_with_the_tone(finish: str) -> None:
    from ringtex.window.overlays.colour_scales import cie_lightness

    assert np.all(np.diff(cie_lightness(metal_colours(finish))) >= -0.05)


def test_paths_hold_the_polygons() -> None:
    points = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [10.0, 10.0], [12.0, 10.0], [12.0, 12.0], [10.0, 12.0]])
    start = np.array([0, 3, 7])
    paths = dict(polygon_paths(points, start, np.array([7, 2])))
    assert list(paths) == [2, 7]
    bounds = paths[2].boundingRect()
    assert (bounds.x(), bounds.y(), bounds.width(), bounds.height()) == (10.0, 10.0, 2.0, 2.0)
    ((_, whole),) = polygon_paths(points, start, np.zeros(2, dtype=np.int64))
    assert whole.elementCount() == 9
    assert len(whole.toSubpathPolygons()) == 2


# --- looking


VIEWPORT = Viewport(64.0, 8.0, 100, 0, 0, (0, 30, 1280, 230)).fitted()


def test_the_whole_turn_fits_with_the_head_in_the_middle() -> None:
    assert VIEWPORT.centre_u == pytest.approx(32.0, abs=0.05)
    assert VIEWPORT.turn_px < 1280
    assert VIEWPORT.height_px <= 200
    high = Viewport(64.0, 60.0, 100, 0, 0, (0, 30, 1280, 230)).fitted()
    assert high.height_px <= 200


@pytest.mark.parametrize("factor", [1.3, 4.0, 0.8, 25.0])
def test_zoom_holds_the_place(factor: float) -> None:
    x, y = 400.0, 150.0
    u, v = VIEWPORT.position(x, y)
    zoomed = VIEWPORT.zoomed(factor, x, y)
    assert abs(zoomed.x_of(u) - x) <= 0.5 + 1e-9
    if zoomed.height_px > zoomed.frame_height:
        assert abs(zoomed.y_of(v) - y) <= 1.0


def test_pixels_and_places_are_inverse() -> None:
    view = VIEWPORT.zoomed(3.0, 100.0, 100.0).panned(-5000, 13)
    for x, y in ((0.0, 30.0), (1279.0, 200.0)):
        u, v = view.position(x, y)
        assert view.x_of(u) == pytest.approx(x)
        assert view.y_of(v) == pytest.approx(y)


# --- places round the ring


@pytest.mark.parametrize("name", ["flat", "dome"])
def test_angles_lie_where_the_strip_puts_them(name: str) -> None:
    strip = view_of(design_named(name)).built.strip
    crown = CrownLine(strip)
    for angle in (-180.0, -90.0, 0.0, 45.0, 180.0):
        (u,) = crown.u_at(crown.length_at(np.radians([angle])))
        x, y, _ = strip.point(np.array([u]), np.array([0.5 * strip.width]))[0]
        # direction(angle) = (-sin, cos, 0), head at +y.
        seen = np.degrees(np.arctan2(-x, y))
        assert abs((seen - angle + 180.0) % 360.0 - 180.0) < 0.5
    assert crown.u_at(crown.length_at(np.zeros(1)))[0] == pytest.approx(0.5 * strip.length, abs=1e-6)


def test_places_on_the_ring_are_found_on_the_strip() -> None:
    shaped = view_of(design_named("dome")).built
    point = shaped.strip.point(np.array([20.0]), np.array([6.0]))[0]
    place = strip_position(shaped, tuple(point))
    assert place is not None
    assert np.hypot(place[0] - 20.0, place[1] - 6.0) < 0.5
    assert strip_position(shaped, (3.0, 2.0)) == (3.0, 2.0)
    assert strip_position(shaped, None) is None


# --- changes


def test_areas_said_are_those_of_the_ring() -> None:
    from ringtex.checks.geometry.cell_measures import measure_cell_areas

    shaped = view_of(design_named("dome")).built
    measured = measure_cell_areas(shaped.solid, shaped.strip, shaped.pattern.tiling.cells)
    areas = areas_on_ring(shaped.pattern.tiling, shaped.strip)
    assert areas.max() == pytest.approx(measured.largest, rel=0.02)


def test_a_picture_is_shaded_by_its_own_slopes() -> None:
    # h = depth (1 + sin a u) / 2: the steepest slope is depth a / 2, and neighbouring squares differ by its curvature.
    samples = np.rint(65535 * (0.5 + 0.5 * np.sin(2.0 * np.pi * (np.arange(128) + 0.5) / 128.0)))[None, :].repeat(16, 0)
    grey = GreyOptions(picture_text(samples.astype(np.uint16)), smooth_mm=0.0)
    design = with_motif(design_named("flat"), MotifOptions("", fit="page", grey=grey))
    built = view_of(design).built
    assert built.pattern.motif is not None
    faces = relief_faces(built, True, np.zeros(0, np.int64))
    middle = faces.corners.reshape(-1, 4, 2).mean(axis=1)
    inner = np.abs(middle[:, 1] - 0.5 * built.strip.width) < 1.0
    turns = 2.0 * np.pi / built.pattern.motif.tile[0]
    slope = 0.5 * design.relief.depth_mm * turns * np.cos(turns * middle[inner, 0])
    drawn = -faces.normal[inner, 0] / faces.normal[inner, 2]
    scale = np.sqrt(built.strip.metric(middle[inner, 0], middle[inner, 1])[0])
    np.testing.assert_allclose(drawn * scale, slope, atol=0.01 * np.max(slope))


def disc(form: str) -> Design:
    """Twelve discs round the flat band."""
    circle = MultiPolygon([shapely.Point(0.5 * GRID, 0.5 * GRID).buffer(0.45 * GRID, quad_segs=64)])
    design = with_motif(design_named("flat"), MotifOptions(outline_text(circle), "disc", 10.0, 10.0))
    return replace(design, relief=replace(design.relief, form=form))


def test_domed_shapes_are_shaded_smoothly() -> None:
    # From a disc's middle outwards the slope grows steadily.
    built = view_of(disc("pillow")).built
    none = np.zeros(0, np.int64)
    flat, smooth = free_form_faces(built), relief_faces(built, True, none)
    areas = [shapely.area(shapely.polygons(faces.corners.reshape(-1, 3, 2))).sum() for faces in (flat, smooth)]
    assert areas[1] == pytest.approx(areas[0], rel=1e-9)
    assert smooth.count > 2 * flat.count
    outline = shapely.union_all(shapely.polygons(flat.corners.reshape(-1, 3, 2)[flat.cell == 0]))
    low_u, low_v, high_u, high_v = outline.bounds
    far = 0.5 * (high_u - low_u) * np.linspace(0.15, 0.9, 300)
    for turn in (0.1, 1.0, 2.3):
        u, v = 0.5 * (low_u + high_u) + far * np.cos(turn), 0.5 * (low_v + high_v) + far * np.sin(turn)
        jumps = []
        for faces in (flat, smooth):
            tree = shapely.STRtree(shapely.polygons(faces.corners.reshape(-1, 3, 2)))
            place, face = tree.query(shapely.points(u, v), predicate="intersects")
            lean = np.degrees(np.arccos(faces.normal[face[np.unique(place, return_index=True)[1]], 2]))
            jumps.append(np.abs(np.diff(lean)).max())
        # Facets of 3.5 degrees become steps of 1.4.
        assert jumps[1] < 0.5 * jumps[0]


def test_own_shapes_at_rest_are_those_of_the_finished_ring() -> None:
    """A draft leaves curved outlines by up to 0.03 mm, which is seen where the strip is enlarged."""
    draft, finished = (shape_ring(disc("pillow"), chord, Progress()) for chord in (0.03, 0.005))
    scene = StripScene(draft, is_draft=True)
    assert scene.awaits_finished
    scene.finish(finished)
    assert not scene.awaits_finished
    look = Look((315.0, 35.0), "silver")
    areas = []
    for fine in (False, True):
        (layer,) = scene.layers(look, fine, 30.0)[1]
        corners = np.split(layer.corners, layer.start[1:-1])
        areas.append(shapely.union_all([shapely.Polygon(each).buffer(1e-7) for each in corners]).area)
    layout = finished.pattern.motif
    assert isinstance(layout, MotifLayout)
    exact = shapely.area(shapely.union_all(shapely.get_parts(layout.shapes(range(layout.around)))))
    assert abs(areas[1] - exact) < 0.5 * abs(areas[0] - exact)
    # Cells are drawn from their tiling, and need not wait.
    assert not StripScene(view_of(design_named("flat")).built, is_draft=True).awaits_finished


@pytest.mark.parametrize("coloured", [False, True])
@pytest.mark.parametrize("design", [disc("pierced"), "hexagons"])
def test_what_is_pierced_is_drawn_as_an_opening(design: Design | str, coloured: bool) -> None:
    if isinstance(design, str):
        flat = design_named("flat")
        design = replace(flat, relief=replace(flat.relief, form="pierced"))
    built = view_of(design).built
    pierced = built.finished.pierced
    assert pierced is not None
    cells = built.pattern.tiling.cells
    overlay = OverlayColours(np.zeros(cells, np.int64), np.zeros((1, 3), np.uint8), (9, 9, 9)) if coloured else None
    look = Look((315.0, 35.0), "silver", overlay, behind=(10, 200, 30))
    _, layers = StripScene(built).layers(look, True, 30.0)
    shadow, light = layers[-2:]
    assert len(shadow.group) == pierced.count > 0
    assert light.colours[light.group[0]].tolist() == [10, 200, 30, 255]
    assert np.all(shadow.colours[shadow.group[0], :3] < light.colours[light.group[0], :3])
    holes = shapely.union_all([shapely.Polygon(each) for each in np.split(shadow.corners, shadow.start[1:-1])])
    lit = shapely.union_all([shapely.Polygon(each) for each in np.split(light.corners, light.start[1:-1])])
    # The light comes from the upper left, and so does the shadow's side of each hole.
    assert shapely.area(shapely.difference(lit, holes)) < 1e-9
    assert 0.3 * holes.area < lit.area < holes.area
    assert lit.centroid.x > holes.centroid.x
    assert lit.centroid.y < holes.centroid.y
    # While something moves the same openings are drawn without shadows.
    moving = StripScene(built).layers(look, False, 30.0)[1][-1]
    assert np.array_equal(moving.corners, shadow.corners)
    assert moving.colours[moving.group[0]].tolist() == [10, 200, 30, 255]


def test_nothing_else_has_openings() -> None:
    assert (
        len(StripScene(view_of(design_named("flat")).built).layers(Look((315.0, 35.0), "silver"), True, 30.0)[1]) == 1
    )
