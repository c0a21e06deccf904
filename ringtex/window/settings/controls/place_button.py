"""The button that lets a click on strip or ring place something."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton, QWidget

from ringtex.window.building.view_state import ViewState


def place_button(text: str, hint: str, what: str, state: ViewState, parent: QWidget) -> QPushButton:
    """A button that stays down while clicks place `what`, "stone" or "plain"."""
    button = QPushButton(text, parent)
    button.setCheckable(True)
    button.setToolTip(hint)
    button.setAccessibleName(f"{text}: {what}")
    button.setAccessibleDescription(hint)
    finishing = state.finishing
    button.clicked.connect(lambda on: finishing.set_placing(what if on else None))
    finishing.placing_changed.connect(lambda: button.setChecked(finishing.placing == what))
    return button
