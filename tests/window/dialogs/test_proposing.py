"""Proposing a change by mouse: searched, shown on both views, taken as one step, undone; or thrown away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from document.bad_design import bad_design
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot
from zoo import band, plain_design, station

from ringtex.checks.finding import Level
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.edits.design_differences import design_changes
from ringtex.window.dialogs.proposing import TAKEN

if TYPE_CHECKING:
    from ringtex.window.app.main_window import MainWindow

LEFT = Qt.MouseButton.LeftButton
PATIENCE_MS = 180_000


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


@pytest.fixture
def bad(window: MainWindow, settled: Callable[[], None]) -> Design:
    """Much of what a caster sends back, on a band that is quick to build."""
    body = bad_design() | {"band": band("half_round", station(0, 7, 2.4, 0.35)), "pattern": {"around": 16, "across": 3}}
    del body["hollow"]
    design = design_from_json(body)
    window.document.new(design, "Sent back")
    settled()
    return design


@pytest.fixture
def thin(window: MainWindow, settled: Callable[[], None]) -> Design:
    """A ridge of 0.25 mm, which is under what a printed and cast ring can have."""
    body = plain_design(pattern={"around": 24, "across": 4}, relief={"form": "sunk", "wall_width": 0.25})
    window.document.new(design_from_json(body), "Thin")
    settled()
    return window.document.design


def propose(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.mouseClick(window.readings.findings.propose, LEFT)
    qtbot.waitUntil(window.proposal.take.isVisible, timeout=PATIENCE_MS)


def troubles(window: MainWindow) -> list[str]:
    assert window.view is not None
    assert window.view.report is not None
    return [f.kind.value for f in window.view.report.findings if f.level is not Level.NOTE]


def assert_every_change_is_said(window: MainWindow, bad: Design) -> None:
    """In words and numbers, with the findings that it clears."""
    found = window.proposing._found
    assert found is not None
    said = {label.text() for label in window.proposal.findChildren(QLabel)}
    assert {"Flank", "88°", "85°"} <= said
    for change in design_changes(bad, found.proposal.design):
        before, after = change.values
        assert any(text.startswith(before) for text in said), change
        assert any(text.startswith(after) for text in said), change
    assert "Error: steep flank 2 degrees" in said
    assert "This clears every error and warning." in window.proposal.summary


def test_taken_it_clears_the_findings_and_one_undo_brings_them_back(
    qtbot: QtBot, window: MainWindow, bad: Design, settled: Callable[[], None]
) -> None:
    before = troubles(window)
    assert len(before) >= 4
    assert window.readings.findings.propose.isVisible()
    propose(qtbot, window)
    # Nothing is changed yet, and the proposed ring is on both views.
    assert window.document.design == bad
    assert window.document.undo_label is None
    shown = window.readings.findings.buttons[0].text()
    assert shown.startswith("Note")
    assert_every_change_is_said(window, bad)
    qtbot.mouseClick(window.proposal.take, LEFT)
    settled()
    assert troubles(window) == []
    assert window.document.undo_label == TAKEN
    assert window.side.currentWidget() is window.settings
    window.menus.trigger("undo")
    settled()
    assert window.document.design == bad
    assert troubles(window) == before
    assert window.document.undo_label is None


def test_both_views_flip_between_now_and_proposed(qtbot: QtBot, window: MainWindow, thin: Design) -> None:
    shown: list[Design] = []
    window.proposing.view_wanted.connect(lambda view: shown.append(view.design))
    propose(qtbot, window)
    found = window.proposing._found
    assert found is not None
    qtbot.mouseClick(window.proposal.now, LEFT)
    proposed_ring = window.ring.picture()
    qtbot.mouseClick(window.proposal.proposed, LEFT)
    qtbot.waitUntil(lambda: window.ring.picture() != proposed_ring, timeout=5000)
    assert shown == [found.proposal.design, thin, found.proposal.design]
    assert window.document.design == thin


def test_thrown_away_it_leaves_no_trace(
    qtbot: QtBot, window: MainWindow, thin: Design, settled: Callable[[], None]
) -> None:
    propose(qtbot, window)
    qtbot.mouseClick(window.proposal.leave, LEFT)
    assert window.document.design == thin
    assert window.document.undo_label is None
    assert window.side.currentWidget() is window.settings
    assert window.readings.findings.buttons[0].text().startswith("Error")
    assert window.readings.findings.propose.isVisible()


def test_the_search_can_be_stopped_by_mouse_and_by_key(qtbot: QtBot, window: MainWindow, thin: Design) -> None:
    for stop in (lambda: qtbot.mouseClick(window.proposal.leave, LEFT), lambda: window.menus.trigger("stop")):
        qtbot.mouseClick(window.readings.findings.propose, LEFT)
        job = window.proposing.job
        assert job is not None
        qtbot.waitUntil(lambda: window.proposal.progress.value() > 0, timeout=PATIENCE_MS)
        stop()
        assert window.side.currentWidget() is window.settings
        qtbot.waitUntil(lambda job=job: not job.running, timeout=PATIENCE_MS)
        assert window.document.design == thin


def test_another_change_meanwhile_ends_it(
    qtbot: QtBot, window: MainWindow, thin: Design, settled: Callable[[], None]
) -> None:
    propose(qtbot, window)
    window.document.change(replace(thin, relief=replace(thin.relief, depth_mm=0.4)), "change the depth")
    assert not window.proposing.active
    assert window.side.currentWidget() is window.settings
    settled()
    assert window.document.undo_label == "change the depth"


def test_a_good_ring_is_offered_nothing(first_window: MainWindow) -> None:
    """The first ring has notes only, which no change is proposed for."""
    assert troubles(first_window) == []
    assert not first_window.readings.findings.propose.isVisible()
