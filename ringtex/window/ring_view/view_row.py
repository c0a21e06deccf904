"""The row under the ring: where to look from, the cut, and the seam's line."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QSlider, QToolButton, QWidget

from ringtex.window.appearance.flow_layout import FlowLayout

VIEW_BUTTONS: Final = (
    ("three_quarter", "Whole", "Home", "The whole ring, from the side and above"),
    ("head", "Head", "1", "Look at the head"),
    ("palm", "Palm", "2", "Look at the palm side"),
    ("side", "Side", "3", "Look along the finger"),
    ("bore", "Bore", "4", "Look into the finger hole"),
    ("seam", "Seam", "5", "Turn the seam to you, close by"),
)
"""Name of the camera's view, word on its button, key, what it does: for buttons, keys and menu alike."""

VIEW_KEYS: Final = {Qt.Key[f"Key_{key}"]: name for name, _, key, _ in VIEW_BUTTONS}
"""The view that a key shows."""


class ViewRow(QWidget):
    """Buttons of the views, and of cut and seam line, with the cut's slider while there is a cut."""

    view_wanted = Signal(str)
    cut_switched = Signal(bool)
    cut_turned = Signal(float)
    """Degrees from the head."""
    seam_line_switched = Signal(bool)

    def __init__(self, with_cut: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = FlowLayout(self, gap=4)
        row.setContentsMargins(8, 4, 8, 4)
        self.buttons: dict[str, QToolButton] = {}
        for name, word, key, words in VIEW_BUTTONS:
            button = _button(word, f"{words} ({key})", self)
            button.clicked.connect(lambda _=False, view=name: self.view_wanted.emit(view))
            self.buttons[name] = button
            row.addWidget(button)
        self.cut = _button("Cut", "Cut the ring open (C)", self)
        self.cut.setCheckable(True)
        self.cut.toggled.connect(self._switch)
        self.seam_line = _button("Seam line", "Draw the seam as a thin line (L)", self)
        self.seam_line.setCheckable(True)
        self.seam_line.toggled.connect(self.seam_line_switched)
        words = "The bare surface under stripes of light: where they kink, it does; the light turns them (R)"
        self.surface = _button("Surface", words, self)
        self.surface.setCheckable(True)
        self.slider = _CalmSlider(self)
        self.slider.valueChanged.connect(lambda degrees: self.cut_turned.emit(float(degrees)))
        self.figure = QLabel(self)
        self.figure.setProperty("role", "soft")
        for widget in (self.cut, self.seam_line) if with_cut else ():
            row.addWidget(widget)
        row.addWidget(self.surface)
        for extra in (self.slider, self.figure):
            row.addWidget(extra)
            extra.hide()
        if not with_cut:
            self.without_opengl()
        policy = self.sizePolicy()
        policy.setHeightForWidth(True)
        policy.setVerticalPolicy(QSizePolicy.Policy.Minimum)
        self.setSizePolicy(policy)

    def without_opengl(self) -> None:
        """Leave out what a still picture cannot show."""
        for widget in (self.cut, self.seam_line, self.slider, self.figure):
            widget.hide()

    def show_cut(self, degrees: float) -> None:
        """Show where the cut is, without telling of it."""
        blocked = self.slider.blockSignals(True)
        self.slider.setValue(round(degrees))
        self.slider.blockSignals(blocked)
        self.figure.setText(f"{round(degrees)}° from the head")

    def _switch(self, on: bool) -> None:
        self.slider.setVisible(on)
        self.figure.setVisible(on)
        self.updateGeometry()
        self.cut_switched.emit(on)


class _CalmSlider(QSlider):
    """From -180 to 180 degrees; the wheel moves it only where it has the focus."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setRange(-180, 180)
        self.setPageStep(15)
        self.setMinimumWidth(120)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Place of the cut")
        self.setToolTip("Where the ring is cut, in degrees from the head")

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


def _button(word: str, tip: str, parent: QWidget) -> QToolButton:
    button = QToolButton(parent)
    button.setText(word)
    button.setToolTip(tip)
    button.setAccessibleName(word)
    button.setAccessibleDescription(tip)
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    return button
