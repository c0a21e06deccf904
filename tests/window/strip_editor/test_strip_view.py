"""Looking at the strip: zoom, pan, copies, seam, light."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from strip_rings import Bench, drag, pixels

from ringtex.window.building.view_state import ViewState

LEFT = Qt.MouseButton.LeftButton


def turn_wheel(bench: Bench, at: QPoint, notches: int) -> None:
    strip = bench.strip
    event = QWheelEvent(
        QPointF(at), strip.mapToGlobal(QPointF(at)), QPoint(), QPoint(0, 120 * notches), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(strip, event)


# --- looking


def test_zoom_keeps_the_place_under_the_pointer(qtbot) -> None:
    bench = Bench(qtbot)
    at = QPoint(900, 120)
    before = bench.strip.state.viewport.position(at.x(), at.y())
    for _ in range(9):
        turn_wheel(bench, at, 1)
    scale = bench.strip.state.viewport.scale
    after = bench.strip.state.viewport.position(at.x(), at.y())
    assert bench.strip.state.viewport.turn_px > 4000
    # A pixel of the last zoom, and half a pixel of each one before.
    assert abs(after[0] - before[0]) * scale < 4.0
    assert abs(after[1] - before[1]) * scale < 4.0
    QTest.keyClick(bench.strip, Qt.Key.Key_Home)
    assert bench.strip.state.viewport == bench.strip.state.viewport.fitted()


def test_panning_goes_round_without_end(qtbot) -> None:
    bench = Bench(qtbot, "dome")
    first = pixels(bench.strip)
    turn = bench.strip.state.viewport.turn_px
    for _ in range(4):
        drag(bench, QPoint(200, 120), QPoint(200 + turn // 2, 120), button=Qt.MouseButton.MiddleButton)
    bench.move(QPoint(600, 4))
    bench.rest()
    assert bench.strip.state.viewport.left_px == bench.strip.state.viewport.fitted().left_px - 4 * (turn // 2)
    # An odd turn loses a pixel to halving; after that the same picture comes back.
    bench.strip.state.look(bench.strip.state.viewport.panned(2 * (turn % 2), 0))
    bench.rest()
    bench.move(QPoint(601, 4))
    assert np.mean(np.abs(pixels(bench.strip)[40:-40] - first[40:-40])) < 2.0


def test_dimmed_copies_run_on_beyond_both_ends(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    bench.move(QPoint(600, 4))
    viewport, seen = bench.strip.state.viewport, pixels(bench.strip)
    left = round(viewport.x_of(0.0))
    rows = slice(viewport.top_px + 30, viewport.top_px + viewport.height_px - 30)
    copy, original = (
        seen[rows, left - 40 : left - 4],
        seen[rows, left + viewport.turn_px - 40 : left + viewport.turn_px - 4],
    )
    # The copy is the other end seen through a veil: the same picture with less contrast.
    assert np.corrcoef(copy.ravel(), original.ravel())[0, 1] > 0.7
    assert 0.15 < copy.std(axis=(0, 1)).mean() / original.std(axis=(0, 1)).mean() < 0.6


def test_the_seam_key_centres_the_seam_and_places_are_shown(qtbot) -> None:
    bench = Bench(qtbot)
    bench.state.show_seam()
    length = bench.strip.state.viewport.length
    assert bench.strip.state.viewport.centre_u / length == pytest.approx(
        round(bench.strip.state.viewport.centre_u / length), abs=1e-3
    )
    bench.state.show_place((20.0, 4.0))
    assert bench.strip.state.viewport.centre_u % length == pytest.approx(20.0, abs=0.05)
    assert bench.strip.state.flashed == (20.0, 4.0)
    view = bench.strip.state.view
    assert view is not None
    bench.state.show_place(tuple(view.built.strip.point(np.array([30.0]), np.array([4.0]))[0]))
    assert bench.strip.state.viewport.centre_u % length == pytest.approx(30.0, abs=0.6)


def test_the_relief_is_lit_from_the_lights_side(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    bench.move(QPoint(600, 4))
    at = bench.centre(60)
    view = bench.strip.state.view
    assert view is not None
    reach = round(0.5 * bench.strip.state.viewport.scale * view.built.strip.length / 24) + 2

    def sides() -> tuple[float, float]:
        bench.rest()
        row = pixels(bench.strip)[at.y() - 3 : at.y() + 4, at.x() - reach : at.x() + reach].mean(axis=(0, 2))
        return float(row[:reach].min()), float(row[reach:].min())

    bench.state.set_light(90.0, 35.0)
    left, right = sides()
    assert left < right - 20.0
    bench.state.set_light(270.0, 35.0)
    left, right = sides()
    assert right < left - 20.0


def test_both_themes_are_drawn(qtbot) -> None:
    bench = Bench(qtbot)
    light = pixels(bench.strip)[3, 300].mean()
    bench.state.set_dark(True)
    assert light > 200
    assert pixels(bench.strip)[3, 300].mean() < 80


def test_the_strip_says_what_it_is(qtbot) -> None:
    bench = Bench(qtbot)
    assert bench.strip.accessibleName()
    assert "arrow" in bench.strip.accessibleDescription()
    assert isinstance(bench.state, ViewState)


def test_a_touched_setting_shows_its_length_on_the_strip(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    bench.strip.underMouse = lambda: False  # type: ignore[method-assign]
    plain = pixels(bench.strip)
    changed = {}
    for name in ("around", "across", "wall_width", "top_size", "rails", "depth"):
        bench.state.set_hovered_setting(name)
        changed[name] = float(np.mean(np.any(pixels(bench.strip) != plain, axis=2)))
    assert all(changed[name] > 0.001 for name in ("around", "across", "wall_width", "top_size"))
    rail = 2 * round(0.8 * bench.strip.state.viewport.scale) / bench.strip.height()
    assert changed["rails"] == pytest.approx(rail, rel=0.15)
    assert changed["depth"] == 0.0


def test_no_label_of_the_rulers_runs_into_another(qtbot) -> None:
    bench = Bench(qtbot, "dome", (700, 200))
    row = pixels(bench.strip)[: bench.strip.state.viewport.top_px - 10].sum(axis=2)
    dark = np.flatnonzero((row < 500).any(axis=0))
    # A run of letters without a gap of 6 pixels is one label; two that ran together would be wider than any.
    runs = np.split(dark, np.flatnonzero(np.diff(dark) > 6) + 1)
    assert len(runs) >= 4
    assert max(run[-1] - run[0] for run in runs) < 110
