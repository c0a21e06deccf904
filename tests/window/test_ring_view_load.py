"""The ring's view under load: large meshes, many rebuilds, several views, a card that fails."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication, QHBoxLayout, QWidget
from pytestqt.qtbot import QtBot
from ring_pictures import (
    array_of,
    brick_view,
    canvas_of,
    memory_mb,
    opened_ring,
    pixels,
    ring_mask,
    torus_view,
)

from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.ring_view.opengl.gl_program import opengl_kind
from ringtex.window.ring_view.ring_positions import RingPositions
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


def test_upload_of_half_a_million_triangles(
    qtbot: QtBot, ring: RingView, view: View, capsys: pytest.CaptureFixture[str]
) -> None:
    big = torus_view(view, 1000, 250)
    assert len(big.triangles) == 500_000
    canvas = canvas_of(ring)
    uploads, frames = [], []
    for _ in range(5):
        canvas.show_view(big, np.ones(len(big.positions), dtype=np.float32))
        canvas.repaint()
        qtbot.wait(10)
        uploads.append(1e3 * canvas.upload_seconds)
        frames.append(1e3 * canvas.frame_seconds)
    kind = opengl_kind()
    with capsys.disabled():
        print(f"\nupload of 500 k triangles: {np.median(uploads):.1f} ms; frame {np.median(frames):.0f} ms ({kind})")
    assert np.median(uploads) < 15.0


def test_two_hundred_rebuilds_leak_nothing(
    qtbot: QtBot, ring: RingView, view: View, capsys: pytest.CaptureFixture[str]
) -> None:
    canvas = canvas_of(ring)
    canvas.resize(60, 50)
    meshes = [torus_view(view, 300, 60), torus_view(view, 310, 50)]

    def rebuild(times: int) -> None:
        for count in range(times):
            ring.show_view(replace(meshes[count % 2], is_draft=bool(count % 2)))
            canvas.repaint()
            QApplication.processEvents()

    rebuild(20)
    before = memory_mb()
    rebuild(200)
    grown = memory_mb() - before
    with capsys.disabled():
        print(f"\nmemory after 20 rebuilds {before:.0f} MB, after 200 more {grown:+.1f} MB")
    assert grown < 25.0


def test_several_views_and_another_parent(qtbot: QtBot, ring: RingView, state: ViewState, view: View) -> None:
    before = pixels(ring)
    for _ in range(3):
        gold = ViewState()
        gold.set_finish("yellow_gold")
        other = RingView(gold)
        other.resize(200, 180)
        other.show()
        qtbot.waitExposed(other)
        other.show_view(view)
        qtbot.wait(40)
        assert ring_mask(array_of(other.picture())).mean() > 0.05
        other.release()
        other.close()
        other.deleteLater()
        qtbot.wait(20)
    assert np.array_equal(pixels(ring), before)
    house = QWidget()
    qtbot.addWidget(house)
    QHBoxLayout(house).addWidget(ring)
    house.resize(500, 440)
    house.show()
    qtbot.waitExposed(house)
    qtbot.wait(250)
    assert ring.has_opengl
    assert ring_mask(pixels(ring)).mean() > 0.08
    ring.setParent(None)
    ring.show()
    qtbot.wait(100)
    assert ring_mask(pixels(ring)).mean() > 0.08


def test_a_broken_shader_is_answered_with_pictures(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, state: ViewState, view: View
) -> None:
    from ringtex.window.ring_view.opengl import ring_scene

    monkeypatch.setattr(ring_scene, "RING_FRAGMENT", "#version 330 core\nvoid main() { this is no shader; }")
    shown = RingView(state)
    qtbot.addWidget(shown)
    shown.resize(320, 280)
    shown.show()
    shown.show_view(view)
    qtbot.waitUntil(lambda: not shown.has_opengl, timeout=5000)
    qtbot.waitUntil(lambda: not shown.picture().isNull(), timeout=60_000)
    assert ring_mask(array_of(shown.picture())).mean() > 0.05
    shown.release()


def test_a_large_mesh_is_made_ready_for_the_pointer_beside_the_window(qtbot: QtBot, view: View) -> None:
    places = RingPositions(torus_view(view, 1000, 250))
    origin, direction = np.array([0.0, 40.0, 0.0]), np.array([0.0, -1.0, 0.0])
    # Nothing is found yet, because nothing was waited for.
    assert places.first_on(origin, direction) is None
    qtbot.waitUntil(lambda: places.first_on(origin, direction) is not None, timeout=10_000)
    hit = places.first_on(origin, direction)
    assert hit is not None
    assert hit.place == pytest.approx([0.0, 11.5, 0.0], abs=0.01)
