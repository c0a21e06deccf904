"""Section and round drawings: their points are controls of the document."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from zoo import CROOKED, DOME, plain_design, station

pytest.importorskip("PySide6")

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from settings_drawn import Drawn
from settings_hands import LEFT, changed_keys, design_of, drag, handle_place, steps_done

from ringtex.band.presets import PRESETS
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.make_ring import shape_ring
from ringtex.window.building.drawable_ring import make_view
from ringtex.window.settings.drawings.curve_drawing import CurveDrawing
from ringtex.window.settings.drawings.handle_drawing import HandleDrawing
from ringtex.window.settings.drawings.profile_drawing import ProfileDrawing
from ringtex.window.settings.drawings.section_drawing import SectionDrawing
from ringtex.window.settings.drawings.station_drawing import StationDrawing


@pytest.fixture(scope="module")
def drawn(qapp: QApplication) -> Iterator[Drawn]:
    made = Drawn(None, plain_design())
    yield made
    made.close()


@pytest.fixture
def dome(drawn: Drawn) -> Drawn:
    drawn.begin(design_of(plain_design(band=DOME, bore={"shape": "comfort", "rise": 0.2})))
    return drawn


SECTION_DRAGS = [
    ("crown", (0.0, -1.0), "band.stations[0].height", 10.0),
    ("upper edge", (1.0, 0.0), "band.stations[0].width", 20.0),
    ("lower edge", (1.0, 0.0), "band.stations[0].width", 16.0),
    ("upper edge", (0.0, -1.0), "band.stations[0].edge_height", 2.2),
    ("rise of the bore", (0.0, -0.5), "bore.rise", 0.7),
]


@pytest.mark.parametrize(("name", "by_mm", "key", "becomes"), SECTION_DRAGS)
def test_a_point_of_the_section_moves_by_as_much_as_the_hand(
    dome: Drawn, name: str, by_mm: tuple[float, float], key: str, becomes: float
) -> None:
    drawing, begun = dome.show(dome.band.section_drawing), dome.document.design
    scale = drawing.frame.x_scale
    drag(drawing, handle_place(drawing, name), (by_mm[0] * scale, by_mm[1] * scale), steps=12)
    assert changed_keys(begun, dome.document.design) == {key}
    # The drag snaps to the setting's step.
    from ringtex.edits.design_keys import value_at

    assert value_at(dome.document.design, key) == pytest.approx(becomes, abs=0.051)
    assert steps_done(dome.document) == 1
    dome.document.undo()
    assert dome.document.design == begun


def test_fullness_grows_outwards_and_shift_moves_both_ways(dome: Drawn) -> None:
    drawing, begun = dome.show(dome.band.section_drawing), dome.document.design
    drag(drawing, handle_place(drawing, "fullness"), (0.0, -12.0))
    assert dome.document.design.band.stations[0].fullness > 2.0
    dome.document.undo()
    drag(drawing, handle_place(drawing, "upper edge"), (12.0, -12.0), modifier=Qt.KeyboardModifier.ShiftModifier)
    keys = {"band.stations[0].width", "band.stations[0].edge_height"}
    assert changed_keys(begun, dome.document.design) == keys
    assert steps_done(dome.document) == 1


def test_what_is_dragged_too_far_stops_at_what_can_be_made(dome: Drawn) -> None:
    drawing = dome.show(dome.band.section_drawing)
    drag(drawing, handle_place(drawing, "upper edge"), (0.0, -400.0), steps=20)
    edge = dome.document.design.band.stations[0].edge_height_mm
    assert edge == pytest.approx(9.0, abs=0.01)
    drag(drawing, handle_place(drawing, "crown"), (0.0, 4000.0), steps=20)
    assert dome.document.design.band.stations[0].height_mm >= edge
    assert dome.document.design.make_band()


def test_escape_in_a_drag_brings_everything_back(dome: Drawn) -> None:
    drawing, begun = dome.show(dome.band.section_drawing), dome.document.design
    drag(drawing, handle_place(drawing, "crown"), (0.0, -30.0), release=False)
    assert dome.document.design != begun
    QTest.keyClick(drawing, Qt.Key.Key_Escape)
    assert dome.document.design == begun
    assert dome.document.undo_label is None


@pytest.mark.parametrize("measure", ["width", "height"])
def test_stations_are_dragged_on_the_round_drawings(dome: Drawn, measure: str) -> None:
    drawing = dome.show(getattr(dome.band, f"{measure}_drawing"))
    begun = dome.document.design
    drag(drawing, handle_place(drawing, "station 1"), (0.0, 10.0))
    assert changed_keys(begun, dome.document.design) == {f"band.stations[0].{measure}"}
    assert steps_done(dome.document) == 1
    dome.document.undo()
    drag(drawing, handle_place(drawing, "station 1"), (20.0 * drawing.frame.x_scale, 0.0))
    assert changed_keys(begun, dome.document.design) == {"band.stations[0].angle"}
    assert dome.document.design.band.stations[0].angle_deg == pytest.approx(20.0, abs=1.0)
    assert steps_done(dome.document) == 1


def test_a_mirror_image_drags_its_station_the_other_way(drawn: Drawn) -> None:
    tapered = {"section": None, "stations": [station(0, 8, 3, 1.2), station(60, 7, 2.6, 1.2), station(180, 5, 2, 1.2)]}
    drawn.begin(design_of(plain_design(band={**tapered, "mirror": True})))
    drawing = drawn.show(drawn.band.width_drawing)
    drag(drawing, handle_place(drawing, "station 2 mirrored"), (-10.0 * drawing.frame.x_scale, 0.0))
    assert drawn.document.design.band.stations[1].angle_deg == pytest.approx(70.0, abs=1.0)
    assert drawn.band.choice.index == 1


def test_double_click_adds_a_station_that_leaves_the_band_as_it_was(dome: Drawn) -> None:
    drawing, before = dome.show(dome.band.height_drawing), dome.document.design
    place = drawing.frame.point(70.0, 0.5).toPoint()
    QTest.mouseDClick(drawing, LEFT, pos=place)
    after = dome.document.design
    assert len(after.band.stations) == 3
    added = after.band.stations[2]
    assert added.angle_deg == pytest.approx(70.0, abs=1.0)
    theta = np.deg2rad(np.array([added.angle_deg]))
    assert added.width_mm == pytest.approx(2.0 * float(before.make_band().half_width(theta)[0]), abs=0.006)
    height = float(before.make_band().crown_radius(theta)[0]) - before.make_band().bore_radius_mm
    assert added.height_mm == pytest.approx(height, abs=0.006)
    assert dome.band.choice.index == 2
    assert dome.document.undo_label == "add a station"
    drawing.setFocus()
    QTest.keyClick(drawing, Qt.Key.Key_Delete)
    assert dome.document.design == before
    assert steps_done(dome.document) == 2


def test_the_last_station_stays_and_says_why(drawn: Drawn) -> None:
    drawn.begin(design_of(plain_design()))
    drawing, begun = drawn.show(drawn.band.width_drawing), drawn.document.design
    drawing.setFocus()
    QTest.keyClick(drawing, Qt.Key.Key_Delete)
    assert drawn.document.design == begun
    drawn.band.remove.click()
    assert "at least one station" in drawn.band.message.text()


def test_buttons_add_choose_and_remove_stations(dome: Drawn) -> None:
    QTest.mouseClick(dome.band.add, LEFT)
    assert len(dome.document.design.band.stations) == 3
    assert dome.band.choice.index == 2
    assert dome.band.station_rows[1].key == "band.stations[2].width"
    QTest.mouseClick(dome.band.next, LEFT)
    assert dome.band.choice.index == 0
    QTest.mouseClick(dome.band.previous, LEFT)
    QTest.mouseClick(dome.band.remove, LEFT)
    assert len(dome.document.design.band.stations) == 2


def test_a_click_beside_the_points_looks_at_the_section_there(dome: Drawn) -> None:
    drawing, begun = dome.show(dome.band.width_drawing), dome.document.design
    QTest.mouseClick(drawing, LEFT, pos=drawing.frame.point(90.0, 0.0).toPoint())
    assert dome.band.choice.between_deg == pytest.approx(90.0, abs=1.0)
    assert dome.band.section_drawing.handles == []
    assert dome.document.design == begun
    QTest.mouseClick(drawing, LEFT, pos=handle_place(drawing, "station 2").toPoint())
    assert dome.band.choice.between_deg is None
    assert dome.band.section_drawing.handles


@pytest.mark.parametrize("shape", PRESETS, ids=lambda shape: shape.name)
def test_every_shape_to_begin_with_can_be_made_on_every_finger(dome: Drawn, shape: Any) -> None:
    begun = dome.document.design
    straight = replace(begun, bore=type(begun.bore)())
    for size in ("41", "54", "76"):
        replace(straight, size=type(begun.size)("iso", size), band=shape.options).make_band()
    entry = next(action for action in dome.band.shapes.menu().actions() if action.text() == shape.name)
    entry.trigger()
    assert dome.document.design.band == shape.options
    assert {key.split(".")[0] for key in changed_keys(begun, dome.document.design)} <= {"band"}
    assert steps_done(dome.document) <= 1


def test_pointing_at_a_handle_says_what_it_touches(qtbot: Any, dome: Drawn) -> None:
    drawing = dome.show(dome.band.section_drawing)

    def touched_at(place: QPoint) -> str | None:
        # Again and again: the display's own pointer, wherever it stands, may have the last word once.
        QTest.mouseMove(drawing, QPoint(5, 5))
        QTest.mouseMove(drawing, place)
        return dome.state.hovered_setting

    qtbot.waitUntil(lambda: touched_at(handle_place(drawing, "crown").toPoint()) == "height")
    qtbot.waitUntil(lambda: touched_at(QPoint(3, 3)) is None)


def test_a_band_that_is_not_mirrored_has_no_images(drawn: Drawn) -> None:
    drawn.begin(design_of(plain_design(band=CROOKED)))
    assert not [handle for handle in drawn.band.width_drawing.handles if handle.is_mirrored]
    assert len(drawn.band.width_drawing.handles) == 3


def test_the_point_stays_under_the_hand(dome: Drawn) -> None:
    drawing = dome.show(dome.band.section_drawing)
    start = handle_place(drawing, "crown")
    drag(drawing, start, (0.0, -20.0), release=False)
    at = handle_place(drawing, "crown")
    assert abs(at.y() - (start.y() - 20.0)) <= 0.06 * drawing.frame.y_scale + 0.5
    QTest.keyClick(drawing, Qt.Key.Key_Escape)
    assert handle_place(drawing, "crown") == QPointF(start)


@pytest.fixture
def draws(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the drawings, each time that one is drawn."""
    names: list[str] = []
    for kind in (SectionDrawing, StationDrawing, ProfileDrawing, CurveDrawing):

        def counted(drawing: Any, plot: Any, draw: Any = kind.draw) -> None:
            names.append(drawing.accessibleName())
            draw(drawing, plot)

        monkeypatch.setattr(kind, "draw", counted)
    return names


