"""The strip by keyboard, and its cells and sites by both."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from strip_rings import Bench, drag, pixels

LEFT = Qt.MouseButton.LeftButton


# --- keyboard


def test_every_handle_has_its_keys(qtbot) -> None:
    bench = Bench(qtbot)
    bench.strip.setFocus()

    def press(key: Qt.Key | str, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier):  # type: ignore[no-untyped-def]
        QTest.keyClick(bench.strip, key, modifier)
        return bench.document.design

    assert press(Qt.Key.Key_Right).pattern.slide_mm == (0.1, 0.0)
    assert press(Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier).pattern.slide_mm == (1.1, 0.0)
    assert press(Qt.Key.Key_Up).pattern.slide_mm == (1.1, 0.1)
    assert press("+").pattern.around == 25
    assert press("-").pattern.around == 24
    assert press("]").pattern.across == 7
    assert press("[").pattern.across == 6
    assert press(".").rails.lower_mm == 0.05
    assert press(",").rails.upper_mm == 0.0
    assert press(Qt.Key.Key_PageUp).pattern.twist == 1
    assert len(bench.document.history.past) == 10


def test_the_focus_is_seen(qtbot) -> None:
    bench = Bench(qtbot)
    bench.strip.clearFocus()
    without = pixels(bench.strip)
    bench.strip.activateWindow()
    bench.strip.setFocus()
    if not bench.strip.hasFocus():
        qtbot.waitUntil(bench.strip.hasFocus, timeout=2000)
    assert np.mean(np.abs(pixels(bench.strip)[1, 20:-20] - without[1, 20:-20])) > 20.0


def test_ctrl_alone_chooses_no_cell_and_a_chosen_one_is_left_with_the_focus(qtbot) -> None:
    # Ctrl+E opens the export: its Ctrl put a label over the strip, which stayed there.
    bench = Bench(qtbot)
    bench.strip.activateWindow()
    bench.strip.setFocus()
    qtbot.waitUntil(bench.strip.hasFocus, timeout=5000)
    QTest.keyPress(bench.strip, Qt.Key.Key_Control, Qt.KeyboardModifier.ControlModifier)
    QTest.keyRelease(bench.strip, Qt.Key.Key_Control)
    assert bench.state.hovered_cell is None
    QTest.keyClick(bench.strip, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert bench.state.hovered_cell is not None
    bench.strip.clearFocus()
    assert bench.state.hovered_cell is None


def test_cells_are_reached_and_changed_by_keys(qtbot) -> None:
    bench = Bench(qtbot)
    QTest.keyClick(bench.strip, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    first = bench.state.hovered_cell
    QTest.keyClick(bench.strip, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    second = bench.state.hovered_cell
    assert first is not None
    assert second is not None
    assert bench.centre(second).x() - bench.centre(first).x() == pytest.approx(
        bench.strip.state.viewport.turn_px / 24, abs=1.5
    )
    QTest.keyClick(bench.strip, Qt.Key.Key_Return)
    assert bench.document.design.edits.cells[0].depth == 0.0


# --- pointing


def test_pointing_finds_the_cell_also_over_the_seam(qtbot) -> None:
    bench = Bench(qtbot)
    view = bench.strip.state.view
    assert view is not None
    tiling = view.built.pattern.tiling
    for cell in (0, 40, 77):
        bench.move(bench.centre(cell))
        assert bench.state.hovered_cell == cell
    # A cell that lies on both sides of the seam is found from both.
    highest = np.maximum.reduceat(tiling.corners[:, 0], tiling.cell_start[:-1])
    lowest = np.minimum.reduceat(tiling.corners[:, 0], tiling.cell_start[:-1])
    over = int(np.flatnonzero((highest > tiling.length + 0.3) | (lowest < -0.3))[0])
    v = float(tiling.kernel[0][over, 1])
    bench.state.show_seam()
    for u in (0.1, -0.1):
        viewport = bench.strip.state.viewport
        x = viewport.x_of(viewport.nearest_copy(0.0, viewport.centre_u) + u)
        bench.move(QPoint(round(x), bench.point(0.0, v).y()))
        assert bench.state.hovered_cell == over
    bench.move(QPoint(600, 4))
    assert bench.state.hovered_cell is None


def test_the_hovered_cell_glows_and_says_its_size(qtbot) -> None:
    from ringtex.window.strip_editor.state.cell_readings import CellReadings, words_for_cell

    bench = Bench(qtbot)
    bench.move(QPoint(600, 4))
    before = pixels(bench.strip)
    bench.state.set_hovered_cell(60)
    at = bench.centre(60)
    glow = pixels(bench.strip)[at.y() - 2 : at.y() + 2, at.x() - 2 : at.x() + 2]
    assert np.mean(glow - before[at.y() - 2 : at.y() + 2, at.x() - 2 : at.x() + 2]) > 15.0
    view = bench.strip.state.view
    assert view is not None
    reading = CellReadings(view.built).read(60)
    # On a flat band a cell measures on the ring what it does on the strip: 1/24 of the circumference at the crown.
    crown = 2.0 * np.pi * (54.0 / (2.0 * np.pi) + 1.6)
    assert reading.width_mm == pytest.approx(crown / 24, rel=1e-3)
    assert reading.area_mm2 == pytest.approx(view.built.pattern.tiling.areas[60], rel=1e-6)
    assert any("mm²" in line for line in words_for_cell(reading))


def test_a_double_click_changes_the_cell(qtbot) -> None:
    bench = Bench(qtbot)
    at = bench.centre(50)
    depths = []
    for _ in range(4):
        bench.move(at)
        QTest.mouseClick(bench.strip, LEFT, pos=at)
        QTest.mouseDClick(bench.strip, LEFT, pos=at)
        edits = bench.document.design.edits.cells
        depths.append(edits[0].depth if edits else None)
    assert depths == [0.0, 1.5, -1.0, None]
    assert [step.label for step in bench.document.history.past] == ["change a cell"] * 4


# --- sites


def test_sites_are_dragged_over_the_seam_held_added_and_removed(qtbot) -> None:
    bench = Bench(qtbot, "cellular")
    view = bench.strip.state.view
    assert view is not None
    sites = view.built.pattern.sites
    assert sites is not None
    number = int(np.argmin(sites[:, 0] + 100.0 * (np.abs(sites[:, 1] - 4.0) > 1.5)))
    at = bench.point(float(sites[number, 0]), float(sites[number, 1]))
    left = round((float(sites[number, 0]) + 0.4) * bench.strip.state.viewport.scale)
    bench.move(at)
    assert bench.strip.state.site == number
    drag(bench, at, at - QPoint(6, 0), at - QPoint(left, 0))
    moved = bench.document.design.edits.sites.moved[0]
    assert moved.to_u > 0.98
    assert bench.document.undo_label == "move a site"
    assert len(bench.document.history.past) == 1
    spot = bench.point(0.6 * view.built.strip.length, 3.0)
    QTest.mouseClick(bench.strip, LEFT, Qt.KeyboardModifier.AltModifier, spot)
    assert len(bench.document.design.edits.sites.added) == 1
    cells = bench.strip.state.view.built.pattern.tiling.cells  # type: ignore[union-attr]
    assert cells == len(sites) + 1
    bench.move(spot + QPoint(1, 0))
    bench.move(spot)
    QTest.keyClick(bench.strip, Qt.Key.Key_Delete)
    assert bench.document.design.edits.sites.added == ()
    sites = bench.strip.state.view.built.pattern.sites  # type: ignore[union-attr]
    spot = bench.point(float(sites[90, 0]), float(sites[90, 1]))
    bench.move(spot)
    QTest.keyClick(bench.strip, Qt.Key.Key_P)
    assert len(bench.document.design.edits.sites.pinned) == 1
