"""Placing stones and plain places by clicks on the ring, with a sentence over it that says so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QWidget

from ringtex.window.building.view_state import ViewState
from ringtex.window.ring_view.opengl.gl_canvas import GlCanvas

_EDGE: Final = 8
Place = tuple[float, float]


class PlacingHint(QWidget):
    """What to do, and a button that ends it; at the top of the widget that it lies over."""

    def __init__(self, state: ViewState, over: QWidget) -> None:
        super().__init__(over)
        self._over, self._finishing = over, state.finishing
        self.text = QLabel(self)
        self.done = QPushButton("Done", self)
        self.done.setToolTip("End placing (Esc)")
        line = QHBoxLayout(self)
        line.setContentsMargins(12, 4, 4, 4)
        line.setSpacing(12)
        line.addWidget(self.text)
        line.addWidget(self.done)
        self.setAutoFillBackground(True)
        self.setAccessibleName("Placing")
        self.done.clicked.connect(lambda: self._finishing.set_placing(None))
        self._finishing.placing_changed.connect(self._follow)
        over.installEventFilter(self)
        self.hide()

    def _follow(self) -> None:
        self.text.setText(self._finishing.hint)
        self.setVisible(self._finishing.placing is not None)
        self._arrange()

    def _arrange(self) -> None:
        if not self.isHidden():
            self.adjustSize()
            self.move(max((self._over.width() - self.width()) // 2, 0), _EDGE)
            self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Stay in the middle."""
        if watched is self._over and event.type() == QEvent.Type.Resize:
            self._arrange()
        return False


class ClickPlacement(QObject):
    """Tells of clicks on the ring's outside: where something is to be placed, or what is pointed out there."""

    def __init__(self, canvas: GlCanvas, state: ViewState, place_at: Callable[[QPointF], Place | None]) -> None:
        super().__init__(canvas)
        self._canvas, self._state, self._place_at = canvas, state, place_at
        self.hint = PlacingHint(state, canvas)
        canvas.clicked.connect(self._click)
        state.finishing.placing_changed.connect(self._follow)

    def _follow(self) -> None:
        if self._state.finishing.placing is None:
            self._canvas.unsetCursor()
        else:
            self._canvas.setCursor(Qt.CursorShape.CrossCursor)

    def _click(self, at: QPointF) -> None:
        place, finishing = self._place_at(at), self._state.finishing
        if place is not None:
            (finishing.pointed_out if finishing.placing is None else finishing.place_clicked).emit(*place)
