"""Finished rings as both views have them: places, metal, stones drawn and placed on the ring."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import igl
import numpy as np
import pytest

pytest.importorskip("PySide6")

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot
from ring_pictures import canvas_of

from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.make_ring import ShapedRing, shape_ring
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.stone_options import Proportions, Stone
from ringtex.solid.finishing.stone_seats import set_stones
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.building.finished_positions import nearest_place
from ringtex.window.building.view_state import ViewState
from ringtex.window.overlays.overlay_values import overlay_values
from ringtex.window.overlays.wall_thickness import metal_over_bore, wall_thickness
from ringtex.window.ring_view.opengl.brilliant import facets, stone_triangles
from ringtex.window.ring_view.ring_view import RingView

DEMOS = Path(__file__).resolve().parents[2] / "demo_patterns"
CHORD_MM = 0.03


def demo(name: str) -> Design:
    return read_design(DEMOS / f"{name}.ring.json")


@cache
def hollow_dome() -> ShapedRing:
    return shape_ring(demo("hollow_dome"), CHORD_MM, Progress())


@cache
def view_of(built: ShapedRing) -> View:
    return make_view(built, is_draft=True)


# --- where things lie


def test_places_of_a_finished_ring_lead_back_to_its_vertices() -> None:
    built = hollow_dome()
    view = view_of(built)
    known = np.flatnonzero(np.isfinite(view.places[:, 0]))
    u, v, h = view.places[known].T
    away = np.linalg.norm(built.strip.shell_map(u, v, h) - built.finished.mesh.vertices[known], axis=1)
    # Vertices that a cut made lie on a triangle, which keeps within the chord of the face.
    assert away.max() < 2.0 * CHORD_MM
    assert len(known) > 0.5 * len(built.solid.strip_positions)


def test_triangles_of_cells_keep_their_cells() -> None:
    built = hollow_dome()
    view = view_of(built)
    ring = view.ring_triangle >= 0
    assert np.all(view.cell_of_triangle[~ring] == -1)
    assert set(np.unique(view.cell_of_triangle)) == {-1, *range(built.pattern.tiling.cells)}
    assert len(view.triangles) == len(built.finished.mesh.faces)


def test_the_place_of_a_collar_is_the_stones(qtbot: QtBot) -> None:
    built = hollow_dome()
    each = built.finished.stones[1]
    u, v = nearest_place(built, each.place.table)
    assert u == pytest.approx(each.stone.u * built.strip.length, abs=0.05)
    assert v == pytest.approx(each.stone.v * built.strip.width, abs=0.05)


# --- metal


def test_metal_over_a_hollow_is_measured_as_another_library_does() -> None:
    """libigl's exact distance from points to a mesh, Apache/MPL reference."""
    built = hollow_dome()
    finished = built.finished
    metal = wall_thickness(built)
    hollow = finished.mesh.faces[finished.original_id == 1]
    assert finished.hollow is not None
    number = np.flatnonzero(np.isfinite(metal))
    number = number[np.random.default_rng(4).permutation(len(number))[:2000]]
    squared = igl.point_mesh_squared_distance(
        finished.mesh.vertices[number], finished.mesh.vertices, hollow.astype(np.int64)
    )[0]
    exact = np.sqrt(squared)
    over = exact < metal_over_bore(built)[number]
    assert np.count_nonzero(over) > 300
    np.testing.assert_allclose(metal[number][over], exact[over], atol=0.02)
    assert np.all(metal[number] <= exact + 0.02)


def test_the_thickness_overlay_shows_the_hollows_wall() -> None:
    full = view_of(shape_ring(replace(demo("hollow_dome"), hollow=None), CHORD_MM, Progress()))
    thick, thin = overlay_values(full, "thickness"), overlay_values(view_of(hollow_dome()), "thickness")
    assert thick is not None
    assert thin is not None
    head = int(np.argmin(np.abs(full.built.pattern.tiling.kernel[0][:, 0] - 0.5 * full.built.strip.length)))
    assert thick.per_cell[head] > 2.0
    assert thin.per_cell[head] == pytest.approx(1.0, abs=0.15)
    assert "hollow" in thin.title


def test_cells_that_are_cut_through_have_no_metal_to_show() -> None:
    view = view_of(shape_ring(demo("pierced_signet"), CHORD_MM, Progress()))
    for name in ("stretch", "cell_size", "thickness", "findings"):
        values = overlay_values(view, name)
        assert values is not None
        assert values.per_vertex.shape == (len(view.positions),)
    thickness = overlay_values(view, "thickness")
    assert thickness is not None
    assert np.any(np.isnan(thickness.per_cell))
    assert np.nanmin(thickness.per_cell) > 0.0


# --- stones on the ring


