"""The brush's own controls, on the strip where it paints: what it does, how wide, how strongly, and the end of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QButtonGroup, QFrame, QLabel, QSlider, QToolButton, QWidget

from ringtex.edits.brush_strokes import MAX_BRUSH_MM, MIN_BRUSH_MM, STRONGEST, Act, Brush
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState

WORDS: Final[dict[tuple[str, Act], tuple[str, str]]] = {
    ("density", "more"): ("Closer", "Cells closer together where the brush goes"),
    ("density", "less"): ("Wider", "Cells wider apart where the brush goes"),
    ("density", "erase"): ("Wipe off", "Take painted spots away"),
    ("fade", "less"): ("Shallower", "Less depth where the brush goes"),
    ("fade", "erase"): ("Wipe off", "Take painted spots away"),
}
EDGE_PX: Final = 8
TOP_PX: Final = 34
STEPS: Final = 20
"""Steps of a slider in a millimetre, and for one times as strong."""


class BrushBar(QFrame):
    """Shown while a brush is chosen."""

    def __init__(self, state: ViewState, parent: QWidget) -> None:
        super().__init__(parent)
        self._state, self._strip = state, parent
        self.setProperty("role", "notice")
        self.setAutoFillBackground(True)
        self.setAccessibleName("Brush")
        self.row = FlowLayout(self, 6)
        self.row.setContentsMargins(8, 2, 8, 2)
        parent.installEventFilter(self)
        self.acts = QButtonGroup(self)
        self.buttons: dict[Act, QToolButton] = {}
        for act in ("more", "less", "erase"):
            self._add_act(act)
        self.radius = _Slider("Radius of the brush", MIN_BRUSH_MM, MAX_BRUSH_MM, self)
        self.radius_words = self._label()
        self.strength = _Slider("Strength of the brush", 0.0, STRONGEST, self)
        self.strength_words = self._label()
        for part in (self.radius, self.radius_words, self.strength, self.strength_words):
            self.row.addWidget(part)
        self.done = QToolButton(self)
        self.done.setText("Done")
        self.done.setToolTip("Lay the brush down (Esc)")
        self.done.setAccessibleName("Lay the brush down")
        self.done.clicked.connect(lambda: state.set_brush(None))
        self.row.addWidget(self.done)
        self.radius.valueChanged.connect(lambda _: self._take())
        self.strength.valueChanged.connect(lambda _: self._take())
        self.hide()

    def _add_act(self, act: Act) -> None:
        button = QToolButton(self)
        button.setCheckable(True)
        self.acts.addButton(button)
        self.row.addWidget(button)
        button.clicked.connect(lambda _=False: self._choose(act))
        self.buttons[act] = button

    def _label(self) -> QLabel:
        label = QLabel(self)
        label.setFont(even_figures(label.font()))
        label.setProperty("role", "soft")
        return label

    def show_brush(self) -> None:
        """Show the chosen brush; hidden without one."""
        brush = self._state.brush
        self.setVisible(brush is not None)
        if brush is None:
            return
        for act, button in self.buttons.items():
            word, tip = WORDS.get((brush.subject, act), ("", ""))
            button.setVisible(act in brush.acts)
            button.setText(word)
            button.setAccessibleName(word)
            button.setToolTip(tip)
            button.setChecked(act == brush.act)
        fades = brush.subject == "fade"
        self.radius.show_value(brush.radius_mm)
        self.strength.set_limits(0.0 if fades else 1.1, 0.95 if fades else STRONGEST)
        self.strength.show_value(brush.share if fades else brush.strength)
        self.radius_words.setText(f"radius {brush.radius_mm:.1f} mm")
        self.strength_words.setText(_strength_words(brush))
        erases = brush.act == "erase"
        self.strength.setVisible(not erases)
        self.strength_words.setVisible(not erases)
        self._arrange()

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """In as many rows as the strip's width asks for."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._arrange()
        return False

    def _arrange(self) -> None:
        for part in (self.radius, self.radius_words, self.strength, self.strength_words):
            part.setFixedHeight(self.done.sizeHint().height())
        room = self._strip.width() - 2 * EDGE_PX
        parts = [self.row.itemAt(place) for place in range(self.row.count())]
        wanted = sum(part.sizeHint().width() + 6 for part in parts if part is not None and not part.isEmpty()) + 16
        width = min(wanted, room)
        self.resize(width, self.row.heightForWidth(width))
        self.move(EDGE_PX, TOP_PX)
        self.raise_()

    def _choose(self, act: Act) -> None:
        if self._state.brush is not None:
            self._state.set_brush(replace(self._state.brush, act=act))

    def _take(self) -> None:
        brush = self._state.brush
        if brush is None:
            return
        strength = self.strength.number
        wide = replace(brush, radius_mm=self.radius.number)
        fades = brush.subject == "fade"
        self._state.set_brush(replace(wide, share=strength) if fades else replace(wide, strength=strength))


class _Slider(QSlider):
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


def _strength_words(brush: Brush) -> str:
    if brush.subject == "fade":
        return f"leaves {100.0 * brush.share:.0f} % of the depth"
    way = "as many cells" if brush.act == "more" else "as few cells"
    return f"{brush.strength:.1f} times {way}"
