"""What the tests of even cells share: a dome design, the column or the whole window, and how pictures are clicked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from settings_hands import PanelBench

from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.window.settings.sections.pattern_section import PatternSection
from ringtex.window.settings.sections.relief_section import ReliefSection

DEMOS = Path(__file__).resolve().parents[2] / "demo_patterns"
LEFT = Qt.MouseButton.LeftButton


def dome_design(around: int = 24, evenness: float = 0.0, family: str = "hexagon") -> Design:
    from dataclasses import replace

    from ringtex.pattern.pattern_options import PatternOptions

    dome = read_design(DEMOS / "dome.ring.json")
    pattern = PatternOptions(family=family, around=around, evenness=evenness)
    return replace(dome, pattern=pattern, relief=replace(dome.relief, wall_width_mm=0.3))


class Column(PanelBench):
    """A document with its column of settings on the screen."""

    SIZE = (420, 1000)

    def __init__(self, qtbot: Any, design: Design) -> None:
        super().__init__(qtbot, design)
        pattern, relief = self.panel.section("Pattern"), self.panel.section("Relief")
        assert isinstance(pattern, PatternSection)
        assert isinstance(relief, ReliefSection)
        self.pattern, self.relief = pattern, relief

    def begin(self, design: Design) -> None:
        """Another document without a history, and the column as it was made."""
        super().begin(design)
        for part in (self.pattern.density, self.relief.fade):
            part.header.setChecked(False)
            part.mirror.setChecked(True)
            part.refresh()

    def show(self, widget: QWidget) -> None:
        """Scroll to a widget."""
        QApplication.processEvents()
        self.panel.area.ensureWidgetVisible(widget, 0, 20)
        QApplication.processEvents()


def click(widget: QWidget, at: QPoint | QPointF | None = None) -> None:
    """A real click, in the widget's middle unless told where; what a person cannot see is not clicked."""
    place = widget.rect().center() if at is None else QPointF(at).toPoint()
    assert widget.isVisible()
    assert not widget.visibleRegion().isEmpty()
    QTest.mouseClick(widget, LEFT, pos=place)
    QApplication.processEvents()
