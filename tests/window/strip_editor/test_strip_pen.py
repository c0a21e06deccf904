"""Drawing on the strip by mouse: a stroke becomes the motif, as one step."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

pytest.importorskip("PySide6")

from even_hands import click
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from settings_hands import steps_done
from strip_rings import Bench, drag, pixels
from test_dome_by_mouse import reach

from ringtex.edits.brush_strokes import Brush
from ringtex.edits.drawn_curve import Pen
from ringtex.edits.zone_edits import with_zone_added
from ringtex.window.settings.sections.pattern_section import PatternSection


@pytest.fixture
def bench(qtbot: Any) -> Iterator[Bench]:
    made = Bench(qtbot)
    made.strip.activateWindow()
    yield made
    made.strip.state.ring.stop()


def wave(bench: Bench, u: float, length: float = 6.0) -> list[QPoint]:
    """Pixels of an S round the middle of the strip."""
    width = bench.strip.state.viewport.strip_width
    t = np.linspace(0.0, 1.0, 25)
    points = np.column_stack((u + length * (t - 0.5), 0.5 * width + 0.25 * width * np.sin(2.0 * np.pi * t)))
    return [bench.point(*point) for point in points.tolist()]


def circle(bench: Bench, u: float, radius: float = 1.5) -> list[QPoint]:
    width = bench.strip.state.viewport.strip_width
    turns = np.linspace(0.0, 2.0 * np.pi, 25)
    return [bench.point(u + radius * np.cos(t), 0.5 * width + radius * np.sin(t)) for t in turns]


def test_a_stroke_becomes_the_motif_as_one_step(bench: Bench) -> None:
    begun = bench.document.design
    bench.state.set_pen(Pen())
    drag(bench, *wave(bench, 20.0))
    pattern = bench.document.design.pattern
    assert pattern.family == "motif"
    assert pattern.motif is not None
    assert steps_done(bench.document) == 1
    assert bench.document.undo_label == "draw a curve"
    # The ridge lies where it was drawn, and not beside it.
    assert bench.strip.state.view is not None
    layout = bench.strip.state.view.built.pattern.motif
    assert layout is not None
    import shapely

    shapes = layout.shapes(range(-3, pattern.around + 3))
    drawn = [bench.strip.state.position(point.toPointF()) for point in wave(bench, 20.0)]
    assert all(shapes.distance(shapely.Point(point)) < 0.05 for point in drawn)
    assert shapes.distance(shapely.Point(drawn[6][0], drawn[18][1])) > 0.5
    bench.document.undo()
    assert bench.document.design == begun


def test_what_a_motif_cannot_have_is_named_when_it_goes(bench: Bench) -> None:
    with_zones = with_zone_added(bench.document.design)
    bench.document.change(with_zones, "add a zone")
    bench.rebuild()
    bench.state.set_pen(Pen(width_mm=1.3))
    bar = bench.strip.pen.bar
    assert bar.y() > bench.point(20.0, 0.0).y()
    drag(bench, *wave(bench, 20.0))
    assert bench.document.design.zones == ()
    assert bench.document.undo_label == "draw a curve in place of zones"
    assert "zones" in bench.strip.state.message
    bench.document.undo()
    assert bench.document.design == with_zones
    # The next pen is like the last one.
    bench.state.set_pen(None)
    assert bench.state.last_pen == Pen(width_mm=1.3)


def test_a_second_stroke_is_added_where_that_is_chosen(bench: Bench) -> None:
    bench.state.set_pen(Pen())
    bar = bench.strip.pen.bar
    assert not bar.adds.isEnabled()
    click(bar.buttons["area"])
    drag(bench, *circle(bench, 20.0))
    first = bench.document.design
    assert bar.adds.isEnabled()
    click(bar.adds)
    click(bar.buttons["line"])
    assert bench.state.pen == Pen("line", adds=True)
    drag(bench, *wave(bench, 22.0, 3.0))
    second = bench.document.design
    assert bench.document.undo_label == "add a curve to the motif"
    assert first.pattern.motif is not None
    assert second.pattern.motif is not None
    assert len(second.pattern.motif.outline) > len(first.pattern.motif.outline)
    assert second.pattern.around == first.pattern.around
    # A motif that is gone cannot be added to: the next stroke is a new one.
    bench.document.undo()
    bench.document.undo()
    assert bench.state.pen == Pen("line")
    assert not bar.adds.isEnabled()


def test_a_stroke_is_added_before_the_one_before_it_is_in_view(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    bench.state.set_pen(Pen("area"))
    monkeypatch.setattr(bench.strip, "show_view", lambda view: None)
    drag(bench, *circle(bench, 20.0))
    bench.state.set_pen(Pen("line", adds=True))
    first = bench.document.design.pattern.motif
    drag(bench, *wave(bench, 22.0, 3.0))
    second = bench.document.design.pattern.motif
    assert first is not None
    assert second is not None
    assert len(second.outline) > len(first.outline)
    assert bench.document.undo_label == "add a curve to the motif"
    assert bench.state.pen == Pen("line", adds=True)


def test_a_stroke_over_the_seam(bench: Bench) -> None:
    bench.strip.state.look(bench.strip.state.viewport.centred(0.0))
    bench.state.set_pen(Pen(width_mm=1.2))
    drag(bench, *wave(bench, 0.0))
    assert bench.document.design.pattern.family == "motif"
    assert bench.strip.state.view is not None
    assert bench.strip.state.view.built.solid.mesh.problems() == []


def test_escape_takes_a_stroke_back_and_then_lays_the_pen_down(bench: Bench) -> None:
    begun = bench.document.design
    bench.state.set_pen(Pen())
    drag(bench, *wave(bench, 20.0), release=False)
    assert bench.document.dragging
    QTest.keyClick(bench.strip, Qt.Key.Key_Escape)
    assert not bench.document.dragging
    QTest.mouseRelease(bench.strip, Qt.MouseButton.LeftButton, pos=wave(bench, 20.0)[-1])
    assert bench.document.design == begun
    assert steps_done(bench.document) == 0
    assert bench.state.pen is not None
    QTest.keyClick(bench.strip, Qt.Key.Key_Escape)
    assert bench.state.pen is None
    assert bench.strip.pen.bar.isHidden()


def test_a_click_is_no_curve_and_says_so(bench: Bench) -> None:
    begun = bench.document.design
    bench.state.set_pen(Pen())
    QTest.mouseClick(bench.strip, Qt.MouseButton.LeftButton, pos=wave(bench, 20.0)[0])
    assert bench.document.design == begun
    assert "too short" in bench.strip.state.message


def test_the_stroke_is_seen_while_it_is_drawn(bench: Bench) -> None:
    bench.state.set_pen(Pen("line", 1.0))
    plain = pixels(bench.strip)
    drag(bench, *wave(bench, 30.0), release=False)
    seen = pixels(bench.strip)
    at = wave(bench, 30.0)[6]
    assert (
        np.abs(
            seen[at.y() - 6 : at.y() + 6, at.x() - 6 : at.x() + 6]
            - plain[at.y() - 6 : at.y() + 6, at.x() - 6 : at.x() + 6]
        ).max()
        > 60
    )
    QTest.keyClick(bench.strip, Qt.Key.Key_Escape)


def test_brush_and_pen_are_never_both_in_hand(bench: Bench) -> None:
    bench.state.set_pen(Pen())
    assert bench.strip.state.handles() == []
    bench.state.set_brush(Brush())
    assert bench.state.pen is None
    bench.state.set_pen(Pen())
    assert bench.state.brush is None


def test_the_settings_give_the_pen(window: Any, settled: Any, pattern: PatternSection) -> None:
    reach(window, pattern.motif)
    click(pattern.motif.draw_button)
    assert window.state.pen == Pen()
    assert pattern.motif.draw_button.isChecked()
    QTest.keyClick(window, Qt.Key.Key_Escape)
    QApplication.processEvents()
    assert window.state.pen is None
    assert not pattern.motif.draw_button.isChecked()
