"""From a new ring to an exported dome with even cells, with nothing but the mouse; and the band's form by hand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("PySide6")

from even_hands import LEFT, Column, click, dome_design
from PySide6.QtCore import QPointF, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolBar, QToolButton, QWidget
from settings_hands import drag, handle_place, steps_done

from ringtex.band.presets import preset_named
from ringtex.export.mesh_files.mesh_files import read_mesh
from ringtex.window.settings.sections.band_section import BandSection
from ringtex.window.settings.sections.pattern_section import PatternSection

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


def tool(window: MainWindow, name: str) -> QToolButton:
    """The tool bar's button of a command."""
    bar = window.findChild(QToolBar, "tools")
    assert bar is not None
    found = bar.widgetForAction(window.menus.all.actions[name])
    assert isinstance(found, QToolButton)
    return found


def choose_in_menu(button: QToolButton, name: str) -> None:
    """Press the button and click an entry of the menu that drops down."""
    clicked: list[bool] = []

    def pick() -> None:
        menu = button.menu()
        if not menu.isVisible():
            QTimer.singleShot(50, pick)
            return
        entry = next(action for action in menu.actions() if action.text() == name)
        assert not entry.icon().isNull(), "every shape has its picture"
        QTest.mouseClick(menu, LEFT, pos=menu.actionGeometry(entry).center())
        clicked.append(True)

    QTimer.singleShot(50, pick)
    QTest.mouseClick(button, LEFT)
    assert clicked


def reach(window: MainWindow, widget: QWidget) -> None:
    """Scroll the settings to a widget, as the wheel does."""
    QApplication.processEvents()
    window.settings.area.ensureWidgetVisible(widget, 0, 8)
    QApplication.processEvents()


def test_new_preset_dome_even_cells_export_read_back(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], tmp_path: Path
) -> None:
    import trimesh

    window.remembering.set_folder(tmp_path)
    # New: the pictures, and one of them.
    if not window.start_row.isVisible():
        click(tool(window, "begin"))
    click(window.start_row.buttons["plain_flat"])
    settled()
    window.settings.set_folded(["Finger", "Relief", "Finish", "Making"])
    band, pattern = window.settings.section("Band"), window.settings.section("Pattern")
    assert isinstance(band, BandSection)
    assert isinstance(pattern, PatternSection)
    # The dome, and a little higher by hand on the live drawing.
    reach(window, band.shapes)
    choose_in_menu(band.shapes, "dome")
    assert window.document.design.band == preset_named("dome").options
    settled()
    reach(window, band.height_drawing)
    drag(band.height_drawing, handle_place(band.height_drawing, "station 1"), (0.0, 4.0), steps=4)
    assert window.document.design.band.stations[0].height_mm < 9.0
    # Even cells, more of them by the slider under "Around".
    reach(window, pattern.around)
    drag(pattern.around.label, QPointF(20, 6), (40.0, 0.0), steps=8)
    reach(window, pattern.sizes)
    click(pattern.sizes.even)
    assert window.document.design.pattern.evenness == 1.0
    settled()
    assert window.view is not None
    assert window.view.cells is not None
    assert window.view.cells.variation < 0.02
    # Out it goes.
    click(tool(window, "export"))
    qtbot.waitUntil(lambda: window.files.export_dialog is not None and window.files.export_dialog.isVisible())
    dialog = window.files.export_dialog
    assert dialog is not None
    dialog.tolerance.setValue(0.05)
    with qtbot.waitSignal(dialog.exported, timeout=90_000) as told:
        click(dialog.start_button)
    written = Path(told.args[0].order.meshes[0])
    assert written.parent == tmp_path
    assert written.suffix == ".stl"
    click(dialog.close_button)
    # Read back, by our own reader and by another library: one closed body of the volume that was in view, which the
    # tests finish as coarsely as it was exported here.
    assert read_mesh(written).problems() == []
    outside = trimesh.load_mesh(written)
    assert outside.is_watertight
    assert outside.is_winding_consistent
    assert outside.body_count == 1
    assert outside.volume == pytest.approx(window.view.built.finished.mesh.volume, rel=1e-4)


def band_of(column: Column) -> BandSection:
    band = column.panel.section("Band")
    assert isinstance(band, BandSection)
    return band


