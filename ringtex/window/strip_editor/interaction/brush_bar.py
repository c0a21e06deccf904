"""The brush's own controls, on the strip where it paints: what it does, how wide, how strongly, and the end of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from PySide6.QtWidgets import QButtonGroup, QToolButton, QWidget

from ringtex.edits.brush_strokes import MAX_BRUSH_MM, MIN_BRUSH_MM, STRONGEST, Act, Brush
from ringtex.window.building.view_state import ViewState
from ringtex.window.strip_editor.interaction.tool_bar import ToolBar

WORDS: Final[dict[tuple[str, Act], tuple[str, str]]] = {
    ("density", "more"): ("Closer", "Cells closer together where the brush goes"),
    ("density", "less"): ("Wider", "Cells wider apart where the brush goes"),
    ("density", "erase"): ("Wipe off", "Take painted spots away"),
    ("fade", "less"): ("Shallower", "Less depth where the brush goes"),
    ("fade", "erase"): ("Wipe off", "Take painted spots away"),
}


class BrushBar(ToolBar):
    """Shown while a brush is chosen."""

    def __init__(self, state: ViewState, parent: QWidget) -> None:
        super().__init__("Brush", parent)
        self._state = state
        self.acts = QButtonGroup(self)
        self.buttons: dict[Act, QToolButton] = {}
        for act in ("more", "less", "erase"):
            self._add_act(act)
        self.radius = self.add_slider("Radius of the brush", MIN_BRUSH_MM, MAX_BRUSH_MM)
        self.radius_words = self.add_label()
        self.strength = self.add_slider("Strength of the brush", 0.0, STRONGEST)
        self.strength_words = self.add_label()
        self.add_done("Lay the brush down", lambda: state.set_brush(None))
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
        self.arrange()

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


def _strength_words(brush: Brush) -> str:
    if brush.subject == "fade":
        return f"leaves {100.0 * brush.share:.0f} % of the depth"
    way = "as many cells" if brush.act == "more" else "as few cells"
    return f"{brush.strength:.1f} times {way}"
