"""The controls of a tool in hand, brush or pen, on the strip where it is used."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QFrame, QLabel, QSlider, QToolButton, QWidget

from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.appearance.theme import even_figures

EDGE_PX: Final = 8
GAP_PX: Final = 16
STEPS: Final = 20
"""Steps of a slider in a millimetre, and for one times as strong."""


class ToolBar(QFrame):
    """A row of controls over the strip's lower corner, in as many lines as the strip's width asks for."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._strip = parent
        self.setProperty("role", "notice")
        self.setAutoFillBackground(True)
        self.setAccessibleName(name)
        self.row = FlowLayout(self, 6)
        self.row.setContentsMargins(8, 2, 8, 2)
        self._level: list[QWidget] = []
        self.done = QToolButton(self)
        parent.installEventFilter(self)

    def add_slider(self, name: str, low: float, high: float) -> ToolSlider:
        """A number from low to high.

        Parameters:
            name: of it, for screen readers and as a tool tip.
            low: its least value.
            high: its greatest value.
        Returns: the slider.
        """
        slider = ToolSlider(name, low, high, self)
        self._add_level(slider)
        return slider

    def add_label(self) -> QLabel:
        """Words after a slider, apart from the next one."""
        label = QLabel(self)
        label.setContentsMargins(0, 0, GAP_PX, 0)
        label.setFont(even_figures(label.font()))
        label.setProperty("role", "soft")
        self._add_level(label)
        return label

    def _add_level(self, part: QWidget) -> None:
        self.row.addWidget(part)
        self._level.append(part)

    def add_done(self, name: str, lay_down: Callable[[], None]) -> None:
        """The button that ends it, at the right."""
        self.done.setText("Done")
        self.done.setToolTip(f"{name} (Esc)")
        self.done.setAccessibleName(name)
        self.done.clicked.connect(lambda: lay_down())
        self.row.addWidget(self.done)

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Follow the strip's size."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self.arrange()
        return False

    def arrange(self) -> None:
        """Take as little room as the controls need."""
        for part in self._level:
            part.setFixedHeight(self.done.sizeHint().height())
        room = self._strip.width() - 2 * EDGE_PX
        parts = [self.row.itemAt(place) for place in range(self.row.count())]
        wanted = sum(part.sizeHint().width() + 6 for part in parts if part is not None and not part.isEmpty()) + 16
        width = min(wanted, room)
        self.resize(width, self.row.heightForWidth(width))
        # Over the lower ruler: what lies at the strip's upper edge can be drawn on.
        self.move(EDGE_PX, max(self._strip.height() - self.height() - EDGE_PX, 0))
        self.raise_()


class ToolSlider(QSlider):
    """A number from low to high; the wheel moves it only where it has the focus."""

    def __init__(self, name: str, low: float, high: float, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.set_limits(low, high)
        self.setFixedWidth(90)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(name)
        self.setToolTip(name)

    def set_limits(self, low: float, high: float) -> None:
        """Its ends."""
        blocked = self.blockSignals(True)
        self.setRange(round(low * STEPS), round(high * STEPS))
        self.blockSignals(blocked)

    @property
    def number(self) -> float:
        """What it says."""
        return self.value() / STEPS

    def show_value(self, number: float) -> None:
        """Show a number without telling of it."""
        blocked = self.blockSignals(True)
        self.setValue(round(number * STEPS))
        self.blockSignals(blocked)

    def wheelEvent(self, event: QWheelEvent, /) -> None:  # noqa: N802 - Qt's name
        """The wheel zooms the strip unless the slider has the focus."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()
