"""The bare surface under stripes of light: a closed body with the band's own normals, shown by a click."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

pytest.importorskip("PySide6")

from even_hands import click, dome_design
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from ring_pictures import arrive

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.band.presets import PRESETS
from ringtex.export.picture.studio_light import STRIPES
from ringtex.window.ring_view.opengl.bare_surface import bare_surface, fairness_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


def volume(positions: np.ndarray, triangles: np.ndarray) -> float:
    a, b, c = (positions[triangles[:, corner]].astype(float) for corner in range(3))
    return float(np.sum(np.einsum("ij,ij->i", a, np.cross(b, c))) / 6.0)


def test_a_flat_band_is_a_tube() -> None:
    """Closed and looking outwards everywhere: its volume is pi (R^2 - r^2) w."""
    band = Band(8.6, BoreOptions(), BandOptions("flat", (Station(0, 6.0, 2.0, 2.0),)))
    surface = bare_surface(band)
    assert volume(surface.positions, surface.triangles) == pytest.approx(np.pi * (10.6**2 - 8.6**2) * 6.0, rel=1e-4)
    assert set(np.unique(surface.striped)) == {0.0, 1.0}


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.name)
def test_normals_are_the_bands_own_and_every_preset_is_fair(preset: Any) -> None:
    band = Band(8.6, BoreOptions("comfort", 0.2), preset.options)
    surface = bare_surface(band)
    assert np.max(np.abs(np.linalg.norm(surface.normals, axis=1) - 1.0)) < 1e-5
    face = surface.striped[surface.triangles[:, 0]] > 0.5
    corners = surface.positions[surface.triangles[face]].astype(float)
    flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(flat, axis=1)
    kept = size > 1e-6
    along = np.einsum("ij,ij->i", flat[kept] / size[kept, None], surface.normals[surface.triangles[face][kept, 0]])
    assert np.median(along) > 0.999
    assert along.min() > 0.2, "no triangle looks inwards"
    assert volume(surface.positions, surface.triangles) > 0.0
    assert surface.words.startswith("Fair")


def test_a_jump_of_curvature_is_said_with_its_place() -> None:
    class Kinked:
        """Two arcs that meet with one tangent and two curvatures at 40 degrees, on every line."""

        is_revolution = False

        def curvatures(self, theta: np.ndarray, across: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            jump = np.where(np.cos(theta) > np.cos(np.deg2rad(40.0)), 0.12, 0.08)
            return jump, np.full_like(theta, 0.05)

        def profile(self, theta: np.ndarray, across: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            return np.full_like(theta, 10.0), across

    words = fairness_words(Kinked())  # type: ignore[arg-type]
    assert words.startswith("Not fair")
    assert "0.040/mm" in words
    assert "40° from the head" in words


def pixels(window: MainWindow) -> np.ndarray:
    image = window.ring.picture().convertToFormat(window.ring.picture().Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)


@pytest.mark.parametrize("dark", [False, True])
def test_a_click_shows_stripes_and_another_the_ring_again(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], dark: bool
) -> None:
    if not window.ring.has_opengl:
        pytest.skip("without OpenGL there is only a picture")
    window.set_theme("dark" if dark else "light")
    window.document.new(dome_design(around=14))
    settled()
    window.ring.show_from("head")
    arrive(qtbot, window.ring)
    before = pixels(window)
    click(window.ring.row.surface)
    qtbot.waitUntil(window.ring.surface.words.isVisible, timeout=10_000)
    qtbot.wait(150)
    seen = pixels(window)
    assert "Fair" in window.ring.surface.words.text()
    column = seen[:, seen.shape[1] // 2].mean(axis=1)
    # Down the crown of the head black and white take turns: once for each stripe in the part of the wall that is seen.
    clear = np.where(column > 190, 1, np.where(column < 60, -1, 0))
    turns = np.count_nonzero(np.diff(clear[clear != 0]))
    assert STRIPES // 4 <= turns <= 3 * STRIPES
    window.state.set_light(window.state.light[0] + 90.0, window.state.light[1])
    qtbot.wait(150)
    turned = pixels(window)
    assert np.abs(turned - seen).mean() > 3.0, "the light turns the stripes"
    window.state.set_light(35.0, 50.0)
    QTest.keyClick(window.ring.canvas, Qt.Key.Key_R)
    assert not window.ring.row.surface.isChecked()
    qtbot.wait(150)
    again = np.abs(pixels(window) - before)
    # A picture that is refined later differs along edges.
    assert (again.max(axis=-1) > 40).mean() < 0.01
    assert again.mean() < 1.0


def test_the_surface_follows_the_band_and_hides_nothing_of_the_hand(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None]
) -> None:
    if not window.ring.has_opengl:
        pytest.skip("without OpenGL there is only a picture")
    window.document.new(dome_design(around=14))
    settled()
    click(window.ring.row.surface)
    qtbot.waitUntil(window.ring.surface.words.isVisible, timeout=10_000)
    said = window.ring.surface.words.text()
    from dataclasses import replace

    band = window.document.design.band
    first = replace(band.stations[0], height_mm=6.0, width_mm=12.0)
    window.document.change(replace(window.document.design, band=replace(band, stations=(first, band.stations[1]))), "x")
    settled()
    qtbot.waitUntil(lambda: window.ring.surface.words.text() != said, timeout=10_000)
    # Pointing at the ring, the cut and an overlay do no harm meanwhile.
    window.state.set_overlay("stretch")
    window.ring.row.cut.toggle()
    QTest.mouseMove(window.ring.canvas, QPoint(200, 150))
    qtbot.wait(200)
    assert window.ring.has_opengl


def test_without_opengl_the_surface_is_a_picture_too(qtbot: QtBot) -> None:
    from strip_rings import view_of

    from ringtex.window.building.view_state import ViewState
    from ringtex.window.ring_view.picture_canvas import PictureCanvas
    from ringtex.window.ring_view.view_row import ViewRow

    row = ViewRow(False)
    canvas = PictureCanvas(ViewState(), row)
    for widget in (row, canvas):
        qtbot.addWidget(widget)
    row.show()
    canvas.resize(300, 240)
    canvas.show()
    with qtbot.waitSignal(canvas.made, timeout=30_000):
        canvas.show_view(view_of(dome_design()))
    assert canvas.words == ""
    with qtbot.waitSignal(canvas.made, timeout=30_000):
        click(row.surface)
    assert canvas.words.startswith("Fair")
    image = canvas.image.convertToFormat(canvas.image.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    shown = rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)
    # Stripes have no colour, gold has.
    assert np.ptp(shown, axis=2).max() < 60
    canvas.release()
