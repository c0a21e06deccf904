"""What the tests of the ring's view share: a ring in an open view, and reading its picture."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from ringtex.basics.arrays import Longs
from ringtex.basics.progress import Progress
from ringtex.design.design_file import read_design
from ringtex.export.picture.crease_normals import vertex_normals
from ringtex.make_ring import shape_ring
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.building.view_state import ViewState
from ringtex.window.ring_view import camera_controller
from ringtex.window.ring_view.opengl import gl_canvas
from ringtex.window.ring_view.opengl.gl_canvas import GlCanvas
from ringtex.window.ring_view.opengl.gl_program import opengl_kind
from ringtex.window.ring_view.ring_view import RingView

ROOT = Path(__file__).resolve().parents[2]
PICTURES = Path(__file__).parent / "pictures"


@cache
def brick_view() -> View:
    """A half-round brick ring of 44 thousand triangles, as the window gets it."""
    design = read_design(ROOT / "demo_patterns" / "half_round.ring.json")
    return make_view(shape_ring(design, 0.02, Progress()), is_draft=True)


def opened_ring(qtbot: QtBot, state: ViewState, monkeypatch: pytest.MonkeyPatch) -> Iterator[RingView]:
    """An open view with the brick ring in it, for as long as a test takes."""
    if opengl_kind() is None:
        pytest.fail("no OpenGL here: give Xvfb +extension GLX and install libgl1-mesa-dri")
    # Plain pictures only, so that two of the same thing are equal whether or not there was time to refine one.
    monkeypatch.setattr(gl_canvas, "_CHEAP_SECONDS", 0.0)
    monkeypatch.setattr(camera_controller, "TRAVEL_MS", 1)  # a busy machine takes any time for it
    state.set_finish("yellow_gold")  # which stands out from the background
    shown = RingView(state)
    qtbot.addWidget(shown)
    shown.resize(480, 420)
    shown.show()
    qtbot.waitExposed(shown)
    shown.show_view(brick_view())
    shown.show_from("three_quarter")
    assert shown.has_opengl
    arrive(qtbot, shown)
    yield shown
    shown.release()


def canvas_of(ring: RingView) -> GlCanvas:
    assert isinstance(ring.canvas, GlCanvas)
    return ring.canvas


def arrive(qtbot: QtBot, ring: RingView) -> None:
    """Wait until the camera is where it was sent, and what was asked for is drawn."""
    controller = canvas_of(ring).controller
    qtbot.waitUntil(lambda: controller.destination is controller.camera)
    qtbot.wait(20)


def make_as_high(qtbot: QtBot, ring: RingView, height: int) -> None:
    """Give the picture this height: the row beside it is as high as the machine's font makes it."""
    ring.resize(480, ring.height() + height - canvas_of(ring).height())
    qtbot.waitUntil(lambda: canvas_of(ring).height() == height)


def pixels(ring: RingView) -> Longs:
    """(h, w, 3) what is drawn now."""
    return array_of(ring.picture())


def array_of(image: QImage) -> Longs:
    image = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(np.int64)


def ring_mask(picture: Longs) -> NDArray[np.bool_]:
    """Pixels that are not the calm background: gold is far from grey, or far darker."""
    spread = picture.max(axis=2) - picture.min(axis=2)
    return np.asarray((spread > 25) | (picture.max(axis=2) < 200))


def look(qtbot: QtBot, ring: RingView, name: str) -> Longs:
    ring.show_from(name)
    arrive(qtbot, ring)
    return pixels(ring)


def drag(qtbot: QtBot, widget: QWidget, start: QPoint, move: QPoint, button: Qt.MouseButton) -> None:
    qtbot.mousePress(widget, button, pos=start)
    for step in range(1, 5):
        at = QPointF(start + move * step / 4)
        # QTest.mouseMove carries no buttons, so the event is made by hand and sent through the application.
        event = QMouseEvent(
            QMouseEvent.Type.MouseMove, at, QPointF(widget.mapToGlobal(at.toPoint())), Qt.MouseButton.NoButton, button,
            Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QApplication.sendEvent(widget, event)
    qtbot.mouseRelease(widget, button, pos=start + move)
    qtbot.wait(60)


def torus_view(view: View, around: int, across: int) -> View:
    """A View with a torus of 2 * around * across triangles for its mesh."""
    a, b = np.meshgrid(
        np.linspace(0, 2 * np.pi, around, endpoint=False),
        np.linspace(0, 2 * np.pi, across, endpoint=False),
        indexing="ij",
    )
    radius = 10.0 + 1.5 * np.cos(b)
    positions = np.stack((-radius * np.sin(a), radius * np.cos(a), 3.0 * np.sin(b)), axis=-1).reshape(-1, 3)
    i, j = np.meshgrid(np.arange(around), np.arange(across), indexing="ij")
    k, m = (i + 1) % around, (j + 1) % across
    corners = [part * across + other for part, other in ((i, j), (k, j), (k, m), (i, m))]
    quads = np.stack(corners, axis=-1).reshape(-1, 4)
    triangles = np.concatenate((quads[:, :3], quads[:, [0, 2, 3]])).astype(np.uint32)
    built = view.built
    mesh = replace(built.solid.mesh, vertices=positions, faces=triangles.astype(np.int32))
    solid = replace(built.solid, mesh=mesh, strip_positions=built.solid.strip_positions[:1])
    return replace(
        view,
        built=replace(built, solid=solid),
        positions=positions.astype(np.float32),
        normals=vertex_normals(positions, triangles),
        triangles=triangles,
        cell_of_triangle=np.full(len(triangles), -1, dtype=np.int32),
        ring_triangle=np.full(len(triangles), -1, dtype=np.int32),
        places=np.full((len(positions), 3), np.nan),
        mesh_vertex=None,
    )


def memory_mb() -> float:
    """Resident memory of this process."""
    import gc

    gc.collect()
    with open("/proc/self/statm", encoding="ascii") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 2**20


def refine(qtbot: QtBot, ring: RingView, monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait for the fine picture, however slowly it is drawn."""
    monkeypatch.setattr(gl_canvas, "_CHEAP_SECONDS", 60.0)
    canvas_of(ring).refresh()
    qtbot.waitUntil(lambda: canvas_of(ring).refined, timeout=20_000)
