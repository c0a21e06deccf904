"""How the ring looks: metal, light, cut, overlays, and the pictures approved by eye."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot
from ring_pictures import (
    PICTURES,
    array_of,
    arrive,
    brick_view,
    canvas_of,
    look,
    make_as_high,
    opened_ring,
    pixels,
    refine,
    ring_mask,
)

from ringtex.export.picture.camera import Camera, camera_axes
from ringtex.window.appearance.colours import DARK, LIGHT
from ringtex.window.building.drawable_ring import View
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


@pytest.mark.parametrize("dark", [False, True])
def test_only_the_metal_shines(qtbot: QtBot, ring: RingView, state: ViewState, dark: bool) -> None:
    state.set_dark(dark)
    qtbot.wait(60)
    shown = pixels(ring)
    corner = shown[-30:, :30].reshape(-1, 3)
    ground = QColor((DARK if dark else LIGHT).window)
    assert corner.mean(axis=0) == pytest.approx([ground.red(), ground.green(), ground.blue()], abs=8)
    assert corner.std() < 6
    spread = shown.max(axis=2) - shown.min(axis=2)
    metal = shown[spread > 25].mean(axis=1)
    # Polished metal goes from nearly dark to nearly white.
    assert np.percentile(metal, 2) < 75
    assert np.percentile(metal, 99) > 190


def test_every_finish_has_its_own_colour(qtbot: QtBot, ring: RingView, state: ViewState) -> None:
    mask = ring_mask(pixels(ring))
    means = {}
    for finish in ("yellow_gold", "rose_gold", "white_gold", "silver", "platinum", "wax"):
        state.set_finish(finish)
        qtbot.wait(60)
        means[finish] = pixels(ring)[mask].mean(axis=0)
    red, green, blue = means["yellow_gold"]
    assert red > green > blue + 40
    assert means["rose_gold"][0] > means["rose_gold"][2] + 15
    assert means["rose_gold"][2] > blue
    assert np.ptp(means["silver"]) < 8
    assert means["silver"].mean() > means["platinum"].mean() + 6
    assert means["white_gold"][0] > means["white_gold"][2] + 3
    assert means["wax"][1] > means["wax"][0] + 40


def test_low_light_rakes(qtbot: QtBot, ring: RingView, state: ViewState) -> None:
    """Light from the left and low: faces that look left are lighter than those that look right."""
    look(qtbot, ring, "palm")

    def halves() -> float:
        shown = pixels(ring)
        mask = ring_mask(shown)
        middle = shown.shape[1] // 2
        left, right = shown[:, :middle][mask[:, :middle]].mean(), shown[:, middle:][mask[:, middle:]].mean()
        return float(left - right)

    handle = ring.light_handle
    qtbot.mouseClick(handle, Qt.MouseButton.LeftButton, pos=QPoint(9, 28))
    qtbot.wait(60)
    assert state.light == pytest.approx((270.0, 15.0), abs=16.0)
    from_left = halves()
    qtbot.mouseClick(handle, Qt.MouseButton.LeftButton, pos=QPoint(47, 28))
    qtbot.wait(60)
    assert from_left > 20
    assert halves() < -20


def test_overlay_colours_and_legend(qtbot: QtBot, ring: RingView, state: ViewState) -> None:
    before = pixels(ring)
    state.set_overlay("thickness")
    qtbot.waitUntil(ring.legend.isVisible, timeout=10_000)
    qtbot.wait(60)
    assert (np.abs(pixels(ring) - before).sum(axis=2) > 60).mean() > 0.03
    state.set_overlay("none")
    qtbot.wait(60)
    assert ring.legend.isHidden()
    assert np.array_equal(pixels(ring), before)


def test_the_resting_picture_is_finer(qtbot: QtBot, ring: RingView, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = pixels(ring)
    refine(qtbot, ring, monkeypatch)
    fine = pixels(ring)
    # The same picture, but neighbours along edges differ by less.
    assert np.abs(fine - plain).mean() < 4.0
    steps = [np.abs(np.diff(picture.sum(axis=2), axis=1)) for picture in (plain, fine)]
    assert (steps[1] > 240).sum() < 0.7 * (steps[0] > 240).sum()


APPROVED: dict[str, Callable[[RingView, ViewState], object]] = {
    "ring_whole_yellow_gold": lambda ring, state: None,
    "ring_head_silver_dark": lambda ring, state: (
        ring.show_from("head"), state.set_finish("silver"), state.set_dark(True)
    ),
    "ring_seam_raking_rose_gold": lambda ring, state: (
        ring.show_from("seam"), state.set_finish("rose_gold"), state.set_light(280.0, 8.0)
    ),
    "ring_cut_platinum": lambda ring, state: (state.set_finish("platinum"), ring.row.cut.toggle()),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(APPROVED))
def test_approved_pictures(
    qtbot: QtBot, ring: RingView, state: ViewState, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """As approved by eye; ring_captions.md says what must be seen. Set RINGTEX_APPROVE=1 to take them anew."""
    APPROVED[name](ring, state)
    arrive(qtbot, ring)
    file = PICTURES / f"{name}.png"
    make_as_high(qtbot, ring, QImage(str(file)).height() or 375)
    refine(qtbot, ring, monkeypatch)
    if os.environ.get("RINGTEX_APPROVE"):
        assert ring.picture().save(str(file))
    shown, approved = pixels(ring), array_of(QImage(str(file)))
    assert shown.shape == approved.shape
    # Renderers round differently and edges fall either side of a pixel; a wrong light or view changes far more.
    assert np.abs(shown - approved).mean() < 4.0
    assert (np.abs(shown - approved).max(axis=2) > 48).mean() < 0.02


def test_the_cut_is_filled_with_a_flat_colour(qtbot: QtBot, ring: RingView, view: View) -> None:
    before = ring_mask(pixels(ring))
    qtbot.keyClick(canvas_of(ring), Qt.Key.Key_C)
    qtbot.wait(60)
    assert ring.row.slider.isVisible()
    opened = pixels(ring)
    accent = QColor(LIGHT.accent)
    cap = np.abs(opened - [accent.red(), accent.green(), accent.blue()]).max(axis=2) <= 3
    assert cap.sum() > 150
    assert ring_mask(opened).sum() < 0.75 * before.sum()
    ring.row.slider.setValue(60)
    qtbot.wait(60)
    assert np.abs(pixels(ring) - opened).sum(axis=2).astype(bool).mean() > 0.02
    qtbot.keyClick(canvas_of(ring), Qt.Key.Key_C)
    qtbot.wait(60)
    assert ring.cut_handle.isHidden()
    assert np.array_equal(ring_mask(pixels(ring)), before)


def test_the_cut_shows_the_band_where_it_is_cut(qtbot: QtBot, ring: RingView, view: View) -> None:
    """The cap seen straight on: as wide and as high as the band's section there, from the mesh itself."""
    ring.row.slider.setValue(90)
    qtbot.mouseClick(ring.row.cut, Qt.MouseButton.LeftButton)
    qtbot.wait(60)  # the row has grown by the slider
    canvas = canvas_of(ring)
    assert ring._cut is not None
    assert ring._cut.plane is not None
    kept = ring._cut.plane.kept_side
    middle = ring._cut.plane.radial * np.hypot(*view.positions[:, :2].T).max()
    canvas.controller.camera = Camera(camera_axes(-kept, (0.0, 0.0, 1.0)), middle, 60.0)
    canvas.refresh()
    qtbot.wait(60)
    accent = QColor(LIGHT.accent)
    shown = pixels(ring)
    cap = (shown[..., 2] - shown[..., 0] > 20) & (np.abs(shown[..., 1] - accent.green()) < 110)
    rows = np.nonzero(cap)[0]
    beside = view.positions[np.abs(view.positions @ kept) < 0.4]
    width = float(np.ptp(beside[:, 2]))
    upper = canvas.controller.camera.projected(
        middle + np.array([0.0, 0.0, width / 2]), canvas.width(), canvas.height()
    )[1]
    lower = canvas.controller.camera.projected(
        middle - np.array([0.0, 0.0, width / 2]), canvas.width(), canvas.height()
    )[1]
    assert np.ptp(rows) == pytest.approx(lower - upper, rel=0.06)
