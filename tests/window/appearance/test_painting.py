"""Painters end with their block, whoever still holds them."""

from __future__ import annotations

import pytest

pytest.importorskip("PySide6")

from PySide6.QtGui import QPixmap
from pytestqt.qtbot import QtBot

from ringtex.window.appearance.painting import painting


def test_a_painter_is_ended_though_an_error_keeps_its_frame(qtbot: QtBot) -> None:
    picture = QPixmap(8, 8)

    def draw() -> None:
        with painting(picture) as painter:
            assert picture.paintingActive()
            painter.drawPoint(1, 1)
            raise ValueError("in the middle")

    with pytest.raises(ValueError, match="in the middle") as kept:
        draw()
    # The error's traceback holds the frame, and so the painter.
    assert kept.traceback[-1].frame.f_locals["painter"] is not None
    assert not picture.paintingActive()


def test_every_paint_event_ends_its_painter() -> None:
    """No part of the window makes a painter on itself by hand: `paint_strip` alone does, and ends it in each way."""
    from pathlib import Path

    import ringtex.window

    root = Path(ringtex.window.__file__).parent
    by_hand = [path.name for path in root.rglob("*.py") if "QPainter(self)" in path.read_text(encoding="utf-8")]
    assert by_hand == []
