"""A row of pictured starting points: one click begins a new ring with one of them."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QPixmap, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from ringtex.document.starting_points import StartingPoint, starting_points
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.icons import icon
from ringtex.window.building.view_state import ViewState

SHOWN: Final = QSize(72, 54)
SMALL: Final = QSize(48, 36)
"""Pixels of a picture: over its name, and beside it where the window is low."""

MIN_LINES: Final = 48
"""Lines of text that a window is high for which the row leaves enough for strip and ring."""
TALL_LINES: Final = 64
"""Lines of text that a window is high for which the row may take three of them more."""


class StartRow(QFrame):
    """The row, which scrolls sideways where the window is narrow, and goes away when it is no longer wanted."""

    chosen = Signal(object)
    """A StartingPoint."""
    closed = Signal()

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self.setProperty("role", "row")
        self.setAccessibleName("Starting points")
        self.buttons = {point.name: self._button(point) for point in starting_points()}
        inner = QWidget(self)
        row = QHBoxLayout(inner)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        for button in self.buttons.values():
            row.addWidget(button)
        row.addStretch(1)
        self._area = self._area_of(inner)
        self._close = QToolButton(self)
        self._close.setToolTip("Put the starting points away; the File menu brings them back")
        self._close.setAccessibleName("Put the starting points away")
        self._close.clicked.connect(self.closed)
        self._small: bool | None = None
        title = QLabel("Begin\nwith", self)
        title.setProperty("role", "soft")
        ends = QVBoxLayout()
        ends.addWidget(self._close, 0, Qt.AlignmentFlag.AlignRight)
        ends.addStretch(1)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(16, 2, 8, 2)
        whole.setSpacing(8)
        whole.addWidget(title)
        whole.addWidget(self._area, 1)
        whole.addLayout(ends)
        self._inner = inner
        state.theme_changed.connect(self._recolour)
        self._recolour()
        self.fit_window(0)

    def _area_of(self, inner: QWidget) -> QScrollArea:
        area = QScrollArea(self)
        area.setWidget(inner)
        area.setWidgetResizable(True)
        area.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.viewport().installEventFilter(self)
        area.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        return area

    def fit_window(self, height: int) -> None:
        """Pictures over their names in a window that is so many pixels high, or small ones beside them in a low one."""
        small = height < TALL_LINES * self.fontMetrics().height()
        if small == self._small:
            return
        self._small = small
        beside, under = Qt.ToolButtonStyle.ToolButtonTextBesideIcon, Qt.ToolButtonStyle.ToolButtonTextUnderIcon
        for button in self.buttons.values():
            button.setToolButtonStyle(beside if small else under)
            button.setIconSize(SMALL if small else SHOWN)
        self._fit_height()

    def has_room(self, height: int) -> bool:
        """Whether the row leaves enough for strip and ring where the window has so many pixels for all of them."""
        return height >= MIN_LINES * self.fontMetrics().height()

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """A mouse's wheel, which turns up and down, moves the row sideways."""
        if isinstance(event, QWheelEvent) and abs(event.angleDelta().y()) > abs(event.angleDelta().x()):
            bar = self._area.horizontalScrollBar()
            bar.setValue(bar.value() - event.angleDelta().y())
            return True
        return super().eventFilter(watched, event)

    def changeEvent(self, event: QEvent, /) -> None:  # noqa: N802 - Qt's name
        """A larger text needs a higher row."""
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange) and hasattr(self, "_inner"):
            self._fit_height()
        super().changeEvent(event)

    def resizeEvent(self, event: QResizeEvent, /) -> None:  # noqa: N802 - Qt's name
        """Room for the scroll bar only where it is needed."""
        super().resizeEvent(event)
        self._fit_height()

    def _fit_height(self) -> None:
        wanted = self._inner.sizeHint()
        fits = wanted.width() <= self._area.width()
        bar = 0 if fits else self._area.horizontalScrollBar().sizeHint().height()
        self._area.setFixedHeight(wanted.height() + bar)

    def _recolour(self) -> None:
        self._close.setIcon(icon("close", colours(self._state.dark)))

    def _button(self, point: StartingPoint) -> QToolButton:
        button = QToolButton(self)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setIcon(QIcon(QPixmap(str(point.picture))))
        button.setText(point.title)
        button.setToolTip(f"Begin a new ring: {point.title.lower()}")
        button.setAccessibleName(f"Begin with {point.title}")
        button.clicked.connect(lambda: self.chosen.emit(point))
        return button