def test_facets_are_tolkowskys() -> None:
    """Crown 34.5 and pavilion 40.75 degrees, table 53 %, depth 16.2 + 43.1 % without the girdle: Tolkowsky 1919."""
    shape = Proportions()
    corners = facets(shape)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lean = np.degrees(np.arccos(np.abs(normal[:, 2]) / np.linalg.norm(normal, axis=1)))
    assert np.count_nonzero(np.isclose(lean, 34.5)) == 16
    assert np.count_nonzero(np.isclose(lean, 40.75)) == 16
    assert np.ptp(corners[:, :, 2]) == pytest.approx(0.162 + 0.431 + shape.girdle, abs=0.001)
    # Closed and turned outwards: its volume is nearly that of the turned stone.
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6.0
    built = hollow_dome()
    turned = set_stones(built.strip, [Stone(0.5, 0.5, 1.0)], 0.0)[0].body.volume
    assert volume == pytest.approx(turned, rel=0.05)


def test_stones_are_drawn_where_they_are_set() -> None:
    stones = hollow_dome().finished.stones
    corners, normals = stone_triangles(stones)
    assert corners.shape == normals.shape == (len(stones) * len(facets(Proportions())) * 3, 3)
    assert np.linalg.norm(corners[0] - stones[0].place.table) < 1e-5, "the table's middle comes first"
    np.testing.assert_allclose(normals[0], stones[0].place.axis, atol=1e-5)


@pytest.fixture
def ring(qtbot: QtBot) -> RingView:
    state = ViewState()
    state.set_finish("yellow_gold")
    made = RingView(state)
    if not made.has_opengl:
        pytest.skip("no OpenGL here")
    qtbot.addWidget(made)
    made.resize(600, 500)
    made.show()
    qtbot.waitExposed(made)
    made.state = state  # type: ignore[attr-defined]
    return made


def _middle(ring: RingView) -> np.ndarray:
    image = ring.picture()
    x, y, half = image.width() // 2, image.height() // 2, 3
    pixels = [image.pixelColor(x + a, y + b) for a in range(-half, half + 1) for b in range(-half, half + 1)]
    return np.array([(pixel.red(), pixel.green(), pixel.blue()) for pixel in pixels], dtype=float).mean(axis=0)


def test_a_stone_is_seen_on_the_ring(qtbot: QtBot, ring: RingView) -> None:
    built = shape_ring(replace(demo("plain_flat"), stones=(Stone(0.5, 0.5, 4.0),)), CHORD_MM, Progress())
    ring.show_view(view_of(built))
    canvas_of(ring).controller.show_from("head", at_once=True)
    qtbot.wait(200)
    glass = _middle(ring)
    assert glass[2] > glass[0] - 25, "glass, not gold"
    bare = shape_ring(demo("plain_flat"), CHORD_MM, Progress())
    ring.show_view(view_of(bare))
    qtbot.wait(200)
    gold = _middle(ring)
    assert gold[0] - gold[2] > 40


def test_a_click_on_the_ring_places_and_a_drag_does_not(qtbot: QtBot, ring: RingView) -> None:
    built = shape_ring(demo("plain_flat"), CHORD_MM, Progress())
    ring.show_view(view_of(built))
    canvas = canvas_of(ring)
    canvas.controller.show_from("head", at_once=True)
    qtbot.wait(100)
    finishing = ring.state.finishing  # type: ignore[attr-defined]
    told: list[tuple[float, float]] = []
    finishing.place_clicked.connect(lambda u, v: told.append((u, v)))
    length, width = built.strip.length, built.strip.width
    head = built.strip.point(np.array([0.52 * length]), np.array([0.45 * width]))[0]
    middle = QPointF(*canvas.controller.camera.projected(head, canvas.width(), canvas.height())).toPoint()
    QTest.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=middle)
    assert told == [], "a click does what it always does"
    finishing.set_placing("stone")
    assert canvas.cursor().shape() == Qt.CursorShape.CrossCursor
    assert ring.placing.hint.isVisible()
    QTest.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=middle)
    assert len(told) == 1
    assert told[0] == pytest.approx((0.52 * length, 0.45 * width), abs=0.2)
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=middle)
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=middle + QPoint(40, 0))
    QTest.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=QPoint(4, 4))
    assert len(told) == 1
    QTest.mouseClick(ring.placing.hint.done, Qt.MouseButton.LeftButton)
    assert finishing.placing is None
    assert not ring.placing.hint.isVisible()


def test_a_plain_place_is_pointed_at_like_the_face_it_lies_in() -> None:
    built = shape_ring(replace(demo("plain_flat"), plain=(PlainPlace(0.5, 0.5, 4.0),)), CHORD_MM, Progress())
    strip = built.strip
    point = strip.shell_map(np.array([0.51 * strip.length]), np.array([0.45 * strip.width]), np.array([-0.2]))[0]
    assert nearest_place(built, point) == pytest.approx((0.51 * strip.length, 0.45 * strip.width), abs=0.02)
