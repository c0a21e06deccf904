"""Room in the window: nothing is cut at the sizes that it must serve, and the strip stays useful."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from document.bad_design import bad_design
from PySide6.QtCore import QPoint, QSize
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.design.design_file import design_from_json, write_design

if TYPE_CHECKING:
    from ringtex.window.app.main_window import MainWindow

SIZES = [QSize(1280, 720), QSize(1600, 1000)]
PATIENCE_MS = 20_000
MIN_STRIP_PX = {720: 200, 1000: 270}


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


def inside(window: MainWindow, widget: QWidget) -> bool:
    """Whether the whole widget lies in the window."""
    top = widget.mapTo(window, QPoint(0, 0))
    return window.rect().contains(widget.rect().translated(top))


def test_findings_and_strip_have_their_room(qtbot: QtBot, window: MainWindow, settled: Callable[[], None]) -> None:
    """With the starting points in sight, the worst ring, an error and two notices."""
    window.document.new(design_from_json(bad_design()), "Sent back")
    settled()
    row = window.readings.findings
    parts = [window.strip, window.ring, window.readings, row.sentence, row.propose, *row.buttons]
    for size in SIZES:
        window.resize(size)
        assert window.view is not None
        window.readings.show_view(window.view)
        qtbot.waitUntil(lambda: all(inside(window, part) for part in parts), timeout=PATIENCE_MS)
        assert window.start_row.isVisible()
        assert window.strip.height() >= MIN_STRIP_PX[size.height()]
        metrics = row.sentence.fontMetrics()
        assert "…" not in row.sentence.text()
        assert row.sentence.height() >= metrics.height()
        window.notices.tell("one", "note", "Something to know.")
        window.notices.tell("two", "warning", "Something else to know.", [("Do it", lambda: None)])
        window.readings.show_error(InputError("the relief is too deep", "Make it 0.4 mm", "relief.depth"))
        told = (window.strip, window.readings, window.readings.stale, row.propose)
        qtbot.wait(100)
        qtbot.waitUntil(lambda told=told: all(inside(window, part) for part in told), timeout=PATIENCE_MS)
        assert window.size() == size
        assert window.strip.height() >= 200
        for subject in ("one", "two"):
            window.notices.clear(subject)
        qtbot.wait(100)
        assert window.start_row.isVisible()


def test_the_sentence_says_where_limit_and_what_to_do(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None]
) -> None:
    window.document.new(design_from_json(bad_design()), "Sent back")
    settled()
    assert window.view is not None
    assert window.view.report is not None
    for number, finding in enumerate(window.view.report.findings):
        window.readings.findings.show_finding(number)
        said = window.readings.findings.sentence.whole
        assert finding.message in said
        assert finding.advice in said
        assert finding.measured is not None
        assert finding.limit is not None
        assert f"imit {finding.limit:.3g}" in said
        assert any(f"{finding.measured:{form}}" in said for form in (".3g", ".2f", ".1f", "g"))
        assert ("degrees" in said) or ("the whole ring" in said)


def test_another_ring_is_put_into_the_picture_whole(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], tmp_path: Path
) -> None:
    """From a small band to a tall dome: no pixel of the ring touches the view's upper edge."""
    for name, body in (("small", plain_design()), ("large", bad_design())):
        write_design(design_from_json(body), tmp_path / f"{name}.ring.json")
        window.files.open_file(tmp_path / f"{name}.ring.json")
        settled()
        qtbot.wait(600)
        picture = window.ring.picture()
        edge = {picture.pixelColor(x, 0).rgb() for x in range(picture.width())}
        middle = {picture.pixelColor(x, picture.height() // 2).rgb() for x in range(picture.width())}
        # The ground is nearly of one colour, metal of many.
        assert len(edge) < 40 < len(middle), name
