"""How the settings' tests use mouse and keyboard, and how they read the document by keys."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

import ringtex.window.settings.drawings.plot  # noqa: F401 - so that drawings draw at once
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.document.document import Document
from ringtex.window.appearance.colours import LIGHT
from ringtex.window.appearance.style_sheet import style_sheet
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.fold_section import FoldSection
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.drawings.handle_drawing import HandleDrawing
from ringtex.window.settings.settings_panel import SettingsPanel

LEFT = Qt.MouseButton.LeftButton


def design_of(body: dict[str, Any]) -> Design:
    return design_from_json(body)


def flat(design: Design) -> dict[str, Any]:
    """Every key of the design's file with its value: what "changes exactly its key" is measured by."""
    found: dict[str, Any] = {}

    def walk(value: Any, key: str) -> None:
        if isinstance(value, dict):
            for name, inner in value.items():
                walk(inner, f"{key}.{name}" if key else name)
        elif isinstance(value, list):
            for place, inner in enumerate(value):
                walk(inner, f"{key}[{place}]")
        else:
            found[key] = value

    walk(design_to_json(design), "")
    return found


def changed_keys(before: Design, after: Design) -> set[str]:
    old, new = flat(before), flat(after)
    return {key for key in old.keys() | new.keys() if old.get(key) != new.get(key)}


def open_panel(qtbot: Any, document: Document, state: ViewState, size: tuple[int, int] = (400, 900)) -> SettingsPanel:
    """The column of settings on the screen, in front; closed by qtbot, where there is one."""
    panel = SettingsPanel(document, state)
    panel.setStyleSheet(style_sheet(LIGHT))
    if qtbot is not None:
        qtbot.addWidget(panel)
    panel.resize(*size)
    panel.show()
    assert QTest.qWaitForWindowExposed(panel)
    panel.activateWindow()
    return panel


class PanelBench:
    """A document with its column of settings on the screen; without a qtbot it may serve many tests."""

    SIZE = (400, 900)

    def __init__(self, qtbot: Any, design: Design) -> None:
        self.document = Document(design)
        self.state = ViewState()
        self.panel = open_panel(qtbot, self.document, self.state, self.SIZE)
        self._folds = {fold: fold.folded for fold in self.panel.findChildren(FoldSection)}

    def begin(self, design: Design) -> None:
        """Another document without a history, and the column as it was made."""
        for widget in (QApplication.activePopupWidget(), QApplication.focusWidget()):
            if widget is not None:
                widget.close() if widget.isWindow() else widget.clearFocus()
        for fold, folded in self._folds.items():
            fold.set_folded(folded)
        self.document.new(design)
        self.panel.resize(*self.SIZE)
        self.panel.area.verticalScrollBar().setValue(0)
        self.panel.activateWindow()
        QApplication.processEvents()
        # The pointer leaves what it pointed at before.
        QTest.mouseMove(self.panel.sections[0].header, QPoint(4, 4))

    def close(self) -> None:
        """For good."""
        self.panel.close()
        self.panel.deleteLater()


def row(panel: SettingsPanel, key: str) -> NumberRow:
    return next(found for found in panel.rows if isinstance(found, NumberRow) and found.key == key)


def type_number(field: QWidget, text: str, enter: bool = True) -> None:
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(field, text)
    if enter:
        QTest.keyClick(field, Qt.Key.Key_Return)


def drag(
    widget: QWidget,
    start: QPointF | QPoint,
    by: tuple[float, float],
    steps: int = 6,
    release: bool = True,
    modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
) -> None:
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent
    from PySide6.QtWidgets import QApplication

    begin = QPointF(start)

    def send(kind: QEvent.Type, place: QPointF, button: Qt.MouseButton, held: Qt.MouseButton) -> None:
        everywhere = QPointF(widget.mapToGlobal(place))
        QApplication.sendEvent(widget, QMouseEvent(kind, place, everywhere, button, held, modifier))

    widget.setFocus()
    send(QEvent.Type.MouseButtonPress, begin, LEFT, LEFT)
    for step in range(1, steps + 1):
        place = begin + QPointF(*by) * (step / steps)
        send(QEvent.Type.MouseMove, place, Qt.MouseButton.NoButton, LEFT)
    if release:
        send(QEvent.Type.MouseButtonRelease, begin + QPointF(*by), LEFT, Qt.MouseButton.NoButton)


def handle_place(drawing: HandleDrawing, name: str) -> QPointF:
    handle = next(found for found in drawing.handles if found.name == name)
    return drawing.frame.point(handle.x, handle.y)


def steps_done(document: Document) -> int:
    """How many steps can be undone; leaves the document as it is."""
    count = 0
    while document.undo_label is not None:
        document.undo()
        count += 1
    for _ in range(count):
        document.redo()
    return count