def test_only_what_shows_something_of_a_change_is_drawn_again_and_once(
    dome: Drawn, qtbot: QtBot, draws: list[str]
) -> None:
    for drawing in dome.panel.findChildren(HandleDrawing):
        drawing.redraw()
    draws.clear()
    design = dome.document.design
    for depth in (0.41, 0.42, 0.43):
        dome.document.change(replace(design, relief=replace(design.relief, depth_mm=depth)), "depth")
    dome.document.change(replace(dome.document.design, name="another"), "name")
    QApplication.processEvents()
    assert draws == []  # the views come first
    qtbot.waitUntil(lambda: bool(draws))
    assert draws == ["Profile of a cell"]
    draws.clear()
    wider = replace(design.band.stations[0], width_mm=design.band.stations[0].width_mm + 0.5)
    dome.document.change(replace(dome.document.design, band=replace(design.band, stations=(wider,))), "width")
    band = {"Section of the band", "Width round the ring", "Height round the ring"}
    qtbot.waitUntil(lambda: set(draws) == band)
    # Nothing is left to be drawn.
    for drawing in dome.panel.findChildren(HandleDrawing):
        drawing.redraw()
    assert len(draws) == 3


def test_a_drawing_follows_the_hand_in_it_at_once_and_other_drawings_the_views(
    drawn: Drawn, qtbot: QtBot, draws: list[str]
) -> None:
    drawn.begin(design_of(plain_design(band=DOME)))
    section = drawn.show(drawn.band.section_drawing)
    for drawing in drawn.panel.findChildren(HandleDrawing):
        drawing.redraw()
    draws.clear()
    drag(section, handle_place(section, "crown"), (0.0, -12.0), release=False)
    QApplication.processEvents()
    assert draws == ["Section of the band"]
    built = shape_ring(drawn.document.history.design, DRAFT_CHORD_MM, Progress())
    drawn.panel.show_view(make_view(built, is_draft=True))
    QApplication.processEvents()
    assert sorted(draws[1:]) == ["Height round the ring", "Width round the ring"]
    QTest.keyClick(section, Qt.Key.Key_Escape)
