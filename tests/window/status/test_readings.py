"""The readings bar: figures of the ring in view, findings worst first, a click shows the place."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder
from ringtex.checks.finding import Level
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.make_ring import make_ring, shape_ring
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.building.view_state import ViewState
from ringtex.window.status.readings import size_text
from ringtex.window.status.readings_bar import ReadingsBar


@pytest.fixture
def design() -> Design:
    return read_design(demo_folder() / "plain_flat.ring.json")


@pytest.fixture
def state() -> ViewState:
    return ViewState()


@pytest.fixture
def bar(qtbot: QtBot, state: ViewState) -> ReadingsBar:
    made = ReadingsBar(state)
    qtbot.addWidget(made)
    made.resize(1280, 80)
    made.show()
    return made


def finished(design: Design) -> View:
    return make_view(make_ring(design), is_draft=False)


def thin(design: Design) -> Design:
    """A ridge of 0.1 mm, far under what casting from a printed model can make."""
    return replace(design, relief=replace(design.relief, wall_width_mm=0.1))


def values(bar: ReadingsBar) -> dict[str, str]:
    return {figure.caption.text(): figure.value.text() for figure in bar.figures}


def test_figures_are_those_of_the_report(bar: ReadingsBar, design: Design) -> None:
    view = finished(design)
    bar.show_view(view)
    assert view.report is not None
    measured = view.report.readings
    shown = values(bar)
    assert shown["Weight"] == f"{measured.weight_g:.2f}"
    assert shown["Thinnest metal"] == f"{measured.thinnest_metal_mm:.2f}"
    assert shown["Seam gap"] == "0.000"
    assert shown["Cells"] == str(view.built.pattern.tiling.cells)


def test_size_in_the_scales_of_the_standards() -> None:
    """54 mm inner circumference. ISO 8653:2016: the mark is the circumference. US 6 3/4: 0.458 + 0.032 x 6.75 in inner
    diameter (the common rule), 53.78 mm. UK N: 37.5 + 13 x 1.25 = 53.75 mm (the usual rule, from memory)."""
    assert size_text(54.0, ("iso", "us", "uk")) == "ISO 54   US 6 3/4 +0.2   UK N +0.2"
    # On these scales every number is a size, also where nothing is marked any more.
    assert size_text(90.0, ("iso", "it")) == "ISO 90   IT 50"


def test_scales_are_chosen_with_the_mouse(qtbot: QtBot, bar: ReadingsBar, design: Design) -> None:
    bar.show_view(finished(design))
    japan = next(action for action in bar.finger_size.button.menu().actions() if action.data() == "jp")
    with qtbot.waitSignal(bar.scales_changed) as told:
        japan.trigger()
    assert told.args == [("iso", "us", "uk", "jp")]
    assert "JP" in bar.finger_size.button.text()
    for action in bar.finger_size.button.menu().actions():
        if action.isChecked():
            action.trigger()
    assert bar.scales == ("iso",)


def test_a_drafts_figures_stay_and_turn_softer(bar: ReadingsBar, design: Design) -> None:
    bar.show_view(finished(design))
    before = values(bar)
    deeper = replace(design, relief=replace(design.relief, depth_mm=0.4))
    bar.show_view(make_view(shape_ring(deeper, 0.02, Progress()), is_draft=True))
    assert values(bar) == before
    assert not any(figure.value.isEnabled() for figure in bar.figures)
    bar.show_view(finished(deeper))
    assert values(bar) != before
    assert all(figure.value.isEnabled() for figure in bar.figures)


def test_findings_worst_first_and_a_click_shows_the_place(
    qtbot: QtBot, bar: ReadingsBar, state: ViewState, design: Design
) -> None:
    view = finished(thin(design))
    assert view.report is not None
    worst = view.report.findings[0]
    assert worst.level is not Level.NOTE
    bar.show_view(view)
    button = bar.findings.buttons[0]
    assert button.text().startswith({"error": "Error", "warning": "Warning"}[worst.level.value])
    assert not button.icon().isNull()
    with qtbot.waitSignal(state.place_shown) as told:
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert told.args == [worst]
    assert worst.advice in bar.findings.sentence.whole


def test_a_finding_can_be_reached_by_keyboard(qtbot: QtBot, bar: ReadingsBar, state: ViewState, design: Design) -> None:
    bar.show_view(finished(thin(design)))
    bar.activateWindow()
    bar.findings.buttons[0].setFocus()
    with qtbot.waitSignal(state.place_shown):
        qtbot.keyClick(bar.findings.buttons[0], Qt.Key.Key_Space)


def test_thinnest_metal_shows_its_place(qtbot: QtBot, bar: ReadingsBar, state: ViewState, design: Design) -> None:
    view = finished(design)
    bar.show_view(view)
    figure = next(figure for figure in bar.figures if figure.caption.text() == "Thinnest metal")
    with qtbot.waitSignal(state.place_shown) as told:
        qtbot.mouseClick(figure, Qt.MouseButton.LeftButton)
    assert view.report is not None
    assert told.args == [view.report.readings.thinnest_metal_place]


def test_an_error_says_that_the_last_good_ring_is_in_view(bar: ReadingsBar, design: Design) -> None:
    bar.show_view(finished(design))
    bar.show_error(InputError("the relief is too deep", "Make it 0.4 mm", "relief.depth"))
    assert bar.stale.isVisible()
    assert "Make it 0.4 mm" in bar.stale.text()
    bar.show_view(finished(design))
    assert not bar.stale.isVisible()
