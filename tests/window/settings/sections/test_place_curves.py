"""Density and depth by curves: points dragged, added and removed, by mouse and by keyboard."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

pytest.importorskip("PySide6")

from even_hands import LEFT, Column, click, dome_design
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from settings_hands import drag, handle_place, steps_done

from ringtex.basics.progress import Progress
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.measure import areas_on_ring
from ringtex.relief.depth_fades import depth_factor
from ringtex.strip.unwrap import unwrap
from ringtex.window.settings.drawings.curve_drawing import CurveDrawing
from ringtex.window.settings.sections.variation_part import VariationPart


@pytest.fixture(params=["density", "fade"])
def part(request: pytest.FixtureRequest, column: Column) -> tuple[Column, VariationPart]:
    found = column.pattern.density if request.param == "density" else column.relief.fade
    column.show(found.header)
    click(found.header)
    column.show(found.around)
    return column, found


def options(column: Column, part: VariationPart) -> Any:
    return (
        column.document.design.pattern.density if part.kind.subject == "density" else column.document.design.relief.fade
    )


def test_an_offered_point_becomes_the_designs_when_it_is_dragged(part: tuple[Column, VariationPart]) -> None:
    column, shown = part
    begun = column.document.design
    assert options(column, shown) is None
    drawing = shown.around
    down = (
        0.25 * drawing.frame.y_scale * (drawing.kind.height(drawing.kind.high) - drawing.kind.height(drawing.kind.low))
    )
    drag(drawing, handle_place(drawing, "point 2"), (0.0, down), steps=9)
    made = options(column, shown)
    assert [round(place) for place, _ in made.around] == [0, 90, 180, -90]
    values = [value for _, value in made.around]
    assert values[1] < values[0] == values[2] == 1.0
    assert values[3] == values[1], "the other shoulder goes along"
    assert steps_done(column.document) == 1
    assert shown.clear.isEnabled()
    column.document.undo()
    assert column.document.design == begun


def test_a_point_moves_both_ways_at_once_and_escape_gives_it_up(part: tuple[Column, VariationPart]) -> None:
    column, shown = part
    drawing = shown.across
    column.show(drawing)
    drag(drawing, handle_place(drawing, "point 2"), (0.2 * drawing.frame.x_scale, 8.0), steps=9)
    place, value = options(column, shown).across[1]
    assert place == pytest.approx(0.7, abs=0.02)
    assert value < 1.0
    before = column.document.design
    drag(drawing, handle_place(drawing, "point 2"), (-40.0, 3.0), steps=9, release=False)
    assert column.document.design != before
    QTest.keyClick(drawing, Qt.Key.Key_Escape)
    assert column.document.design == before


def test_a_double_click_adds_and_delete_takes_away(part: tuple[Column, VariationPart]) -> None:
    column, shown = part
    drawing = shown.around
    at = drawing.frame.point(45.0, drawing.kind.height(0.5)).toPoint()
    QTest.mouseDClick(drawing, LEFT, pos=at)
    points = options(column, shown).around
    assert len(points) == 6
    assert points[5] == (-points[4][0], points[4][1])
    assert points[4] == pytest.approx((45.0, 0.5), abs=1.5)
    assert column.document.undo_label == "add a point"
    # The new one is in hand.
    drawing.setFocus()
    QTest.keyClick(drawing, Qt.Key.Key_Delete)
    assert len(options(column, shown).around) == 4
    QTest.keyClick(drawing, Qt.Key.Key_Insert)
    assert len(options(column, shown).around) == 6


def test_a_point_dragged_out_is_gone_and_comes_back_with_the_hand(part: tuple[Column, VariationPart]) -> None:
    column, shown = part
    drawing = shown.around
    untick(column, shown)
    QTest.mouseDClick(drawing, LEFT, pos=drawing.frame.point(45.0, drawing.kind.height(0.5)).toPoint())
    before = column.document.design
    start = handle_place(drawing, "point 5")
    drag(drawing, start, (0.0, 200.0), steps=9, release=False)
    assert len(options(column, shown).around) == 4, "shown without it while it is outside"
    send_move(drawing, start)
    assert len(options(column, shown).around) == 5, "and with it when the hand comes back"
    QTest.keyClick(drawing, Qt.Key.Key_Escape)
    assert column.document.design == before
    drag(drawing, handle_place(drawing, "point 5"), (0.0, 200.0), steps=9)
    assert len(options(column, shown).around) == 4
    assert column.document.undo_label == "remove a point"
    column.document.undo()
    assert column.document.design == before


def send_move(drawing: CurveDrawing, at: QPointF) -> None:
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent

    none, where = Qt.MouseButton.NoButton, QPointF(drawing.mapToGlobal(at))
    QApplication.sendEvent(
        drawing, QMouseEvent(QEvent.Type.MouseMove, at, where, none, LEFT, Qt.KeyboardModifier.NoModifier)
    )


def test_keys_move_points_and_all_is_taken_back_by_a_click(part: tuple[Column, VariationPart]) -> None:
    column, shown = part
    drawing = shown.around
    drawing.setFocus()
    for key in (Qt.Key.Key_PageDown, Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Left):
        QTest.keyClick(drawing, key)
    points = options(column, shown).around
    assert [point for point in points if point[1] < 1.0], "arrows move the chosen point"
    column.show(shown.clear)
    click(shown.clear)
    assert options(column, shown) is None
    assert not shown.clear.isEnabled()


def test_the_palms_point_stands_at_both_ends(column: Column) -> None:
    column.show(column.pattern.density.header)
    click(column.pattern.density.header)
    drawing = column.pattern.density.around
    places = [(handle.name, handle.x) for handle in drawing.handles]
    assert ("point 3", 180.0) in places
    assert ("point 3 again", -180.0) in places
    # The drawn curve is the core's, closed round the ring: equal values and slopes at both ends.
    curve = drawing.curve()
    assert float(curve(-180.0)) == pytest.approx(float(curve(180.0)))


def test_dense_shoulders_have_smaller_cells(column: Column) -> None:
    """What the hand drew is what the ring gets: areas on the ring against the factor asked for."""
    column.begin(dome_design(around=40, evenness=1.0))
    shown = column.pattern.density
    column.show(shown.header)
    click(shown.header)
    drawing = shown.around
    column.show(drawing)
    drag(drawing, handle_place(drawing, "point 2"), (0.0, -drawing.frame.y_scale), steps=8)
    design = column.document.design
    assert design.pattern.density is not None
    strip = unwrap(design.make_band(), design.strip.keep)
    tiling = make_pattern(strip, design.pattern, design.rails, Progress()).tiling
    areas, centre = areas_on_ring(tiling, strip), tiling.kernel[0]
    theta, _ = strip.to_band(centre[:, 0], centre[:, 1])
    head, shoulder = np.abs(theta) < 0.2, np.abs(np.abs(theta) - np.pi / 2.0) < 0.2
    assert np.mean(areas[head]) / np.mean(areas[shoulder]) == pytest.approx(2.0, rel=0.12)


def test_a_fade_towards_both_edges_reaches_the_relief(column: Column) -> None:
    shown = column.relief.fade
    column.show(shown.header)
    click(shown.header)
    drawing = shown.across
    column.show(drawing)
    for name in ("point 1", "point 3"):
        drag(drawing, handle_place(drawing, name), (0.0, 0.98 * drawing.frame.y_scale), steps=8)
    fade = column.document.design.relief.fade
    assert fade is not None
    strip = unwrap(column.document.design.make_band(), "shape")
    share = depth_factor(strip, fade, np.full(3, 0.5 * strip.length), strip.width * np.array([0.0, 0.5, 1.0]))
    assert share == pytest.approx([0.0, 1.0, 0.0], abs=0.04)


def test_bricks_have_no_density_but_fade(column: Column) -> None:
    column.begin(dome_design(family="brick"))
    assert column.pattern.density.isHidden()
    assert not column.relief.fade.isHidden()


def test_pointing_at_a_point_shows_its_place_on_the_views(column: Column) -> None:
    from strip_rings import view_of

    view = view_of(column.document.design)
    column.panel.show_view(view)
    shown = column.pattern.density
    column.show(shown.header)
    click(shown.header)
    column.show(shown.around)
    send_hover(shown.around, handle_place(shown.around, "point 2"))
    assert column.state.hovered_place is not None
    u, v = column.state.hovered_place
    theta, across = view.built.strip.to_band(np.array([u]), np.array([v]))
    assert np.rad2deg(theta[0]) == pytest.approx(90.0, abs=1e-6)
    assert across[0] == pytest.approx(0.0, abs=1e-6)
    drag(shown.around, handle_place(shown.around, "point 2"), (30.0, 0.0), steps=6, release=False)
    moved, _ = view.built.strip.to_band(*(np.array([part]) for part in column.state.hovered_place))
    assert np.rad2deg(moved[0]) > 100.0
    send_hover(shown.around, QPointF(4.0, 4.0))
    QTest.keyClick(shown.around, Qt.Key.Key_Escape)
    send_hover(shown.around, QPointF(4.0, 4.0))
    assert column.state.hovered_place is None


def send_hover(drawing: CurveDrawing, at: QPointF) -> None:
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent

    none, where = Qt.MouseButton.NoButton, QPointF(drawing.mapToGlobal(at))
    QApplication.sendEvent(
        drawing, QMouseEvent(QEvent.Type.MouseMove, at, where, none, none, Qt.KeyboardModifier.NoModifier)
    )


def untick(column: Column, shown: VariationPart) -> None:
    column.show(shown.mirror)
    click(shown.mirror, QPointF(12.0, shown.mirror.height() / 2.0))
    assert not shown.mirror.isChecked()
    column.show(shown.around)


def test_left_goes_like_right_until_it_is_unticked(part: tuple[Column, VariationPart]) -> None:
    column, shown = part
    drawing = shown.around
    drag(drawing, handle_place(drawing, "point 4"), (15.0, 9.0), steps=6)
    points = options(column, shown).around
    assert points[1] == (-points[3][0], points[3][1])
    assert steps_done(column.document) == 1
    untick(column, shown)
    drag(drawing, handle_place(drawing, "point 4"), (0.0, 9.0), steps=6)
    unlike = options(column, shown).around
    assert unlike[1] == points[1]
    assert unlike[3] != points[3]
    # Ticked again, both sides are as the one from head to palm, counter-clockwise.
    column.show(shown.mirror)
    click(shown.mirror, QPointF(12.0, shown.mirror.height() / 2.0))
    alike = dict(options(column, shown).around)
    assert alike[-points[1][0]] == alike[points[1][0]] == points[1][1]
    assert column.document.undo_label == "make left like right"
    column.document.undo()
    assert not shown.mirror.isChecked(), "a curve with two unlike sides is never ticked"


def test_a_pair_dragged_out_is_gone_as_a_pair(part: tuple[Column, VariationPart]) -> None:
    column, shown = part
    drawing = shown.around
    drag(drawing, handle_place(drawing, "point 2"), (0.0, 220.0), steps=8)
    assert [place for place, _ in options(column, shown).around] == [0.0, 180.0]
    column.document.undo()
    assert options(column, shown) is None
