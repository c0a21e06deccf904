"""Tells the views which setting is hovered or focused."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QWidget

from ringtex.window.building.view_state import ViewState


class HoverWatch(QObject):
    """Sets `hovered_setting` while a watched widget is pointed at or, where none is, has the focus."""

    def __init__(self, state: ViewState, parent: QObject) -> None:
        super().__init__(parent)
        self._state = state
        self._names: dict[QObject, str] = {}
        self._pointed: str | None = None
        self._focused: str | None = None

    def watch(self, widget: QWidget, name: str) -> None:
        """Watch a widget and what is inside it; again, to give it another name."""
        for part in (widget, *widget.findChildren(QWidget)):
            if part not in self._names:
                part.installEventFilter(self)
            self._names[part] = name

    def point_at(self, name: str | None) -> None:
        """Say what is pointed at where a widget has several settings, such as the handles of a drawing."""
        self._pointed = name
        self._tell()

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Follow the pointer and the focus."""
        name = self._names.get(watched)
        kind = event.type()
        if name is not None and kind == QEvent.Type.Enter:
            self.point_at(name)
        elif kind == QEvent.Type.Leave and self._pointed == name:
            self.point_at(None)
        elif kind == QEvent.Type.FocusIn:
            self._focused = name
            self._tell()
        elif kind == QEvent.Type.FocusOut:
            self._focused = None
            self._tell()
        return False

    def _tell(self) -> None:
        self._state.set_hovered_setting(self._pointed or self._focused)