@pytest.mark.parametrize("measure", ["width", "height"])
def test_stations_come_move_and_go_by_mouse(column: Column, measure: str) -> None:
    band = band_of(column)
    drawing = band.width_drawing if measure == "width" else band.height_drawing
    column.show(drawing)
    begun = column.document.design
    # A double click adds one and leaves the band as it is there.
    at = drawing.frame.point(60.0, 0.6 * float(drawing.frame.y_px > 0))
    QTest.mouseDClick(drawing, LEFT, pos=at.toPoint())
    stations = column.document.design.band.stations
    assert len(stations) == 3
    assert stations[2].angle_deg == pytest.approx(60.0, abs=2.0)
    before, after = begun.make_band(), column.document.design.make_band()
    there = [stations[2].angle_deg * 3.141592653589793 / 180.0]
    assert after.crown_radius(there)[0] == pytest.approx(before.crown_radius(there)[0], abs=0.01)  # type: ignore[arg-type]
    # It is dragged sideways and up.
    drag(drawing, handle_place(drawing, "station 3"), (20.0, 0.0), steps=6)
    assert column.document.design.band.stations[2].angle_deg > stations[2].angle_deg + 5.0
    drag(drawing, handle_place(drawing, "station 3"), (0.0, -8.0), steps=6)
    now, was = column.document.design.band.stations[2], stations[2]
    assert (now.width_mm > was.width_mm) if measure == "width" else (now.height_mm > was.height_mm)
    # Out of the drawing below, it is gone; the hand back in brings it back.
    held = column.document.design
    start = handle_place(drawing, "station 3")
    drag(drawing, start, (0.0, 250.0), steps=8, release=False)
    assert len(column.document.design.band.stations) == 2
    QTest.keyClick(drawing, Qt.Key.Key_Escape)
    assert column.document.design == held
    drag(drawing, handle_place(drawing, "station 3"), (0.0, 250.0), steps=8)
    assert column.document.design.band == begun.band
    assert column.document.undo_label == "remove a station"
    assert steps_done(column.document) == 4
    column.document.undo()
    assert column.document.design == held


def test_the_last_station_stays_however_far_it_is_dragged(column: Column) -> None:
    from dataclasses import replace

    plain = replace(dome_design(), band=preset_named("plain").options)
    column.begin(plain)
    drawing = band_of(column).height_drawing
    column.show(drawing)
    drag(drawing, handle_place(drawing, "station 1"), (0.0, 300.0), steps=8)
    assert len(column.document.design.band.stations) == 1


def test_buttons_add_choose_and_remove_stations(column: Column) -> None:
    band = band_of(column)
    column.show(band.add)
    click(band.add)
    assert len(column.document.design.band.stations) == 3
    assert band.choice.index == 2
    column.show(band.remove)
    click(band.previous)
    click(band.remove)
    assert [station.angle_deg for station in column.document.design.band.stations][:1] == [0.0]
    assert len(column.document.design.band.stations) == 2


def test_one_side_alone_once_left_is_not_like_right(column: Column) -> None:
    band = band_of(column)
    drawing = band.height_drawing
    column.show(drawing)
    QTest.mouseDClick(drawing, LEFT, pos=drawing.frame.point(70.0, 0.5).toPoint())
    assert any(handle.name == "station 3 mirrored" for handle in drawing.handles)
    column.show(band.mirror)
    # In its own square: a click on the rest of the line does the same, but not in every style.
    click(band.mirror.box, QPointF(12.0, band.mirror.box.height() / 2.0))
    assert not column.document.design.band.mirror
    assert not any(handle.name == "station 3 mirrored" for handle in drawing.handles)
    column.show(drawing)
    drag(drawing, handle_place(drawing, "station 3"), (0.0, -10.0), steps=6)
    made = column.document.design.make_band()
    left, right = made.crown_radius([1.22])[0], made.crown_radius([-1.22])[0]  # type: ignore[arg-type]
    assert left > right + 0.2


def test_a_head_too_high_and_wide_is_told_with_its_place(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None]
) -> None:
    from dataclasses import replace

    from ringtex.checks.finding import Kind

    design = dome_design()
    head, palm = design.band.stations
    wide = replace(design.band, stations=(replace(head, height_mm=11.5, width_mm=22.0), palm))
    window.document.new(replace(design, band=wide))
    settled()
    assert window.view is not None
    assert window.view.report is not None
    kinds = {finding.kind for finding in window.view.report.findings}
    assert {Kind.HIGH_HEAD, Kind.WIDE_HEAD} <= kinds
    told = [button.text() for button in window.readings.findings.buttons if button.isVisible()]
    assert told
