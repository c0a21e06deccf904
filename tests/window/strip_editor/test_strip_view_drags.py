"""The strip by mouse: sliding and handles, asserting on the document and on what is seen."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from strip_rings import Bench, drag, pixels

LEFT = Qt.MouseButton.LeftButton


# --- sliding


def test_a_drag_slides_the_pattern_as_one_undo_step(qtbot) -> None:
    bench = Bench(qtbot)
    start = bench.centre(60)
    scale = bench.strip.state.viewport.scale
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
    length = bench.strip.state.viewport.length
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
    assert bench.strip.state.shift_px == 0
    from ringtex.edits.strip_edits import slid

    view = bench.strip.state.view
    assert view is not None
    moved = slid(bench.document.design, (view.built.strip.length, view.built.strip.width), 1.0, 0.0)
    bench.strip.state.ring.show = lambda _view: None  # type: ignore[method-assign]
    bench.document.change(moved, "slide")
    shift = bench.strip.state.shift_px
    assert shift == round(bench.strip.state.viewport.scale)
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
    held = bench.strip.state.drag
    assert held is not None
    assert held.handle is not None
    view = bench.strip.state.view
    assert view is not None
    corners = view.built.pattern.tiling.corners[:, 0]
    away = (corners - held.handle.u + 0.5 * view.built.strip.length) % view.built.strip.length
    # Some wall of the newly built pattern is where the handle is.
    assert np.min(np.abs(away - 0.5 * view.built.strip.length)) < 0.02
    pitch = view.built.strip.length / bench.document.design.pattern.around
    viewport = bench.strip.state.viewport
    assert abs(viewport.x_of(held.handle.u) - (start.x() + 80)) < 0.6 * pitch * viewport.scale
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
    wanted = round(1.0 * bench.strip.state.viewport.scale)
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
    spacing = 8.0 / 6.5 * bench.strip.state.viewport.scale
    drag(bench, start, start - QPoint(0, 10), start - QPoint(0, round(2.0 * spacing)))
    assert bench.document.design.pattern.twist == 2
    assert bench.document.undo_label == "twist the pattern"


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
