"""The pen's own controls: how it is used, what a stroke becomes, how wide it is, how much it is smoothed, its end."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final, Literal

from PySide6.QtWidgets import QButtonGroup, QToolButton, QWidget

from ringtex.edits.drawn_curve import MAX_PEN_MM, MAX_SMOOTHING_MM, MIN_PEN_MM, MIN_SMOOTHING_MM
from ringtex.window.building.view_state import ViewState
from ringtex.window.strip_editor.interaction.tool_bar import ToolBar

Kind = Literal["line", "area"]
WORDS: Final[dict[Kind, tuple[str, str]]] = {
    "line": ("Line", "A ridge along the curve; its ends are joined where they meet"),
    "area": ("Area", "All that the curve encloses"),
}


class PenBar(ToolBar):
    """Shown while a pen is in hand."""

    def __init__(self, state: ViewState, parent: QWidget) -> None:
        super().__init__("Pen", parent)
        self._state = state
        self.kinds = QButtonGroup(self)
        self.buttons: dict[Kind, QToolButton] = {}
        for kind, (word, tip) in WORDS.items():
            self.buttons[kind] = self._add_button(word, tip)
            self.kinds.addButton(self.buttons[kind])
            self.buttons[kind].clicked.connect(lambda _=False, kind=kind: self._change(kind=kind))
        self.adds = self._add_button(
            "Add to the motif", "Join each stroke to the motif that is there, in all its repeats"
        )
        self.adds.clicked.connect(lambda on: self._change(adds=on))
        self.hint = self.add_label()
        self.hint.setText("Press and draw on the strip")
        self.width_slider = self.add_slider("Width of the line", MIN_PEN_MM, MAX_PEN_MM)
        self.width_words = self.add_label()
        self.smooth_slider = self.add_slider("Smoothing of the curve", MIN_SMOOTHING_MM, MAX_SMOOTHING_MM)
        self.smooth_words = self.add_label()
        self.add_done("Lay the pen down", lambda: state.set_pen(None))
        self.width_slider.valueChanged.connect(lambda _: self._change(width_mm=self.width_slider.number))
        self.smooth_slider.valueChanged.connect(lambda _: self._change(smooth_mm=self.smooth_slider.number))
        self.hide()

    def _add_button(self, word: str, tip: str) -> QToolButton:
        button = QToolButton(self)
        button.setText(word)
        button.setToolTip(tip)
        button.setAccessibleName(word)
        button.setCheckable(True)
        self.row.addWidget(button)
        return button

    def show_pen(self, can_add: bool) -> None:
        """Show the pen in hand, hidden without one; can_add: there is a drawn motif to add to."""
        pen = self._state.pen
        self.setVisible(pen is not None)
        if pen is None:
            return
        for kind, button in self.buttons.items():
            button.setChecked(kind == pen.kind)
        self.adds.setChecked(pen.adds)
        self.adds.setEnabled(can_add)
        self.width_slider.show_value(pen.width_mm)
        self.smooth_slider.show_value(pen.smooth_mm)
        self.width_words.setText(f"{pen.width_mm:.2f} mm wide")
        self.smooth_words.setText(f"smoothed by {pen.smooth_mm:.2f} mm")
        self.hint.setVisible(not can_add)
        for part in (self.width_slider, self.width_words):
            part.setVisible(pen.kind == "line")
        self.arrange()

    def _change(self, **changes: Any) -> None:
        if self._state.pen is not None:
            self._state.set_pen(replace(self._state.pen, **changes))
