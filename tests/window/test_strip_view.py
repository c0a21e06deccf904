"""The strip by mouse and keyboard, asserting on the document and on what is seen."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from strip_rings import Bench, pixels

from ringtex.window.view_state import ViewState

LEFT = Qt.MouseButton.LeftButton


def drag(bench: Bench, start: QPoint, *stops: QPoint, button: Qt.MouseButton = LEFT, release: bool = True) -> None:
    """Press, move through the stops, and let go."""
    strip = bench.strip
    bench.move(start)
    QTest.mousePress(strip, button, pos=start)
    for stop in stops:
        bench.move(stop, button)
        QApplication.processEvents()
    if release:
        QTest.mouseRelease(strip, button, pos=stops[-1])


def turn_wheel(bench: Bench, at: QPoint, notches: int) -> None:
    strip = bench.strip
    event = QWheelEvent(
        QPointF(at), strip.mapToGlobal(QPointF(at)), QPoint(), QPoint(0, 120 * notches), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(strip, event)


# --- sliding


def test_a_drag_slides_the_pattern_as_one_undo_step(qtbot) -> None:
    bench = Bench(qtbot)
    start = bench.centre(60)
    scale = bench.strip.viewport.scale
    before = bench.document.design
    drag(bench, start, start + QPoint(20, 0), start + QPoint(55, 1), start + QPoint(90, 2))
    slide = bench.document.design.pattern.slide_mm
    assert slide[0] == pytest.approx(90 / scale, abs=0.6 / scale)
    assert slide[1] == 0.0
    assert len(bench.document.history.past) == 1
    assert bench.document.undo_label == "slide the pattern"
    bench.document.undo()
    assert bench.document.design == before


def test_the_slide_wraps_round_the_ring(qtbot) -> None:
    bench = Bench(qtbot)
    length = bench.strip.viewport.length
    start = bench.point(0.1 * length, 4.0)
    for _ in range(2):
        stop = bench.point(0.45 * length, 4.0)
        drag(bench, start, start + QPoint(30, 0), stop)
    slide = bench.document.design.pattern.slide_mm[0]
    assert -0.5 * length <= slide < 0.5 * length
    assert (slide - 0.7 * length) / length == pytest.approx(round((slide - 0.7 * length) / length), abs=0.003)


def test_drafts_are_live_and_escape_takes_the_drag_back(qtbot) -> None:
    bench = Bench(qtbot)
    before = bench.document.design
    start = bench.centre(60)
    drag(bench, start, start + QPoint(40, 0), release=False)
    assert bench.document.design.pattern.slide_mm[0] > 0.0
    assert bench.document.dragging
    QTest.keyClick(bench.strip, Qt.Key.Key_Escape)
    assert bench.document.design == before
    assert bench.document.history.past == ()
    QTest.mouseRelease(bench.strip, LEFT, pos=start)


def test_the_picture_moves_with_the_hand_before_the_ring_is_built(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    still = pixels(bench.strip)
    bench.rebuild = lambda: None  # type: ignore[method-assign]
    bench.document._listeners._callbacks.clear() if hasattr(bench.document._listeners, "_callbacks") else None
    assert bench.strip.shift_px == 0
    from ringtex.window.strip_view.design_changes import slid

    view = bench.strip.view
    assert view is not None
    moved = slid(bench.document.design, (view.built.strip.length, view.built.strip.width), 1.0, 0.0)
    bench.strip.ring.show = lambda _view: None  # type: ignore[method-assign]
    bench.document.change(moved, "slide")
    shift = bench.strip.shift_px
    assert shift == round(bench.strip.viewport.scale)
    shown = pixels(bench.strip)
    rows = slice(90, 170)
    assert np.mean(np.abs(shown[rows, 200:1000] - still[rows, 200 - shift : 1000 - shift])) < 3.0


def test_a_small_move_is_no_drag(qtbot) -> None:
    bench = Bench(qtbot)
    start = bench.centre(60)
    drag(bench, start, start + QPoint(2, 1))
    assert bench.document.history.past == ()


# --- handles


def test_pulling_a_cells_side_changes_the_count_in_whole_steps(qtbot) -> None:
    bench = Bench(qtbot)
    start = bench.handle("around")
    drag(bench, start, start + QPoint(8, 0), start + QPoint(60, 0))
    fewer = bench.document.design.pattern.around
    assert isinstance(fewer, int)
    assert fewer < 24
    start = bench.handle("around")
    drag(bench, start, start + QPoint(-8, 0), start + QPoint(-130, 0))
    assert bench.document.design.pattern.around > fewer
    assert [step.label for step in bench.document.history.past] == ["change the repeats around"] * 2


def test_a_pulled_side_stays_under_the_hand(qtbot) -> None:
    bench = Bench(qtbot)
    start = bench.handle("around")
    drag(bench, start, start + QPoint(30, 0), start + QPoint(80, 0), release=False)
    held = bench.strip.hand.drag
    assert held is not None
    assert held.handle is not None
    view = bench.strip.view
    assert view is not None
    corners = view.built.pattern.tiling.corners[:, 0]
    away = (corners - held.handle.u + 0.5 * view.built.strip.length) % view.built.strip.length
    # Some wall of the newly built pattern is where the handle is.
    assert np.min(np.abs(away - 0.5 * view.built.strip.length)) < 0.02
    pitch = view.built.strip.length / bench.document.design.pattern.around
    assert abs(bench.strip.viewport.x_of(held.handle.u) - (start.x() + 80)) < 0.6 * pitch * bench.strip.viewport.scale
    assert "around" in held.words
    QTest.mouseRelease(bench.strip, LEFT, pos=start)


def test_pulling_a_cells_top_changes_the_rows(qtbot) -> None:
    bench = Bench(qtbot)
    start = bench.handle("across")
    drag(bench, start, start + QPoint(0, 8), start + QPoint(0, 30))
    assert bench.document.design.pattern.across > 6
    assert bench.document.undo_label == "change the rows across"


@pytest.mark.parametrize(("name", "way"), [("lower_rail", -1), ("upper_rail", 1)])
def test_pulling_a_border_makes_a_rail(qtbot, name: str, way: int) -> None:
    bench = Bench(qtbot)
    start = bench.handle(name)
    wanted = round(1.0 * bench.strip.viewport.scale)
    drag(bench, start, start + QPoint(0, 6 * way), start + QPoint(0, wanted * way))
    rails = bench.document.design.rails
    made, other = (rails.lower_mm, rails.upper_mm) if name == "lower_rail" else (rails.upper_mm, rails.lower_mm)
    assert made == pytest.approx(1.0, abs=0.06)
    assert made / 0.05 == pytest.approx(round(made / 0.05))
    assert other == 0.0
    assert len(bench.document.history.past) == 1


def test_pulling_the_seam_twists_by_whole_rows(qtbot) -> None:
    bench = Bench(qtbot)
    start = bench.handle("twist")
    spacing = 8.0 / 6.5 * bench.strip.viewport.scale
    drag(bench, start, start - QPoint(0, 10), start - QPoint(0, round(2.0 * spacing)))
    assert bench.document.design.pattern.twist == 2
    assert bench.document.undo_label == "twist the pattern"


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


def test_cells_are_reached_and_changed_by_keys(qtbot) -> None:
    bench = Bench(qtbot)
    QTest.keyClick(bench.strip, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    first = bench.state.hovered_cell
    QTest.keyClick(bench.strip, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    second = bench.state.hovered_cell
    assert first is not None
    assert second is not None
    assert bench.centre(second).x() - bench.centre(first).x() == pytest.approx(
        bench.strip.viewport.turn_px / 24, abs=1.5
    )
    QTest.keyClick(bench.strip, Qt.Key.Key_Return)
    assert bench.document.design.edits.cells[0].depth == 0.0


# --- pointing


def test_pointing_finds_the_cell_also_over_the_seam(qtbot) -> None:
    bench = Bench(qtbot)
    view = bench.strip.view
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
        x = bench.strip.viewport.x_of(bench.strip.viewport.nearest_copy(0.0, bench.strip.viewport.centre_u) + u)
        bench.move(QPoint(round(x), bench.point(0.0, v).y()))
        assert bench.state.hovered_cell == over
    bench.move(QPoint(600, 4))
    assert bench.state.hovered_cell is None


def test_the_hovered_cell_glows_and_says_its_size(qtbot) -> None:
    from ringtex.window.strip_view.cell_words import CellReadings, words_for_cell

    bench = Bench(qtbot)
    bench.move(QPoint(600, 4))
    before = pixels(bench.strip)
    bench.state.set_hovered_cell(60)
    at = bench.centre(60)
    glow = pixels(bench.strip)[at.y() - 2 : at.y() + 2, at.x() - 2 : at.x() + 2]
    assert np.mean(glow - before[at.y() - 2 : at.y() + 2, at.x() - 2 : at.x() + 2]) > 15.0
    view = bench.strip.view
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
    view = bench.strip.view
    assert view is not None
    sites = view.built.pattern.sites
    assert sites is not None
    number = int(np.argmin(sites[:, 0] + 100.0 * (np.abs(sites[:, 1] - 4.0) > 1.5)))
    at = bench.point(float(sites[number, 0]), float(sites[number, 1]))
    left = round((float(sites[number, 0]) + 0.4) * bench.strip.viewport.scale)
    bench.move(at)
    assert bench.strip.hand.site == number
    drag(bench, at, at - QPoint(6, 0), at - QPoint(left, 0))
    moved = bench.document.design.edits.sites.moved[0]
    assert moved.to_u > 0.98
    assert bench.document.undo_label == "move a site"
    assert len(bench.document.history.past) == 1
    spot = bench.point(0.6 * view.built.strip.length, 3.0)
    QTest.mouseClick(bench.strip, LEFT, Qt.KeyboardModifier.AltModifier, spot)
    assert len(bench.document.design.edits.sites.added) == 1
    cells = bench.strip.view.built.pattern.tiling.cells  # type: ignore[union-attr]
    assert cells == len(sites) + 1
    bench.move(spot + QPoint(1, 0))
    bench.move(spot)
    QTest.keyClick(bench.strip, Qt.Key.Key_Delete)
    assert bench.document.design.edits.sites.added == ()
    sites = bench.strip.view.built.pattern.sites  # type: ignore[union-attr]
    spot = bench.point(float(sites[90, 0]), float(sites[90, 1]))
    bench.move(spot)
    QTest.keyClick(bench.strip, Qt.Key.Key_P)
    assert len(bench.document.design.edits.sites.pinned) == 1


# --- looking


def test_zoom_keeps_the_place_under_the_pointer(qtbot) -> None:
    bench = Bench(qtbot)
    at = QPoint(900, 120)
    before = bench.strip.viewport.place(at.x(), at.y())
    for _ in range(9):
        turn_wheel(bench, at, 1)
    scale = bench.strip.viewport.scale
    after = bench.strip.viewport.place(at.x(), at.y())
    assert bench.strip.viewport.turn_px > 4000
    # A pixel of the last zoom, and half a pixel of each one before.
    assert abs(after[0] - before[0]) * scale < 4.0
    assert abs(after[1] - before[1]) * scale < 4.0
    QTest.keyClick(bench.strip, Qt.Key.Key_Home)
    assert bench.strip.viewport == bench.strip.viewport.fitted()


def test_panning_goes_round_without_end(qtbot) -> None:
    bench = Bench(qtbot, "dome")
    first = pixels(bench.strip)
    turn = bench.strip.viewport.turn_px
    for _ in range(4):
        drag(bench, QPoint(200, 120), QPoint(200 + turn // 2, 120), button=Qt.MouseButton.MiddleButton)
    bench.move(QPoint(600, 4))
    bench.rest()
    assert bench.strip.viewport.left_px == bench.strip.viewport.fitted().left_px - 4 * (turn // 2)
    # An odd turn loses a pixel to halving; after that the same picture comes back.
    bench.strip.look(bench.strip.viewport.panned(2 * (turn % 2), 0))
    bench.rest()
    bench.move(QPoint(601, 4))
    assert np.mean(np.abs(pixels(bench.strip)[40:-40] - first[40:-40])) < 2.0


def test_dimmed_copies_run_on_beyond_both_ends(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    bench.move(QPoint(600, 4))
    viewport, seen = bench.strip.viewport, pixels(bench.strip)
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
    length = bench.strip.viewport.length
    assert bench.strip.viewport.centre_u / length == pytest.approx(
        round(bench.strip.viewport.centre_u / length), abs=1e-3
    )
    bench.state.show_place((20.0, 4.0))
    assert bench.strip.viewport.centre_u % length == pytest.approx(20.0, abs=0.05)
    assert bench.strip.flashed == (20.0, 4.0)
    view = bench.strip.view
    assert view is not None
    bench.state.show_place(tuple(view.built.strip.point(np.array([30.0]), np.array([4.0]))[0]))
    assert bench.strip.viewport.centre_u % length == pytest.approx(30.0, abs=0.6)


def test_the_relief_is_lit_from_the_lights_side(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    bench.move(QPoint(600, 4))
    at = bench.centre(60)
    view = bench.strip.view
    assert view is not None
    reach = round(0.5 * bench.strip.viewport.scale * view.built.strip.length / 24) + 2

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


def test_undo_in_the_middle_of_a_drag_ends_it(qtbot) -> None:
    bench = Bench(qtbot)
    before = bench.document.design
    start = bench.centre(60)
    drag(bench, start, start + QPoint(40, 0), release=False)
    bench.document.undo()
    assert bench.document.design == before
    bench.move(start + QPoint(70, 0), LEFT)
    assert bench.document.design == before
    QTest.mouseRelease(bench.strip, LEFT, pos=start + QPoint(70, 0))
    assert bench.document.history.past == ()


def test_a_touched_setting_shows_its_length_on_the_strip(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    bench.strip.underMouse = lambda: False  # type: ignore[method-assign]
    plain = pixels(bench.strip)
    changed = {}
    for name in ("around", "across", "ridge", "top_size", "rails", "depth"):
        bench.state.set_touched_setting(name)
        changed[name] = float(np.mean(np.any(pixels(bench.strip) != plain, axis=2)))
    assert all(changed[name] > 0.001 for name in ("around", "across", "ridge", "top_size"))
    rail = 2 * round(0.8 * bench.strip.viewport.scale) / bench.strip.height()
    assert changed["rails"] == pytest.approx(rail, rel=0.15)
    assert changed["depth"] == 0.0


def test_no_label_of_the_rulers_runs_into_another(qtbot) -> None:
    bench = Bench(qtbot, "dome", (700, 200))
    row = pixels(bench.strip)[: bench.strip.viewport.top_px - 10].sum(axis=2)
    dark = np.flatnonzero((row < 500).any(axis=0))
    # A run of letters without a gap of 6 pixels is one label; two that ran together would be wider than any.
    runs = np.split(dark, np.flatnonzero(np.diff(dark) > 6) + 1)
    assert len(runs) >= 4
    assert max(run[-1] - run[0] for run in runs) < 110
