"""The ring's view under the hand: real pointer and keys, judged by camera, state and pixels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from ring_pictures import (
    arrive,
    brick_view,
    canvas_of,
    drag,
    look,
    opened_ring,
    pixels,
    ring_mask,
)

from ringtex.basics.progress import Progress
from ringtex.export.picture.studio_light import material_of_alloy
from ringtex.make_ring import shape_ring
from ringtex.pattern.locate import cells_at
from ringtex.window.appearance.colours import LIGHT
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.building.view_state import ViewState
from ringtex.window.ring_view.ring_view import RingView


@pytest.fixture
def state() -> ViewState:
    return ViewState()


@pytest.fixture
def ring(qtbot: QtBot, state: ViewState, monkeypatch: pytest.MonkeyPatch) -> Iterator[RingView]:
    yield from opened_ring(qtbot, state, monkeypatch)


@pytest.fixture
def view() -> View:
    return brick_view()


def test_metal_is_in_the_middle_of_every_whole_view(qtbot: QtBot, ring: RingView) -> None:
    for name in ("three_quarter", "head", "palm", "side", "bore"):
        mask = ring_mask(look(qtbot, ring, name))
        rows, columns = np.nonzero(mask)
        assert mask.mean() > 0.08, name
        assert abs(0.5 * (columns.min() + columns.max()) / mask.shape[1] - 0.5) < 0.03, name
        assert abs(0.5 * (rows.min() + rows.max()) / mask.shape[0] - 0.5) < 0.06, name
        assert not mask[0].any(), name
        assert not mask[-1].any(), name


def test_side_looks_through_the_ring_and_head_does_not(qtbot: QtBot, ring: RingView, view: View) -> None:
    side = ring_mask(look(qtbot, ring, "side"))
    middle = (side.shape[0] // 2, side.shape[1] // 2)
    assert not side[middle]
    across = np.flatnonzero(side[middle[0]])
    hole = np.diff(across).max()
    # The hole's share of the ring's width is the bore over the outer diameter.
    outer = np.hypot(*view.positions[:, :2].T).max()
    assert hole / np.ptp(across) == pytest.approx(view.built.strip.band.bore_radius_mm / outer, abs=0.04)
    assert ring_mask(look(qtbot, ring, "head"))[middle]


def test_seam_view_looks_at_minus_y_and_the_line_is_in_its_middle(
    qtbot: QtBot, ring: RingView, state: ViewState
) -> None:
    state.show_seam()
    arrive(qtbot, ring)
    assert ring.camera is not None
    assert ring.camera.axes[2] == pytest.approx([0.0, -1.0, 0.0], abs=1e-9)
    before = pixels(ring)
    qtbot.mouseClick(ring.row.seam_line, Qt.MouseButton.LeftButton)
    qtbot.wait(60)
    changed = np.nonzero(np.abs(pixels(ring) - before).sum(axis=2) > 60)[1]
    assert len(changed) > 50
    # A picture that was refined meanwhile differs along edges, too.
    assert (np.abs(changed - before.shape[1] / 2) < 4).mean() > 0.95


def test_left_drag_turns_and_middle_drag_moves(qtbot: QtBot, ring: RingView) -> None:
    canvas, before = canvas_of(ring), pixels(ring)
    pose = canvas.controller.camera
    drag(qtbot, canvas, QPoint(200, 180), QPoint(60, 10), Qt.MouseButton.LeftButton)
    turned = canvas.controller.camera
    assert np.array_equal(turned.target, pose.target)
    assert float(turned.axes[2] @ pose.axes[2]) == pytest.approx(np.cos(np.radians(0.45 * np.hypot(60, 10))), abs=0.02)
    assert (np.abs(pixels(ring) - before).sum(axis=2) > 40).mean() > 0.05
    drag(qtbot, canvas, QPoint(200, 180), QPoint(40, 0), Qt.MouseButton.MiddleButton)
    moved = canvas.controller.camera
    assert np.array_equal(moved.axes, turned.axes)
    assert moved.projected(pose.target, canvas.width(), canvas.height())[0] == pytest.approx(canvas.width() / 2 + 40)


def test_wheel_comes_nearer_at_the_pointer(qtbot: QtBot, ring: RingView) -> None:
    canvas = canvas_of(ring)
    at = QPointF(130.0, 90.0)
    pose = canvas.controller.camera
    origin, direction = pose.ray(at.x(), at.y(), canvas.width(), canvas.height())
    place = origin + direction * pose.distance / -float(direction @ pose.axes[2])
    event = QWheelEvent(
        at, QPointF(canvas.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, 240), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(canvas, event)
    nearer = canvas.controller.camera
    assert nearer.distance < 0.75 * pose.distance
    assert nearer.projected(place, canvas.width(), canvas.height()) == pytest.approx((130.0, 90.0), abs=1e-6)


def test_keys_turn_and_show_views(qtbot: QtBot, ring: RingView) -> None:
    canvas = canvas_of(ring)
    before = canvas.controller.camera.axes
    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    assert not np.allclose(canvas.controller.camera.axes, before)
    qtbot.keyClick(canvas, Qt.Key.Key_1)
    arrive(qtbot, ring)
    assert canvas.controller.camera.axes[2][1] > 0.99
    qtbot.keyClick(canvas, Qt.Key.Key_Home)
    arrive(qtbot, ring)
    assert canvas.controller.camera.axes == pytest.approx(before)


def test_the_camera_stays_when_the_ring_changes(qtbot: QtBot, ring: RingView, view: View) -> None:
    canvas = canvas_of(ring)
    drag(qtbot, canvas, QPoint(200, 180), QPoint(50, -30), Qt.MouseButton.LeftButton)
    pose, before = canvas.controller.camera, pixels(ring)
    ring.show_view(replace(view, is_draft=False))
    qtbot.wait(60)
    assert canvas.controller.camera is pose
    assert np.array_equal(pixels(ring), before)


def test_the_pointer_names_the_cell_and_the_place(qtbot: QtBot, ring: RingView, state: ViewState, view: View) -> None:
    look(qtbot, ring, "head")
    canvas = canvas_of(ring)
    pose = canvas.controller.camera
    cells = view.built.pattern.tiling.kernel[0]
    strip = view.built.strip
    points, _, _, normals = strip.jacobian(cells[:, 0], cells[:, 1])
    tried = 0
    for cell in np.flatnonzero(normals @ pose.axes[2] > 0.95)[:6]:
        x, y = pose.projected(points[cell], canvas.width(), canvas.height())
        qtbot.mouseMove(canvas, QPoint(round(x), round(y)))
        qtbot.wait(20)
        assert state.hovered_cell == cell
        assert state.hovered_place is not None
        assert state.hovered_place == pytest.approx(tuple(cells[cell]), abs=0.45)
        tried += 1
    assert tried >= 4
    qtbot.mouseMove(canvas, QPoint(3, 3))
    qtbot.wait(20)
    assert state.hovered_cell is None


def test_a_hovered_cell_glows_and_nothing_else(qtbot: QtBot, ring: RingView, state: ViewState, view: View) -> None:
    before = look(qtbot, ring, "head")
    pose, canvas = canvas_of(ring).controller.camera, canvas_of(ring)
    cells = view.built.pattern.tiling.kernel[0]
    point, _, _, normal = view.built.strip.jacobian(cells[:, 0], cells[:, 1])
    cell = int(np.argmax(normal @ pose.axes[2]))
    state.set_hovered_cell(cell)
    qtbot.wait(60)
    glowing = pixels(ring)
    changed = np.abs(glowing - before).sum(axis=2) > 30
    x, y = pose.projected(point[cell], canvas.width(), canvas.height())
    rows, columns = np.nonzero(changed)
    assert changed[round(y), round(x)]
    assert 0.002 < changed.mean() < 0.05
    assert abs(rows.mean() - y) < 6
    assert abs(columns.mean() - x) < 6
    # The glow is the accent's hue: bluer than red, which gold never is.
    assert glowing[round(y), round(x), 2] > glowing[round(y), round(x), 0]
    state.set_hovered_cell(None)
    qtbot.wait(60)
    assert np.array_equal(pixels(ring), before)


def test_a_shown_place_comes_to_the_middle_and_is_marked(
    qtbot: QtBot, ring: RingView, state: ViewState, view: View
) -> None:
    place = (0.25 * view.built.strip.length, 0.5 * view.built.strip.width)
    state.show_place(place)
    arrive(qtbot, ring)
    point = view.built.strip.jacobian(np.array([place[0]]), np.array([place[1]]))[0][0]
    canvas = canvas_of(ring)
    seen = canvas.controller.camera.projected(point, canvas.width(), canvas.height())
    assert seen == pytest.approx((canvas.width() / 2, canvas.height() / 2), abs=1.0)
    shown = pixels(ring)
    accent = QColor(LIGHT.accent)
    mark = np.abs(shown - [accent.red(), accent.green(), accent.blue()]).max(axis=2) <= 4
    rows, columns = np.nonzero(mark)
    assert len(rows) > 20
    assert abs(rows.mean() - shown.shape[0] / 2) < 12
    assert abs(columns.mean() - shown.shape[1] / 2) < 12


def test_the_ring_has_its_alloys_colour_until_another_is_chosen(
    qtbot: QtBot, ring: RingView, state: ViewState, view: View
) -> None:
    def gold() -> float:
        shown = pixels(ring)
        return float(np.mean(shown.max(axis=2) - shown.min(axis=2)))

    state.set_finish("alloy")
    assert state.material == material_of_alloy(view.design.make.alloy)
    for alloy, material in (("silver_925", "silver"), ("gold_750_yellow", "yellow_gold")):
        make = replace(view.design.make, alloy=alloy)
        ring.show_view(replace(view, design=replace(view.design, make=make)))
        qtbot.wait(60)
        assert state.material == material
        assert (gold() > 8.0) == (material == "yellow_gold")
    state.set_finish("silver")
    qtbot.wait(60)
    assert state.material == "silver"
    assert gold() < 8.0


def test_marks_go_with_what_they_marked(qtbot: QtBot, ring: RingView, state: ViewState, view: View) -> None:
    state.set_hovered_cell(view.built.pattern.tiling.cells - 1)
    state.show_place((0.25 * view.built.strip.length, 0.5 * view.built.strip.width))
    qtbot.wait(60)
    assert ring._spot is not None
    ring.show_view(replace(view, is_draft=False))  # the same design, made finely: the mark stays
    assert ring._spot is not None
    make = replace(view.design.make, alloy="gold_750_rose")
    ring.show_view(replace(view, design=replace(view.design, make=make)))
    assert ring._spot is None
    assert state.hovered_cell is not None
    tiling = replace(view.built.pattern.tiling, cell_start=view.built.pattern.tiling.cell_start[:3])
    built = replace(view.built, pattern=replace(view.built.pattern, tiling=tiling))
    ring.show_view(replace(view, built=built))
    assert state.hovered_cell is None


def test_the_hovered_cell_is_the_one_under_the_pointer_of_each_new_ring(
    qtbot: QtBot, ring: RingView, state: ViewState, view: View
) -> None:
    """A ring of fewer cells comes while the pointer rests, as by undo or another file."""
    look(qtbot, ring, "head")
    canvas = canvas_of(ring)
    qtbot.mouseMove(canvas, QPoint(canvas.width() // 2 + 30, canvas.height() // 2))
    qtbot.waitUntil(lambda: state.hovered_cell is not None)
    before = state.hovered_cell
    fewer = replace(view.design, pattern=replace(view.design.pattern, around=view.design.pattern.around - 9))
    other = make_view(shape_ring(fewer, 0.05, Progress()), is_draft=True)
    ring.show_view(other)
    assert state.hovered_place is not None
    tiling = other.built.pattern.tiling
    (under,) = cells_at(tiling, np.array([state.hovered_place])).tolist()
    assert state.hovered_cell == under
    assert under != before


@pytest.mark.parametrize("name", ["three_quarter", "head", "side", "bore", "palm"])
def test_a_cut_shows_its_face_from_every_view(qtbot: QtBot, ring: RingView, name: str) -> None:
    look(qtbot, ring, name)
    ring.row.cut.click()
    cut, controller = ring._cut, canvas_of(ring).controller
    assert cut is not None
    assert cut.plane is not None
    qtbot.waitUntil(lambda: cut.kept_side is not None and controller.camera.axes[2] @ cut.kept_side < -0.5)
    drag(qtbot, canvas_of(ring), QPoint(100, 180), QPoint(300, 0), Qt.MouseButton.LeftButton)
    assert float(controller.camera.eye @ cut.kept_side) <= 0.0
    # Chosen while the ring is cut, and cut while the camera is still on its way.
    ring.show_from(name)
    assert controller.destination.axes[2] @ cut.plane.facing(controller.destination.eye).kept_side < -0.5
    ring.row.cut.click()
    ring.show_from(name)
    ring.row.cut.click()
    qtbot.waitUntil(lambda: controller.destination is controller.camera)
    assert controller.camera.axes[2] @ cut.kept_side < -0.5
