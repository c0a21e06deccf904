"""Painting on the strip: strokes are part of the design, one step each, and mean what they say on the ring."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

pytest.importorskip("PySide6")

from even_hands import click, dome_design
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from settings_hands import steps_done
from strip_rings import Bench, drag, pixels, view_of

from ringtex.edits.brush_strokes import Brush, spots_of
from ringtex.pattern.measure import areas_on_ring


class DomeBench(Bench):
    """A strip with the small dome."""

    def __init__(self, qtbot: Any, evenness: float = 0.0) -> None:
        super().__init__(qtbot, "dome")
        self.document.new(dome_design(evenness=evenness))
        self.strip.state.show_whole()
        self.rest()

    def place(self, along: float, across: float) -> QPoint:
        """The pixel of shares of the strip."""
        viewport = self.strip.state.viewport
        return self.point(along * viewport.length, across * viewport.width)

    def spots(self, subject: str = "density") -> tuple[Any, ...]:
        return spots_of(self.document.design, subject)


@pytest.fixture
def bench(qtbot: Any) -> Iterator[DomeBench]:
    made = DomeBench(qtbot)
    made.strip.activateWindow()
    yield made
    made.strip.state.ring.stop()


def test_a_stroke_is_one_step_and_part_of_the_design(bench: DomeBench) -> None:
    begun = bench.document.design
    bench.state.set_brush(Brush("density", "more", 2.0, 2.0))
    stops = [bench.place(0.30 + 0.02 * k, 0.5) for k in range(8)]
    drag(bench, stops[0], *stops[1:])
    spots = bench.spots()
    assert len(spots) >= 3
    assert all(spot[2:] == (2.0, 2.0) for spot in spots)
    assert spots[0][:2] == pytest.approx((0.30, 0.5), abs=0.01)
    assert 0.40 < max(spot[0] for spot in spots) <= 0.45
    assert steps_done(bench.document) == 1
    assert bench.document.undo_label == "paint cells denser"
    bench.document.undo()
    assert bench.document.design == begun


def test_a_stroke_goes_over_the_seam(bench: DomeBench) -> None:
    bench.state.set_brush(Brush())
    viewport = bench.strip.state.viewport.centred(0.0)
    bench.strip.state.look(viewport)
    stops = [bench.place(share, 0.5) for share in (0.95, 0.98, 0.01, 0.04)]
    drag(bench, stops[0], *stops[1:])
    along = [spot[0] for spot in bench.spots()]
    assert all(0.0 <= share < 1.0 for share in along)
    assert min(along) < 0.06
    assert max(along) > 0.93


def test_what_is_painted_denser_is_denser_on_the_ring(bench: DomeBench) -> None:
    bench.document.new(dome_design(around=40, evenness=1.0))
    bench.state.set_brush(Brush("density", "more", 5.0, 3.0))
    drag(bench, bench.place(0.5, 0.5), bench.place(0.501, 0.5))
    view = view_of(bench.document.design)
    tiling, strip = view.built.pattern.tiling, view.built.strip
    areas, centre = areas_on_ring(tiling, strip), tiling.kernel[0]
    away = np.linalg.norm(
        strip.point(*centre.T) - strip.point(np.array([0.5 * strip.length]), np.array([0.5 * strip.width])), axis=1
    )
    # In the spot's middle fourth its factor is over 2.6; beyond 1.2 radii it is 1.
    assert np.median(areas[away > 6.0]) / np.median(areas[away < 1.3]) > 2.2


def test_wiping_takes_spots_away(bench: DomeBench) -> None:
    bench.state.set_brush(Brush("density", "less"))
    for share in (0.3, 0.5, 0.7):
        drag(bench, bench.place(share, 0.5), bench.place(share + 0.001, 0.5))
    assert [spot[3] for spot in bench.spots()] == [0.5] * 3
    bench.state.set_brush(replace(Brush(), act="erase", radius_mm=1.0))
    drag(bench, bench.place(0.5, 0.5), bench.place(0.501, 0.5))
    assert [round(spot[0], 1) for spot in bench.spots()] == [0.3, 0.7]
    assert bench.document.undo_label == "wipe off paint"
    drag(bench, bench.place(0.3, 0.5), bench.place(0.7, 0.5))
    assert bench.document.design.pattern.density is None, "nothing asked for is nothing written"


def test_painting_over_a_spot_makes_it_stronger(bench: DomeBench) -> None:
    bench.state.set_brush(Brush("density", "more", 2.0, 2.0))
    for _ in range(5):
        drag(bench, bench.place(0.5, 0.5), bench.place(0.5, 0.5))
    assert [spot[3] for spot in bench.spots()] == [8.0], "held at what can be asked for"


def test_depth_is_painted_in_the_same_way(bench: DomeBench) -> None:
    bench.document.new(dome_design(around=60))
    bench.state.set_brush(Brush("fade", "less", 5.0, share=0.25))
    drag(bench, bench.place(0.5, 0.5), bench.place(0.52, 0.5))
    assert bench.spots("fade")[0][3] == 0.25
    assert bench.document.design.pattern.density is None
    assert bench.document.undo_label == "paint the relief shallower"
    shares = view_of(bench.document.design).built.relief.depth_share
    assert shares.min() < 0.45
    assert shares.max() == 1.0


def test_escape_takes_a_stroke_back_and_then_lays_the_brush_down(bench: DomeBench) -> None:
    begun = bench.document.design
    bench.state.set_brush(Brush())
    drag(bench, bench.place(0.3, 0.5), bench.place(0.4, 0.5), release=False)
    assert bench.document.design != begun
    QTest.keyClick(bench.strip, Qt.Key.Key_Escape)
    assert bench.document.design == begun
    assert bench.state.brush is not None
    QTest.mouseRelease(bench.strip, Qt.MouseButton.LeftButton, pos=bench.place(0.4, 0.5))
    QTest.keyClick(bench.strip, Qt.Key.Key_Escape)
    assert bench.state.brush is None
    # And a drag slides the pattern again.
    drag(bench, bench.place(0.42, 0.45), bench.place(0.44, 0.45), bench.place(0.46, 0.45))
    assert bench.document.undo_label == "slide the pattern"


def test_other_buttons_still_pan_and_the_wheel_zooms(bench: DomeBench) -> None:
    bench.state.set_brush(Brush())
    before = bench.strip.state.viewport
    drag(bench, bench.place(0.5, 0.5), bench.place(0.45, 0.5), button=Qt.MouseButton.MiddleButton)
    assert bench.strip.state.viewport.left_px != before.left_px
    assert bench.spots() == ()


def test_the_bar_says_what_the_brush_does(bench: DomeBench) -> None:
    bar = bench.strip.brush.bar
    assert bar.isHidden()
    bench.state.set_brush(Brush())
    assert bar.isVisible()
    click(bar.buttons["less"])
    assert bench.state.brush == Brush(act="less")
    bar.radius.setFocus()
    QTest.keyClick(bar.radius, Qt.Key.Key_Right)
    assert bench.state.brush is not None
    assert bench.state.brush.radius_mm == pytest.approx(2.05)
    assert "2.0 mm" in bar.radius_words.text() or "2.1 mm" in bar.radius_words.text()
    click(bar.buttons["erase"])
    assert bar.strength.isHidden()
    bench.state.set_brush(Brush("fade", "less"))
    assert bar.buttons["more"].isHidden()
    click(bar.done)
    assert bench.state.brush is None
    assert bar.isHidden()


def test_brush_and_spots_are_seen_while_it_is_in_hand(bench: DomeBench) -> None:
    plain = pixels(bench.strip)
    bench.state.set_brush(Brush("density", "more", 3.0))
    bench.move(bench.place(0.5, 0.5))
    QApplication.processEvents()
    seen = pixels(bench.strip)
    at = bench.place(0.5, 0.5)
    room = np.s_[at.y() - 40 : at.y() + 40, at.x() - 60 : at.x() + 60]
    assert np.abs(seen[room] - plain[room]).max() > 60
    assert bench.strip.state.handles() == []


def test_the_whole_window_ends_the_brush_by_escape(qtbot: Any, window: Any, settled: Any) -> None:
    window.state.set_brush(Brush())
    QTest.keyClick(window, Qt.Key.Key_Escape)
    assert window.state.brush is None


def test_enter_paints_on_the_chosen_cell(bench: DomeBench) -> None:
    bench.state.set_brush(Brush())
    bench.state.set_hovered_cell(30)
    QTest.keyClick(bench.strip, Qt.Key.Key_Return)
    assert bench.strip.state.view is not None
    u, v = view_of(dome_design()).built.pattern.tiling.kernel[0][30]
    spot = bench.spots()[0]
    strip = bench.strip.state.view.built.strip
    assert (spot[0] * strip.length, spot[1] * strip.width) == pytest.approx((u, v), abs=0.1)
    assert steps_done(bench.document) == 1


def test_a_first_picture_that_comes_late_is_refined_too(qtbot: Any) -> None:
    """On a busy machine the hand rests before anything was painted."""
    bench = DomeBench(qtbot)
    bench.strip.setUpdatesEnabled(False)
    bench.document.new(dome_design(around=30))
    qtbot.wait(400)
    bench.strip.setUpdatesEnabled(True)
    bench.strip.repaint()
    assert not bench.strip.is_at_rest()
    bench.rest()
    bench.strip.state.ring.stop()
